package bundle

// A model that is no longer listed stays as a bare badge while it is a twin of
// another; dropUnlisted takes the badges away that are neither.

const unlistModels = `UPDATE models t
	SET listed = false, kind = NULL, made_from = NULL, made_to = NULL, volts = NULL, hertz = NULL, class = NULL, serial_rule_id = NULL
	FROM delta_models d
	WHERE d.op = 'removed' AND t.brand = d.brand AND t.model = d.model AND t.variant = d.variant`

func dropUnlisted(delta string) string {
	return `DELETE FROM models m USING ` + delta + ` d
		WHERE d.op = 'removed' AND m.brand = d.brand AND m.model = d.model AND m.variant = d.variant
			AND NOT m.listed AND NOT EXISTS (SELECT FROM twins t WHERE t.model_id = m.id)`
}

// A statement may name a source that sources.csv does not list: the name is
// kept, and said to be unlisted. What is lost without the title of a document is
// no reason to refuse the statement.

func nameSources(delta string) string {
	return `INSERT INTO sources (source, listed)
		SELECT DISTINCT source, false FROM ` + delta + ` WHERE op <> 'removed' AND source <> ''
		ON CONFLICT (source) DO NOTHING`
}

// A source that is no longer listed stays as a bare name while a statement names it.
const (
	unlistSources = `UPDATE sources t SET listed = false, title = NULL, issued = NULL, note = NULL
		FROM delta_sources d WHERE d.op = 'removed' AND t.source = d.source`
	dropUnlistedSources = `DELETE FROM sources s USING delta_sources d
		WHERE d.op = 'removed' AND s.source = d.source AND NOT s.listed
			AND NOT EXISTS (SELECT FROM builds b WHERE b.source_id = s.id)
			AND NOT EXISTS (SELECT FROM configurations c WHERE c.source_id = s.id)`
)
