package standin

// Kind is what a column of a bundle may hold, and with it the Go type of a cell
// that is recorded. A cell that is not recorded is nil.
type Kind uint8

// The kinds of column.
const (
	Text        Kind = iota // string
	Integer                 // int64
	Number                  // float64
	FromDate                // Date, the first day of what is named
	ToDate                  // Date, the last day of what is named
	Words                   // []string, separated by spaces, order kept; "none" is an empty list where NoneMeans says so
	Numbers                 // []float64, separated by spaces, ascending
	Enum                    // string, one of Column.Accepts
	Regexp                  // string, a regular expression with named groups
	GTIN                    // string of digits with a right check digit
	CodeCell                // []string, symbols of the family's selector
	PatternCell             // string, a character a read-back point of the family
	VoltsCell               // string, rated voltages as a plate has them, see ParseVolts
)

// Column is one column of a bundle file.
type Column struct {
	Name     string
	Kind     Kind
	Key      bool     // part of the row's key
	Required bool     // an empty cell is an error
	Accepts  []string // for Enum
	None     bool     // for Words: "none" records an empty list
	Slashes  bool     // for Numbers: written with slashes between, as on a plate
	Min      float64  // for Integer and Number: the least that is accepted
	Max      float64  // … and the most; 0: no limit of its own
	Above    bool     // … Min itself not accepted
}

// File is one file of a bundle. The name has no ".csv".
type File struct {
	Name    string
	Columns []Column
}

// Column is the column of that name, and whether there is one.
func (f File) Column(name string) (Column, bool) {
	for _, c := range f.Columns {
		if c.Name == name {
			return c, true
		}
	}
	return Column{}, false
}

// Keys are the names of the key columns, in order.
func (f File) Keys() []string {
	var keys []string
	for _, c := range f.Columns {
		if c.Key {
			keys = append(keys, c.Name)
		}
	}
	return keys
}

func keyColumn(name string) Column       { return Column{Name: name, Key: true, Required: true} }
func openKeyColumn(name string) Column   { return Column{Name: name, Key: true} }
func textColumn(name string) Column      { return Column{Name: name} }
func requiredColumn(name string) Column  { return Column{Name: name, Required: true} }
func ofKind(k Kind, c Column) Column     { c.Kind = k; return c }
func atLeast(n float64, c Column) Column { c.Min = n; return c }
func above(n float64, c Column) Column   { c.Min, c.Above = n, true; return c }
func oneOf(c Column, accepts ...string) Column {
	c.Kind, c.Accepts = Enum, accepts
	return c
}
func atMost(n float64, c Column) Column { c.Max = n; return c }
func orNone(c Column) Column            { c.None = true; return c }
func slashed(c Column) Column           { c.Slashes = true; return c }

func integer(name string) Column  { return atLeast(1, ofKind(Integer, textColumn(name))) }
func positive(name string) Column { return above(0, ofKind(Number, textColumn(name))) }

// The columns of a model's key.
var brand, model, variant = keyColumn("brand"), keyColumn("model"), openKeyColumn("variant")

