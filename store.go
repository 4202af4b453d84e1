package standin

import (
	"context"
	"iter"
	"time"
)

// Catalogue is what the questions are answered from. Its methods are
// safe for concurrent use. Every error is an *Error; CodeUnavailable where the
// database is away.
type Catalogue interface {
	Lists

	// Dossiers loads the dossier of each machine's model, in the order asked, in
	// one round trip. A model that is not known has a nil in its place. The key
	// is matched exactly, else without regard to case, spaces and punctuation
	// where only one model of the brand is meant so.
	Dossiers(ctx context.Context, machines []Machine) ([]*Dossier, error)

	// DossierOf loads the dossier of one model by its id. CodeNotFound where there is none.
	DossierOf(ctx context.Context, id int64) (*Dossier, error)

	// FindModels are the models that a person may mean by what was typed, brand
	// included or not, best first. Case, spaces and punctuation do not count,
	// characters mistaken for each other on plates count as near.
	FindModels(ctx context.Context, typed string, limit int) ([]ModelMatch, error)

	// FindModelsOfEach is FindModels for several texts, in one round trip.
	FindModelsOfEach(ctx context.Context, typed []string, limit int) ([][]ModelMatch, error)

	// FindBoards are the boards and adaptors that a number may lead to, exact ones first: by a
	// part number or marking that is what was typed or begins so, without case,
	// spaces and punctuation, or by the whole GTIN, leading zeros or not. A
	// board is there once for each kind of number.
	FindBoards(ctx context.Context, typed string, limit int) ([]BoardMatch, error)

	// BoardOf is all that is recorded of one board. CodeNotFound where there is none.
	BoardOf(ctx context.Context, partNumber string) (*BoardRecord, error)

	// AdaptorOf is all that is recorded of one adaptor. CodeNotFound where there is none.
	AdaptorOf(ctx context.Context, partNumber string) (*AdaptorRecord, error)

	// ModelsOfBoard are the models, twins left out, for which rule 2 would look
	// at the board, ordered by key, from after (exclusive) on.
	ModelsOfBoard(ctx context.Context, partNumber string, after ModelKey, limit int) ([]ModelKey, error)

	// ListFamilies are the families by name from after (exclusive) on.
	ListFamilies(ctx context.Context, after string, limit int) ([]Family, error)

	// FamilyOf is one family. CodeNotFound where there is none.
	FamilyOf(ctx context.Context, name string) (*FamilyRecord, error)

	// PreparedFamily is one family made ready for the rules of reading. It is
	// shared by whoever asks for it. CodeNotFound where there is none.
	PreparedFamily(ctx context.Context, name string) (*PreparedFamily, error)

	// SettingsNear are the settings, of any family, whose patterns have as many
	// points as the reading and are nearest to it, limit at most. A reading
	// without a point read is a CodeBadRequest.
	SettingsNear(ctx context.Context, reading Reading, limit int) (*NearSettings, error)

	// State is what reads depend on: it changes with every import, every change of
	// stock and every hold that runs out.
	State(ctx context.Context) (State, error)

	// Ready returns nil where questions can be answered: the database is there and
	// its schema is this program's. Else CodeUnavailable or CodeSchema.
	Ready(ctx context.Context) error
}

// State is the version of the catalogue and of the stock, holds and fittings
// among it. RanOut changes when a hold runs out, which frees stock although
// nothing is written: it is when the last one did, in microseconds since 1970.
// Stamp is drawn at random for each pair of versions: after a failover that lost
// changes, others have the same numbers.
type State struct {
	Catalogue, Stock, RanOut, Stamp int64
}

// ModelMatch is a model that may be meant by what was typed. Nearness is 1 for
// the same letters and digits, less the further off.
type ModelMatch struct {
	ID int64
	ModelKey
	Kind     string
	TwinOf   *ModelKey
	Nearness float64
}

// BoardRecord is a board with what surrounds it.
type BoardRecord struct {
	Board
	Supersessions []Supersession // every link reachable either way
	Markings      []Marking
	Stock         []Stock
}

// AdaptorRecord is an adaptor with its stock; none: no line of it is recorded.
type AdaptorRecord struct {
	Adaptor
	Stock []Stock
}

// FamilyRecord is a family with its procedure, its boards and every recorded
// configuration.
type FamilyRecord struct {
	Family
	Steps          *Procedure // nil: none recorded
	Boards         []string
	Configurations []Configuration
}

