package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestTheSampleMakesEveryFilm runs `api -sample -once` as the README does, in this process.
func TestTheSampleMakesEveryFilm(t *testing.T) {
	if testing.Short() {
		t.Skip("real prints take minutes under the race detector; the plain pass runs them")
	}
	data := t.TempDir()
	var out, log bytes.Buffer
	if err := run(t.Context(), []string{"-sample", "-once"}, []string{"TAMIS_DATA=" + data, "TAMIS_ADDR=127.0.0.1:0"}, &out, &log); err != nil {
		t.Fatalf("%v\n%s\n%s", err, out.String(), log.String())
	}
	for _, want := range []string{"fair-shirt", "lantern-shirt", "honey-bag", "Total", "/docs"} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("%q is not printed", want)
		}
	}
	for _, one := range sampleOrders {
		films, err := filepath.Glob(filepath.Join(data, "sample", one.ref, "*.tif"))
		if err != nil || len(films) == 0 {
			t.Errorf("%s has no films: %v", one.ref, err)
		}
	}
	if left, _ := os.ReadDir(filepath.Join(data, "spool")); len(left) != 0 {
		t.Errorf("the spool keeps %v", left)
	}
}

func TestABadStartIsSaidBeforeAnythingOpens(t *testing.T) {
	var out bytes.Buffer
	for name, r := range map[string]struct{ args, environ []string }{
		"setting": {nil, []string{"TAMIS_MAX_BYTES=many"}}, "flag": {[]string{"-twice"}, nil}, "once": {[]string{"-once"}, nil}} {
		if err := run(context.Background(), r.args, r.environ, &out, &out); err == nil {
			t.Errorf("%s: started", name)
		}
	}
	if err := run(context.Background(), []string{"-help"}, nil, &out, &out); err != nil {
		t.Errorf("-help: %v", err)
	}
}
