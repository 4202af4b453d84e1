package standin

// Outcome is the result of one check. The zero Outcome is Unknown.
type Outcome uint8

// The outcomes. Unknown never becomes Pass.
const (
	Unknown Outcome = iota
	Pass
	Fail
)

// String is the word of the API: pass, fail or unknown.
func (o Outcome) String() string { return [...]string{"unknown", "pass", "fail"}[o] }

// Verdict is the answer for a candidate, over one build or all that are
// possible. The order is that of the answer, best first.
type Verdict uint8

// The verdicts.
const (
	Fits    Verdict = iota // every check passes
	Check                  // none fails, some are unknown
	Depends                // the builds differ
	No                     // a check fails
)

// String is the word of the API: fits, check, depends or no.
func (v Verdict) String() string { return [...]string{"fits", "check", "depends", "no"}[v] }

// Work is what must be done with a board before it is fitted.
type Work string

// The kinds of work; NoWork where the configuration check fails.
const (
	NoWork    Work = ""
	Fixed     Work = "fixed"
	AsPreset  Work = "preset"
	Configure Work = "configure"
)

// The names of the checks, in the order they are made.
const (
	CheckStop          = "stop"
	CheckConfiguration = "configuration"
	CheckOptions       = "options"
	CheckSupply        = "supply"
	CheckConnectors    = "connectors"
	CheckRatings       = "ratings"

	checkCount = 6
)

// CheckResult is one check of one revision for one build: its outcome and why, in a
// sentence that names the values compared.
type CheckResult struct {
	Check   string
	Outcome Outcome
	Reason  string
}

// Answer is what Fit says of one machine. Candidates holds every part looked
// at, in order; those with verdict No stand last.
type Answer struct {
	Machine          Machine
	TwinOf           *ModelKey // the model it was answered as, for a twin
	Model            Model
	CatalogueVersion int64
	Builds           []Build // still possible
	Contradiction    *Contradiction
	NotUsed          []NotUsed
	Questions        []Question // that would settle it, best first; only where answers differ
	Candidates       []Candidate
	BeforeFitting    []Precheck
	Cautions         []string
	Families         map[string]*Family    // of the candidates
	Procedures       map[string]*Procedure // of the candidates
}

// Contradiction names the smallest set of evidence that no build satisfies.
type Contradiction struct {
	Evidence []string // of made, serial, plug, old_part, in this order
	Reason   string
}

// NotUsed is a piece of evidence that could not be used, and why.
type NotUsed struct {
	Evidence string
	Reason   string
}

// Question is one that splits the builds still possible.
type Question struct {
	Kind    string // plug, old_part or made: the evidence it asks for
	Text    string
	Choices []Choice
}

// Choice is one answer to a question and the builds it leaves. Answer is the
// whole value to give as that evidence, with what was given of it before; empty
// where the choice is that none of the others holds.
type Choice struct {
	Answer string
	Text   string
	Builds []string
}

// Candidate is one board revision, judged over all possible builds.
type Candidate struct {
	PartNumber string
	Title      string
	Revision   string
	Issue      Maybe[int]
	Verdict    Verdict
	Distance   Maybe[int] // supersessions walked from a factory part; not known: there by its family or preset alone
	Stock      []StockLine
	Builds     []BuildAnswer
	Fittings   *FittingCounts // of it in machines of this model; nil: none is recorded, or Fit alone was asked
}

// StockLine is stock that counts for a candidate. Where the revision is not
// known its label must be read before it leaves the counter.
type StockLine struct {
	Location      string
	Condition     string
	Free          int
	RevisionKnown bool
}

// BuildAnswer is one revision judged for one build. Code and Pattern are set
// for Configure and empty otherwise; Adaptors are in alphabetical order.
type BuildAnswer struct {
	Build     string
	Verdict   Verdict
	Work      Work
	Family    string
	Procedure string // the name of the one to follow; empty: none recorded
	Code      []string
	Pattern   Pattern
	Adaptors  []string
	Checks    []CheckResult
	Swappable [][2]string // pairs of headers of the board that the same plug seats on
	Source    string
	// Trust is how far the pattern can be trusted. Fit leaves it nil, for it takes
	// the whole family to tell; Ask sets it where there is a pattern.
	Trust *Trust
}

// Precheck is a load to check before a board is fitted, with the machine
// isolated. Ohms are given for heating elements, amps for every load whose
// volts and watts are recorded.
type Precheck struct {
	Circuit  string
	Builds   []string // the possible builds it holds for
	Text     string
	OhmsLow  Maybe[float64]
	OhmsHigh Maybe[float64]
	Amps     Maybe[float64]
	Source   string
}
