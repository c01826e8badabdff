package main

import (
	"bytes"
	"strings"
	"testing"
)

func TestAWorkerWithoutAQueueSaysSoInOneLine(t *testing.T) {
	var out bytes.Buffer
	err := run(t.Context(), nil, nil, &out)
	if err == nil || !strings.Contains(err.Error(), "TAMIS_REDIS_URL") || strings.Contains(err.Error(), "\n") {
		t.Errorf("%v", err)
	}
}

func TestHelpListsTheSettings(t *testing.T) {
	var out bytes.Buffer
	if err := run(t.Context(), []string{"-help"}, nil, &out); err != nil || !strings.Contains(out.String(), "TAMIS_S3_BUCKET") {
		t.Errorf("%v: %s", err, out.String())
	}
}
