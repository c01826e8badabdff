package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"

	"github.com/getkin/kin-openapi/openapi2"
	"github.com/getkin/kin-openapi/openapi2conv"
	"github.com/getkin/kin-openapi/openapi3"
	"github.com/pb33f/libopenapi"
	validator "github.com/pb33f/libopenapi-validator"
)

// convert turns Swagger 2.0 into OpenAPI 3.
func convert(swagger []byte) (*openapi3.T, error) {
	var old openapi2.T
	if err := json.Unmarshal(swagger, &old); err != nil {
		return nil, fmt.Errorf("swagger 2.0: %w", err)
	}
	return openapi2conv.ToV3(&old)
}

// validate asks two validators that have nothing in common.
func validate(data []byte) error {
	loaded, err := openapi3.NewLoader().LoadFromData(data)
	if err != nil {
		return err
	}
	if err := loaded.Validate(context.Background()); err != nil {
		return fmt.Errorf("first validator: %w", err)
	}
	document, err := libopenapi.NewDocument(data)
	if err != nil {
		return fmt.Errorf("second validator: %w", err)
	}
	second, errs := validator.NewValidator(document)
	if len(errs) > 0 {
		return fmt.Errorf("second validator: %w", errors.Join(errs...))
	}
	if ok, faults := second.ValidateDocument(); !ok {
		var all []error
		for _, f := range faults {
			all = append(all, errors.New(f.Message+": "+f.Reason))
		}
		return fmt.Errorf("second validator: %w", errors.Join(all...))
	}
	return nil
}
