package standin

// Measured is something whose figures whoever runs the service may watch. It is
// safe for concurrent use.
type Measured interface {
	// Measures are the figures as they are now. Which there are, and the labels of
	// each, never depend on what was asked.
	Measures() []Measure
}

// Measure is one figure of something under way.
type Measure struct {
	Name   string // in snake case, with its unit: pool_wait_seconds_total
	Help   string // one sentence
	Labels []Label
	Sum    bool // it only grows, as a number of events does
	Value  float64
}

// Label tells measures of one name apart.
type Label struct{ Name, Value string }
