// Package api answers over HTTP. It decodes a question into what the core asks,
// lets the core decide, and encodes the answer in the shape of the contract
// (package openapi). It knows the stores by their interfaces only.
package api

import (
	"errors"
	"fmt"
	"log/slog"
	"net/http"
	"strings"

	"github.com/labstack/echo/v4"

	"standin"
	pages "standin/api/page"
)

// Config is what New needs.
type Config struct {
	Catalogue standin.Catalogue
	Shop      standin.Shop    // nil: nothing of stock, holds and fittings can be asked or changed
	Tokens    standin.Tokens  // nil: no token counts
	Guarded   bool            // reading needs a token too
	Stopping  <-chan struct{} // closed when the service is to end: nobody is kept waiting for changes; nil: never
	Log       *slog.Logger    // nil: nothing is logged
	Version   string          // of the program
	PublicURL string          // at which phones reach the service, for what is printed; empty: that of each request
}

// handlers answer the calls of the contract, a file per resource.
type handlers struct {
	catalogue standin.Catalogue
	shop      standin.Shop   // nil: none
	tokens    standin.Tokens // nil: no token counts
	guarded   bool           // reading needs a token too
	stopping  <-chan struct{}
	log       *slog.Logger
	version   string
	publicURL string // without a slash at its end; empty: that of each request
	pages     *pages.Pages
}

// New is the API, its documentation and the pages as one handler. The error says what is
// wrong with the configuration or the contract.
func New(config Config) (http.Handler, error) {
	if config.Catalogue == nil {
		return nil, errors.New("api: no catalogue to answer from")
	}
	if config.Log == nil {
		config.Log = slog.New(slog.DiscardHandler)
	}
	if err := CheckPublicURL(config.PublicURL); err != nil {
		return nil, fmt.Errorf("api: the public URL: %w", err)
	}
	contract, err := loadContract()
	if err != nil {
		return nil, err
	}
	h := &handlers{catalogue: config.Catalogue, shop: config.Shop, tokens: config.Tokens, guarded: config.Guarded, stopping: config.Stopping, log: config.Log, version: config.Version,
		publicURL: strings.TrimRight(config.PublicURL, "/")}
	if h.pages, err = newPages(config); err != nil {
		return nil, err
	}
	e := echo.New()
	e.HTTPErrorHandler = h.sendError
	e.IPExtractor = echo.ExtractIPDirect() // X-Forwarded-For is anybody's word
	h.routes(e, contract)
	return e, nil
}
