package standin

// NumberKind is what a number that was typed is to a board.
type NumberKind string

// The kinds of number that lead to a board.
const (
	ByPartNumber NumberKind = "part number"
	ByMarking    NumberKind = "marking"
	ByGTIN       NumberKind = "GTIN"
)

// BoardMatch is a board that may be meant by a number that was typed.
type BoardMatch struct {
	PartNumber string
	Title      string
	Family     string     // empty: a fixed board
	By         NumberKind // what was recognised
	Number     string     // the part number, marking or GTIN that is like what was typed
	Exact      bool       // the same letters and digits; else it begins so
}
