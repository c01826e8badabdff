package pkg_test

import (
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"strings"
	"testing"
)

// order lists pkg from the ground up: a package imports only from before itself.
// A line is policy: to make a build pass, move code, not lines. Before the bar nothing knows a network.
var order = strings.Fields(`fault cores kernel pages inflate color raster artwork ink separate tone halftone fabric stencil film nest proof
	press price sheet shop order plan produce | store library queue keys notify telemetry settings`)

// forbidden are the imports that nothing before the bar may have.
var forbidden = []string{"net/http", "os/exec", "github.com/gin-gonic/", "github.com/redis/", "github.com/minio/",
	"github.com/hibiken/", "github.com/alicebob/"}

// TestImportsGoOneWay parses the import lines itself: a test that ran `go list` would be answered from the test cache
// after an import changed.
func TestImportsGoOneWay(t *testing.T) {
	rank, bar := map[string]int{}, 0
	for i, name := range order {
		if name == "|" {
			bar = i
		}
		rank[name] = i
	}
	files := 0
	err := filepath.WalkDir(".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || !strings.Contains(path, "/") {
			return err
		}
		if strings.Contains(path, "/_asm/") || strings.Contains(path, "testdata/") {
			return nil
		}
		files++
		name := strings.Split(filepath.ToSlash(path), "/")[0]
		mine, known := rank[name]
		if !known {
			t.Errorf("%s: package %s has no place in the order", path, name)
			return nil
		}
		isTest := strings.HasSuffix(path, "_test.go")
		parsed, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.ImportsOnly)
		if err != nil {
			return err
		}
		for _, spec := range parsed.Imports {
			checkImport(t, path, strings.Trim(spec.Path.Value, `"`), mine, bar, isTest, rank)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if files < 3 {
		t.Fatalf("only %d files read: the test looked in the wrong place", files)
	}
}

func checkImport(t *testing.T, path, imported string, mine, bar int, isTest bool, rank map[string]int) {
	t.Helper()
	if isTest && (imported == "tamis/deploy/servers" || imported == "tamis/testdata") {
		return // the real Redis and the real bucket; the demo art
	}
	if rest, ok := strings.CutPrefix(imported, "tamis/"); ok {
		rest, ok = strings.CutPrefix(rest, "pkg/")
		if !ok {
			t.Errorf("%s imports %s: pkg knows nothing of the programs", path, imported)
			return
		}
		other, known := rank[strings.Split(rest, "/")[0]]
		if !known || other > mine || (other == mine && !isTest) {
			t.Errorf("%s imports %s, which does not stand before it", path, imported)
		}
		return
	}
	if mine > bar || isTest {
		return // tests may run reference programs and servers
	}
	for _, f := range forbidden {
		if imported == f || strings.HasPrefix(imported, f) {
			t.Errorf("%s imports %s: the trade knows no network and starts no process", path, imported)
		}
	}
}
