package bundle

import "strings"

// target says where the rows of a file are stored. Its SQL speaks of d, a row
// of the file's delta, and of t, a row of the table.
type target struct {
	file    string
	table   string
	prepare string   // before rows are written: what they hang on; may be empty
	joins   string   // that find the ids of what d names
	key     []stored // columns that tell the rows of the table apart
	rest    []stored
	remove  string // instead of deleting the rows from the table; may be empty
	tidy    string // after all has been written and removed; may be empty
}

// stored is a column of a table and what it is filled with.
type stored struct{ column, value string }

// as is a column that holds what the bundle's column of the same name says.
func as(columns ...string) []stored {
	all := make([]stored, len(columns))
	for i, c := range columns {
		all[i] = stored{quoted(c), of("d", c)}
	}
	return all
}

func with(parts ...any) []stored {
	var all []stored
	for _, p := range parts {
		switch p := p.(type) {
		case stored:
			all = append(all, p)
		case []stored:
			all = append(all, p...)
		}
	}
	return all
}

// A model, and a build of it where d names one: every build otherwise.
const (
	joinModel      = " JOIN models m ON m.brand = d.brand AND m.model = d.model AND m.variant = d.variant"
	joinModelBuild = joinModel + " LEFT JOIN builds b ON b.model_id = m.id AND b.build = d.build"
	joinPart       = " JOIN parts p ON p.part_number = d.part_number"
	joinRevision   = joinPart + " LEFT JOIN revisions r ON r.part_id = p.id AND r.revision = d.revision"
	joinLayout     = " LEFT JOIN layouts l ON l.layout = d.layout"
	joinSource     = " LEFT JOIN sources s ON s.source = d.source"
	joinProcedure  = " LEFT JOIN procedures pr ON pr.procedure = d.procedure"
)

var (
	toPart     = stored{"part_id", "p.id"}
	toRevision = stored{"revision_id", "r.id"}
	toLayout   = stored{"layout_id", "l.id"}
	toModel    = stored{"model_id", "m.id"}
	toBuild    = stored{"build_id", "b.id"}
	toSource   = stored{"source_id", "s.id"}
	toProcess  = stored{"procedure_id", "pr.id"}
)

