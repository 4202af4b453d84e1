package api_test

import (
	"context"
	"errors"
	"fmt"
	"net/http/httptest"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"testing/synctest"

	"standin"
)

// keptWaiting is a catalogue that answers when it is let go.
type keptWaiting struct {
	*catalogue
	release chan struct{}
}

func (h keptWaiting) Dossiers(ctx context.Context, machines []standin.Machine) ([]*standin.Dossier, error) {
	<-h.release
	return h.catalogue.Dossiers(ctx, machines)
}

// Four batches are answered at once; the one after them is refused when it has
// waited for a while, and single questions are answered as ever.
func TestBatchesAreBounded(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		store := keptWaiting{newCatalogue(), make(chan struct{})}
		handler := newAPI(t, store)
		batch := call{method: "POST", target: "/v1/fits", body: machines(2)}
		var taken sync.WaitGroup
		var answered atomic.Int32
		for range 4 {
			taken.Go(func() {
				if got := batch.do(t, handler); got.Code == 200 && got.at("answers.length") == "2" {
					answered.Add(1)
				}
			})
		}
		synctest.Wait()
		refused := batch.do(t, handler)
		if p := problem(t, refused); refused.Code != 503 || p.Type != "/problems/busy" || refused.Header().Get("Retry-After") == "" {
			t.Errorf("the fifth: status %d, %s", refused.Code, refused.Body)
		}
		close(store.release)
		taken.Wait()
		if n := answered.Load(); n != 4 {
			t.Errorf("%d of 4 batches were answered", n)
		}
		if got := batch.do(t, handler); got.Code != 200 {
			t.Errorf("a batch after them: status %d", got.Code)
		}
	})
}

// slowReader is a client that takes nothing until it is let go.
type slowReader struct {
	*httptest.ResponseRecorder
	release chan struct{}
}

func (s slowReader) Write(text []byte) (int, error) {
	<-s.release
	return s.ResponseRecorder.Write(text)
}

// Clients that read slowly keep no other batch from being worked on. With more than
// four processors there would be a turn left for it anyway.
func TestSlowReadersOfBatches(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		handler := unchecked(t, newCatalogue()) // what holds the contract reads all of it first
		batch := call{method: "POST", target: "/v1/fits", body: machines(30)}
		release := make(chan struct{})
		var slow sync.WaitGroup
		var readers []slowReader
		for range 3 {
			r := slowReader{httptest.NewRecorder(), release}
			readers = append(readers, r)
			slow.Go(func() { handler.ServeHTTP(r, batch.request()) })
		}
		synctest.Wait()
		if got := batch.do(t, handler); got.Code != 200 || got.at("answers.length") != "30" {
			t.Errorf("beside slow readers: status %d, %s answers", got.Code, got.at("answers.length"))
		}
		close(release)
		slow.Wait()
		for _, r := range readers {
			if r.Code != 200 || !strings.HasSuffix(r.Body.String(), "]}\n") {
				t.Errorf("a slow reader got status %d and %d bytes", r.Code, r.Body.Len())
			}
		}
	})
}

// failing is a catalogue with fittings that can be counted so many times.
type failing struct {
	*catalogue
	counts atomic.Int32
}

func (f *failing) Dossiers(ctx context.Context, machines []standin.Machine) ([]*standin.Dossier, error) {
	dossiers, err := f.catalogue.Dossiers(ctx, machines)
	for _, d := range dossiers {
		d.Fitted = true
	}
	return dossiers, err
}

func (f *failing) FittingCounts(context.Context, []standin.FittingKey) (map[standin.FittingKey]standin.FittingCounts, error) {
	if f.counts.Add(-1) < 0 {
		return nil, &standin.Error{Code: standin.CodeUnavailable, Message: "the database is away"}
	}
	return nil, nil
}

// What goes wrong after some answers are sent is the problem of the machines that
// are left; before, of the whole question.
func TestBatchThatFailsHalfWay(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ counts, status int }{{0, 503}, {1, 200}} {
		store := &failing{catalogue: newCatalogue()}
		store.counts.Store(int32(c.counts))
		got := call{method: "POST", target: "/v1/fits", body: machines(30)}.do(t, newAPI(t, store))
		if got.Code != c.status {
			t.Fatalf("with %d counts: status %d", c.counts, got.Code)
		}
		if c.status == 200 && (got.at("answers.length") != "30" || got.at("answers.0.kind") != `"answer"` ||
			got.at("answers.29.kind") != `"problem"` || got.at("answers.29.type") != `"/problems/unavailable"`) {
			t.Errorf("with %d counts: %s answers, the last %s", c.counts, got.at("answers.length"), got.at("answers.29.type"))
		}
	}
}

// leaving is a catalogue whose client leaves while it is asked.
type leaving struct {
	*catalogue
	leave context.CancelFunc
	found int // texts that models were looked up for
}

func (l *leaving) Dossiers(ctx context.Context, machines []standin.Machine) ([]*standin.Dossier, error) {
	if l.leave != nil {
		l.leave()
	}
	return l.catalogue.Dossiers(ctx, machines)
}

func (l *leaving) FindModelsOfEach(ctx context.Context, typed []string, limit int) ([][]standin.ModelMatch, error) {
	l.found += len(typed)
	return l.catalogue.FindModelsOfEach(ctx, typed, limit)
}

func TestNothingIsDecidedForAClientThatLeft(t *testing.T) {
	t.Parallel()
	ctx, cancel := context.WithCancel(t.Context())
	store := &leaving{catalogue: newCatalogue(), leave: cancel}
	decided := 0
	machines := slices.Repeat([]standin.Machine{{ModelKey: standin.ModelKey{Brand: "Wexcombe", Model: "DW 410"}}}, 100)
	for result := range standin.AskEach(ctx, store, machines) {
		if result.Answer != nil {
			decided++
		}
	}
	if decided != 0 {
		t.Errorf("%d answers were made", decided)
	}
	ctx, cancel = context.WithCancel(t.Context())
	defer cancel()
	var last error
	for _, err := range standin.AskEach(ctx, &leaving{catalogue: newCatalogue(), leave: cancel}, machines) {
		last = err
	}
	if e := new(standin.Error); !errors.As(last, &e) || e.Code != standin.CodeUnavailable || !errors.Is(last, context.Canceled) {
		t.Errorf("the last error is %v", last)
	}
}

// A list from another catalogue does not cost a search for each of its models.
func TestNearestModelsOfABatchAreBounded(t *testing.T) {
	t.Parallel()
	store := &leaving{catalogue: newCatalogue()}
	var all []string
	for i := range 30 {
		all = append(all, fmt.Sprintf(`{"brand":"Wexcombe","model":"DW 41%d"},{"brand":"Wexcombe","model":"DW 41%d"}`, i+1, i+1))
	}
	got := call{method: "POST", target: "/v1/fits", body: `{"machines":[` + strings.Join(all, ",") + `]}`}.do(t, newAPI(t, store))
	if store.found != 20 {
		t.Errorf("the models nearest to %d texts were looked up, want 20", store.found)
	}
	if got.at("answers.0.candidates.0.model") != `"DW 410"` || got.at("answers.1.candidates.0.model") != `"DW 410"` {
		t.Errorf("the first: %s, %s", got.at("answers.0"), got.at("answers.1"))
	}
	if last := got.at("answers.59.detail"); got.at("answers.59.candidates") != "[]" || !strings.Contains(last, "ask for it alone") {
		t.Errorf("the last: %s", got.at("answers.59"))
	}
}
