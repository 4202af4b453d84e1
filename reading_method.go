package standin

// methodWords are how people speak of what is configured by a method.
type methodWords struct {
	place   string // with its number
	entered string // what was done, as a participle
	inOrder bool   // what is entered is entered one after the other
}

var wordsOfMethods = map[Method]methodWords{
	MethodSelector:    {"place", "entered", true},
	MethodSwitches:    {"switch", "set", false},
	MethodJumpers:     {"jumper", "set", false},
	MethodResistor:    {"resistor", "fitted", false},
	MethodChip:        {"place", "written", false},
	MethodTool:        {"place", "entered", true},
	MethodContactless: {"place", "entered", true},
}

func (m Method) words() methodWords {
	if w, ok := wordsOfMethods[m]; ok {
		return w
	}
	return wordsOfMethods[MethodSelector]
}

// Place is how a place of a code is said, from 1: "place 3", "switch 3".
func (m Method) Place(n int) string { return m.words().place + " " + whole(n) }

// places is how two places of a code are said: "places 2 and 3".
func (m Method) places(a, b int) string {
	word := m.words().place
	if word == "switch" {
		word += "e"
	}
	return word + "s " + whole(a) + " and " + whole(b)
}

// Entered is what has been done with a code: "entered", "set", "fitted".
func (m Method) Entered() string { return m.words().entered }
