package bundle

import (
	"cmp"
	"context"
	"fmt"
	"strings"

	"standin"
)

// thing is a kind of thing that rows refer to. Its names are in the given columns of
// the given files.
type thing struct {
	noun    string
	files   []string
	columns []string
	loose   bool // a name that is not known is a warning, not an error
}

var (
	aSource     = thing{"source", []string{"sources"}, []string{"source"}, true}
	aProcedure  = thing{"procedure", []string{"procedures"}, []string{"procedure"}, false}
	aFamily     = thing{"family", []string{"families"}, []string{"family"}, false}
	aLayout     = thing{"layout", []string{"layouts"}, []string{"layout"}, false}
	aBoard      = thing{"board", []string{"boards"}, []string{"part_number"}, false}
	aPart       = thing{"board or adaptor", []string{"boards", "adaptors"}, []string{"part_number"}, false}
	aRevision   = thing{"revision", []string{"revisions"}, []string{"part_number", "revision"}, false}
	aSerialRule = thing{"serial rule", []string{"serial_rules"}, []string{"rule"}, false}
	aModel      = thing{"model", []string{"models"}, []string{"brand", "model", "variant"}, false}
	aBadge      = thing{"model", []string{"models", "twins"}, []string{"brand", "model", "variant"}, false}
	aBuild      = thing{"build", []string{"builds"}, theBuild, false}
	aBuildThere = thing{"build", []string{"builds"}, theBuildThere, false}
)

// reference says that columns of a file name a thing. Within is what all but the
// last of the columns name: where that is not known, only that is reported.
type reference struct {
	file    string
	columns []string
	to      thing
	within  *thing
}

var theModel = []string{"brand", "model", "variant"}
var theBuild = []string{"brand", "model", "variant", "build"}
var theBuildThere = []string{"brand", "model", "variant", "position", "build"}
var theRevision = []string{"part_number", "revision"}

// references has every reference, in the order of standin.Files. Builds, loads,
// configurations and presets may not belong to a twin; that is reported as
// twin-with-data, so here a twin counts as known.
var references = []reference{
	{"families", []string{"procedure"}, aProcedure, nil},
	{"adaptors", []string{"takes"}, aLayout, nil},
	{"adaptors", []string{"gives"}, aLayout, nil},
	{"boards", []string{"family"}, aFamily, nil},
	{"revisions", []string{"part_number"}, aBoard, nil},
	{"revisions", []string{"layout"}, aLayout, nil},
	{"revisions", []string{"procedure"}, aProcedure, nil},
	{"markings", []string{"part_number"}, aBoard, nil},
	{"markings", theRevision, aRevision, &aBoard},
	{"ratings", []string{"part_number"}, aBoard, nil},
	{"ratings", theRevision, aRevision, &aBoard},
	{"supersessions", []string{"old_part"}, aPart, nil},
	{"supersessions", []string{"new_part"}, aPart, nil},
	{"models", []string{"serial_rule"}, aSerialRule, nil},
	{"twins", []string{"of_brand", "of_model", "of_variant"}, aBadge, nil},
	{"builds", theModel, aBadge, nil},
	{"builds", []string{"part_number"}, aBoard, nil},
	{"builds", theRevision, aRevision, &aBoard},
	{"builds", []string{"layout"}, aLayout, nil},
	{"builds", []string{"source"}, aSource, nil},
	{"loads", theModel, aBadge, nil},
	{"loads", theBuildThere, aBuildThere, &aModel},
	{"configurations", []string{"family"}, aFamily, nil},
	{"configurations", theModel, aBadge, nil},
	{"configurations", theBuild, aBuild, &aModel},
	{"configurations", []string{"source"}, aSource, nil},
	{"presets", []string{"part_number"}, aBoard, nil},
	{"presets", theModel, aBadge, nil},
	{"presets", theBuild, aBuild, &aModel},
	{"stock", []string{"part_number"}, aPart, nil},
	{"stock", theRevision, aRevision, &aPart},
}

// referencesTo returns the references to loose things, or those to all others.
func referencesTo(loose bool) []*reference {
	var all []*reference
	for i := range references {
		if r := &references[i]; r.to.loose == loose {
			all = append(all, r)
		}
	}
	return all
}

// checkReference finds the rows of the bundle that refer to nothing, and where
// rows are removed, the stored rows that would.
func (t *importTx) checkReference(ctx context.Context, r *reference, limit int) ([]located, int, error) {
	if !t.changes(r.file) && !(t.removes && t.changes(r.to.files...)) {
		return nil, 0, nil
	}
	return t.referring(ctx, r, r.sql(t.removes), limit)
}

