package api_test

import (
	"bytes"
	"compress/gzip"
	"context"
	"io"
	"net/http"
	"testing"

	"standin"
)

// counting counts how often dossiers are loaded.
type counting struct {
	*catalogue
	loads int
}

func (c *counting) Dossiers(ctx context.Context, machines []standin.Machine) ([]*standin.Dossier, error) {
	c.loads++
	return c.catalogue.Dossiers(ctx, machines)
}

// A question asked again is answered as before without asking the store, until
// something changes.
func TestRepeatedQuestion(t *testing.T) {
	t.Parallel()
	c := &counting{catalogue: newCatalogue()}
	handler := newAPI(t, c)
	first := get(t, handler, cachedCall)
	again := get(t, handler, cachedCall)
	if c.loads != 1 {
		t.Fatalf("the store was asked %d times for one question", c.loads)
	}
	if first.Code != 200 || again.Code != 200 || !bytes.Equal(first.Body.Bytes(), again.Body.Bytes()) {
		t.Errorf("statuses %d and %d; the second answer is\n%s\nthe first\n%s", first.Code, again.Code, again.Body, first.Body)
	}
	for _, name := range []string{"ETag", "Content-Type", "Cache-Control", "Vary", "X-Content-Type-Options", "Content-Security-Policy"} {
		if a, b := first.Header().Get(name), again.Header().Get(name); a != b || a == "" {
			t.Errorf("%s is %q and then %q", name, a, b)
		}
	}
	if other := get(t, handler, cachedCall+"&plug=10"); c.loads != 2 || bytes.Equal(other.Body.Bytes(), first.Body.Bytes()) {
		t.Error("another question is answered out of memory")
	}
	c.state.Stock++
	get(t, handler, cachedCall)
	if c.loads != 3 {
		t.Error("a change of the stock is not seen")
	}
}

// The compressed answer says the same, whichever form was asked for first.
func TestRepeatedQuestionCompressed(t *testing.T) {
	t.Parallel()
	handler := unchecked(t, newCatalogue())
	plain := get(t, handler, cachedCall).Body.Bytes()
	for range 3 {
		got := call{target: cachedCall, header: []string{"Accept-Encoding", "gzip"}}.do(t, handler)
		if got.Header().Get("Content-Encoding") != "gzip" {
			t.Fatal("it is not compressed")
		}
		r, err := gzip.NewReader(got.Body)
		if err != nil {
			t.Fatal(err)
		}
		if text, err := io.ReadAll(r); err != nil || !bytes.Equal(text, plain) {
			t.Errorf("%v: compressed it says\n%s", err, text)
		}
	}
	if got := (call{method: http.MethodHead, target: cachedCall}).do(t, handler); got.Code != 200 || got.Body.Len() != 0 {
		t.Errorf("HEAD: status %d, %d bytes", got.Code, got.Body.Len())
	}
}
