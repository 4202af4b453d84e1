package standin

import "testing"

func TestSentence(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]string{
		"": "", "a plug": "A plug.", "Isolate!": "Isolate!", "10 ways": "10 ways.", "ärger": "ärger.",
	} {
		if got := Sentence(text); got != want {
			t.Errorf("%q is told as %q, want %q", text, got, want)
		}
	}
}

func TestBuildNames(t *testing.T) {
	t.Parallel()
	for want, labels := range map[string][]string{
		"no build": nil, "every build": {""}, "build b1": {"b1"}, "builds b1 and b2": {"b1", "b2"}, "builds b1, b2 and b3": {"b1", "b2", "b3"},
	} {
		if got := BuildNames(labels); got != want {
			t.Errorf("%q are told as %q, want %q", labels, got, want)
		}
	}
}

func TestFigure(t *testing.T) {
	t.Parallel()
	for n, want := range map[float64]string{0: "0", 8: "8", 100: "100", 25.19: "25.19", 0.126: "0.13", 12.5: "12.5", 0.001: "0"} {
		if got := Figure(n); got != want {
			t.Errorf("%v is told as %s, want %s", n, got, want)
		}
	}
}
