package mapping

import (
	"slices"
	"testing"
)

var languages = []string{"de", "en", "es", "fr", "it", "nl", "pl"}

// Every role, qualifier and meaning has words in every language.
func TestWordsOfEveryLanguage(t *testing.T) {
	t.Parallel()
	file, err := readWords()
	if err != nil {
		t.Fatal(err)
	}
	check := func(what string, all byLanguage) {
		if got := sortedKeys(all); !slices.Equal(got, languages) {
			t.Errorf("%s has words of %v, want %v", what, got, languages)
		}
		for language, words := range all {
			for _, word := range words {
				if foldWords(word) == "" {
					t.Errorf("%s: %s has a word of no letters, %q", what, language, word)
				}
			}
		}
	}
	for name, all := range file.Headers {
		check(name, all)
	}
	for name, all := range file.Qualifiers {
		check(name, all)
	}
	for subject, meanings := range file.Cells {
		for name, all := range meanings {
			check(subject+" "+name, all)
		}
	}
}

// What a cell says means one thing of a subject, in whatever language.
func TestWordsMeanOneThing(t *testing.T) {
	t.Parallel()
	file, err := readWords()
	if err != nil {
		t.Fatal(err)
	}
	for subject, meanings := range file.Cells {
		means := map[string]string{}
		for _, name := range sortedKeys(meanings) {
			for _, word := range append(meanings[name].folded(), foldWords(name)) {
				if before, ok := means[word]; ok && before != name {
					t.Errorf("%s: %q means %s and %s", subject, word, before, name)
				}
				means[word] = name
			}
		}
	}
}

func TestFoldWords(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]string{
		"Gerätetyp": "geratetyp", "Geraetetyp": "geratetyp", "N° de série": "n de serie", "Größe (mm)": "grosse mm", "  Śruba/Łożysko ": "sruba lozysko",
		"cœur": "cour", "Wärme-Pumpe": "warme pumpe", "…": "",
	} {
		if got := foldWords(text); got != want {
			t.Errorf("foldWords(%q) = %q, want %q", text, got, want)
		}
	}
}

// What headers say, by themselves and under a caption.
func TestHeaderSays(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		own, above string
		want       role
	}{
		{"Hersteller", "", brandRole}, {"Herstelern", "", brandRole}, {"Gerätemarke", "", brandRole}, {"Fabr.", "", brandRole},
		{"Modelle", "", modelRole}, {"N° modèle", "", modelRole}, {"Baujahr ab", "", fromRole}, {"bis", "Bauzeit", toRole}, {"od", "Rok produkcji", fromRole},
		{"hasta", "Número de serie", serialToRole}, {"Serie ab", "", serialFromRole}, {"Alte Teilenummer", "", oldRole}, {"ersetzt durch", "", newRole},
		{"Ersatzteil-Nr.", "", partRole}, {"Numer części", "", partRole}, {"Código de recambio", "", partRole}, {"Code produit", "", variantRole},
		{"U [V]", "", voltsRole}, {"[kW]", "Heizleistung", wattsRole}, {"Weerstand min", "", ohmsLowRole}, {"Prijs", "", unusedRole},
		{"1", "Einstellcode", codeRole}, {"L1", "Kontrollleuchten", patternRole}, {"Zustand", "", conditionRole}, {"xyzzy", "", noRole},
	} {
		if got, score := bestRole(says(c.own, c.above)); got != c.want {
			t.Errorf("%q under %q names %s (%.2f), want %s", c.own, c.above, got, score, c.want)
		}
	}
}
