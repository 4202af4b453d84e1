package bundle

import "fmt"

// A family is exported with all that its rows refer to, so that the bundle can be
// imported by itself. Boards of other families are included as factory boards, with
// the row of their family but without its configurations.

// chosen are subqueries that select the names to export, each built on those before
// it.
var chosen = []string{
	"chosen_family (family) AS (SELECT " + theFamily + ")",
	"chosen_boards (part_number) AS (SELECT part_number FROM bundle.boards JOIN chosen_family USING (family))",
	`chosen_models (brand, model, variant) AS (
		SELECT brand, model, variant FROM bundle.configurations JOIN chosen_family USING (family)
		UNION SELECT brand, model, variant FROM bundle.presets JOIN chosen_boards USING (part_number))`,
	`chosen_badges (brand, model, variant) AS (
		WITH RECURSIVE badges AS (
			SELECT brand, model, variant FROM chosen_models
			UNION
			SELECT t.brand, t.model, t.variant FROM badges b
			JOIN bundle.twins t ON t.of_brand = b.brand AND t.of_model = b.model AND coalesce(t.of_variant, '') = b.variant
		) SELECT brand, model, variant FROM badges)`,
	`chosen_parts (part_number) AS (
		SELECT part_number FROM chosen_boards
		UNION SELECT part_number FROM bundle.builds JOIN chosen_models USING (brand, model, variant) WHERE part_number IS NOT NULL)`,
	`chosen_layouts (layout) AS (
		SELECT layout FROM bundle.revisions JOIN chosen_parts USING (part_number) WHERE layout IS NOT NULL
		UNION SELECT layout FROM bundle.builds JOIN chosen_models USING (brand, model, variant) WHERE layout IS NOT NULL)`,
	`chosen_families (family) AS (
		SELECT family FROM chosen_family
		UNION SELECT family FROM bundle.boards JOIN chosen_parts USING (part_number) WHERE family IS NOT NULL)`,
	`chosen_procedures (procedure) AS (
		SELECT procedure FROM bundle.families JOIN chosen_families USING (family) WHERE procedure IS NOT NULL
		UNION SELECT procedure FROM bundle.revisions JOIN chosen_parts USING (part_number) WHERE procedure IS NOT NULL)`,
	`chosen_sources (source) AS (
		SELECT source FROM bundle.configurations JOIN chosen_family USING (family) WHERE source IS NOT NULL
		UNION SELECT source FROM bundle.builds JOIN chosen_models USING (brand, model, variant) WHERE source IS NOT NULL)`,
	`chosen_rules (rule) AS (
		SELECT serial_rule FROM bundle.models JOIN chosen_badges USING (brand, model, variant) WHERE serial_rule IS NOT NULL)`,
}

// among is the condition that columns of b are among what was chosen.
func among(columns, table, chosen string) string {
	return fmt.Sprintf("(%s) IN (SELECT %s FROM %s)", columns, chosen, table)
}

const ofBrand, brandModel = "b.brand, b.model, b.variant", "brand, model, variant"

// ofExported says which rows of a file are exported with a family. Stock and
// presets are those of its own boards; adaptors and supersessions are those of which
// both ends are exported.
var ofExported = map[string]string{
	"sources":    among("b.source", "chosen_sources", "source"),
	"procedures": among("b.procedure", "chosen_procedures", "procedure"),
	"families":   among("b.family", "chosen_families", "family"),
	"layouts":    among("b.layout", "chosen_layouts", "layout"),
	"adaptors":   among("b.takes", "chosen_layouts", "layout") + " AND " + among("b.gives", "chosen_layouts", "layout"),
	"boards":     among("b.part_number", "chosen_parts", "part_number"),
	"revisions":  among("b.part_number", "chosen_parts", "part_number"),
	"markings":   among("b.part_number", "chosen_parts", "part_number"),
	"ratings":    among("b.part_number", "chosen_parts", "part_number"),
	"supersessions": among("b.old_part", "chosen_parts", "part_number") + " AND " +
		among("b.new_part", "chosen_parts", "part_number"),
	"serial_rules":   among("b.rule", "chosen_rules", "rule"),
	"models":         among(ofBrand, "chosen_badges", brandModel),
	"twins":          among(ofBrand, "chosen_badges", brandModel) + " AND " + among("b.of_brand, b.of_model, coalesce(b.of_variant, '')", "chosen_badges", brandModel),
	"builds":         among(ofBrand, "chosen_models", brandModel),
	"loads":          among(ofBrand, "chosen_models", brandModel),
	"configurations": among("b.family", "chosen_family", "family"),
	"presets":        among("b.part_number", "chosen_boards", "part_number"),
	"stock":          among("b.part_number", "chosen_boards", "part_number"),
}
