// Package settings reads the environment: the only place that sees it.
//
// One table of names, defaults, units, help and checks feeds the parsing, `-help` and the README's list. In go
// arguments and a getenv; out comes a Settings, or every bad value named, a line each, before anything opens.
// Unknown TAMIS_ names are refused, since a misspelt limit that silently does nothing is worse than none.
package settings

import (
	"errors"
	"fmt"
	"net"
	"net/url"
	"os"
	"strconv"
	"strings"
)

// Settings are the values of one program. Zero strings mean "not set".
type Settings struct {
	Addr        string
	OpsAddr     string
	Data        string
	RedisURL    string
	S3Endpoint  string
	S3Public    string
	S3Bucket    string
	S3Region    string
	S3AccessKey string
	S3SecretKey string
	S3Secure    bool
	AdminKey    string
	MaxBytes    int64
	MaxPixels   int64
	Workers     int
	Spool       string
}

// entry is one setting: its name without TAMIS_, default, unit, help, and how its text becomes a value.
type entry struct {
	name, fallback, unit, help string
	set                        func(*Settings, string) error
}

// long: the table of settings
func table() []entry {
	return []entry{
		{"ADDR", "127.0.0.1:8080", "host:port", "where the API listens; without keys only a loopback address may be bound",
			address(func(s *Settings) *string { return &s.Addr })},
		{"OPS_ADDR", "", "host:port", "a listener of its own for health, so that calls cannot starve it",
			address(func(s *Settings) *string { return &s.OpsAddr })},
		{"DATA", "./data", "folder", "the embedded store; used when no bucket is named",
			text(func(s *Settings) *string { return &s.Data })},
		{"REDIS_URL", "", "redis://…", "a real Redis 6.2 or newer; without it the API runs an embedded one",
			redisURL},
		{"S3_ENDPOINT", "", "host:port", "an S3-compatible store; without it the embedded store is used",
			hostPort(func(s *Settings) *string { return &s.S3Endpoint })},
		{"S3_PUBLIC_ENDPOINT", "", "host:port", "the name callers reach the store under, for presigned addresses",
			hostPort(func(s *Settings) *string { return &s.S3Public })},
		{"S3_BUCKET", "", "name", "the bucket", text(func(s *Settings) *string { return &s.S3Bucket })},
		{"S3_REGION", "us-east-1", "name", "the bucket's region", text(func(s *Settings) *string { return &s.S3Region })},
		{"S3_ACCESS_KEY", "", "text", "the store's access key", text(func(s *Settings) *string { return &s.S3AccessKey })},
		{"S3_SECRET_KEY", "", "text", "the store's secret key", text(func(s *Settings) *string { return &s.S3SecretKey })},
		{"S3_SECURE", "true", "true|false", "TLS to the store", boolean(func(s *Settings) *bool { return &s.S3Secure })},
		{"ADMIN_KEY", "", "text", "the key of the administration calls, of which there are none yet", text(func(s *Settings) *string { return &s.AdminKey })},
		{"MAX_BYTES", "104857600", "bytes", "the largest artwork file",
			whole(1, 4<<30, func(s *Settings, n int64) { s.MaxBytes = n })},
		{"MAX_PIXELS", "120000000", "pixels", "the largest artwork, width times height",
			whole(1, 2<<30, func(s *Settings, n int64) { s.MaxPixels = n })},
		{"WORKERS", "1", "jobs", "jobs a worker makes at once; one uses all cores",
			whole(1, 64, func(s *Settings, n int64) { s.Workers = int(n) })},
		{"SPOOL", "", "folder", "temporary films; the system's folder when not set",
			text(func(s *Settings) *string { return &s.Spool })},
	}
}

// Read reads every setting from environ ("NAME=value" lines, as os.Environ gives them).
func Read(environ []string) (Settings, error) {
	given := map[string]string{}
	for _, line := range environ {
		if name, value, ok := strings.Cut(line, "="); ok && strings.HasPrefix(name, "TAMIS_") {
			given[strings.TrimPrefix(name, "TAMIS_")] = value
		}
	}
	var s Settings
	var faults []error
	for _, e := range table() {
		value, ok := given[e.name]
		if !ok || value == "" {
			value = e.fallback
		}
		delete(given, e.name)
		if err := e.set(&s, value); err != nil {
			faults = append(faults, fmt.Errorf("TAMIS_%s: %w", e.name, err))
		}
	}
	for name := range given {
		if !strings.HasPrefix(name, "TEST_") {
			faults = append(faults, fmt.Errorf("TAMIS_%s: there is no such setting", name))
		}
	}
	return s, errors.Join(append(faults, s.together()...)...)
}

