package api_test

import (
	"net/http"
	"strings"
	"testing"

	"standin/api/locale"
)

// A language that was chosen is kept by the browser and goes before what it asks for.
func TestLanguageIsChosen(t *testing.T) {
	t.Parallel()
	handler := unchecked(t, newCatalogue())
	english := get(t, handler, "/fits?brand=Wexcombe&model=DW+410")
	if !strings.Contains(english.Body.String(), `<html lang="en">`) || english.Header().Get("Content-Language") != "en" {
		t.Errorf("headers %v", english.Header())
	}
	const to = "/language?to=de&amp;at=%2Ffits%3Fbrand%3DWexcombe%26model%3DDW%2B410"
	if !strings.Contains(english.Body.String(), `<a lang="de" hreflang="de" href="`+to+`">Deutsch</a>`) {
		t.Errorf("no link to %s", to)
	}
	chosen := get(t, handler, strings.ReplaceAll(to, "&amp;", "&"))
	if chosen.Code != http.StatusSeeOther || chosen.Header().Get("Location") != "/fits?brand=Wexcombe&model=DW+410" {
		t.Errorf("status %d, to %q", chosen.Code, chosen.Header().Get("Location"))
	}
	cookie, _, _ := strings.Cut(chosen.Header().Get("Set-Cookie"), ";")
	german := call{target: "/fits?brand=Wexcombe&model=DW+410", header: []string{"Cookie", cookie, "Accept-Language", "en"}}.do(t, handler)
	if !strings.Contains(german.Body.String(), `<html lang="de">`) || german.Header().Get("Content-Language") != "de" ||
		!strings.Contains(strings.Join(german.Header().Values("Vary"), ","), locale.Vary) {
		t.Errorf("headers %v", german.Header())
	}
	for target, want := range map[string]int{"/language?to=tlh": http.StatusBadRequest, "/language": http.StatusBadRequest, "/language?to=en": http.StatusSeeOther} {
		if got := get(t, handler, target); got.Code != want {
			t.Errorf("%s: status %d, want %d", target, got.Code, want)
		}
	}
	if got := get(t, handler, "/language?to=de&at=//elsewhere.example/"); got.Header().Get("Location") != "/" {
		t.Errorf("it leads to %q", got.Header().Get("Location"))
	}
}

// What is printed in one language does not stand for the other.
func TestPrintedInLanguages(t *testing.T) {
	t.Parallel()
	handler := newAPI(t, newCatalogue())
	for _, path := range []string{"/v1/sheets.pdf?", "/v1/labels.pdf?"} {
		english := get(t, handler, path+chosen)
		tag := english.Header().Get("ETag")
		german := call{target: path + chosen, header: []string{"Accept-Language", "de", "If-None-Match", tag}}.do(t, handler)
		if german.Code != http.StatusOK || german.Header().Get("ETag") == tag || german.Header().Get("Content-Language") != "de" ||
			german.Body.String() == english.Body.String() {
			t.Errorf("%s: status %d, headers %v", path, german.Code, german.Header())
		}
		if again := (call{target: path + chosen, header: []string{"Accept-Language", "de", "If-None-Match", german.Header().Get("ETag")}}).do(t, handler); again.Code != http.StatusNotModified {
			t.Errorf("%s: status %d", path, again.Code)
		}
	}
}

// The API answers in English, whatever a browser asks for.
func TestAnswersAreEnglish(t *testing.T) {
	t.Parallel()
	handler := newAPI(t, newCatalogue())
	for _, target := range []string{"/v1/fits?brand=Wexcombe&model=DW+410", "/v1/fits?brand=Wexcombe&model=No", "/v1/boards/none"} {
		english := get(t, handler, target)
		german := call{target: target, header: []string{"Accept-Language", "de", "Cookie", locale.Cookie + "=de"}}.do(t, handler)
		if german.Body.String() != english.Body.String() || german.Header().Get("ETag") != english.Header().Get("ETag") {
			t.Errorf("%s: %s\nwant %s", target, german.Body, english.Body)
		}
	}
}
