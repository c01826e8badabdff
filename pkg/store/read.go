package store

import (
	"bytes"
	"context"

	"tamis/pkg/fault"
)

// ReadAll reads a document of at most maxBytes, checked against its hash; a longer one is fault.TooLarge.
func ReadAll(ctx context.Context, s Store, key string, maxBytes int64) ([]byte, Info, error) {
	body, info, err := s.Get(ctx, key)
	if err != nil {
		return nil, Info{}, err
	}
	defer body.Close()
	if info.Bytes > maxBytes {
		return nil, Info{}, fault.Newf(fault.TooLarge, "", "object_too_large", "object %s has %d bytes; at most %d are read",
			key, info.Bytes, maxBytes)
	}
	data := bytes.NewBuffer(make([]byte, 0, info.Bytes+bytes.MinRead)) // with room to see the end: nothing is copied
	_, err = data.ReadFrom(body)
	return data.Bytes(), info, err
}
