package api

import (
	"context"
	"fmt"
	"maps"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/getkin/kin-openapi/openapi3filter"
	"github.com/getkin/kin-openapi/routers"
	"github.com/labstack/echo/v4"

	"standin/openapi"
	"standin/openapi/gen"
)

// contract checks requests against the OpenAPI document before a handler sees them.
type contract struct {
	document *openapi3.T
	stopping context.Context // is done when bodies are no longer waited for
}

func loadContract(stopping context.Context) (*contract, error) {
	document, err := openapi3.NewLoader().LoadFromData(openapi.YAML)
	if err != nil {
		return nil, fmt.Errorf("api: the contract cannot be read: %w", err)
	}
	if err := checkScopes(document); err != nil {
		return nil, fmt.Errorf("api: the contract: %w", err)
	}
	return &contract{document, stopping}, nil
}

// check refuses what the contract does not allow for a call. The router has
// found the call already, so nothing is routed twice.
func (c *contract) check(method, path string) echo.MiddlewareFunc {
	item := c.document.Paths.Value(path)
	route := &routers.Route{
		Spec: c.document, Path: path, PathItem: item, Method: method, Operation: item.GetOperation(method),
	}
	options := &openapi3filter.Options{
		SkipSettingDefaults: true,
		ExcludeRequestBody:  streamed(route.Operation),
		AuthenticationFunc:  openapi3filter.NoopAuthenticationFunc, // (*handlers).allowed has decided
	}
	return func(next echo.HandlerFunc) echo.HandlerFunc {
		return func(ctx echo.Context) error {
			if err := checkQuery(ctx, route.Operation); err != nil {
				return err
			}
			if err := c.takeBody(ctx, route.Operation); err != nil {
				return err
			}
			values, err := pathValues(ctx)
			if err != nil {
				return err
			}
			request := ctx.Request()
			if streamed(route.Operation) { // else the validator would read it to its end
				request = request.Clone(request.Context())
				request.Body = http.NoBody
			}
			input := &openapi3filter.RequestValidationInput{
				Request: request, PathParams: values, QueryParams: ctx.QueryParams(), Route: route, Options: options,
			}
			if err := openapi3filter.ValidateRequest(ctx.Request().Context(), input); err != nil {
				return refusalOf(err)
			}
			return next(ctx)
		}
	}
}

// checkQuery refuses a query that is not one, parameters that the call does not
// have and those given twice: any of them could widen an answer in silence.
func checkQuery(ctx echo.Context, operation *openapi3.Operation) error {
	if _, err := url.ParseQuery(ctx.Request().URL.RawQuery); err != nil {
		return &refusal{gen.ProblemTypeBadRequest, "The query cannot be read; separate parameters by & and escape other signs by %.", ""}
	}
	var accepted, lists []string
	for _, p := range operation.Parameters {
		if p.Value.In == openapi3.ParameterInQuery {
			accepted = append(accepted, p.Value.Name)
			if p.Value.Schema.Value.Type.Is(openapi3.TypeArray) {
				lists = append(lists, p.Value.Name)
			}
		}
	}
	query := ctx.QueryParams()
	for _, name := range slices.Sorted(maps.Keys(query)) {
		switch {
		case !slices.Contains(accepted, name):
			return unknownName("parameter", name, name, accepted)
		case len(query[name]) > 1 && !slices.Contains(lists, name):
			return &refusal{gen.ProblemTypeBadRequest, fmt.Sprintf("%s is given %d times; give it once.", name, len(query[name])), name}
		case !printable(strings.Join(query[name], "")):
			return notPrintable(name)
		}
	}
	return nil
}

// pathValues are the parameters in the path, unescaped.
func pathValues(ctx echo.Context) (map[string]string, error) {
	values := make(map[string]string)
	for _, name := range ctx.ParamNames() {
		value := ctx.Param(name)
		if ctx.Request().URL.RawPath != "" { // else the router saw it unescaped
			var err error
			if value, err = url.PathUnescape(value); err != nil {
				return nil, notPrintable(name)
			}
		}
		if !printable(value) {
			return nil, notPrintable(name)
		}
		values[name] = value
	}
	return values, nil
}
