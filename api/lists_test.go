package api_test

import (
	"encoding/json"
	"net/http"
	"slices"
	"strings"
	"testing"
)

// every walks a list to its end and is what a field of its rows says.
func every(t testing.TB, handler http.Handler, target, list, field string) (values []string, pages int) {
	t.Helper()
	for target != "" {
		got := get(t, handler, target)
		if got.Code != http.StatusOK {
			t.Fatalf("%s: status %d: %s", target, got.Code, got.Body)
		}
		var body map[string][]map[string]any
		if err := json.Unmarshal(got.Body.Bytes(), &body); err != nil {
			t.Fatal(err)
		}
		for _, row := range body[list] {
			values = append(values, row[field].(string))
		}
		target = ""
		if link := nextLink.FindStringSubmatch(got.Header().Get("Link")); link != nil {
			target = link[1]
		}
		if pages++; pages > 100 {
			t.Fatalf("%s has no end", list)
		}
	}
	return values, pages
}

// Pages together are the list: in order, nothing twice, nothing left out, with the
// filters kept, whatever the size of a page.
func TestLists(t *testing.T) {
	t.Parallel()
	for name, store := range stores(t) {
		handler := newAPI(t, store)
		for _, c := range []struct {
			target, list, field string
			first, last         string
			count               int
		}{
			{"/v1/models", "models", "key", "Harrowden~HD.2041~UK", "Wexcombe~DW.20500", 19},
			{"/v1/models?brand=Ouse", "models", "key", "Ouse~WAA", "Ouse~WDD", 16},
			{"/v1/models?kind=dishwasher", "models", "key", "Wexcombe~DW.20410", "Wexcombe~DW.20410", 1},
			{"/v1/models?family=Grebe", "models", "key", "Ouse~WAA", "Ouse~WDD", 16},
			{"/v1/models?family=Grebe&brand=Wexcombe", "models", "key", "", "", 0},
			{"/v1/boards", "boards", "part_number", "70-1001", "70/2001 B", 3},
			{"/v1/boards?family=Curlew", "boards", "part_number", "70-1001", "70-1002", 2},
			{"/v1/boards?fixed=true", "boards", "part_number", "70/2001 B", "70/2001 B", 1},
			{"/v1/boards?q=THREE+plugs", "boards", "part_number", "70-1002", "70-1002", 1},
			{"/v1/boards?q=2001+b", "boards", "part_number", "70/2001 B", "70/2001 B", 1},
			{"/v1/boards?q=%25", "boards", "part_number", "", "", 0},
			{"/v1/adaptors", "adaptors", "part_number", "LM 5", "LM-7", 2},
			{"/v1/adaptors?takes=loom+in&gives=loom+out&q=another", "adaptors", "part_number", "LM-7", "LM-7", 1},
			{"/v1/adaptors?takes=loom+out", "adaptors", "part_number", "", "", 0},
		} {
			t.Run(name+c.target, func(t *testing.T) {
				t.Parallel()
				whole, _ := every(t, handler, c.target, c.list, c.field)
				if len(whole) != c.count || !slices.IsSorted(whole) || len(slices.Compact(slices.Clone(whole))) != c.count {
					t.Fatalf("%d rows, want %d: %q", len(whole), c.count, whole)
				}
				if c.count > 0 && (whole[0] != c.first || whole[c.count-1] != c.last) {
					t.Errorf("from %q to %q, want %q to %q", whole[0], whole[c.count-1], c.first, c.last)
				}
				joint := "?"
				if strings.Contains(c.target, "?") {
					joint = "&"
				}
				for _, limit := range []string{"1", "2", "7"} {
					if paged, _ := every(t, handler, c.target+joint+"limit="+limit, c.list, c.field); !slices.Equal(paged, whole) {
						t.Errorf("in pages of %s: %q", limit, paged)
					}
				}
				if _, pages := every(t, handler, c.target+joint+"limit=1", c.list, c.field); pages != max(1, c.count) {
					t.Errorf("%d pages of 1 for %d rows", pages, c.count)
				}
			})
		}
	}
}

// A model is found by its key as by its number, and the key is in every answer
// that names the model.
func TestModelByKey(t *testing.T) {
	t.Parallel()
	for name, store := range stores(t) {
		handler := newAPI(t, store)
		for _, key := range []string{"Wexcombe~DW.20410", "Harrowden~HD.2041~UK"} {
			byKey := get(t, handler, "/v1/models/"+key)
			byID := get(t, handler, "/v1/models/"+byKey.at("id"))
			if byKey.Code != http.StatusOK || byKey.Body.String() != byID.Body.String() || byKey.at("key") != `"`+key+`"` {
				t.Errorf("%s: %s by its key is %s, by its number %s", name, key, byKey.Body, byID.Body)
			}
		}
		if got := get(t, handler, "/v1/fits?brand=Harrowden&model=HD+41&variant=UK").at("model_key"); got != `"Wexcombe~DW.20410"` {
			t.Errorf("%s: the answer is as %s", name, got)
		}
		if got := get(t, handler, "/v1/boards/70-1002/models").at("models.0.key"); got != `"Wexcombe~DW.20410"` {
			t.Errorf("%s: the board's model is %s", name, got)
		}
	}
}
