package settings_test

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"tamis/pkg/settings"
)

func Example() {
	s, err := settings.Read([]string{"TAMIS_MAX_PIXELS=1000"})
	fmt.Println(s.Addr, s.MaxPixels, s.Embedded(), err)
	// Output: 127.0.0.1:8080 1000 true <nil>
}

func TestEveryBadValueIsNamedAtOnce(t *testing.T) {
	_, err := settings.Read([]string{"TAMIS_ADDR=nowhere", "TAMIS_MAX_BYTES=-1", "TAMIS_S3_SECURE=False",
		"TAMIS_MAX_PIXEL=3", "TAMIS_REDIS_URL=localhost:6379", "TAMIS_S3_ENDPOINT=http://x"})
	if err == nil {
		t.Fatal("accepted")
	}
	for _, name := range []string{"ADDR", "MAX_BYTES", "S3_SECURE", "MAX_PIXEL:", "REDIS_URL", "S3_ENDPOINT", "S3_BUCKET"} {
		if !strings.Contains(err.Error(), "TAMIS_"+name) {
			t.Errorf("%s is not named in: %v", name, err)
		}
	}
}

func TestOnlyALoopbackAddressIsBoundWithoutKeys(t *testing.T) {
	for addr, ok := range map[string]bool{"127.0.0.1:0": true, "localhost:8080": true, "[::1]:80": true,
		":8080": false, "0.0.0.0:8080": false, "192.0.2.1:80": false} {
		if _, err := settings.Read([]string{"TAMIS_ADDR=" + addr}); (err == nil) != ok {
			t.Errorf("%s: %v", addr, err)
		}
	}
}

func TestASharedQueueNeedsASharedStore(t *testing.T) {
	if _, err := settings.Read([]string{"TAMIS_REDIS_URL=redis://h:1/0"}); err == nil {
		t.Error("a real Redis with a local folder was accepted")
	}
	whole := []string{"TAMIS_REDIS_URL=redis://h:1/0", "TAMIS_S3_ENDPOINT=h:2", "TAMIS_S3_BUCKET=b",
		"TAMIS_S3_ACCESS_KEY=a", "TAMIS_S3_SECRET_KEY=s", "TAMIS_S3_SECURE=false"}
	if s, err := settings.Read(whole); err != nil || s.Embedded() || s.S3Secure {
		t.Errorf("%+v %v", s, err)
	}
}

// TestTheReadmeHasTheTable: the README's list is this package's, to the letter.
func TestTheReadmeHasTheTable(t *testing.T) {
	readme, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(readme), settings.Markdown()) {
		t.Errorf("the README's settings are not these:\n%s", settings.Markdown())
	}
}

func TestHelpListsEverySetting(t *testing.T) {
	for _, name := range []string{"TAMIS_ADDR", "TAMIS_DATA", "TAMIS_REDIS_URL", "TAMIS_S3_BUCKET", "TAMIS_MAX_PIXELS"} {
		if !strings.Contains(settings.Help(), name) {
			t.Errorf("%s is not in the help", name)
		}
	}
}
