package store

import (
	"bytes"
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"net/http"
	"time"

	"tamis/pkg/fault"
)

// SelfTest tries what everything else relies on: a second conditional put of other bytes must be refused, a wrong
// checksum must be refused and leave nothing, and a presigned address, where the store makes them, must give a range.
// The error is one line that names what the store does not do. Its objects lie under "selftest/" and are removed.
func SelfTest(ctx context.Context, s Store) error {
	var salt [8]byte
	rand.Read(salt[:])
	prefix := "selftest/" + hex.EncodeToString(salt[:]) + "/"
	for _, step := range []struct {
		key, promise string
		try          func(context.Context, Store, string) error
	}{
		{"once", "refuse a second conditional put of a key (If-None-Match)", tryConditional},
		{"sum", "refuse a body whose SHA-256 is not the one sent with it", tryChecksum},
		{"range", "give a range of an object at a presigned address", tryPresigned},
	} {
		err := step.try(ctx, s, prefix+step.key)
		if cleaned := s.Delete(ctx, prefix+step.key); err == nil {
			err = cleaned
		}
		if err != nil {
			return fmt.Errorf("the object store must %s: %w", step.promise, err)
		}
	}
	return nil
}

func tryConditional(ctx context.Context, s Store, key string) error {
	first, second := []byte("first"), []byte("other")
	created, err := s.PutOnce(ctx, key, bytes.NewReader(first), 5, sha256.Sum256(first), "text/plain")
	if err != nil {
		return err
	}
	if !created {
		return errors.New("the first put was refused")
	}
	_, err = s.PutOnce(ctx, key, bytes.NewReader(second), 5, sha256.Sum256(second), "text/plain")
	if !fault.Is(err, fault.Conflict) {
		return fmt.Errorf("the second put was not (%v)", err)
	}
	created, err = s.PutOnce(ctx, key, bytes.NewReader(first), 5, sha256.Sum256(first), "text/plain")
	if created || err != nil {
		return fmt.Errorf("a repeated put of the same bytes should have changed nothing (created %t, %v)", created, err)
	}
	return nil
}

func tryChecksum(ctx context.Context, s Store, key string) error {
	body := []byte("not what was promised")
	_, err := s.PutOnce(ctx, key, bytes.NewReader(body), int64(len(body)), sha256.Sum256(nil), "text/plain")
	if err == nil {
		return errors.New("it was accepted")
	}
	if !fault.Is(err, fault.Unavailable) || fault.Of(err).Code != "object_damaged" {
		return err
	}
	if _, err := s.Stat(ctx, key); !fault.Is(err, fault.NotFound) {
		return fmt.Errorf("it left an object behind (%v)", err)
	}
	return nil
}

func tryPresigned(ctx context.Context, s Store, key string) error {
	body := []byte("0123456789")
	if err := s.Put(ctx, key, body, "text/plain"); err != nil {
		return err
	}
	address, ok, err := s.PresignGet(ctx, key, "selftest.txt", "text/plain", time.Minute)
	if err != nil || !ok {
		return err
	}
	got, err := fetchRange(ctx, address, "bytes=2-5")
	if errors.Is(err, errUnreachable) {
		return nil // the public host need not be reachable from inside
	}
	if err != nil {
		return err
	}
	if string(got) != "2345" {
		return fmt.Errorf("asked for bytes 2 to 5, got %q", got)
	}
	return nil
}

var errUnreachable = errors.New("the address does not answer from here")

// fetchRange gets a part of an address. The error names no address: its signature opens the object.
func fetchRange(ctx context.Context, address, byteRange string) ([]byte, error) {
	ctx, cancel := context.WithTimeout(ctx, callTimeout)
	defer cancel()
	request, err := http.NewRequestWithContext(ctx, http.MethodGet, address, nil)
	if err != nil {
		return nil, errors.New("the address cannot be read")
	}
	request.Header.Set("Range", byteRange)
	response, err := http.DefaultClient.Do(request)
	if err != nil {
		return nil, errUnreachable
	}
	defer response.Body.Close()
	if response.StatusCode != http.StatusPartialContent {
		return nil, fmt.Errorf("the address answered %s", response.Status)
	}
	return io.ReadAll(io.LimitReader(response.Body, 1<<10))
}
