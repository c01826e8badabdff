package queue

import (
	"context"
	_ "embed"
	"fmt"
	"strconv"

	"github.com/redis/go-redis/v9"
)

// The scripts are the only writers of records. Each starts with prelude.lua, whose head says what they share.
var (
	//go:embed lua/prelude.lua
	prelude string
	//go:embed lua/create.lua
	createLua string
	//go:embed lua/claim.lua
	claimLua string
	//go:embed lua/hold.lua
	holdLua string
	//go:embed lua/commit.lua
	commitLua string
	//go:embed lua/giveback.lua
	givebackLua string
	//go:embed lua/cancel.lua
	cancelLua string
	//go:embed lua/ring.lua
	ringLua string
)

// run sends a script for one job. Its arguments follow those the prelude reads. The answer is a list of strings,
// the first a word that says what happened.
func (q *Queue) run(ctx context.Context, source, shop, id string, args ...any) ([]string, error) {
	head := []any{q.base(shop), id, shop, q.cfg.Prefix, ms(q.cfg.Retention)}
	script := redis.NewScript(prelude + source)
	answer, err := script.Run(ctx, q.redis, []string{q.recordKey(shop, id)}, append(head, args...)...).StringSlice()
	if err != nil {
		return nil, redisFault(fmt.Errorf("job %s: %w", id, err))
	}
	return answer, nil
}

// ms gives a duration as the scripts count: whole milliseconds.
func ms(d interface{ Milliseconds() int64 }) string { return strconv.FormatInt(d.Milliseconds(), 10) }
