package db

// A model that is no longer listed stays as a bare badge while it is a twin of
// another; dropUnlisted takes the badges away that are neither.

const unlistModels = `UPDATE models t
	SET listed = false, kind = NULL, made_from = NULL, made_to = NULL, volts = NULL, hertz = NULL, serial_rule_id = NULL
	FROM delta_models d
	WHERE d.op = 'removed' AND t.brand = d.brand AND t.model = d.model AND t.variant = d.variant`

func dropUnlisted(delta string) string {
	return `DELETE FROM models m USING ` + delta + ` d
		WHERE d.op = 'removed' AND m.brand = d.brand AND m.model = d.model AND m.variant = d.variant
			AND NOT m.listed AND NOT EXISTS (SELECT FROM twins t WHERE t.model_id = m.id)`
}
