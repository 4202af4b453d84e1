package api_test

import (
	"regexp"
	"testing"

	"github.com/google/go-cmp/cmp"

	"standin"
)

// RFC 8288, 3: <URI-Reference>; rel="next".
var nextLink = regexp.MustCompile(`^<([^<>]+)>; rel="next"$`)

// walk is every page of a list, by its Link headers: the first row of each page.
func walk(t *testing.T, c standin.Catalogue, target, first string) []string {
	t.Helper()
	handler := newAPI(t, c)
	var rows []string
	for range 10 {
		page := get(t, handler, target)
		if page.Code != 200 {
			t.Fatalf("%s: status %d: %s", target, page.Code, page.Body)
		}
		rows = append(rows, page.at(first))
		link := page.Header().Get("Link")
		if link == "" {
			return rows
		}
		found := nextLink.FindStringSubmatch(link)
		if found == nil {
			t.Fatalf("Link is %q", link)
		}
		target = found[1]
	}
	t.Fatal("the pages do not end")
	return nil
}

func TestPagesOfFamilies(t *testing.T) {
	t.Parallel()
	got := walk(t, newCatalogue(), "/v1/families?limit=1", "families.0.family")
	if diff := cmp.Diff([]string{`"Curlew"`, `"Dunlin"`, `"Grebe"`}, got); diff != "" {
		t.Errorf("pages (-want +got):\n%s", diff)
	}
	if got := walk(t, newCatalogue(), "/v1/families?limit=3", "families.1.family"); len(got) != 1 {
		t.Errorf("a page that holds all of them has a next one: %v", got)
	}
}

// A page looks at limit models; one whose models are all ruled out is empty and
// has a next page all the same.
func TestPagesOfModelsOfABoard(t *testing.T) {
	t.Parallel()
	c := newCatalogue()
	other := *c.dossiers[0]
	other.Asked = standin.ModelKey{Brand: "Wexcombe", Model: "DW 400", Variant: "a&b"}
	other.Model.ModelKey, other.Model.ID = other.Asked, 4
	other.Configurations = nil // so the board has no code for it
	c.dossiers = append(c.dossiers, &other)
	got := walk(t, c, "/v1/boards/70-1001/models?limit=1", "models.0.model")
	if diff := cmp.Diff([]string{"absent", `"DW 410"`}, got); diff != "" {
		t.Errorf("pages (-want +got):\n%s", diff)
	}
}