// together checks what several settings say.
func (s Settings) together() []error {
	var faults []error
	if (s.S3Endpoint == "") != (s.S3Bucket == "") {
		faults = append(faults, errors.New("TAMIS_S3_ENDPOINT and TAMIS_S3_BUCKET: set both or neither"))
	}
	if s.S3Endpoint != "" && (s.S3AccessKey == "" || s.S3SecretKey == "") {
		faults = append(faults, errors.New("TAMIS_S3_ACCESS_KEY and TAMIS_S3_SECRET_KEY: a bucket needs both"))
	}
	if (s.RedisURL == "") != (s.S3Endpoint == "") {
		faults = append(faults, errors.New("TAMIS_REDIS_URL and TAMIS_S3_ENDPOINT: a shared queue needs a shared store: "+
			"set both or neither"))
	}
	if host, _, err := net.SplitHostPort(s.Addr); err == nil && !loopback(host) {
		faults = append(faults, fmt.Errorf("TAMIS_ADDR: %s is not a loopback address, and no keys guard the calls", s.Addr))
	}
	return faults
}

func loopback(host string) bool {
	ip := net.ParseIP(host)
	return host == "localhost" || ip != nil && ip.IsLoopback()
}

// Embedded tells whether queue and store run inside the API.
func (s Settings) Embedded() bool { return s.RedisURL == "" }

// Help lists every setting with default, unit and meaning.
func Help() string {
	var b strings.Builder
	for _, e := range table() {
		fallback := e.fallback
		if fallback == "" {
			fallback = "not set"
		}
		fmt.Fprintf(&b, "  %-26s %s [%s; %s]\n", "TAMIS_"+e.name, e.help, e.unit, fallback)
	}
	return b.String()
}

// Markdown is the README's table of settings.
func Markdown() string {
	var b strings.Builder
	b.WriteString("| setting | unit | default | meaning |\n| --- | --- | --- | --- |\n")
	for _, e := range table() {
		fmt.Fprintf(&b, "| `TAMIS_%s` | %s | %s | %s |\n", e.name, strings.ReplaceAll(e.unit, "|", " or "), e.fallback, e.help)
	}
	return b.String()
}

func text(field func(*Settings) *string) func(*Settings, string) error {
	return func(s *Settings, value string) error {
		*field(s) = value
		return nil
	}
}

func address(field func(*Settings) *string) func(*Settings, string) error {
	return func(s *Settings, value string) error {
		*field(s) = value
		if value == "" {
			return nil
		}
		_, port, err := net.SplitHostPort(value)
		if n, bad := strconv.ParseUint(port, 10, 16); err != nil || bad != nil || n > 65535 {
			return fmt.Errorf("%q is not host:port", value)
		}
		return nil
	}
}

func hostPort(field func(*Settings) *string) func(*Settings, string) error {
	return func(s *Settings, value string) error {
		*field(s) = value
		if strings.Contains(value, "/") {
			return fmt.Errorf("%q: a host, with a port if need be, not an address with a scheme; see TAMIS_S3_SECURE", value)
		}
		return nil
	}
}

func redisURL(s *Settings, value string) error {
	s.RedisURL = value
	if value == "" {
		return nil
	}
	u, err := url.Parse(value)
	if err != nil || (u.Scheme != "redis" && u.Scheme != "rediss") || u.Host == "" {
		return errors.New("an address such as redis://host:6379/0 is wanted")
	}
	return nil
}

// boolean is strict: a setting such as "False" must not mean true because it is not empty.
func boolean(field func(*Settings) *bool) func(*Settings, string) error {
	return func(s *Settings, value string) error {
		*field(s) = value == "true"
		if value != "true" && value != "false" {
			return fmt.Errorf("%q is neither true nor false", value)
		}
		return nil
	}
}

func whole(low, high int64, set func(*Settings, int64)) func(*Settings, string) error {
	return func(s *Settings, value string) error {
		n, err := strconv.ParseInt(value, 10, 64)
		if err != nil || n < low || n > high {
			return fmt.Errorf("%q: a whole number from %d to %d is wanted", value, low, high)
		}
		set(s, n)
		return nil
	}
}

// Environ is the process's environment.
func Environ() []string { return os.Environ() }
