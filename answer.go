package standin

import "slices"

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
	State            State    // that it was made in
	Builds           []Build  // still possible
	Recorded         []Build  // every build of the model, in order of time
	Positions        []string // of the model, where it has several
	Contradiction    *Contradiction
	NotUsed          []NotUsed
	Questions        []Question // that would settle it, best first; only where answers differ
	Candidates       []Candidate
	BeforeFitting    []Precheck
	Heating          Heating
	Cautions         []string
	Families         map[string]*Family    // of the candidates
	Procedures       map[string]*Procedure // of the candidates
	Adaptors         map[string]*Adaptor   // that candidates take, by part number
}

// Contradiction names the smallest set of evidence that no build satisfies.
type Contradiction struct {
	Evidence []string // of made, serial, plug, old_part, position, in this order
	Reason   string
	Hint     string // what would resolve it; empty: nothing is recorded that would
}

// NotUsed is a piece of evidence that could not be used, and why.
type NotUsed struct {
	Evidence string
	Reason   string
}

// Question is one that splits the builds still possible.
type Question struct {
	Kind    string // position, plug, old_part or made: the evidence it asks for
	Text    string
	Choices []Choice
	Worth   float64 // expected seconds of second visits that asking spares, its own not counted
	Seconds float64 // expected for having it answered
	// Needed is not set where the first candidate is handed over whatever the answer
	// is, set and connected alike, with verdict fits.
	Needed bool
}

// Choice is one answer to a question and the builds it leaves. Answer is the
// whole value to give as that evidence, with what was given of it before; empty
// where the choice is that none of the others holds.
type Choice struct {
	Answer string
	Text   string
	Builds []string
}

// Candidate is one board revision, checked against all possible builds.
type Candidate struct {
	PartNumber   string
	Title        string
	Revision     string
	Issue        Maybe[int]
	Verdict      Verdict
	Layout       *Layout    // of its headers; nil: not recorded
	Distance     Maybe[int] // supersessions walked from a factory part; not known: there by its family or preset alone
	Stock        []StockLine
	AdaptorStock []PartStock  // of the adaptors it takes in any possible build, by part number
	Availability Availability // of the board with the adaptors it takes
	Builds       []BuildAnswer
	Fittings     *FittingCounts // of it in machines of this model; nil: none is recorded, or Fit alone was asked
}

// StockLine is stock that counts for a candidate. Where the revision is not
// known its label must be read before it leaves the counter.
type StockLine struct {
	Location      string
	Condition     string
	Free          int
	RevisionKnown bool
}

// BuildAnswer is one revision checked against one build. Code and Pattern are set
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
	Remarks   []string // what was not recorded and so not compared, and changes no verdict
	Proof     *Proof   // of a preset: what it must read back; nil: not recorded, or not one
	// Connections say which plug goes where, for an answer that seats: first the
	// plugs of the harness in their order, then those of the adaptors.
	Connections []Connection
	// Trust is how far the pattern can be trusted. Fit leaves it nil where the
	// dossier does not have it, for it takes the whole family to tell; Ask sets it
	// then, where there is a pattern.
	Trust *Trust
}

// Proof is what proves that a board is set for a model: the code of its family
// with its pattern, and the name of the procedure that says how it is read back.
type Proof struct {
	Code      []string
	Pattern   Pattern
	Procedure string // empty: none recorded
	Source    string
}

// Connection is one plug and where it goes. It is certain where ways, pitch, key
// and circuits are recorded on both sides and agree, and, where some other plug
// is in doubt, no other way to seat them all moves this one.
type Connection struct {
	From, To ConnectionEnd
	Ways     Maybe[int]
	Circuits Maybe[[]string]
	Certain  bool
}

// ConnectionEnd is one connector. Part is an adaptor's part number, or empty: the
// harness it comes from, the board it goes to.
type ConnectionEnd struct {
	Part, Connector string
}

// Precheck is a load to check before a board is fitted, with the machine
// isolated. Ohms are given where they are recorded, and for heating elements
// worked out of volts and watts. Amps are what it draws by its record, for
// choosing a fuse or reading a clamp later: they cannot be measured isolated.
type Precheck struct {
	Circuit  string
	Builds   []string // the possible builds it holds for
	Text     string
	Brief    string // what is to be found, in as few words as there are
	OhmsLow  Maybe[float64]
	OhmsHigh Maybe[float64]
	Amps     Maybe[float64]
	Source   string
}