// Imports takes bundles in. Every error is an *Error; CodeConflict where
// another import is under way.
type Imports interface {
	// OpenImport begins the one transaction of an import. Readers are
	// not disturbed meanwhile. The caller ends it with Commit or Rollback.
	OpenImport(ctx context.Context, request ImportRequest) (ImportTx, error)

	// Undo restores exactly what an import changed. CodeNotFound where there is
	// no such import, CodeConflict where later imports changed the same rows, or
	// where a supply stop would be lifted without consent; the message says which.
	Undo(ctx context.Context, id int64, request UndoRequest) (Import, error)

	// ImportOf is one import that was committed. CodeNotFound where there is none.
	ImportOf(ctx context.Context, id int64) (Import, error)

	// ListImports are the imports, newest first, those before an id (0: all).
	ListImports(ctx context.Context, before int64, limit int) ([]Import, error)
}

// ImportRequest says who imports what.
type ImportRequest struct {
	By      string
	Bundle  string   // its name, for the record
	Replace []string // families whose rows that the bundle no longer has are removed
	Shrink  bool     // … even where that is more than half of a file
	Upload  string   // the upload that it is of, which ends with the commit or prevents it; empty: none

	// ReplaceStock are locations of which the bundle has all the stock: lines that it
	// does not have are set to 0. It takes a bundle with stock.
	ReplaceStock     []string
	SkipUnknownStock bool // leave out stock of what is not in the catalogue; else it is a fault, UnknownStock

	LiftStops bool // consent to lift supply stops: without it a bundle that does has a fault, LiftedStop
}

// UndoRequest says who undoes an import.
type UndoRequest struct {
	By        string
	LiftStops bool   // consent to lift the supply stops that the import set on revisions which stay
	Upload    string // the upload that asks for it, which ends with it; empty: none
}

// ImportTx is one import under way.
type ImportTx interface {
	// Families are those stored now, by name.
	Families(ctx context.Context) (map[string]Family, error)

	// Stage takes the rows of one file. fileName is how findings call it. The
	// first error that rows yields ends it and is returned.
	Stage(ctx context.Context, file File, fileName string, rows iter.Seq2[Row, error]) error

	// Check finds set-wise what a row alone does not show: duplicate keys,
	// unknown references, overlaps, circles, twins with data, for the catalogue
	// as it would be. It returns at most limit findings, and how many there are.
	Check(ctx context.Context, limit int) ([]Finding, int, error)

	// Warnings finds what is odd about the rows that are added and changed, in the
	// catalogue as it would be. It returns at most limit findings, and how many
	// there are. None of them prevents Commit.
	Warnings(ctx context.Context, limit int) ([]Finding, int, error)

	// Diff compares what is staged with what is stored, one FileDiff per file
	// staged, with at most limit changes in detail for each, those that lift a
	// supply stop first.
	Diff(ctx context.Context, limit int) ([]FileDiff, error)

	// Commit writes the changes, the audit rows and the new catalogue version.
	// Where nothing changed it writes nothing and the Import's ID is 0.
	Commit(ctx context.Context) (Import, error)

	// Rollback leaves everything as it was. After Commit it does nothing.
	Rollback() error
}

// Import is one import that was committed.
type Import struct {
	ID               int64
	At               time.Time
	By               string
	Bundle           string
	CatalogueVersion int64
	Added            int
	Changed          int
	Removed          int
	Undoes           int64 // the import this one undid; 0: none
	UndoneBy         int64 // the import that undid this one; 0: none
}

// FileDiff is what an import changes of one file.
type FileDiff struct {
	File                               string
	Added, Changed, Removed, Unchanged int
	LeftOut                            int // rows that are not imported, see ImportRequest.SkipUnknownStock
	Changes                            []Change
}

// Change is one row that is added, changed or removed.
type Change struct {
	Op     string // added, changed or removed
	Key    []Field
	Fields []FieldChange // for changed, those that differ; else those recorded

	LiftsStop bool // a supply stop of a revision is taken back, or removed with it
}

// LiftedStops returns the changes that lift a supply stop: what to look at first.
func LiftedStops(files []FileDiff) []Change {
	var lifted []Change
	for _, f := range files {
		for _, c := range f.Changes {
			if c.LiftsStop {
				lifted = append(lifted, c)
			}
		}
	}
	return lifted
}

// Field is a column and its value as a bundle writes it.
type Field struct {
	Column, Value string
}

// FieldChange is a column with what it was and what it becomes; empty is not recorded.
type FieldChange struct {
	Column, Before, After string
}

// History is the present and past of one row of a bundle file.
type History struct {
	Now     []Field      // every column as it is stored; none: the row is not there
	Changes []PastChange // newest first
}

// PastChange is a change of a row and the import that made it.
type PastChange struct {
	Import Import
	Change
}
