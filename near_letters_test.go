package standin_test

import (
	"testing"

	"standin"
)

// Unicode UTS #39 (confusables): the Cyrillic А, В, С, о and the Greek Β look like Latin
// letters; the Cyrillic П and л do not.
func TestInLatin(t *testing.T) {
	t.Parallel()
	for word, want := range map[string]string{
		"MB-200": "MB-200", "Größe": "Größe", "MВ-200": "MB-200", "MΒ-200": "MB-200", "СН1": "CH1", "dооr": "door",
		"А": "A", "Плата": "Плата", "насос": "насос", "СРОК": "СРОК", "Пл-200": "Пл-200", "": "",
	} {
		if got := standin.InLatin(word); got != want {
			t.Errorf("InLatin(%s) = %s, want %s", word, got, want)
		}
	}
}
