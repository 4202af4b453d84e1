package bundle

import (
	"slices"
	"strings"
)

// target says where the rows of a file are stored. In its SQL, d is a row of the
// file's delta and t a row of the table.
type target struct {
	file    string
	table   string
	prepare string   // run before rows are written, for what they refer to; may be empty
	joins   string   // find the ids of what d names
	key     []stored // columns that identify a row of the table
	rest    []stored
	then    string // run after rows are written; may be empty
	remove  string // run instead of deleting the rows from the table; may be empty
	tidy    string // run after everything is written and removed; may be empty
}

// stored is a column of a table and what it is filled with.
type stored struct{ column, value string }

// unlisted reports whether the table may have rows that are in no bundle, such as a
// source that was only named.
func (to target) unlisted() bool {
	return slices.ContainsFunc(to.rest, func(s stored) bool { return s.column == "listed" })
}

// copied are columns that hold what the bundle's columns of the same names say.
func copied(columns ...string) []stored {
	all := make([]stored, len(columns))
	for i, c := range columns {
		all[i] = stored{quoted(c), qualified("d", c)}
	}
	return all
}

// filled is one column and what it is filled with.
func filled(column, value string) []stored { return []stored{{column, value}} }

// A model, and a build of it where d names one: every build otherwise.
const (
	joinModel      = " JOIN models m ON m.brand = d.brand AND m.model = d.model AND m.variant = d.variant"
	joinModelBuild = joinModel + " LEFT JOIN (" + labelled + ") b ON b.model_id = m.id AND b.build = d.build"
	joinPart       = " JOIN parts p ON p.part_number = d.part_number"
	joinRevision   = joinPart + " LEFT JOIN revisions r ON r.part_id = p.id AND r.revision = d.revision"
	joinLayout     = " LEFT JOIN layouts l ON l.layout = d.layout"
	joinSource     = " LEFT JOIN sources s ON s.source = d.source"
	joinProcedure  = " LEFT JOIN procedures pr ON pr.procedure = d.procedure"
)

var (
	toPart     = filled("part_id", "p.id")
	toRevision = filled("revision_id", "r.id")
	toLayout   = filled("layout_id", "l.id")
	toModel    = filled("model_id", "m.id")
	toBuild    = filled("build_id", "b.id")
	toSource   = filled("source_id", "s.id")
	toProcess  = filled("procedure_id", "pr.id")
)