// Groups are the builds of the candidate for which the same is to be done with
// the board, together, in the order of their first.
func (c *Candidate) Groups() [][]BuildAnswer {
	var groups [][]BuildAnswer
	for i := range c.Builds {
		b := &c.Builds[i]
		at := slices.IndexFunc(groups, func(g []BuildAnswer) bool { return sameToDo(&g[0], b) })
		if at < 0 {
			at = len(groups)
			groups = append(groups, nil)
		}
		groups[at] = append(groups[at], *b)
	}
	return groups
}

func sameToDo(a, b *BuildAnswer) bool {
	return a.Verdict == b.Verdict && a.Work == b.Work && a.Family == b.Family && a.Procedure == b.Procedure && sameSetting(a, b)
}

// Reason is why a check came out as it did, and for which builds.
type Reason struct {
	Check  string
	Text   string
	Builds []string
}

// Reasons are those of one outcome over the candidate's builds, each once, in
// the order of the checks.
func (c *Candidate) Reasons(outcome Outcome) []Reason {
	var reasons []Reason
	for place := range len(checksOfFit) {
		for i := range c.Builds {
			b := &c.Builds[i]
			if place >= len(b.Checks) || b.Checks[place].Outcome != outcome {
				continue
			}
			check := &b.Checks[place]
			at := slices.IndexFunc(reasons, func(r Reason) bool { return r.Check == check.Check && r.Text == check.Reason })
			if at < 0 {
				at = len(reasons)
				reasons = append(reasons, Reason{Check: check.Check, Text: check.Reason})
			}
			reasons[at].Builds = append(reasons[at].Builds, b.Build)
		}
	}
	return reasons
}

// Remarks are what changes no verdict of the builds it may do for, each once.
func (c *Candidate) Remarks() []Reason {
	var remarks []Reason
	for i := range c.Builds {
		b := &c.Builds[i]
		if b.Verdict == No {
			continue
		}
		for _, text := range b.Remarks {
			at := slices.IndexFunc(remarks, func(r Reason) bool { return r.Text == text })
			if at < 0 {
				at = len(remarks)
				remarks = append(remarks, Reason{Text: text})
			}
			remarks[at].Builds = append(remarks[at].Builds, b.Build)
		}
	}
	return remarks
}

// Standing is how many candidates are not ruled out; they stand first.
func (a *Answer) Standing() int {
	for i := range a.Candidates {
		if a.Candidates[i].Verdict == No {
			return i
		}
	}
	return len(a.Candidates)
}

// Labels are the labels of the builds.
func Labels(builds []BuildAnswer) []string {
	labels := make([]string, len(builds))
	for i := range builds {
		labels[i] = builds[i].Build
	}
	return labels
}

// SwappableHeaders is a pair of headers of a board that the same plug seats on,
// and the builds whose harness has such a plug.
type SwappableHeaders struct {
	Headers [2]string
	Builds  []string
}

// SwappableHeaders returns the pairs of headers of the candidate that can be
// confused in a build it is not ruled out for, each once, in the order of the
// builds.
func (c *Candidate) SwappableHeaders() []SwappableHeaders {
	var all []SwappableHeaders
	for i := range c.Builds {
		b := &c.Builds[i]
		if b.Verdict == No {
			continue
		}
		for _, pair := range b.Swappable {
			at := slices.IndexFunc(all, func(s SwappableHeaders) bool { return s.Headers == pair })
			if at < 0 {
				at = len(all)
				all = append(all, SwappableHeaders{Headers: pair})
			}
			all[at].Builds = append(all[at].Builds, b.Build)
		}
	}
	return all
}

// SwappableCaution returns the caution about headers that the same plug seats
// on, without the full stop; empty where there is no pair.
func SwappableCaution(pairs ...[2]string) string {
	const caution = " take the same plug and do not carry the same circuits, as far as recorded: mark the plugs"
	var headers []string
	for _, pair := range pairs {
		for _, header := range pair {
			if !slices.Contains(headers, header) {
				headers = append(headers, header)
			}
		}
	}
	switch len(headers) {
	case 0:
		return ""
	case 1, 2:
		return AndList(headers) + caution
	}
	return "Among " + AndList(headers) + " are headers that" + caution
}
