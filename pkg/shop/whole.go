package shop

import (
	"encoding/json"
	"fmt"
	"reflect"
	"strings"

	"tamis/pkg/fault"
)

// Whole names every field that data leaves out, or gives as null, though document, a pointer to one of this package's
// documents, must have it: a document is put whole, and a price left out would be a price of nothing. Fields that may
// be left out are marked omitempty, or shop:"optional" where they are always written. data has been decoded into
// document.
func Whole(data []byte, document any) error {
	c := &checker{}
	c.whole("", data, reflect.TypeOf(document).Elem())
	return c.Err()
}

func (c *checker) whole(at string, data []byte, t reflect.Type) {
	switch {
	case t == reflect.TypeFor[Amount](), len(data) == 0, string(data) == "null":
	case t.Kind() == reflect.Pointer:
		c.whole(at, data, t.Elem())
	case t.Kind() == reflect.Struct:
		c.wholeObject(at, data, t)
	case t.Kind() == reflect.Slice:
		var entries []json.RawMessage
		c.read(data, &entries)
		for i, one := range entries {
			c.whole(fmt.Sprintf("%s/%d", at, i), one, t.Elem())
		}
	}
}

func (c *checker) wholeObject(at string, data []byte, t reflect.Type) {
	var members map[string]json.RawMessage
	c.read(data, &members)
	for f := range t.Fields() {
		name, options, _ := strings.Cut(f.Tag.Get("json"), ",")
		value := members[name]
		absent := len(value) == 0 || string(value) == "null"
		if absent && options != "omitempty" && f.Tag.Get("shop") != "optional" {
			c.Addf(at+"/"+name, "missing", "%s is left out; a document is put whole", name)
		}
		c.whole(at+"/"+name, value, f.Type)
	}
}

// read takes apart what has been decoded once already, so that it cannot fail.
func (c *checker) read(data []byte, into any) {
	if err := json.Unmarshal(data, into); err != nil {
		c.Add(fault.Wrap(err, fault.Malformed, "json", "the document cannot be read"))
	}
}
