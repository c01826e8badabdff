// Package servers starts real servers for tests: a Redis and an S3 server, each on a free loopback port with an empty
// data folder, stopped when the test ends. A missing program fails the test: what is promised of a real server is not
// shown by leaving it out. deploy/test.sh installs them.
package servers

import (
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"
	"time"
)

// patience is how long a server may take to answer on a busy machine.
const patience = 20 * time.Second

// Process is a server at work.
type Process struct {
	t       testing.TB
	cmd     *exec.Cmd
	address string
	log     *os.File
}

// start runs a program until it answers at address, and stops it when the test ends.
func start(t testing.TB, address string, cmd *exec.Cmd) *Process {
	t.Helper()
	out, err := os.Create(filepath.Join(t.TempDir(), "server.log"))
	if err != nil {
		t.Fatal(err)
	}
	p := &Process{t: t, cmd: cmd, address: address, log: out}
	t.Cleanup(func() {
		p.Kill()
		out.Close()
	})
	p.run()
	return p
}

// run starts the program and returns when it accepts connections.
func (p *Process) run() {
	p.t.Helper()
	p.cmd.Stdout, p.cmd.Stderr = p.log, p.log
	if err := p.cmd.Start(); err != nil {
		p.t.Fatalf("%s: %v (deploy/test.sh installs it)", p.cmd.Path, err)
	}
	for deadline := time.Now().Add(patience); time.Now().Before(deadline); time.Sleep(10 * time.Millisecond) {
		if conn, err := net.DialTimeout("tcp", p.address, time.Second); err == nil {
			conn.Close()
			return
		}
	}
	said, _ := os.ReadFile(p.log.Name())
	p.t.Fatalf("%s does not answer at %s; it said:\n%s", p.cmd.Path, p.address, said)
}

// Restart kills the process and starts it again at the same address. What it kept in memory is gone.
func (p *Process) Restart() {
	p.t.Helper()
	p.Kill()
	again := exec.Command(p.cmd.Path, p.cmd.Args[1:]...)
	again.Env = p.cmd.Env
	p.cmd = again
	p.run()
}

// Freeze stops the process where it stands, as an overloaded machine would; Thaw lets it go on.
func (p *Process) Freeze() { p.signal(syscall.SIGSTOP) }

// Thaw lets a frozen process go on.
func (p *Process) Thaw() { p.signal(syscall.SIGCONT) }

// Kill ends the process at once and waits for it; a second call does nothing.
func (p *Process) Kill() {
	if p.cmd.Process == nil {
		return // it never started
	}
	_ = p.cmd.Process.Kill()
	_ = p.cmd.Wait()
}

func (p *Process) signal(s syscall.Signal) {
	p.t.Helper()
	if err := p.cmd.Process.Signal(s); err != nil {
		p.t.Fatalf("%s: %v", p.cmd.Path, err)
	}
}

// FreeAddress gives a loopback address that nothing listens on.
func FreeAddress(t testing.TB) string {
	t.Helper()
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer listener.Close()
	return listener.Addr().String()
}

// program finds a program by an environment variable, the path, or a file in the home folder's cache.
func program(t testing.TB, variable, name, cached string) string {
	t.Helper()
	if path := os.Getenv(variable); path != "" {
		return path
	}
	if path, err := exec.LookPath(name); err == nil {
		return path
	}
	home, err := os.UserHomeDir()
	if path := filepath.Join(home, cached); err == nil && cached != "" {
		if _, err := os.Stat(path); err == nil {
			return path
		}
	}
	t.Fatalf("%s is not on the path and %s is not set: run deploy/test.sh, which installs it", name, variable)
	return ""
}

// RedisServer is a running redis-server without persistence.
type RedisServer struct {
	*Process
	Addr string // host:port
	URL  string // redis://host:port/0
}

// Redis starts a redis-server; args are further settings, as on its command line.
func Redis(t testing.TB, args ...string) RedisServer {
	t.Helper()
	addr := FreeAddress(t)
	_, port, _ := net.SplitHostPort(addr)
	args = append([]string{"--bind", "127.0.0.1", "--port", port, "--save", "", "--dir", t.TempDir()}, args...)
	cmd := exec.Command(program(t, "TAMIS_TEST_REDIS_SERVER", "redis-server", ""), args...)
	return RedisServer{Process: start(t, addr, cmd), Addr: addr, URL: fmt.Sprintf("redis://%s/0", addr)}
}

// S3Server is a running S3 server over an empty folder.
type S3Server struct {
	*Process
	Endpoint             string // host:port
	AccessKey, SecretKey string
	Folder               string // where its buckets are folders
}

// S3 starts an S3 server over plain HTTP; args are further settings, as on its command line.
func S3(t testing.TB, args ...string) S3Server {
	t.Helper()
	s := S3Server{Endpoint: FreeAddress(t), AccessKey: "tamis-test", SecretKey: "not-a-secret", Folder: t.TempDir()}
	args = append(append([]string{"--port", s.Endpoint}, args...), "posix", s.Folder)
	cmd := exec.Command(program(t, "TAMIS_TEST_S3_SERVER", "versitygw", ".cache/tamis/bin/versitygw"), args...)
	cmd.Env = append(os.Environ(), "ROOT_ACCESS_KEY="+s.AccessKey, "ROOT_SECRET_KEY="+s.SecretKey)
	s.Process = start(t, s.Endpoint, cmd)
	return s
}
