package queue

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"strings"
	"time"

	"tamis/pkg/fault"
)

// maxNameBytes bounds a shop's or a job's id: both are parts of object keys and of Redis keys.
const maxNameBytes = 80

// validName says whether an id could be one of ours: [a-z0-9_-], not empty, not long.
func validName(name string) bool {
	if name == "" || len(name) > maxNameBytes {
		return false
	}
	for i := range len(name) {
		c := name[i]
		if (c < 'a' || c > 'z') && (c < '0' || c > '9') && c != '_' && c != '-' {
			return false
		}
	}
	return true
}

// validPrefix says whether a prefix can start our keys and asynq's queue names: a brace would end the hash tag.
func validPrefix(prefix string) bool {
	return validName(prefix) && !strings.Contains(prefix, "_")
}

func jobNotFound(id string) error {
	return fault.Newf(fault.NotFound, "", "job_not_found", "there is no job %.80q", id)
}

func jobKey(shop, id string) string { return "shops/" + shop + "/jobs/" + id + "/job.json" }
func begunKey(shop, id string) string {
	return "shops/" + shop + "/jobs/" + id + "/begun.json"
}
func endKey(shop, id string) string  { return "shops/" + shop + "/jobs/" + id + "/end.json" }
func stopKey(shop, id string) string { return "shops/" + shop + "/jobs/" + id + "/stop.json" }
func openKey(shop, id string) string { return "shops/" + shop + "/open/" + id }

// base starts every Redis key of a shop. The braces put them all in one slot of a cluster, so that one script may
// touch them; that is why scripts build the names of further keys from it.
func (q *Queue) base(shop string) string { return q.cfg.Prefix + ":{" + shop + "}:" }

func (q *Queue) recordKey(shop, id string) string { return q.base(shop) + "job:" + id }
func (q *Queue) eventsKey(shop, id string) string { return q.base(shop) + "events:" + id }

// digest shortens text a caller chose to a part of a key.
func digest(text string) string {
	sum := sha256.Sum256([]byte(text))
	return hex.EncodeToString(sum[:16])
}

// Position is a place in a listing: newest first, by creation and then id.
type Position struct {
	CreatedAt time.Time
	ID        string
}

// member is the entry of a job in the sorted indexes. All have score 0, so Redis orders them by these bytes:
// a position is exact, also where many jobs share a microsecond.
func (p Position) member() string { return fmt.Sprintf("%016d:%s", p.CreatedAt.UnixMicro(), p.ID) }

// memberCut is where the id starts in a member.
const memberCut = 17
