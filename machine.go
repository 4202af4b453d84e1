package standin

// Machine is one individual appliance: its model, and what evidence there is of
// its build. Every field but the model is optional.
type Machine struct {
	ModelKey
	Made     Made
	Serial   string
	Plug     []int  // ways of connectors seen on the harness
	OldPart  string // part number or marking on the board that came out
	Location string // where stock is wanted
}

// Made is evidence of when a machine was made: what was typed, and the span of
// days it means. The zero Made is no evidence.
type Made struct {
	Text string
	Span Span
}