// targets are in the order of standin.Files: each after those it refers to.
var targets = []target{
	{
		file: "sources", table: "sources",
		key:    copied("source"),
		rest:   slices.Concat(filled("listed", "true"), copied("title", "issued", "note")),
		remove: unlistSources,
		tidy:   dropUnlistedSources,
	},
	{
		file: "procedures", table: "procedure_steps",
		prepare: `INSERT INTO procedures (procedure) SELECT DISTINCT procedure FROM delta_procedures WHERE op <> 'removed'
			ON CONFLICT (procedure) DO NOTHING`,
		joins: " JOIN procedures pr ON pr.procedure = d.procedure",
		key:   slices.Concat(toProcess, copied("phase", "step")),
		rest:  copied("do", "hold_seconds", "expect"),
		tidy: `DELETE FROM procedures p WHERE p.procedure IN (SELECT procedure FROM delta_procedures WHERE op = 'removed')
			AND NOT EXISTS (SELECT FROM procedure_steps s WHERE s.procedure_id = p.id)`,
	},
	{
		file: "families", table: "families",
		joins: joinProcedure,
		key:   copied("family"),
		rest: slices.Concat(copied("title", "method"), filled("reversible", "d.reversible = 'yes'"),
			copied("selector", "code_length", "readback", "alphabet", "panel"), toProcess, copied("note")),
	},
	{
		file: "layouts", table: "connectors",
		prepare: `INSERT INTO layouts (layout) SELECT DISTINCT layout FROM delta_layouts WHERE op <> 'removed'
			ON CONFLICT (layout) DO NOTHING`,
		joins: " JOIN layouts l ON l.layout = d.layout",
		key:   slices.Concat(toLayout, copied("connector")),
		rest:  copied("ways", "pitch_mm", "key", "circuits"),
		tidy: `DELETE FROM layouts l WHERE l.layout IN (SELECT layout FROM delta_layouts WHERE op = 'removed')
			AND NOT EXISTS (SELECT FROM connectors c WHERE c.layout_id = l.id)`,
	},
	{
		file: "adaptors", table: "adaptors",
		prepare: `INSERT INTO parts (part_number, kind) SELECT part_number, 'adaptor' FROM delta_adaptors WHERE op = 'added'`,
		joins:   joinPart + " JOIN layouts tl ON tl.layout = d.takes JOIN layouts gl ON gl.layout = d.gives",
		key:     toPart,
		rest:    slices.Concat(copied("title"), filled("takes_layout_id", "tl.id"), filled("gives_layout_id", "gl.id")),
		tidy:    `DELETE FROM parts WHERE part_number IN (SELECT part_number FROM delta_adaptors WHERE op = 'removed')`,
	},
	{
		file: "boards", table: "boards",
		prepare: `INSERT INTO parts (part_number, kind) SELECT part_number, 'board' FROM delta_boards WHERE op = 'added'`,
		joins:   joinPart + " LEFT JOIN families f ON f.family = d.family",
		key:     toPart,
		rest:    slices.Concat(filled("family_id", "f.id"), filled("position", "coalesce(d.position, '')"), copied("title", "gtin")),
		tidy:    `DELETE FROM parts WHERE part_number IN (SELECT part_number FROM delta_boards WHERE op = 'removed')`,
	},
	{
		file: "revisions", table: "revisions",
		joins: joinPart + joinLayout + joinProcedure,
		key:   slices.Concat(toPart, copied("revision")),
		rest: slices.Concat(copied("issue"), toLayout, copied("made_from", "made_to", "options", "volts_min", "volts_max", "hertz"),
			toProcess, copied("stop")),
	},
	{
		file: "markings", table: "markings",
		joins: joinRevision,
		key:   slices.Concat(copied("marking"), toPart),
		rest:  slices.Concat(toRevision, copied("note")),
	},
	{
		file: "ratings", table: "ratings",
		joins: joinPart + " JOIN revisions r ON r.part_id = p.id AND r.revision = d.revision",
		key:   slices.Concat(toRevision, copied("circuit")),
		rest:  copied("max_amps"),
	},
	{
		file: "supersessions", table: "supersessions",
		joins: " JOIN parts o ON o.part_number = d.old_part JOIN parts n ON n.part_number = d.new_part",
		key:   slices.Concat(filled("old_part_id", "o.id"), filled("new_part_id", "n.id")),
		rest:  copied("interchange", "from", "note"),
	},
	{
		file: "serial_rules", table: "serial_rules",
		key:  copied("rule"),
		rest: copied("pattern", "year_base", "note"),
	},
	{
		file: "models", table: "models",
		joins: " LEFT JOIN serial_rules sr ON sr.rule = d.serial_rule",
		key:   copied("brand", "model", "variant"),
		rest: slices.Concat(filled("listed", "true"), copied("kind", "made_from", "made_to", "volts", "hertz", "class"),
			filled("serial_rule_id", "sr.id")),
		remove: unlistModels,
		tidy:   dropUnlisted("delta_models"),
	},
	{
		file: "twins", table: "twins",
		prepare: `INSERT INTO models (brand, model, variant, listed)
			SELECT brand, model, variant, false FROM delta_twins WHERE op = 'added'
			ON CONFLICT (brand, model, variant) DO NOTHING`,
		joins: joinModel + ` JOIN models o ON o.brand = d.of_brand AND o.model = d.of_model
			AND o.variant = coalesce(d.of_variant, '')`,
		key:  toModel,
		rest: filled("of_model_id", "o.id"),
		tidy: dropUnlisted("delta_twins"),
	},
	{
		file: "builds", table: "builds",
		prepare: holdSpans + ";" + nameSources("delta_builds"),
		joins:   joinModel + joinBuildSpan + strings.Replace(joinRevision, " JOIN", " LEFT JOIN", 1) + joinLayout + joinSource,
		key:     slices.Concat(toModel, copied("position", "build")),
		rest: slices.Concat(copied("made_from", "made_to"), filled("made", "h.made"), copied("run_out_days", "serial_from", "serial_to"),
			toPart, toRevision, toLayout, copied("needs"), toSource),
		then:   keepLabels("true"),
		remove: keepLabels(staying) + ";" + removeBuilds,
		tidy:   moveSpans,
	},
	{
		file: "loads", table: "loads",
		joins: joinModel + " LEFT JOIN builds b ON b.model_id = m.id AND b.position = d.position AND b.build = d.build",
		key:   slices.Concat(toModel, copied("position"), toBuild, copied("circuit")),
		rest:  copied("watts", "volts", "element", "amps", "power_factor", "ohms_low", "ohms_high", "at_celsius"),
	},
	{
		file: "configurations", table: "configurations",
		prepare: nameSources("delta_configurations"),
		joins:   " JOIN families f ON f.family = d.family" + joinModelBuild + joinSource,
		key:     slices.Concat(toModel, filled("family_id", "f.id"), toBuild, copied("issue_from")),
		rest:    slices.Concat(copied("issue_to"), filled("code", "coalesce(d.code, '{}')"), copied("pattern"), toSource),
	},
	{
		file: "presets", table: "presets",
		joins: joinPart + joinModelBuild,
		key:   slices.Concat(toModel, toPart, toBuild),
	},
	{
		file: "stock", table: "stock",
		joins: joinRevision,
		key:   slices.Concat(toPart, copied("location"), toRevision, copied("condition")),
		rest:  copied("quantity"),
	},
}
