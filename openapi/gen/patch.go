package main

import (
	"fmt"
	"strconv"

	"github.com/getkin/kin-openapi/openapi3"
)

// patch says what Swagger 2.0 cannot.
func patch(doc *openapi3.T) error {
	doc.Servers = openapi3.Servers{{URL: "/"}}
	for path, item := range doc.Paths.Map() {
		for method, op := range item.Operations() {
			op.OperationID = ""
			problems(op)
			if method == "POST" && path == "/v1/artworks" {
				op.RequestBody = uploadBody()
			}
			if err := answers(path, method, op); err != nil {
				return fmt.Errorf("%s %s: %w", method, path, err)
			}
		}
	}
	return device(doc)
}

// problems gives every refusal the media type of RFC 9457 and nothing else.
func problems(op *openapi3.Operation) {
	for code, response := range op.Responses.Map() {
		status, err := strconv.Atoi(code)
		if err != nil || status < 400 || response.Value == nil {
			continue
		}
		response.Value.Content = openapi3.Content{"application/problem+json": &openapi3.MediaType{
			Schema: openapi3.NewSchemaRef("#/components/schemas/serve.Problem", nil)}}
		if status == 429 || status == 503 {
			header(response.Value, "Retry-After", "seconds to wait before the call is made again")
		}
	}
}

func header(r *openapi3.Response, name, description string) {
	if r.Headers == nil {
		r.Headers = openapi3.Headers{}
	}
	r.Headers[name] = &openapi3.HeaderRef{Value: &openapi3.Header{Parameter: openapi3.Parameter{Description: description,
		Schema: openapi3.NewStringSchema().NewRef()}}}
}

// uploadBody is a picture, raw or as a part named file.
func uploadBody() *openapi3.RequestBodyRef {
	file := openapi3.NewStringSchema().WithFormat("binary")
	content := openapi3.Content{}
	for _, media := range []string{"image/png", "image/jpeg", "image/tiff", "image/webp", "image/gif",
		"application/octet-stream"} {
		content[media] = openapi3.NewMediaType().WithSchema(file)
	}
	form := openapi3.NewObjectSchema().WithProperty("file", file)
	form.Required = []string{"file"}
	content["multipart/form-data"] = openapi3.NewMediaType().WithSchema(form)
	return &openapi3.RequestBodyRef{Value: openapi3.NewRequestBody().WithRequired(true).WithContent(content)}
}

// answers adds the headers of successes, and the bodies that are no JSON.
func answers(path, method string, op *openapi3.Operation) error {
	at := func(code string) *openapi3.Response {
		if r := op.Responses.Value(code); r != nil && r.Value != nil {
			return r.Value
		}
		return openapi3.NewResponse() // a status the comments do not name: the route test would notice
	}
	binary := openapi3.Content{"application/octet-stream": openapi3.NewMediaType().WithSchema(
		openapi3.NewStringSchema().WithFormat("binary"))}
	switch method + " " + path {
	case "POST /v1/artworks":
		header(at("201"), "Location", "the artwork")
		header(at("200"), "Location", "the artwork")
	case "POST /v1/jobs":
		header(at("202"), "Location", "the job")
		header(at("202"), "Retry-After", "seconds until it is worth looking")
		header(at("202"), "Idempotent-Replayed", "true when the job was made by an earlier call with this key")
		header(at("202"), "Preference-Applied", "wait=seconds")
	case "DELETE /v1/jobs/{id}":
		header(at("202"), "Location", "the job")
	case "GET /v1/jobs/{id}/files/{name}":
		presigned := openapi3.NewMediaType().WithSchemaRef(openapi3.NewSchemaRef("#/components/schemas/serve.Presigned", nil))
		at("200").Content = openapi3.Content{"application/json": presigned,
			"application/octet-stream": binary["application/octet-stream"]}
		at("206").Content = binary
		header(at("307"), "Location", "a presigned address")
		at("307").Content = nil
	case "GET /v1/jobs/{id}/events":
		at("200").Content = openapi3.Content{"text/event-stream": openapi3.NewMediaType().WithSchema(openapi3.NewStringSchema())}
		at("204").Content = nil
	case "GET /v1/jobs":
		header(at("200"), "Link", `the next page, rel="next"`)
	}
	return nil
}

// device makes the order's film device what it is: an id or an object.
func device(doc *openapi3.T) error {
	film := doc.Components.Schemas["order.Film"]
	if film == nil || film.Value.Properties["device"] == nil {
		return fmt.Errorf("order.Film has no device")
	}
	film.Value.Properties["device"] = &openapi3.SchemaRef{Value: &openapi3.Schema{OneOf: openapi3.SchemaRefs{
		openapi3.NewStringSchema().NewRef(), openapi3.NewSchemaRef("#/components/schemas/shop.Device", nil)},
		Description: "a device of the shop by its id, or a device given inline"}}
	nullable(doc, "order.Separation", "choke_mm", "trap_mm", "index_dpi")
	nullable(doc, "order.Halftone", "lpi", "angle_deg", "dot_um")
	nullable(doc, "order.Mesh", "threads_per_cm")
	nullable(doc, "order.Film", "margin_mm")
	for _, name := range []string{"order.Order", "order.Print", "order.Garment", "order.Separation", "order.Halftone",
		"order.Mesh", "order.Film", "order.Entry"} {
		s := doc.Components.Schemas[name]
		if s == nil {
			return fmt.Errorf("no schema %s", name)
		}
		s.Value.AdditionalProperties = openapi3.BoolSchema{Has: new(bool)}
	}
	prints(doc)
	return halftoneNull(doc)
}

// prints says what an order must have: one print of its own, or a list of them.
func prints(doc *openapi3.T) {
	must := func(fields ...string) *openapi3.SchemaRef {
		return openapi3.NewSchemaRef("", &openapi3.Schema{Required: fields})
	}
	whole := doc.Components.Schemas["order.Order"].Value
	whole.Required = []string{"garment", "quantity"}
	whole.OneOf = openapi3.SchemaRefs{must("artwork_id", "print"), must("prints")}
	whole.Properties["prints"].Value.MinItems = 1
	most := uint64(8) // order.MaxPrints, which this module cannot import; the description's test compares
	whole.Properties["prints"].Value.MaxItems = &most
	doc.Components.Schemas["order.Entry"].Value.Required = []string{"artwork_id", "print"}
}

// nullable lets fields be null, which means: Tamis picks.
func nullable(doc *openapi3.T, schema string, fields ...string) {
	for _, f := range fields {
		if p := doc.Components.Schemas[schema].Value.Properties[f]; p != nil && p.Value != nil {
			p.Value.Nullable = true
		}
	}
}

// halftoneNull lets a plan's plate have no halftone: line work has none.
func halftoneNull(doc *openapi3.T) error {
	plate := doc.Components.Schemas["plan.Plate"]
	if plate == nil || plate.Value.Properties["halftone"] == nil {
		return fmt.Errorf("plan.Plate has no halftone")
	}
	plate.Value.Properties["halftone"] = &openapi3.SchemaRef{Value: &openapi3.Schema{Nullable: true,
		AllOf: openapi3.SchemaRefs{openapi3.NewSchemaRef("#/components/schemas/plan.Halftone", nil)}}}
	return nil
}