// referring are the rows that sql selects as referring to nothing.
func (in *inspection) referring(ctx context.Context, r *reference, sql string, limit int) ([]located, int, error) {
	places, cells, total, err := in.faults(ctx, sql, limit)
	found := make([]located, len(places))
	for i, place := range places {
		found[i] = located{place: place, finding: r.finding(place, cells[i]), reference: r, cells: cells[i]}
	}
	return found, total, err
}

// sql selects the rows that refer to nothing, of the bundle or, with storedToo, of
// the catalogue as it would be. The cells are the names, then the key of the row.
func (r *reference) sql(storedToo bool) string {
	file, _ := standin.FileNamed(r.file)
	from, where := deltaOf(file)+" r", "r.op <> 'removed'"
	if storedToo {
		from, where = nextOf(file)+" r", "true"
	}
	if r.within != nil {
		where += " AND EXISTS " + r.named(*r.within)
	}
	return fmt.Sprintf(`SELECT r.place, ARRAY[%s]::text[] || %s AS cells FROM %s
		WHERE %s AND %s <> '' AND NOT EXISTS %s`,
		strings.Join(r.names(), ", "), cellTexts(keyColumns(file), "r"), from, where, qualified("r", r.nameColumn()), r.named(r.to))
}

// nameColumn returns the column that is empty where the row refers to nothing at
// all.
func (r *reference) nameColumn() string {
	if r.within != nil {
		return r.columns[len(r.columns)-1]
	}
	return r.columns[0]
}

// names are the columns as they are compared: a variant that is not recorded
// is the empty text.
func (r *reference) names() []string {
	file, _ := standin.FileNamed(r.file)
	names := make([]string, len(r.columns))
	for i, name := range r.columns {
		names[i] = qualified("r", name)
		if c, _ := file.Column(name); !c.Key {
			names[i] = "coalesce(" + names[i] + ", '')"
		}
	}
	return names
}

// named is a subquery for the rows of a thing that have the names.
func (r *reference) named(to thing) string {
	var same []string
	for i, name := range r.names()[:len(to.columns)] {
		same = append(same, name+" = "+qualified("n", to.columns[i]))
	}
	return "(SELECT FROM (" + to.sql() + ") n WHERE " + strings.Join(same, " AND ") + ")"
}

// sql selects all known names.
func (to thing) sql() string {
	var all []string
	for _, name := range to.files {
		f, _ := standin.FileNamed(name)
		all = append(all, "SELECT "+columnListOf(to.columns, "")+" FROM "+nextOf(f))
	}
	return strings.Join(all, " UNION ALL ")
}

// finding says that a row refers to nothing. A model is named in its middle
// column; correct moves it where another is at fault.
func (r *reference) finding(place int64, cells []string) standin.Finding {
	names := cells[:len(r.columns)]
	at := len(r.columns) - 1
	if len(r.to.columns) == len(theModel) {
		at = 1
	}
	f := standin.Finding{Code: standin.UnknownReference, Column: r.columns[at], Value: names[at]}
	if place < 0 && !r.to.loose {
		f.Message = fmt.Sprintf("%s would be gone, but the row %s of %s in the catalogue needs it",
			r.says(names), keyText(cells[len(r.columns):]), r.file)
		return f
	}
	f.Message = fmt.Sprintf("there is no %s in %s nor in the catalogue", r.says(names), fileList(r.to.files))
	if r.file == "stock" {
		f.Code = standin.UnknownStock
		f.Message += "; --skip-unknown-stock leaves such lines out"
	}
	return f
}

// says names the thing in a message.
func (r *reference) says(names []string) string {
	switch last := names[len(names)-1]; {
	case r.within == nil && len(names) == 1:
		return r.to.noun + " " + last
	case r.within == nil:
		return r.to.noun + " " + modelText(names)
	case len(names) == len(theRevision):
		return "revision " + last + " of board " + names[0]
	case len(names) == len(theBuildThere):
		return "build " + last + " of the " + cmp.Or(names[3], "control") + " of model " + modelText(names)
	default:
		return "build " + last + " of model " + modelText(names)
	}
}

func modelText(names []string) string {
	return standin.ModelKey{Brand: names[0], Model: names[1], Variant: names[2]}.String()
}

// keyText is a key in a message, without its empty parts.
func keyText(key []string) string {
	var parts []string
	for _, p := range key {
		if p != "" {
			parts = append(parts, p)
		}
	}
	return strings.Join(parts, ", ")
}

func fileList(names []string) string { return strings.Join(names, ".csv or ") + ".csv" }
