package order

import (
	"encoding/json"

	strict "github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"

	"tamis/pkg/fault"
	"tamis/pkg/shop"
)

// DeviceRef names one of the shop's devices, or is a device given inline. Both empty: the shop's default.
type DeviceRef struct {
	ID     string
	Inline *shop.Device
}

// MarshalJSON writes the id as a string, or the inline device as an object.
func (d DeviceRef) MarshalJSON() ([]byte, error) {
	if d.Inline != nil {
		return json.Marshal(d.Inline)
	}
	return json.Marshal(d.ID)
}

// UnmarshalJSONFrom reads a string or an object, as strictly as the decoder around it.
func (d *DeviceRef) UnmarshalJSONFrom(dec *jsontext.Decoder) error {
	switch dec.PeekKind() {
	case '"':
		return strict.UnmarshalDecode(dec, &d.ID)
	case '{':
		d.Inline = &shop.Device{}
		return strict.UnmarshalDecode(dec, d.Inline)
	case 'n':
		return dec.SkipValue()
	}
	if err := dec.SkipValue(); err != nil {
		return err
	}
	return fault.Newf(fault.Malformed, "", "device", "a device's id or a device object is wanted")
}
