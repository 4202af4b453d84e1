package standin

// ModelKey names an appliance model as its rating plate does. Variant is the
// product code on the plate where one model number covers several, else empty.
type ModelKey struct {
	Brand, Model, Variant string
}

// String is the key as a person says it: "Brand Model" or "Brand Model / variant".
func (k ModelKey) String() string {
	s := k.Brand + " " + k.Model
	if k.Variant != "" {
		s += " / " + k.Variant
	}
	return s
}

// VoltRange is a range of rated voltages as a plate states it, 220-240; Low and
// High are the same where it is a single voltage.
type VoltRange struct{ Low, High float64 }

// Model is an appliance model. Volts and Hertz are its supply as the plate
// states it, each of which it must work on; Made is its production span.
type Model struct {
	ID int64
	ModelKey
	Kind       string
	Made       Span
	Volts      Maybe[[]VoltRange]
	Hertz      Maybe[[]float64]
	Class      string      // of protection against electric shock: I, II or III; empty: not recorded
	SerialRule *SerialRule // nil: none recorded
}

// Build is a span of production of one model with one factory board and one
// harness. Made is the effective span: where no end is recorded and a later build
// begins, it ends the day before that. Builds of one position do not overlap, and
// a label is unique within its position.
type Build struct {
	Label      string
	Position   string // of the board it is about; empty: the control
	Made       Span
	RunOutDays int    // days after Made.To in which this build may still turn up
	SerialFrom string // empty: open
	SerialTo   string // empty: open
	PartNumber string // the factory board; empty: not recorded
	Revision   string // of the factory board; empty: not recorded
	Layout     *Layout
	Needs      Maybe[[]string] // options; recorded and empty: none
	Source     string
}

// Element is what a load is, as far as the power tolerance of the appliance
// standard depends on it.
type Element string

// The elements a bundle may name.
const (
	ElementNotRecorded Element = ""
	ElementHeating     Element = "heating"
	ElementMotor       Element = "motor"
	ElementOther       Element = "other"
)

// Load is what a circuit of a model draws. Build is empty for a load of all
// builds of its position. Volts is recorded where it differs from the model's
// supply, AtCelsius is the temperature for which the ohms hold.
type Load struct {
	Position    string // of the board that switches it; empty: the control
	Build       string
	Circuit     string
	Watts       Maybe[float64]
	Volts       Maybe[float64]
	Element     Element
	Amps        Maybe[float64]
	PowerFactor Maybe[float64]
	OhmsLow     Maybe[float64]
	OhmsHigh    Maybe[float64]
	AtCelsius   Maybe[float64]
}

// Unused marks a pin that carries no circuit.
const Unused = "."

// Connector is one plug of a harness or one header of a board. Circuits has one
// name per pin, Unused for a pin that carries none.
type Connector struct {
	Marking  string
	Ways     Maybe[int]
	PitchMM  Maybe[float64]
	Key      Maybe[string]
	Circuits Maybe[[]string]
}

// Layout is a set of connectors: the plugs of a harness or the headers of a
// board revision. A nil *Layout is one that is not recorded.
type Layout struct {
	Name       string
	Connectors []Connector
}

// Adaptor is a short harness that takes some plugs and gives others.
type Adaptor struct {
	PartNumber   string
	Title        string
	Takes, Gives *Layout
}

// Board is an orderable spare. Family is empty for a fixed board, which has
// nothing to configure.
type Board struct {
	PartNumber string
	Family     string
	Position   string // in the machine; empty: the control
	Title      string
	GTIN       string
	Revisions  []Revision
}

// Revision is one hardware or firmware state of a board. Issue is its rank in
// time, Label what is printed.
type Revision struct {
	Label     string
	Issue     Maybe[int]
	Layout    *Layout
	Made      Span
	Options   Maybe[[]string]
	VoltsMin  Maybe[float64]
	VoltsMax  Maybe[float64]
	Hertz     Maybe[[]float64]
	Procedure string                    // overrides the family's; empty: the family's
	Stop      string                    // why it must not be supplied; empty: it may
	Ratings   map[string]Maybe[float64] // circuit → max amps; not known: the circuit is recorded, its rating is not
}

// Phase is a part of a procedure.
type Phase string

// The phases, in the order they are worked through.
const (
	PhaseEnter    Phase = "enter"
	PhaseSymbol   Phase = "symbol"
	PhaseFinish   Phase = "finish"
	PhaseReadback Phase = "readback"
)

