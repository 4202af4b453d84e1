package page_test

import (
	"context"
	"net/http"
	"strings"
	"sync/atomic"
	"testing"

	"standin"
)

// switched is a catalogue whose database can go away.
type switched struct {
	standin.Catalogue
	away atomic.Bool
}

func (s *switched) gone() error {
	if s.away.Load() {
		return &standin.Error{Code: standin.CodeUnavailable, Message: "the database does not answer"}
	}
	return nil
}

func (s *switched) Dossiers(ctx context.Context, m []standin.Machine) ([]*standin.Dossier, error) {
	if err := s.gone(); err != nil {
		return nil, err
	}
	return s.Catalogue.Dossiers(ctx, m)
}

func (s *switched) FindModels(ctx context.Context, typed string, limit int) ([]standin.ModelMatch, error) {
	if err := s.gone(); err != nil {
		return nil, err
	}
	return s.Catalogue.FindModels(ctx, typed, limit)
}

func (s *switched) FindBoards(ctx context.Context, typed string, limit int) ([]standin.BoardMatch, error) {
	if err := s.gone(); err != nil {
		return nil, err
	}
	return s.Catalogue.FindBoards(ctx, typed, limit)
}

func (s *switched) BoardOf(ctx context.Context, part string) (*standin.BoardRecord, error) {
	if err := s.gone(); err != nil {
		return nil, err
	}
	return s.Catalogue.BoardOf(ctx, part)
}

func TestDatabaseAway(t *testing.T) {
	t.Parallel()
	store := &switched{Catalogue: demoStore(t)}
	store.away.Store(true)
	handler := over(t, store)
	for _, address := range []string{"/?q=vask", "/suggest?q=vask", "/fits?brand=Fenlask&model=Vask+690", "/board?part_number=ZQ-PA-118"} {
		page := get(t, handler, address)
		if page.Code != http.StatusServiceUnavailable || page.Header().Get("Retry-After") == "" {
			t.Errorf("%s: status %d, headers %v", address, page.Code, page.Header())
		}
		if page.text("h1") != "The database is away" || !strings.Contains(page.text("main"), "The database does not answer.") {
			t.Errorf("%s says\n%s", address, page.text("main"))
		}
		if got := valueOf(page.one("main a.press"), "href"); got != address {
			t.Errorf("trying again leads to %s, want %s", got, address)
		}
	}
	if page := get(t, handler, "/"); page.Code != http.StatusOK {
		t.Errorf("the counter itself has status %d", page.Code)
	}
}

func TestFaults(t *testing.T) {
	t.Parallel()
	handler := over(t, demoStore(t))
	tests := []struct {
		name, address string
		status        int
		says          string
		link          string // one that must be there; empty: none need be
	}{
		{"an unknown model keeps the evidence", "/fits?brand=Fenlask&model=Vesk+690&made=2005&location=front", 404,
			"No model Fenlask Vesk 690 is recorded", "/fits?brand=Fenlask&model=Vask+690&made=2005&location=front"},
		{"an unknown model, misread", "/fits?brand=FenIask&model=Va5k+69O", 404, "Did you mean", "/fits?brand=Fenlask&model=Vask+690"},
		{"a misspelt parameter", "/fits?brand=Fenlask&model=Vask+690&serail=5", 400, "this page takes no \"serail\"; it takes brand, model", "/fits?brand=Fenlask&model=Vask+690"},
		{"a parameter twice", "/fits?brand=Fenlask&model=Vask+690&made=1&made=2", 400, "made is given 2 times; give it once.", "/fits?brand=Fenlask&model=Vask+690"},
		{"a date in another form", "/fits?brand=Fenlask&model=Vask+690&made=12.3.2005", 400, "\"12.3.2005\" is not a date; write it as 2004", ""},
		{"ways that are none", "/fits?brand=Fenlask&model=Vask+690&plug=ten", 400, "\"ten\" is not a number of ways", ""},
		{"no model", "/fits?brand=Fenlask", 400, "Model is empty; give it as on the rating plate.", ""},
		{"all is neither", "/fits?brand=Fenlask&model=Vask+690&all=yes", 400, "all is \"yes\"; it may be true or false", "/fits?brand=Fenlask&model=Vask+690"},
		{"an unknown board", "/board?part_number=NO-SUCH", 404, "NO-SUCH", ""},
		{"no board", "/board", 400, "no part number is given", ""},
		{"characters no label shows", "/?q=%00", 400, "q has characters that no label shows", "/"},
		{"not text", "/?q=%ff", 400, "q has characters that no label shows", "/"},
		{"a broken address", "/?q=%", 400, "write a % in a value as %25", ""},
		{"too long", "/?q=" + strings.Repeat("x", 201), 400, "q is longer than 200 characters", "/"},
		{"no page", "/nothing", 404, "There is no page at this address", ""},
		{"no file", "/static/nothing.css", 404, "There is no page at this address", ""},
		{"a file above", "/static/../page.go", 404, "There is no page at this address", ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			page := get(t, handler, tt.address)
			if page.Code != tt.status {
				t.Errorf("status %d, want %d", page.Code, tt.status)
			}
			if got := strings.ToLower(page.text("main")); !strings.Contains(got, strings.ToLower(tt.says)) {
				t.Errorf("it does not say %q:\n%s", tt.says, page.text("main"))
			}
			if tt.link != "" && len(page.all(`main a[href=`+tt.link+`]`)) == 0 {
				t.Errorf("no link to %s in\n%s", tt.link, page.Body)
			}
		})
	}
}

// A program is told in its own way that there is nothing at an address.
func TestNotFoundForPrograms(t *testing.T) {
	t.Parallel()
	handler := over(t, demoStore(t))
	if got := get(t, handler, "/v1/nothing").Header().Get("Content-Type"); got != "application/problem+json" {
		t.Errorf("/v1/nothing comes as %q", got)
	}
}
