package page

import (
	"context"
	"errors"
	"log/slog"
	"net/http"
	"slices"
	"strings"
	"time"

	"standin"
)

// Config is what New needs.
type Config struct {
	Catalogue standin.Catalogue
	Log       *slog.Logger // nil: nothing is logged
	Version   string       // of the program
	Bench     bool         // whether there is a bench page to lead to
	Sheet     bool         // whether there is a job sheet to lead to
	SignIn    bool         // whether reading needs a token

	Intake standin.Intake // where bundles are sent to; nil: nowhere
	Shop   standin.Shop   // what happens to stock; nil: nothing
	Base   string         // the path that the pages are below, without a slash at its end; empty: the root

	// Answered, where not nil, is called with the outcome of each question and how
	// long it took.
	Answered func(standin.Result, time.Duration)
}

// Pages are the pages, a method each.
type Pages struct {
	config Config
	log    *slog.Logger
	rebase *strings.Replacer // puts the links of a page below its base; nil: there is none
}

// New is the pages over a catalogue. The error says what is wrong with the
// configuration.
func New(config Config) (*Pages, error) {
	if config.Catalogue == nil {
		return nil, errors.New("page: no catalogue to answer from")
	}
	log := config.Log
	if log == nil {
		log = slog.New(slog.DiscardHandler)
	}
	return &Pages{config: config, log: log, rebase: rebaser(config.Base)}, nil
}

// ask is the question of a page about one machine.
func (p *Pages) ask(ctx context.Context, m standin.Machine) ([]standin.Result, error) {
	began := time.Now()
	results, err := standin.Ask(ctx, p.config.Catalogue, []standin.Machine{m})
	if err == nil && p.config.Answered != nil {
		p.config.Answered(results[0], time.Since(began))
	}
	return results, err
}

// base is what every page shows around its own content; the data of each page
// embeds it.
type base struct {
	Title    string   // of the document, before the program's name
	Typed    string   // what stands in the field
	Location string   // where stock is wanted; every link keeps it
	Places   []string // that may be chosen from
	Focus    bool     // whether the field has the focus at once
	Version  string   // of the program
	SignIn   bool     // whether to lead to the page that asks for a token
	Intake   bool     // whether to lead to where bundles are sent to
}

// base begins the data of a page about stock.
func (p *Pages) base(r *http.Request, title, location string) base {
	made := p.bare(title, location)
	made.Places = p.places(r, location)
	return made
}

// places are the locations that may be chosen from, the one that was chosen among them.
// Where they cannot be had, that is all there is to choose.
func (p *Pages) places(r *http.Request, chosen string) []string {
	places, err := p.config.Catalogue.Locations(r.Context())
	if err != nil {
		p.log.WarnContext(r.Context(), "the places of stock are not known", "error", err)
	}
	if chosen != "" && !slices.Contains(places, chosen) {
		places = append(slices.Clone(places), chosen)
	}
	return places
}

// bare begins the data of a page for which no question is put to the catalogue.
func (p *Pages) bare(title, location string) base {
	made := base{Title: title, Location: location, Version: p.config.Version, SignIn: p.config.SignIn, Intake: p.config.Intake != nil}
	if location != "" {
		made.Places = []string{location}
	}
	return made
}
