// Command gen makes openapi/openapi.json from the handlers' comments.
//
// swag v1 reads the comments and writes Swagger 2.0; that is converted to OpenAPI 3, patched where Swagger 2.0 cannot
// say what is true (problem+json per status, raw binary bodies, headers, the one field that is a string or an object),
// and validated by two validators. It has a go.mod of its own, so that the product does not depend on its tools.
//
//	go run -C openapi/gen . ../..          writes ../openapi.json
//	go run -C openapi/gen . -check ../..   fails when it is stale
package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"log"
	"os"
	"path/filepath"

	"github.com/swaggo/swag"
)

func main() {
	check := flag.Bool("check", false, "compare with the committed document instead of writing it")
	flag.Parse()
	root := flag.Arg(0)
	if root == "" {
		root = "."
	}
	if err := run(root, *check); err != nil {
		fmt.Fprintln(os.Stderr, "openapi/gen:", err)
		os.Exit(1)
	}
}

func run(root string, check bool) error {
	old, err := parse(root)
	if err != nil {
		return err
	}
	doc, err := convert(old)
	if err != nil {
		return err
	}
	if err := patch(doc); err != nil {
		return err
	}
	data, err := json.MarshalIndent(doc, "", "  ")
	if err != nil {
		return err
	}
	data = append(data, '\n')
	if err := validate(data); err != nil {
		return err
	}
	path := filepath.Join(root, "openapi", "openapi.json")
	if !check {
		return os.WriteFile(path, data, 0o644)
	}
	committed, err := os.ReadFile(path)
	if err == nil && !bytes.Equal(committed, data) {
		err = errors.New("openapi.json is stale: run go generate ./openapi")
	}
	return err
}

// parse reads the comments of the handlers into Swagger 2.0.
func parse(root string) ([]byte, error) {
	home, err := os.Getwd()
	if err != nil {
		return nil, err
	}
	if err := os.Chdir(root); err != nil { // swag finds the module of the packages from the working folder
		return nil, err
	}
	defer func() { _ = os.Chdir(home) }()
	p := swag.New(swag.SetDebugger(log.New(io.Discard, "", 0)), swag.SetStrict(true), swag.ParseUsingGoList(true),
		swag.SetOverrides(map[string]string{"tamis/pkg/shop.Amount": "string", "tamis/pkg/order.DeviceRef": "string"}))
	p.ParseInternal = true
	p.ParseDependency = 1
	p.PropNamingStrategy = swag.SnakeCase
	if err := p.ParseAPI("api/serve", "doc.go", 8); err != nil {
		return nil, err
	}
	return json.Marshal(p.GetSwagger())
}
