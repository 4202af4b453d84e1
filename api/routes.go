package api

import (
	"net/http"
	"strings"

	"github.com/labstack/echo/v4"

	"standin/openapi/gen"
)

// The limits of a request. Those that a client meets are in the contract too.
const (
	maxBody         = 4 << 20 // bytes
	maxText         = 200     // characters of one value
	maxPlugs        = 100     // connectors named as evidence
	maxWays         = 999     // of one connector
	gzipFrom        = 1 << 10 // bytes; below, compression costs more than it saves
	defaultLimit    = 50      // rows of a page
	defaultModels   = 10      // models found
	defaultSettings = 20      // settings identified
	retryAfter      = "5"     // seconds, while the database is away
)

// routes are all addresses of the API. A path is written as in the contract.
func (h *handlers) routes(e *echo.Echo, contract *contract) {
	call := gen.ServerInterfaceWrapper{Handler: gen.NewStrictHandler(h, nil)}

	add := func(method, path string, handler echo.HandlerFunc, through ...echo.MiddlewareFunc) {
		path = strings.NewReplacer("{", ":", "}", "").Replace(path)
		e.Add(method, path, handler, through...)
		if method == http.MethodGet {
			e.Add(http.MethodHead, path, handler, through...)
		}
	}
	// Who may read is decided here, for every read alike: whoever can connect.
	read := func(path string, handler echo.HandlerFunc) {
		add(http.MethodGet, path, handler, contract.check(http.MethodGet, path), h.cached, h.addressed)
	}
	ask := func(path string, handler echo.HandlerFunc) {
		add(http.MethodPost, path, handler, contract.check(http.MethodPost, path))
	}
	operate := func(path string, handler echo.HandlerFunc) {
		add(http.MethodGet, path, handler, contract.check(http.MethodGet, path))
	}
	document := func(path string, handler echo.HandlerFunc) {
		add(http.MethodGet, path, handler)
	}

	e.Use(requestID, h.logged(), h.recovered(), secured, compressed())

	read("/v1/fits", call.GetFit)
	ask("/v1/fits", call.PostFits)
	read("/v1/models", call.FindModels)
	read("/v1/models/{id}", call.GetModel)
	read("/v1/boards/{part_number}", call.GetBoard)
	read("/v1/adaptors/{part_number}", call.GetAdaptor)
	read("/v1/boards/{part_number}/models", call.ListModelsOfBoard)
	read("/v1/families", call.ListFamilies)
	read("/v1/families/{family}", call.GetFamily)
	read("/v1/sheets.pdf", call.GetSheet)
	read("/v1/labels.pdf", call.GetLabel)
	ask("/v1/readings/verify", call.VerifyReading)
	ask("/v1/readings/identify", call.IdentifyReading)

	operate("/healthz", call.GetHealth)
	operate("/readyz", call.GetReadiness)

	document("/openapi.yaml", sendContract)
	document("/docs", docs)
	document("/docs/*", docs)
	document("/problems/{name}", sendProblemType)

	document("/", show(h.pages.Counter))
	document("/suggest", show(h.pages.Suggest))
	document("/fits", show(h.pages.Fits))
	document("/board", show(h.pages.Board))
	document("/bench", show(h.pages.Bench))
	document("/bench/reading", show(h.pages.Reading))
	document("/bench/print", show(h.pages.Print))
	document("/identify", show(h.pages.Identify))
	document("/static/*", show(h.pages.Static))
}
