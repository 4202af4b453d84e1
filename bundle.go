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
	PatternCell             // string over 1 0 f -
)

// Column is one column of a bundle file.
type Column struct {
	Name     string
	Kind     Kind
	Key      bool     // part of the row's key
	Required bool     // an empty cell is an error
	Accepts  []string // for Enum
	None     bool     // for Words: "none" records an empty list
	Min      float64  // for Integer and Number: the least that is accepted
	Above    bool     // … itself not accepted
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

func key(name string) Column             { return Column{Name: name, Key: true, Required: true} }
func openKey(name string) Column         { return Column{Name: name, Key: true} }
func text(name string) Column            { return Column{Name: name} }
func needed(name string) Column          { return Column{Name: name, Required: true} }
func of(k Kind, c Column) Column         { c.Kind = k; return c }
func atLeast(n float64, c Column) Column { c.Min = n; return c }
func above(n float64, c Column) Column   { c.Min, c.Above = n, true; return c }
func oneOf(c Column, accepts ...string) Column {
	c.Kind, c.Accepts = Enum, accepts
	return c
}
func orNone(c Column) Column { c.None = true; return c }

func integer(name string) Column  { return atLeast(1, of(Integer, text(name))) }
func positive(name string) Column { return above(0, of(Number, text(name))) }

func modelKey() []Column { return []Column{key("brand"), key("model"), openKey("variant")} }

func columns(parts ...any) []Column {
	var all []Column
	for _, p := range parts {
		switch p := p.(type) {
		case Column:
			all = append(all, p)
		case []Column:
			all = append(all, p...)
		}
	}
	return all
}

// Files are the files of a bundle, each after those it refers to. It is the one
// description of the format: the importer reads by it, the database stages by
// it, an export writes by it.
var Files = []File{
	{"sources", columns(key("source"), text("title"), of(FromDate, text("issued")), text("note"))},
	{"procedures", columns(key("procedure"),
		oneOf(key("phase"), string(PhaseEnter), string(PhaseSymbol), string(PhaseFinish), string(PhaseReadback)),
		atLeast(1, of(Integer, key("step"))), text("do"), atLeast(0, of(Number, text("hold_seconds"))), text("expect"))},
	{"families", columns(key("family"), text("title"), of(Words, text("selector")),
		atLeast(0, of(Integer, needed("code_length"))), of(Words, text("readback")), text("procedure"), text("note"))},
	{"layouts", columns(key("layout"), key("connector"), integer("ways"), positive("pitch_mm"), text("key"),
		of(Words, text("circuits")))},
	{"adaptors", columns(key("part_number"), text("title"), needed("takes"), needed("gives"))},
	{"boards", columns(key("part_number"), text("family"), text("title"), of(GTIN, text("gtin")))},
	{"revisions", columns(key("part_number"), key("revision"), integer("issue"), text("layout"),
		of(FromDate, text("made_from")), of(ToDate, text("made_to")), orNone(of(Words, text("options"))),
		positive("volts_min"), positive("volts_max"), above(0, of(Numbers, text("hertz"))), text("procedure"), text("stop"))},
	{"markings", columns(key("marking"), key("part_number"), text("revision"), text("note"))},
	{"ratings", columns(key("part_number"), key("revision"), key("circuit"), atLeast(0, of(Number, text("max_amps"))))},
	{"supersessions", columns(key("old_part"), key("new_part"), oneOf(text("interchange"), "one-way", "two-way"),
		of(FromDate, text("from")), text("note"))},
	{"serial_rules", columns(key("rule"), of(Regexp, needed("pattern")), of(Integer, text("year_base")), text("note"))},
	{"models", columns(modelKey(), text("kind"), of(FromDate, text("made_from")), of(ToDate, text("made_to")),
		positive("volts"), positive("hertz"), text("serial_rule"))},
	{"twins", columns(modelKey(), needed("of_brand"), needed("of_model"), text("of_variant"))},
	{"builds", columns(modelKey(), key("build"), of(FromDate, text("made_from")), of(ToDate, text("made_to")),
		atLeast(0, of(Integer, text("run_out_days"))), text("serial_from"), text("serial_to"), text("part_number"),
		text("revision"), text("layout"), orNone(of(Words, text("needs"))), text("source"))},
	{"loads", columns(modelKey(), openKey("build"), key("circuit"), atLeast(0, of(Number, text("watts"))), positive("volts"),
		oneOf(text("element"), string(ElementHeating), string(ElementMotor), string(ElementOther)))},
	{"configurations", columns(key("family"), modelKey(), openKey("build"), atLeast(1, of(Integer, openKey("issue_from"))),
		integer("issue_to"), of(CodeCell, text("code")), of(PatternCell, text("pattern")), text("source"))},
	{"presets", columns(key("part_number"), modelKey(), openKey("build"))},
	{"stock", columns(key("location"), key("part_number"), openKey("revision"),
		oneOf(key("condition"), "new", "refurbished", "used"), atLeast(0, of(Integer, needed("quantity"))))},
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

// Row is one row of a bundle file: a cell a column of the File, typed as its
// Kind says or nil, and the line it stands on (the first, where it has several).
type Row struct {
	Line  int
	Cells []any
}

// Severity tells whether a finding stops the import.
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

	UnknownColumn = "unknown-column"
	UnknownFile   = "unknown-file"

	Gap                  = "gap"
	NoDifference         = "no-difference"
	SamePattern          = "same-pattern"
	NoTaker              = "no-taker"
	UnmetOption          = "unmet-option"
	AdaptorLosesCircuits = "adaptor-loses-circuits"
	SwappablePlugs       = "swappable-plugs"
	FailingReadings      = "failing-readings" // an audit's alone: it takes what was recorded of fittings
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
