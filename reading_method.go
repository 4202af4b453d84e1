package standin

// methodWords are how people speak of what is configured by a method.
type methodWords struct {
	place   string // with its number
	entered string // what was done, as a participle
	inOrder bool   // what is entered is entered one after the other
	onBoard bool   // each place is a part of the board with a name of its own
}

var wordsOfMethods = map[Method]methodWords{
	MethodSelector:    {"place", "entered", true, false},
	MethodSwitches:    {"switch", "set", false, true},
	MethodJumpers:     {"jumper", "set", false, true},
	MethodResistor:    {"resistor", "fitted", false, true},
	MethodChip:        {"place", "written", false, false},
	MethodTool:        {"place", "entered", true, false},
	MethodContactless: {"place", "entered", true, false},
}

func (m Method) words() methodWords {
	if w, ok := wordsOfMethods[m]; ok {
		return w
	}
	return wordsOfMethods[MethodSelector]
}

// Place is how a place of a code, from 1, of so many is said: "place 3",
// "switch 3". A resistor that is the only one has no number.
func (m Method) Place(n, of int) string {
	if m == MethodResistor && of == 1 {
		return m.words().place
	}
	return m.words().place + " " + whole(n)
}

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