// targets are in the order of standin.Files: each after those it refers to.
var targets = []target{
	{
		file: "sources", table: "sources",
		key:    as("source"),
		rest:   with(stored{"listed", "true"}, as("title", "issued", "note")),
		remove: unlistSources,
		tidy:   dropUnlistedSources,
	},
	{
		file: "procedures", table: "procedure_steps",
		prepare: `INSERT INTO procedures (procedure) SELECT DISTINCT procedure FROM delta_procedures WHERE op <> 'removed'
			ON CONFLICT (procedure) DO NOTHING`,
		joins: " JOIN procedures pr ON pr.procedure = d.procedure",
		key:   with(toProcess, as("phase", "step")),
		rest:  as("do", "hold_seconds", "expect"),
		tidy: `DELETE FROM procedures p WHERE p.procedure IN (SELECT procedure FROM delta_procedures WHERE op = 'removed')
			AND NOT EXISTS (SELECT FROM procedure_steps s WHERE s.procedure_id = p.id)`,
	},
	{
		file: "families", table: "families",
		joins: joinProcedure,
		key:   as("family"),
		rest:  with(as("title", "selector", "code_length", "readback"), toProcess, as("note")),
	},
	{
		file: "layouts", table: "connectors",
		prepare: `INSERT INTO layouts (layout) SELECT DISTINCT layout FROM delta_layouts WHERE op <> 'removed'
			ON CONFLICT (layout) DO NOTHING`,
		joins: " JOIN layouts l ON l.layout = d.layout",
		key:   with(toLayout, as("connector")),
		rest:  as("ways", "pitch_mm", "key", "circuits"),
		tidy: `DELETE FROM layouts l WHERE l.layout IN (SELECT layout FROM delta_layouts WHERE op = 'removed')
			AND NOT EXISTS (SELECT FROM connectors c WHERE c.layout_id = l.id)`,
	},
	{
		file: "adaptors", table: "adaptors",
		prepare: `INSERT INTO parts (part_number, kind) SELECT part_number, 'adaptor' FROM delta_adaptors WHERE op = 'added'`,
		joins:   joinPart + " JOIN layouts tl ON tl.layout = d.takes JOIN layouts gl ON gl.layout = d.gives",
		key:     with(toPart),
		rest:    with(as("title"), stored{"takes_layout_id", "tl.id"}, stored{"gives_layout_id", "gl.id"}),
		tidy:    `DELETE FROM parts WHERE part_number IN (SELECT part_number FROM delta_adaptors WHERE op = 'removed')`,
	},
	{
		file: "boards", table: "boards",
		prepare: `INSERT INTO parts (part_number, kind) SELECT part_number, 'board' FROM delta_boards WHERE op = 'added'`,
		joins:   joinPart + " LEFT JOIN families f ON f.family = d.family",
		key:     with(toPart),
		rest:    with(stored{"family_id", "f.id"}, as("title", "gtin")),
		tidy:    `DELETE FROM parts WHERE part_number IN (SELECT part_number FROM delta_boards WHERE op = 'removed')`,
	},
	{
		file: "revisions", table: "revisions",
		joins: joinPart + joinLayout + joinProcedure,
		key:   with(toPart, as("revision")),
		rest: with(as("issue"), toLayout, as("made_from", "made_to", "options", "volts_min", "volts_max", "hertz"),
			toProcess, as("stop")),
	},
	{
		file: "markings", table: "markings",
		joins: joinRevision,
		key:   with(as("marking"), toPart),
		rest:  with(toRevision, as("note")),
	},
	{
		file: "ratings", table: "ratings",
		joins: joinPart + " JOIN revisions r ON r.part_id = p.id AND r.revision = d.revision",
		key:   with(toRevision, as("circuit")),
		rest:  as("max_amps"),
	},
	{
		file: "supersessions", table: "supersessions",
		joins: " JOIN parts o ON o.part_number = d.old_part JOIN parts n ON n.part_number = d.new_part",
		key:   with(stored{"old_part_id", "o.id"}, stored{"new_part_id", "n.id"}),
		rest:  as("interchange", "from", "note"),
	},
	{
		file: "serial_rules", table: "serial_rules",
		key:  as("rule"),
		rest: as("pattern", "year_base", "note"),
	},
	{
		file: "models", table: "models",
		joins: " LEFT JOIN serial_rules sr ON sr.rule = d.serial_rule",
		key:   as("brand", "model", "variant"),
		rest: with(stored{"listed", "true"}, as("kind", "made_from", "made_to", "volts", "hertz"),
			stored{"serial_rule_id", "sr.id"}),
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
		key:  with(toModel),
		rest: with(stored{"of_model_id", "o.id"}),
		tidy: dropUnlisted("delta_twins"),
	},
	{
		file: "builds", table: "builds",
		prepare: holdSpans + ";" + nameSources("delta_builds"),
		joins:   joinModel + joinBuildSpan + strings.Replace(joinRevision, " JOIN", " LEFT JOIN", 1) + joinLayout + joinSource,
		key:     with(toModel, as("build")),
		rest: with(as("made_from", "made_to"), stored{"made", "h.made"}, as("run_out_days", "serial_from", "serial_to"),
			toPart, toRevision, toLayout, as("needs"), toSource),
		tidy: moveSpans,
	},
	{
		file: "loads", table: "loads",
		joins: joinModelBuild,
		key:   with(toModel, toBuild, as("circuit")),
		rest:  as("watts", "volts", "element"),
	},
	{
		file: "configurations", table: "configurations",
		prepare: nameSources("delta_configurations"),
		joins:   " JOIN families f ON f.family = d.family" + joinModelBuild + joinSource,
		key:     with(toModel, stored{"family_id", "f.id"}, toBuild, as("issue_from")),
		rest:    with(as("issue_to"), stored{"code", "coalesce(d.code, '{}')"}, as("pattern"), toSource),
	},
	{
		file: "presets", table: "presets",
		joins: joinPart + joinModelBuild,
		key:   with(toModel, toPart, toBuild),
	},
	{
		file: "stock", table: "stock",
		joins: joinRevision,
		key:   with(toPart, as("location"), toRevision, as("condition")),
		rest:  as("quantity"),
	},
}
