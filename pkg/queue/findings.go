package queue

import (
	"context"
	"fmt"
	"strconv"
	"strings"
)

// Findings tells what of Redis's settings endangers jobs under way, a sentence each, for readiness and the log.
// A setting that Redis does not tell of is no finding.
func (q *Queue) Findings(ctx context.Context) ([]string, error) {
	text, err := q.redis.Info(ctx).Result()
	if err != nil {
		return nil, redisFault(err)
	}
	info := map[string]string{}
	for line := range strings.Lines(text) {
		if name, value, ok := strings.Cut(strings.TrimSpace(line), ":"); ok {
			info[name] = value
		}
	}
	var findings []string
	if v := info["redis_version"]; v != "" && olderThan(v, 6, 2) {
		findings = append(findings, fmt.Sprintf("Redis is %s; 6.2 or later is needed", v))
	}
	if p := info["maxmemory_policy"]; p != "" && p != "noeviction" {
		findings = append(findings, fmt.Sprintf("Redis's maxmemory-policy is %s; with anything but noeviction it may "+
			"drop a job's lease or doorbell", p))
	}
	if info["aof_enabled"] == "0" {
		findings = append(findings, "Redis's appendonly is off; after its restart all open jobs begin again")
	}
	return findings, nil
}

func olderThan(version string, major, minor int) bool {
	parts := strings.SplitN(version, ".", 3)
	if len(parts) < 2 {
		return false
	}
	x, errX := strconv.Atoi(parts[0])
	y, errY := strconv.Atoi(parts[1])
	return errX == nil && errY == nil && (x < major || x == major && y < minor)
}
