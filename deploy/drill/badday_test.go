package drill_test

import (
	"fmt"
	"syscall"
	"testing"
	"time"

	"github.com/redis/go-redis/v9"
)

// undisturbed makes the serious order on a Tamis of its own and gives the hashes that every other run must reach.
func undisturbed(t *testing.T, ref string) map[string]string {
	t.Helper()
	c, _ := embedded(t, t.TempDir())
	hashes, _ := c.files(c.finished(c.order(c.demo("lantern-night.png"), seriousOrder(ref)).ID).ID)
	return hashes
}

func sameBytes(t *testing.T, want, got map[string]string) {
	t.Helper()
	if len(want) < 8 || fmt.Sprint(want) != fmt.Sprint(got) {
		t.Errorf("other bytes than an undisturbed run's:\n%v\n%v", want, got)
	}
}

func TestAKilledWorkersJobEndsOnceWithTheSameBytes(t *testing.T) {
	want := undisturbed(t, "killed")
	s := real(t)
	first := s.worker()
	j := s.order(s.demo("lantern-night.png"), seriousOrder("killed"))
	s.underWay(j.ID)
	first.kill()
	s.worker()
	done := s.finished(j.ID)
	got, _ := s.files(j.ID)
	sameBytes(t, want, got)
	if n := s.ends(j.ID); n != 1 || done.Attempts != 2 {
		t.Errorf("ended %d times, in %d attempts", n, done.Attempts)
	}
}

// TestAFrozenWorkerThatWakesChangesNothing stops a worker for longer than its lease (15 s), lets another finish the job,
// and wakes the first.
func TestAFrozenWorkerThatWakesChangesNothing(t *testing.T) {
	want := undisturbed(t, "frozen")
	s := real(t)
	frozen := s.worker()
	j := s.order(s.demo("lantern-night.png"), seriousOrder("frozen"))
	s.underWay(j.ID)
	frozen.signal(syscall.SIGSTOP)
	s.worker()
	done := s.finished(j.ID)
	before, _ := s.files(j.ID)
	frozen.signal(syscall.SIGCONT)
	time.Sleep(3 * time.Second) // long enough for the woken one to finish its film and try to commit
	after := s.job(j.ID)
	got, _ := s.files(j.ID)
	sameBytes(t, want, before)
	sameBytes(t, before, got)
	if n := s.ends(j.ID); n != 1 || after.Attempts != done.Attempts || after.State != "done" {
		t.Errorf("ended %d times; attempts %d, then %d; %s", n, done.Attempts, after.Attempts, after.State)
	}
}

func TestAKilledEmbeddedApiFinishesAfterARestart(t *testing.T) {
	want := undisturbed(t, "restart")
	data := t.TempDir()
	c, api := embedded(t, data)
	j := c.order(c.demo("lantern-night.png"), seriousOrder("restart"))
	c.underWay(j.ID)
	api.kill()
	c, _ = embedded(t, data)
	c.finished(j.ID)
	got, _ := c.files(j.ID)
	sameBytes(t, want, got)
	if n := c.ends(j.ID); n != 1 {
		t.Errorf("ended %d times", n)
	}
}

// TestAnEmptiedRedisLosesNoJob flushes Redis while ten jobs are queued, running and done.
func TestAnEmptiedRedisLosesNoJob(t *testing.T) {
	s := real(t)
	s.worker()
	s.worker()
	art := s.demo("bee-stencil.png")
	var ids []string
	for i := range 10 {
		ids = append(ids, s.order(art, fmt.Sprintf(`"print":{"width_mm":%d},"garment":{"color":"#ffffff","unit_cost":"1"},
			"quantity":5,"order_ref":"F-%d"`, 120+10*i, i)).ID)
	}
	until(t, "one job done", func() bool { return s.job(ids[0]).ended() })
	client := redis.NewClient(&redis.Options{Addr: s.redis.Addr})
	defer client.Close()
	if err := client.FlushAll(t.Context()).Err(); err != nil {
		t.Fatal(err)
	}
	for _, id := range ids {
		s.checkFilms(s.finished(id))
	}
	var page struct{ Jobs []job }
	until(t, "the listing is whole again", func() bool {
		s.json("GET", "/v1/jobs", nil, 200, &page)
		return len(page.Jobs) == len(ids)
	})
}
