package sheet_test

import (
	"strings"
	"testing"

	"standin/api/locale"
	"standin/api/sheet"
)

// A sheet in German has the figures, numbers, names and steps of the English one, and
// every sentence of the program's own in German.
func TestSheetInGerman(t *testing.T) {
	t.Parallel()
	s := sample(t)
	s.Language = locale.German
	pdf := printed(t, s)
	text := textOf(t, pdf)
	j := s.Job
	wanted := []string{
		j.Answer.Machine.ModelKey.String(), "Platine " + j.Board.PartNumber + " Revision " + j.Board.Revision, j.Board.Title, "Katalogversion",
		"Vor dem Einbau: freigeschaltet, gesichert, Spannungsfreiheit festgestellt", "25.2 bis 29.4 Ω", "Zeichen 1: 7 SPANNUNG Turn the dial to number 1",
		"5 s halten.", "● an ○ aus ◐ blinkt", "CN4 ⇄ verwechselbar mit Stecker CN5 und Steckplatz CN5: inlet inlet-n",
		"Höchstens 0.3 Ω bis 5 m Leitung bis 1.5 mm²", "Isolationswiderstand, Schutzklasse I.", "Mindestens 0.3 MΩ",
		"aus dem Gedächtnis angegeben: mit der Norm vergleichen", "Vor dem Ablesen hier umknicken. Erwartetes Prüfmuster:",
		"1 Prewash an 2 Wash aus 3 Rinse blinkt 4 Dry beliebig", "stimmt stimmt nicht",
		"Bis zu 1 falsch abgelesener Punkt würde bemerkt.", "SPANNUNG: Das Gerät ist beim Einstellen", "Seriennummer Datum Name Unterschrift", "Seite 1 von 2",
		"EN 50678:2020 (VDE 0701)", "örtliche Vorschriften und Angaben des Herstellers gehen vor",
	}
	for _, caution := range j.Answer.Cautions {
		said := locale.German.Say(caution)
		if said == caution {
			t.Errorf("not in German: %s", caution)
		}
		wanted = append(wanted, said)
	}
	for _, c := range j.Answer.BeforeFitting {
		wanted = append(wanted, c.Circuit, locale.German.Say(c.Brief), locale.German.Say(c.Source))
	}
	for _, step := range j.Procedure.Steps {
		wanted = append(wanted, step.Do, step.Expect)
	}
	if missing := lacks(text, wanted...); len(missing) > 0 {
		t.Errorf("not printed: %q\nin %s", missing, text)
	}
	for _, english := range []string{"Check ", "recorded", " lit ", "unlit", "Expect:", "page ", "Fold", "tally", " class ", "Signature", "Limits", "LIVE"} {
		if strings.Contains(text, english) {
			t.Errorf("%q is printed in English", english)
		}
	}
	if faults := overflows(pagesOf(t, pdf)); len(faults) > 0 {
		t.Error(faults)
	}
}

func TestLabelInGerman(t *testing.T) {
	t.Parallel()
	j := sample(t).Job
	text := textOf(t, printed(t, &sheet.Label{Job: j, Language: locale.German}))
	if missing := lacks(text, j.Board.PartNumber+" Revision "+j.Board.Revision, "Eingestellt für "+j.Answer.Machine.ModelKey.String(), "Muss zeigen", "Prewash an",
		"nachgewiesen", "Code "+strings.Join(j.Code, " ")); len(missing) > 0 {
		t.Errorf("not printed: %q\nin %s", missing, text)
	}
}
