// Package api answers over HTTP. It decodes a question into what the core asks,
// lets the core decide, and encodes the answer in the shape of the contract
// (package openapi). It knows the stores by their interfaces only.
package api

import (
	"log/slog"
	"net"
	"net/http"
	"time"

	"github.com/labstack/echo/v4"

	"standin"
	pages "standin/api/page"
)

// handlers answer the calls of the contract, a file per resource.
type handlers struct {
	catalogue standin.Catalogue
	shop      standin.Shop    // nil: none
	tokens    standin.Tokens  // nil: no token counts
	intake    standin.Intake  // nil: no bundle can be sent
	guarded   bool            // reading needs a token too
	stopping  <-chan struct{} // closed when the service is to end: nobody is kept waiting
	log       *slog.Logger
	version   string
	publicURL string // without a slash at its end; empty: that of each connection
	base      string // the path of publicURL, which every link begins with
	pages     *pages.Pages
	metrics   *metrics
	answers   *answers
	batches   *batches

	questionTime time.Duration // that one question may take
}

// Service is the API, its documentation and the pages as one handler.
type Service struct {
	http.Handler
	metrics *metrics
}

// Metrics shows what the service counts, for another address.
func (s *Service) Metrics() http.Handler { return s.metrics.handler() }

// New is the service. The error says what is wrong with the configuration or the
// contract.
func New(config Config) (*Service, error) {
	if err := config.check(); err != nil {
		return nil, err
	}
	contract, err := loadContract(config.Stopping)
	if err != nil {
		return nil, err
	}
	h := &handlers{
		catalogue: config.Catalogue, shop: config.Shop, tokens: config.Tokens, intake: config.Intake, guarded: config.Guarded, stopping: config.Stopping.Done(),
		log: slog.New(traceHandler{config.Log.Handler()}), version: config.Version,
		publicURL: config.PublicURL, base: basePath(config.PublicURL),
		metrics: newMetrics(config.Version, config.Measured), answers: newAnswers(), batches: newBatches(), questionTime: config.QuestionTime,
	}
	if h.pages, err = h.newPages(); err != nil {
		return nil, err
	}
	e := echo.New()
	e.HTTPErrorHandler = h.sendError
	e.IPExtractor = addressOf(config)
	if err := h.routes(e, contract, config); err != nil {
		return nil, err
	}
	return &Service{below(h.base, e), h.metrics}, nil
}

// addressOf finds a client's address: that of its connection, unless a trusted
// proxy says for whom it asks.
func addressOf(config Config) echo.IPExtractor {
	if len(config.TrustedProxies) == 0 {
		return echo.ExtractIPDirect()
	}
	trust := []echo.TrustOption{echo.TrustLoopback(false), echo.TrustLinkLocal(false), echo.TrustPrivateNet(false)}
	for _, p := range config.TrustedProxies {
		p = p.Masked()
		trust = append(trust, echo.TrustIPRange(&net.IPNet{IP: p.Addr().AsSlice(), Mask: net.CIDRMask(p.Bits(), p.Addr().BitLen())}))
	}
	return echo.ExtractIPFromXFFHeader(trust...)
}
