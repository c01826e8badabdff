// Package openapi holds the description of the HTTP interface, generated from the handlers' comments by gen.
package openapi

import _ "embed"

//go:generate go run -C gen . ../..

// Document is the OpenAPI description, as served at /openapi.json.
//
//go:embed openapi.json
var Document []byte
