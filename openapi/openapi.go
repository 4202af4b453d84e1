// Package openapi holds the contract of the HTTP API, written by hand. The
// server interface and types in gen are generated from it, and the client in
// client.
package openapi

import _ "embed"

// YAML is the contract: an OpenAPI 3.0.3 document.
//
//go:embed openapi.yaml
var YAML []byte

//go:generate go tool -modfile=tool.mod oapi-codegen -config gen.yaml -o gen/gen.go openapi.yaml
//go:generate go tool -modfile=tool.mod oapi-codegen -config client.yaml -o client/gen.go openapi.yaml