// Step is one step of a procedure. In PhaseSymbol, Step is the place in the code.
type Step struct {
	Phase       Phase
	Step        int
	Do          string
	HoldSeconds Maybe[float64]
	Expect      string
}

// Procedure is how a code is entered and read back, its steps in order.
type Procedure struct {
	Name  string
	Steps []Step
}

// Method is how the boards of a family are configured.
type Method string

// The methods a bundle may name; the zero Method is a selector.
const (
	MethodSelector    Method = "selector"
	MethodSwitches    Method = "switches"    // set by hand on the board
	MethodJumpers     Method = "jumpers"     // fitted, left out or cut
	MethodResistor    Method = "resistor"    // of a value that the board measures
	MethodChip        Method = "chip"        // a memory chip moved over
	MethodTool        Method = "tool"        // by a service tool at a port
	MethodContactless Method = "contactless" // by a service tool held to the board
)

// Family is a set of boards that share a selector, a code length, a procedure
// and a read-back. Selector holds the symbols in dial order, Readback the
// read-back points in the order they are read.
type Family struct {
	Name       string
	Title      string
	Method     Method      // empty: a selector
	Reversible Maybe[bool] // what is set can be undone
	Selector   []string
	CodeLength int
	Readback   []string
	Alphabet   []string   // one per read-back point: the characters it may show; nil: all are lamps
	Panel      [][]string // the read-back points in rows, as they lie; nil: not recorded
	Procedure  string
	Note       string
}

// Pattern is what each read-back point must show, one character per point: '1'
// lit, '0' unlit, 'f' flashing for a lamp, a character of its alphabet for any
// other, '-' either. Empty: none recorded.
type Pattern string

// Configuration says with which code boards of a family serve a model (the
// build, or all builds where Build is empty), for a range of issues; an end
// that is not recorded is open.
type Configuration struct {
	Family    string
	Model     ModelKey
	Build     string
	IssueFrom Maybe[int]
	IssueTo   Maybe[int]
	Code      []string
	Pattern   Pattern
	Source    string
	Trust     *Trust // how far the pattern can be trusted, where the store keeps it; else nil
}

// Preset says that a part is supplied already set for a model.
type Preset struct {
	PartNumber string
	Build      string // empty: all builds
}

// Supersession is an old part number replaced by a new one. With TwoWay the old
// also serves for the new.
type Supersession struct {
	Old, New string
	TwoWay   bool
	From     Maybe[Date]
	Note     string
}

// Marking is a number printed on a board that is not the one it is ordered by.
type Marking struct {
	Marking    string
	PartNumber string
	Revision   string // empty: not recorded
	Note       string
}

// Stock is what a location has of a part. Revision is empty where it is not
// known: the label must be read before the board leaves the counter. Free is
// the quantity less what is on hold.
type Stock struct {
	Location   string
	PartNumber string
	Revision   string
	Condition  string // new, refurbished or used
	Quantity   int
	Free       int
}

// OldPart is a part, or one revision of it, that the number on the board that
// came out leads to, with the layout of that revision.
type OldPart struct {
	PartNumber string
	Revision   string
	Layout     *Layout // nil: not recorded
	Family     string
	Position   string
	Kinds      []string // of appliance that its family or chain serves, as far as recorded
}

// Dossier is all that bears on one model: everything that Fit needs, so that
// nothing is looked up afterwards.
type Dossier struct {
	CatalogueVersion int64
	State            State    // that it was read in
	Asked            ModelKey // the badge asked for; differs from Model's key for a twin
	Model            Model
	Builds           []Build // in order of time; empty: none recorded
	Loads            []Load
	Boards           []Board // those rule 2 may look at, for any build, each with every revision
	Families         map[string]*Family
	Procedures       map[string]*Procedure
	Configurations   []Configuration // of this model
	Presets          []Preset        // of this model
	Supersessions    []Supersession  // every link reachable from a factory part
	Adaptors         []Adaptor       // at least those that can be applied to a harness of a build
	Stock            []Stock         // of Boards and Adaptors
	Fitted           bool            // some fitting is recorded, of whatever board
	OldParts         []OldPart       // what the machine's old part leads to; empty: the number is unknown
	Seatings         *Seatings       // shared with other dossiers of the version; nil: with none
}
