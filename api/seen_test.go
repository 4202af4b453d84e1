package api_test

import (
	"context"
	"net/http"
	"testing"

	"standin"
)

// replicated is a catalogue on several servers, which notes what askers have seen.
type replicated struct {
	*catalogue
	asked standin.State
}

func (r *replicated) Seen() standin.State { return standin.State{Catalogue: 41, Stock: 1207} }

func (r *replicated) Dossiers(ctx context.Context, machines []standin.Machine) ([]*standin.Dossier, error) {
	r.asked = standin.SeenIn(ctx)
	return r.catalogue.Dossiers(ctx, machines)
}

// What a client has seen reaches the catalogue, and an answer says what it is from.
// A header that cannot be read is refused: without it an answer might be older than
// what the client has seen.
func TestSeen(t *testing.T) {
	t.Parallel()
	const question = "/v1/fits?brand=Wexcombe&model=DW+410"
	for sent, want := range map[string]struct {
		status int
		asked  standin.State
	}{
		"":         {http.StatusOK, standin.State{}},
		"40.1300":  {http.StatusOK, standin.State{Catalogue: 40, Stock: 1300}},
		"40":       {http.StatusBadRequest, standin.State{}},
		"40.x":     {http.StatusBadRequest, standin.State{}},
		"-1.4":     {http.StatusBadRequest, standin.State{}},
		"40.1 300": {http.StatusBadRequest, standin.State{}},
	} {
		c := &replicated{catalogue: newCatalogue()}
		ask := call{target: question}
		if sent != "" {
			ask.header = []string{"Standin-Seen", sent}
		}
		got := ask.do(t, newAPI(t, c))
		if got.Code != want.status || c.asked != want.asked {
			t.Errorf("%q: status %d, %+v was asked for: %s", sent, got.Code, c.asked, got.Body)
		}
		if said := got.Header().Get("Standin-Seen"); said != "41.1207" {
			t.Errorf("%q: the answer is of %q", sent, said)
		}
	}
	alone := call{target: question}.do(t, newAPI(t, newCatalogue()))
	if _, there := alone.Header()["Standin-Seen"]; there {
		t.Error("a catalogue on one server has nothing to say of what was seen")
	}
}
