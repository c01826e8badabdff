package drill_test

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"syscall"
	"testing"
	"time"

	"tamis/deploy/servers"
)

// programs are the two binaries, built once for all tests of this package.
var programs = sync.OnceValues(func() (dir string, err error) {
	dir, err = os.MkdirTemp("", "tamis-drill-")
	if err != nil {
		return "", err
	}
	cmd := exec.Command("go", "build", "-o", dir+"/", "tamis/api", "tamis/worker")
	if out, err := cmd.CombinedOutput(); err != nil {
		return dir, fmt.Errorf("%w: %s", err, out)
	}
	return dir, nil
})

func TestMain(m *testing.M) {
	code := m.Run()
	if dir, err := programs(); err == nil {
		os.RemoveAll(dir)
	}
	os.Exit(code)
}

// process is one program at work; its log goes to a file that a failed test prints the end of.
type process struct {
	t    *testing.T
	name string
	cmd  *exec.Cmd
	log  string
	dead chan struct{}
}

func launch(t *testing.T, name string, environ []string) *process {
	t.Helper()
	dir, err := programs()
	if err != nil {
		t.Fatal(err)
	}
	p := &process{t: t, name: name, log: filepath.Join(t.TempDir(), name+".log"), dead: make(chan struct{})}
	out, err := os.Create(p.log)
	if err != nil {
		t.Fatal(err)
	}
	defer out.Close()
	p.cmd = exec.Command(filepath.Join(dir, name))
	p.cmd.Env = append(os.Environ(), environ...)
	p.cmd.Stdout, p.cmd.Stderr = out, out
	if err := p.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	go func() { _ = p.cmd.Wait(); close(p.dead) }()
	t.Cleanup(p.stop)
	return p
}

// stop ends the process kindly, then not.
func (p *process) stop() {
	p.signal(syscall.SIGCONT)
	p.signal(syscall.SIGTERM)
	select {
	case <-p.dead:
	case <-time.After(30 * time.Second):
		p.t.Errorf("%s does not stop", p.name)
		p.kill()
	}
	if p.t.Failed() {
		log, _ := os.ReadFile(p.log)
		p.t.Logf("%s said, at the end:\n%s", p.name, log[max(0, len(log)-3000):])
	}
}

// kill is kill -9.
func (p *process) kill() {
	p.signal(syscall.SIGKILL)
	<-p.dead
}

func (p *process) signal(s syscall.Signal) { _ = p.cmd.Process.Signal(s) } // a dead process needs none

// site is a Tamis at work: an api, and the environment further workers are started with.
type site struct {
	*caller
	environ []string
	redis   servers.RedisServer
	api     *process
}

// real starts an api on a real Redis and a real bucket; it works no jobs itself.
func real(t *testing.T) *site {
	t.Helper()
	redis, s3 := servers.Redis(t), servers.S3(t)
	environ := []string{"TAMIS_REDIS_URL=" + redis.URL, "TAMIS_S3_ENDPOINT=" + s3.Endpoint, "TAMIS_S3_SECURE=false",
		"TAMIS_S3_BUCKET=films", "TAMIS_S3_ACCESS_KEY=" + s3.AccessKey, "TAMIS_S3_SECRET_KEY=" + s3.SecretKey,
		"TAMIS_SPOOL=" + t.TempDir()}
	s := &site{environ: environ, redis: redis}
	s.caller, s.api = serveAt(t, environ)
	return s
}

// embedded starts an api that works its own queue on a folder.
func embedded(t *testing.T, data string) (*caller, *process) {
	t.Helper()
	return serveAt(t, []string{"TAMIS_DATA=" + data})
}

func serveAt(t *testing.T, environ []string) (*caller, *process) {
	t.Helper()
	address := servers.FreeAddress(t)
	p := launch(t, "api", append([]string{"TAMIS_ADDR=" + address}, environ...))
	c := &caller{t: t, base: "http://" + address}
	for range 200 {
		if resp, err := http.Get(c.base + "/readyz"); err == nil {
			resp.Body.Close()
			if resp.StatusCode == http.StatusOK {
				return c, p
			}
		}
		time.Sleep(50 * time.Millisecond)
	}
	log, _ := os.ReadFile(p.log)
	t.Fatalf("the api does not get ready:\n%s", log)
	return nil, nil
}

func (s *site) worker() *process {
	s.t.Helper()
	return launch(s.t, "worker", s.environ)
}

// until waits for a condition that other processes bring about.
func until(t *testing.T, what string, holds func() bool) {
	t.Helper()
	for end := time.Now().Add(90 * time.Second); time.Now().Before(end); time.Sleep(20 * time.Millisecond) {
		if holds() {
			return
		}
	}
	t.Fatalf("%s: not within 90 s", what)
}

// caller is a storefront.
type caller struct {
	t    *testing.T
	base string
}

func (c *caller) do(method, path string, body []byte) (int, []byte) {
	c.t.Helper()
	req, err := http.NewRequest(method, c.base+path, bytes.NewReader(body))
	if err != nil {
		c.t.Fatal(err)
	}
	resp, err := http.DefaultClient.Do(req) // follows the redirect to a presigned address
	if err != nil {
		c.t.Fatal(err)
	}
	defer resp.Body.Close()
	data, err := io.ReadAll(bufio.NewReader(resp.Body))
	if err != nil {
		c.t.Fatal(err)
	}
	return resp.StatusCode, data
}
