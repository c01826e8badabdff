package order

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"

	strict "github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"

	"tamis/pkg/fault"
)

// Parse reads one JSON order. Unknown, repeated and wrong-case names, wrong types and trailing bytes are
// fault.Malformed, with the field where there is one. Values are not looked at: see Complete.
func Parse(data []byte) (Order, error) {
	var o Order
	return o, DecodeStrict(data, &o)
}

// DecodeStrict reads exactly one JSON value into v. It is the one reader of everything callers send.
func DecodeStrict(data []byte, v any) error {
	if len(bytes.TrimSpace(data)) == 0 {
		return fault.Newf(fault.Malformed, "", "empty_body", "the body is empty; a JSON object is wanted")
	}
	err := strict.Unmarshal(data, v, strict.RejectUnknownMembers(true))
	if err == nil {
		return nil
	}
	return malformed(err)
}

// malformed turns a decoder's error into a fault that names the field and says nothing of Go's types.
func malformed(err error) error {
	var own *fault.Error
	var semantic *strict.SemanticError
	if errors.As(err, &semantic) {
		field := string(semantic.JSONPointer)
		if errors.As(semantic.Err, &own) {
			own.Field = field
			return own
		}
		if errors.Is(semantic.Err, strict.ErrUnknownName) {
			return fault.Newf(fault.Malformed, field, "unknown_field", "there is no field %q", lastName(field))
		}
		if errors.Is(semantic.Err, strconv.ErrRange) {
			return fault.Newf(fault.Malformed, field, "number_range", "%.40s is out of range; at most %s can be",
				semantic.JSONValue, largest(semantic))
		}
		return fault.Newf(fault.Malformed, field, "wrong_type", "a %s stands here; %s is wanted",
			kindName(semantic.JSONKind), wantName(semantic))
	}
	var syntactic *jsontext.SyntacticError
	if errors.As(err, &syntactic) {
		field := string(syntactic.JSONPointer)
		if errors.Is(err, jsontext.ErrDuplicateName) {
			return fault.Newf(fault.Malformed, field, "repeated_field", "%q stands twice", lastName(field))
		}
		if errors.Is(err, io.ErrUnexpectedEOF) {
			return fault.Newf(fault.Malformed, field, "json", "the JSON ends too early, after byte %d", syntactic.ByteOffset)
		}
		return fault.Newf(fault.Malformed, field, "json", "not JSON from byte %d on", syntactic.ByteOffset)
	}
	return fault.Newf(fault.Malformed, "", "json", "the body cannot be read as JSON")
}

func lastName(pointer string) string {
	return pointer[strings.LastIndexByte(pointer, '/')+1:]
}

// kindName names what stood in the JSON.
func kindName(k jsontext.Kind) string {
	switch k {
	case 'n':
		return "null"
	case 't', 'f':
		return "true or false"
	case '"':
		return "string"
	case '0':
		return "number"
	case '{':
		return "object"
	case '[':
		return "list"
	}
	return "value"
}

// wantName names what was wanted, in JSON's words.
func wantName(e *strict.SemanticError) string {
	if e.GoType == nil {
		return "another kind of value"
	}
	switch kind := fmt.Sprint(e.GoType.Kind()); {
	case strings.HasPrefix(kind, "int"):
		return "a whole number in range"
	case strings.HasPrefix(kind, "float"):
		return "a number"
	case kind == "string":
		return "a string"
	case kind == "bool":
		return "true or false"
	case kind == "slice", kind == "array":
		return "a list"
	case kind == "struct", kind == "map":
		return "an object"
	}
	return "another kind of value"
}

// largest is the largest number that can stand where one was out of range.
func largest(e *strict.SemanticError) string {
	if e.GoType != nil && strings.HasPrefix(fmt.Sprint(e.GoType.Kind()), "int") {
		return fmt.Sprintf("%g", float64(uint64(1)<<(e.GoType.Bits()-1)))
	}
	return "1.8e308"
}

// Canonical is the order's one form as bytes: fields in the document's order, defaults filled. Complete comes first.
func (o Order) Canonical() []byte { return canonical(o) }

func canonical(v any) []byte {
	data, err := json.Marshal(v)
	if err != nil {
		panic("order: " + err.Error()) // every field is marshalable by construction
	}
	return data
}
