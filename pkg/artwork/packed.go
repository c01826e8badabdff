package artwork

import (
	"bytes"
	"compress/flate"
	"encoding/json"
	"fmt"
	"io"
)

// Packed is bytes that a JSON document holds deflated and in base 64: planes of an overview are mostly zeros.
type Packed []byte

// mostPacked bounds what a stored document may unfold to: far above any overview.
const mostPacked = 1 << 20

// MarshalJSON packs. The same bytes always give the same text.
func (p Packed) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	w, err := flate.NewWriter(&b, flate.BestCompression)
	if err != nil {
		return nil, err
	}
	if _, err := w.Write(p); err != nil {
		return nil, err
	}
	if err := w.Close(); err != nil {
		return nil, err
	}
	return json.Marshal(b.Bytes())
}

// UnmarshalJSON unpacks at most mostPacked bytes.
func (p *Packed) UnmarshalJSON(text []byte) error {
	var deflated []byte
	if err := json.Unmarshal(text, &deflated); err != nil {
		return err
	}
	data, err := io.ReadAll(io.LimitReader(flate.NewReader(bytes.NewReader(deflated)), mostPacked+1))
	if err != nil {
		return fmt.Errorf("unpack: %w", err)
	}
	if len(data) > mostPacked {
		return fmt.Errorf("unpack: over %d bytes", mostPacked)
	}
	*p = data
	return nil
}
