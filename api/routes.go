package api

import (
	"net/http"
	"strings"
	"time"

	"github.com/labstack/echo/v4"

	"standin"
	pages "standin/api/page"
	"standin/openapi/gen"
)

// The limits of a request. Those that a client meets are in the contract too.
const (
	maxBody         = 4 << 20 // bytes
	maxText         = 200     // characters of one value
	gzipFrom        = 1 << 10 // bytes; below, compression costs more than it saves
	defaultLimit    = 50      // rows of a page
	defaultModels   = 10      // models found
	defaultSettings = 20      // settings identified
	defaultChanges  = 1000    // changes read
	retryAfter      = "5"     // seconds, while the database is away

	sharedTime = time.Hour // how long a browser may keep what other sites may do
)

// unlimited are what is asked for by whoever watches the service, and what comes
// with every page.
var unlimited = []string{"/healthz", "/readyz", "/metrics", "/static/*"}

// routes are all addresses of the API. A path is written as in the contract.
func (h *handlers) routes(e *echo.Echo, contract *contract, config Config) error {
	call := gen.ServerInterfaceWrapper{Handler: gen.NewStrictHandler(h, nil)}
	limit := newCallerLimit(config.RateLimit)
	question, ready, change := within(config.QuestionTime), within(config.ReadyTime), within(changeTimes*config.QuestionTime)

	add := func(method, path string, handler echo.HandlerFunc, middleware ...echo.MiddlewareFunc) {
		path = strings.NewReplacer("{", ":", "}", "").Replace(path)
		e.Add(method, path, handler, middleware...)
		if method == http.MethodGet {
			e.Add(http.MethodHead, path, handler, middleware...)
		}
	}
	// Every call of the contract goes first by who may make it, then by what it
	// may say; a reading call after that by what the client has already.
	through := func(method, path string, more ...echo.MiddlewareFunc) []echo.MiddlewareFunc {
		return append([]echo.MiddlewareFunc{h.allowed(contract.scope(method, path)), limit.byToken, contract.check(method, path)}, more...)
	}
	read := func(path string, handler echo.HandlerFunc) {
		add(http.MethodGet, path, handler, timed(question, through(http.MethodGet, path, h.cached))...)
	}
	print := func(path string, handler echo.HandlerFunc) {
		add(http.MethodGet, path, handler, timed(question, through(http.MethodGet, path, h.addressed, h.spoken, h.cached))...)
	}
	ask := func(path string, handler echo.HandlerFunc) {
		add(http.MethodPost, path, handler, timed(question, through(http.MethodPost, path))...)
	}
	// A batch takes as long as it has machines; see batch.send.
	batch := func(path string, handler echo.HandlerFunc) {
		add(http.MethodPost, path, handler, through(http.MethodPost, path)...)
	}
	operate := func(path string, handler echo.HandlerFunc) {
		add(http.MethodGet, path, handler, timed(ready, through(http.MethodGet, path))...)
	}
	// What happens in a shop.
	shopRead := func(path string, handler echo.HandlerFunc) {
		add(http.MethodGet, path, handler, timed(question, through(http.MethodGet, path, h.withShop, h.cached))...)
	}
	shopCall := func(method, path string, handler echo.HandlerFunc) {
		add(method, path, handler, timed(change, through(method, path, h.withShop))...)
	}
	// Changes may be waited for.
	feed := func(path string, handler echo.HandlerFunc) {
		add(http.MethodGet, path, handler, through(http.MethodGet, path, h.withShop)...)
	}
	// Bundles may be large, and their ends waited for.
	bundles := func(method, path string, handler echo.HandlerFunc, more ...echo.MiddlewareFunc) {
		add(method, path, handler, append(through(method, path, h.withIntake), more...)...)
	}
	page := func(path string, handler http.HandlerFunc) {
		add(http.MethodGet, path, show(handler), question, h.allowed(standin.ScopeRead), limit.byToken)
	}
	answer := func(path string, handler echo.HandlerFunc) {
		add(http.MethodGet, path, handler, question, h.allowed(contract.scope(http.MethodGet, path)), limit.byToken, h.repeated, compressed(nil),
			contract.check(http.MethodGet, path), h.cached, h.remembered)
	}
	document := func(path string, handler echo.HandlerFunc) {
		add(http.MethodGet, path, handler)
	}

	e.Use(traced, h.metrics.observed, h.logged(), h.recovered(), secured, shared(config.Origins), limit.byAddress, h.seeing, compressed(compressedByItself))

	answer("/v1/fits", call.GetFit)
	batch("/v1/fits", call.PostFits)
	read("/v1/fits/short", call.GetFitInShort)
	batch("/v1/fits/short", call.PostFitsInShort)
	read("/v1/models", call.FindModels)
	read("/v1/models/{id}", call.GetModel)
	read("/v1/boards", call.ListBoards)
	read("/v1/adaptors", call.ListAdaptors)
	read("/v1/boards/{part_number}", call.GetBoard)
	read("/v1/adaptors/{part_number}", call.GetAdaptor)
	read("/v1/boards/{part_number}/models", call.ListModelsOfBoard)
	read("/v1/families", call.ListFamilies)
	read("/v1/families/{family}", call.GetFamily)
	print("/v1/sheets.pdf", call.GetSheet)
	print("/v1/labels.pdf", call.GetLabel)
	ask("/v1/readings/verify", call.VerifyReading)
	ask("/v1/readings/identify", call.IdentifyReading)

	shopRead("/v1/stock", call.ListStock)
	shopCall(http.MethodPut, "/v1/stock/{location}", call.PutLocation)
	shopCall(http.MethodGet, "/v1/stock/{location}/{part_number}", call.GetStock)
	shopCall(http.MethodPut, "/v1/stock/{location}/{part_number}", call.PutStock)
	shopRead("/v1/stock/moves", call.ListMoves)
	shopCall(http.MethodPost, "/v1/stock/moves", call.AddMove)
	shopRead("/v1/holds", call.ListHolds)
	shopCall(http.MethodPost, "/v1/holds", call.AddHold)
	shopRead("/v1/holds/{id}", call.GetHold)
	shopCall(http.MethodPatch, "/v1/holds/{id}", call.RenewHold)
	shopCall(http.MethodDelete, "/v1/holds/{id}", call.ReleaseHold)
	shopCall(http.MethodPost, "/v1/holds/{id}/take", call.TakeHold)

	shopRead("/v1/fittings", call.ListFittings)
	shopCall(http.MethodPost, "/v1/fittings", call.AddFitting)
	shopRead("/v1/fittings/{id}", call.GetFitting)
	shopCall(http.MethodPatch, "/v1/fittings/{id}", call.SetFittingResult)

	bundles(http.MethodGet, "/v1/imports", call.ListImports, question, h.cached)
	bundles(http.MethodPost, "/v1/imports", h.addImport)
	bundles(http.MethodGet, "/v1/imports/{id}", call.GetImport)
	bundles(http.MethodGet, "/v1/imports/{id}/findings", call.ListFindings, question, choosing)
	bundles(http.MethodGet, "/v1/imports/{id}/changes", call.ListImportChanges, question)
	bundles(http.MethodPost, "/v1/imports/{id}/take", call.TakeImport)
	bundles(http.MethodPost, "/v1/imports/{id}/undo", call.UndoImport)

	feed("/v1/changes", call.ListChanges)

	operate("/healthz", call.GetHealth)
	operate("/readyz", call.GetReadiness)
	if !config.MetricsApart {
		add(http.MethodGet, "/metrics", echo.WrapHandler(h.metrics.handler()), h.allowed(standin.ScopeRead))
	}

	inYAML, inJSON, err := h.contractTexts(contract)
	if err != nil {
		return err
	}
	document("/openapi.yaml", sendAs("application/yaml", inYAML))
	document("/openapi.json", sendAs("application/json", inJSON))
	document("/docs", show(h.pages.Reference(reference(contract.document))))
	document("/problems/{name}", sendProblemType)

	page("/", h.pages.Counter)
	page("/suggest", h.pages.Suggest)
	page("/fits", h.pages.Fits)
	page("/board", h.pages.Board)
	page("/bench", h.pages.Bench)
	page("/bench/reading", h.pages.Reading)
	page("/bench/print", h.pages.Print)
	page("/bench/along", h.pages.Along)
	page("/bench/copy", h.pages.Copy)
	document("/bench/worker.js", show(h.pages.Worker))
	add(http.MethodPost, "/bench/fitting", call.AddFitting, timed(change, []echo.MiddlewareFunc{
		ownForm, h.allowedPage(standin.ScopeFittings), limit.byToken, contract.check(http.MethodPost, "/v1/fittings"), h.withShop})...)
	page("/help", h.pages.Help)
	page("/identify", h.pages.Identify)
	keep := func(method, path string, page keeperPage, more ...echo.MiddlewareFunc) {
		add(method, path, h.keeping(theCatalogue, page), append([]echo.MiddlewareFunc{ownForm}, more...)...)
	}
	shelf := func(method, path string, page keeperPage, limit echo.MiddlewareFunc) {
		add(method, path, h.keeping(theStock, page), ownForm, limit)
	}
	shelf(http.MethodGet, "/shelf", h.pages.Shelf, question)
	shelf(http.MethodPost, "/shelf/line", h.pages.ChangeLine, change)
	shelf(http.MethodPost, "/shelf/hold", h.pages.ChangeHold, change)
	keep(http.MethodGet, "/import", h.pages.Import, question)
	keep(http.MethodPost, "/import", h.pages.AddImport, contract.patiently)
	keep(http.MethodGet, "/import/upload", h.pages.Upload, question)
	keep(http.MethodGet, "/import/findings", h.pages.Findings, question)
	keep(http.MethodGet, "/import/mapping", h.pages.Mapping, question)
	keep(http.MethodPost, "/import/mapping", h.pages.Remap, change)
	keep(http.MethodPost, "/import/take", h.pages.TakeUpload, change)
	keep(http.MethodPost, "/import/undo", h.pages.UndoUpload, change)
	document(pages.LanguagePath, h.chooseLanguage)
	document("/static/*", show(h.pages.Static))
	document(signInPath, h.showSignIn)
	add(http.MethodPost, signInPath, h.signIn, ownForm)
	add(http.MethodPost, "/sign-out", h.signOut, ownForm)
	return nil
}

// timed puts a limit of time before everything else that a request goes through.
func timed(limit echo.MiddlewareFunc, through []echo.MiddlewareFunc) []echo.MiddlewareFunc {
	return append([]echo.MiddlewareFunc{limit}, through...)
}