// Files are the files of a bundle, each after those it refers to. It is the one
// description of the format: the importer reads by it, the database stages by
// it, an export writes by it.
var Files = []File{
	{"sources", []Column{keyColumn("source"), textColumn("title"), ofKind(FromDate, textColumn("issued")), textColumn("note")}},
	{"procedures", []Column{keyColumn("procedure"),
		oneOf(keyColumn("phase"), string(PhaseEnter), string(PhaseSymbol), string(PhaseFinish), string(PhaseReadback)),
		atLeast(1, ofKind(Integer, keyColumn("step"))), textColumn("do"), atLeast(0, ofKind(Number, textColumn("hold_seconds"))), textColumn("expect")}},
	{"families", []Column{keyColumn("family"), textColumn("title"),
		oneOf(textColumn("method"), string(MethodSelector), string(MethodSwitches), string(MethodJumpers), string(MethodResistor),
			string(MethodChip), string(MethodTool), string(MethodContactless)),
		oneOf(textColumn("reversible"), "yes", "no"), ofKind(Words, textColumn("selector")),
		atMost(99, atLeast(0, ofKind(Integer, requiredColumn("code_length")))), ofKind(Words, textColumn("readback")),
		ofKind(Words, textColumn("alphabet")), ofKind(Words, textColumn("panel")), textColumn("procedure"), textColumn("note")}},
	{"layouts", []Column{keyColumn("layout"), keyColumn("connector"), integer("ways"), positive("pitch_mm"), textColumn("key"),
		ofKind(Words, textColumn("circuits"))}},
	{"adaptors", []Column{keyColumn("part_number"), textColumn("title"), requiredColumn("takes"), requiredColumn("gives")}},
	{"boards", []Column{keyColumn("part_number"), textColumn("family"), textColumn("position"), textColumn("title"), ofKind(GTIN, textColumn("gtin"))}},
	{"revisions", []Column{keyColumn("part_number"), keyColumn("revision"), integer("issue"), textColumn("layout"),
		ofKind(FromDate, textColumn("made_from")), ofKind(ToDate, textColumn("made_to")), orNone(ofKind(Words, textColumn("options"))),
		positive("volts_min"), positive("volts_max"), above(0, ofKind(Numbers, textColumn("hertz"))), textColumn("procedure"), textColumn("stop")}},
	{"markings", []Column{keyColumn("marking"), keyColumn("part_number"), textColumn("revision"), textColumn("note")}},
	{"ratings", []Column{keyColumn("part_number"), keyColumn("revision"), keyColumn("circuit"), atLeast(0, ofKind(Number, textColumn("max_amps")))}},
	{"supersessions", []Column{keyColumn("old_part"), keyColumn("new_part"), oneOf(textColumn("interchange"), "one-way", "two-way"),
		ofKind(FromDate, textColumn("from")), textColumn("note")}},
	{"serial_rules", []Column{keyColumn("rule"), ofKind(Regexp, requiredColumn("pattern")), ofKind(Integer, textColumn("year_base")), textColumn("note")}},
	{"models", []Column{brand, model, variant, textColumn("kind"), ofKind(FromDate, textColumn("made_from")), ofKind(ToDate, textColumn("made_to")),
		ofKind(VoltsCell, textColumn("volts")), slashed(above(0, ofKind(Numbers, textColumn("hertz")))),
		oneOf(textColumn("class"), "I", "II", "III"), textColumn("serial_rule")}},
	{"twins", []Column{brand, model, variant, requiredColumn("of_brand"), requiredColumn("of_model"), textColumn("of_variant")}},
	{"builds", []Column{brand, model, variant, openKeyColumn("position"), keyColumn("build"), ofKind(FromDate, textColumn("made_from")), ofKind(ToDate, textColumn("made_to")),
		atLeast(0, ofKind(Integer, textColumn("run_out_days"))), textColumn("serial_from"), textColumn("serial_to"), textColumn("part_number"),
		textColumn("revision"), textColumn("layout"), orNone(ofKind(Words, textColumn("needs"))), textColumn("source")}},
	{"loads", []Column{brand, model, variant, openKeyColumn("position"), openKeyColumn("build"), keyColumn("circuit"),
		atLeast(0, ofKind(Number, textColumn("watts"))), positive("volts"),
		oneOf(textColumn("element"), string(ElementHeating), string(ElementMotor), string(ElementOther)),
		atLeast(0, ofKind(Number, textColumn("amps"))), atMost(1, positive("power_factor")),
		atLeast(0, ofKind(Number, textColumn("ohms_low"))), atLeast(0, ofKind(Number, textColumn("ohms_high"))),
		above(-273.15, ofKind(Number, textColumn("at_celsius")))}},
	{"configurations", []Column{keyColumn("family"), brand, model, variant, openKeyColumn("build"), atLeast(1, ofKind(Integer, openKeyColumn("issue_from"))),
		integer("issue_to"), ofKind(CodeCell, textColumn("code")), ofKind(PatternCell, textColumn("pattern")), textColumn("source")}},
	{"presets", []Column{keyColumn("part_number"), brand, model, variant, openKeyColumn("build")}},
	{"stock", []Column{keyColumn("location"), keyColumn("part_number"), openKeyColumn("revision"),
		oneOf(keyColumn("condition"), "new", "refurbished", "used"), atLeast(0, ofKind(Integer, requiredColumn("quantity")))}},
}

