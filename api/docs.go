package api

import (
	"cmp"
	"fmt"
	"maps"
	"net/http"
	"slices"
	"strings"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/labstack/echo/v4"

	"standin"
	pages "standin/api/page"
	"standin/openapi"
)

// contractTexts are the contract as it was written, and the same as JSON, with the
// path that its addresses are below.
func (h *handlers) contractTexts(contract *contract) (inYAML, inJSON []byte, err error) {
	document := *contract.document
	inYAML = openapi.YAML
	if h.base != "" {
		document.Servers = openapi3.Servers{{URL: h.base}}
		inYAML = fmt.Appendf(slices.Clip(inYAML), "\nservers: [{url: %q}]\n", h.base)
	}
	inJSON, err = document.MarshalJSON()
	return inYAML, inJSON, err
}

func sendAs(contentType string, text []byte) echo.HandlerFunc {
	return func(c echo.Context) error { return c.Blob(http.StatusOK, contentType, text) }
}

// reference is the contract as a page shows it.
func reference(document *openapi3.T) *pages.Reference {
	r := &pages.Reference{About: prose(document.Info.Description)}
	for _, tag := range document.Tags {
		group := pages.CallGroup{Name: tag.Name, About: tag.Description}
		for _, path := range slices.Sorted(maps.Keys(document.Paths.Map())) {
			item := document.Paths.Value(path)
			for _, method := range []string{http.MethodGet, http.MethodPost, http.MethodPut, http.MethodPatch, http.MethodDelete} {
				if o := item.GetOperation(method); o != nil && slices.Contains(o.Tags, tag.Name) {
					group.Calls = append(group.Calls, callOf(method, path, item, o))
				}
			}
		}
		r.Groups = append(r.Groups, group)
	}
	for _, name := range slices.Sorted(maps.Keys(document.Components.Schemas)) {
		r.Shapes = append(r.Shapes, shapeOf(name, document.Components.Schemas[name].Value))
	}
	return r
}

func callOf(method, path string, item *openapi3.PathItem, o *openapi3.Operation) pages.Call {
	c := pages.Call{ID: o.OperationID, Method: method, Path: path, Summary: o.Summary, About: prose(o.Description), Who: who(o)}
	for _, p := range slices.Concat(o.Parameters, item.Parameters) {
		c.Parameters = append(c.Parameters, pages.Parameter{Name: p.Value.Name, In: p.Value.In, Required: p.Value.Required,
			Type: typeOf(p.Value.Schema), About: prose(p.Value.Description)})
	}
	if o.RequestBody != nil {
		c.Body = contentsOf(o.RequestBody.Value.Content)
	}
	c.Curl = curl(method, path, o)
	for _, status := range slices.Sorted(maps.Keys(o.Responses.Map())) {
		answer := o.Responses.Value(status).Value
		said := pages.Response{Status: status, Headers: strings.Join(slices.Sorted(maps.Keys(answer.Headers)), ", "), Content: contentsOf(answer.Content)}
		if status == "default" {
			said.Status = "any other"
		}
		if answer.Description != nil {
			said.About = prose(*answer.Description)
		}
		c.Responses = append(c.Responses, said)
	}
	return c
}

// who says who may make a call. loadContract has made sure that it has a scope.
func who(o *openapi3.Operation) string {
	switch scope, _ := scopeOf(o); scope {
	case standin.ScopeNone:
		return "Anybody may make it."
	case standin.ScopeRead:
		return "Anybody may make it; where the service is set up so, with a token."
	default:
		return "It takes a token of the scope " + string(scope) + "."
	}
}

func contentsOf(content openapi3.Content) []pages.Content {
	var all []pages.Content
	for _, media := range slices.Sorted(maps.Keys(content)) {
		one := pages.Content{Media: media, Type: typeOf(content[media].Schema)}
		if value := exampleOf(content[media]); value != nil {
			one.Example = indented(value)
		}
		all = append(all, one)
	}
	return all
}

// exampleOf is the example of a body, the first of several; nil where none is shown.
func exampleOf(media *openapi3.MediaType) any {
	if media.Example != nil {
		return media.Example
	}
	for _, name := range slices.Sorted(maps.Keys(media.Examples)) {
		return media.Examples[name].Value.Value
	}
	return nil
}

// shapeOf is a schema that has a name. Fields stand in the order in which they are
// required, then those that may be left out.
func shapeOf(name string, s *openapi3.Schema) pages.Shape {
	shape := pages.Shape{Name: name, About: prose(s.Description)}
	if len(s.Properties) == 0 {
		shape.Type = typeOf(&openapi3.SchemaRef{Value: s})
		return shape
	}
	names := slices.Collect(maps.Keys(s.Properties))
	place := func(field string) int {
		if i := slices.Index(s.Required, field); i >= 0 {
			return i
		}
		return len(s.Required)
	}
	slices.SortFunc(names, func(a, b string) int { return cmp.Or(cmp.Compare(place(a), place(b)), strings.Compare(a, b)) })
	for _, field := range names {
		p := s.Properties[field]
		one := pages.Parameter{Name: field, Required: slices.Contains(s.Required, field), Type: typeOf(p)}
		if p.Ref == "" || p.Value.Description != "" {
			one.About = prose(p.Value.Description)
		}
		shape.Fields = append(shape.Fields, one)
	}
	return shape
}