// FileNamed is the file of that name (without ".csv"), and whether there is one.
func FileNamed(name string) (File, bool) {
	for _, f := range Files {
		if f.Name == name {
			return f, true
		}
	}
	return File{}, false
}

// Row is one row of a bundle file: one cell per column of the File, and the line it
// stands on (the first, where it has several). A cell is typed as its Kind says, nil
// where it is empty, Absent where the table has no such column.
type Row struct {
	Line  int
	Cells []any
}

// Absent is the cell of a column that the table does not have. It leaves what is
// recorded as it is; only an empty cell of a column that is there takes a value back.
// In a key column it is the same as an empty cell.
type Absent struct{}

// Severity says whether a finding stops the import.
type Severity uint8

// The severities.
const (
	SeverityError Severity = iota
	SeverityWarning
)

// String is error or warning.
func (s Severity) String() string { return [...]string{"error", "warning"}[s] }

// The codes of findings.
const (
	MissingColumn    = "missing-column"
	MissingValue     = "missing-value"
	BadValue         = "bad-value"
	DuplicateKey     = "duplicate-key"
	UnknownReference = "unknown-reference"
	UnknownSymbol    = "unknown-symbol"
	WrongLength      = "wrong-length"
	Overlap          = "overlap"
	Circle           = "circle"
	TwinWithData     = "twin-with-data"
	WaysMismatch     = "ways-mismatch"
	UnreadableFile   = "unreadable-file"
	LiftedStop       = "lifted-stop"   // not with ImportRequest.LiftStops
	UnknownStock     = "unknown-stock" // a warning with ImportRequest.SkipUnknownStock

	UnknownColumn = "unknown-column"
	UnknownFile   = "unknown-file"

	Gap                  = "gap"
	NoDifference         = "no-difference"
	SamePattern          = "same-pattern"
	NoTaker              = "no-taker"
	UnmetOption          = "unmet-option"
	AdaptorLosesCircuits = "adaptor-loses-circuits"
	SwappablePlugs       = "swappable-plugs"
	ShortStock           = "short-stock"
	UnreadableResistor   = "unreadable-resistor"
	FailingReadings      = "failing-readings" // an audit's alone: it takes what was recorded of fittings

	// What a slip between a supplier's table and a bundle looks like.
	Implausible    = "implausible"     // a number or a date that no appliance has
	OffByFactor    = "off-by-factor"   // of what is stored, or what the others have: 10, 25.4 or 1,000
	ColumnChanged  = "column-changed"  // most of the values that are stored
	HalfChanged    = "half-changed"    // a code without its pattern, or the reverse
	OtherColumn    = "other-column"    // values of another column, as far as the catalogue knows them
	FilledDown     = "filled-down"     // one value, or a series, down over changed rows
	LikelyMisspelt = "likely-misspelt" // a circuit or an option near a known one
	UsedOnce       = "used-once"       // a circuit that nothing else has
	UnusedSymbol   = "unused-symbol"   // at that place of the family's codes
	DayAndMonth    = "day-and-month"   // exchanged
	OutsideSpan    = "outside-span"    // of production
	FactoryMisfit  = "factory-misfit"  // the factory board does not fit its own build
	MixedLetters   = "mixed-letters"   // Latin ones and others that look alike
	CutShort       = "cut-short"       // a file that ends within a row
	Shrunk         = "shrunk"          // a file with less than half of what there was
)

// Finding is something to say about a place in a bundle. Line and Column are 0
// and empty where it is about the whole file.
type Finding struct {
	Severity   Severity
	File       string // as it is named in the bundle, with its ending
	Line       int
	Column     string
	Value      string
	Code       string
	Message    string // one sentence a spreadsheet user understands
	Correction string // what would be right, where it can be said
}
