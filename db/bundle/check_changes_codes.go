package bundle

import (
	"context"
	"fmt"

	"standin"
)

// halfChanged finds the configurations of which the code changes and the pattern stays,
// or the reverse. The one shows the other: a right pattern is not that of another code.
// Patterns that are recorded, or taken back, are no change.
var halfChanged = check{sql: `SELECT place, ARRAY[CASE WHEN code IS DISTINCT FROM (d.old).code THEN 'code' ELSE 'pattern' END,
		array_to_string(code, ' '), array_to_string((d.old).code, ' '), pattern, (d.old).pattern] AS cells
	FROM delta_configurations d
	WHERE op = 'changed' AND code IS NOT NULL AND (d.old).code IS NOT NULL AND pattern IS NOT NULL AND (d.old).pattern IS NOT NULL
		AND (code = (d.old).code) <> (pattern = (d.old).pattern)`,
	say: func(_ *inspection, cells []string) standin.Finding {
		f := standin.Finding{Code: standin.HalfChanged, Column: cells[0], Value: cells[1],
			Message: fmt.Sprintf("the code changes from %s to %s, but its pattern stays %s: it shows the code, so one of them is probably wrong", cells[2], cells[1], cells[3])}
		if cells[0] == "pattern" {
			f.Value = cells[3]
			f.Message = fmt.Sprintf("the pattern changes from %s to %s, but its code stays %s: it shows the code, so one of them is probably wrong", cells[4], cells[3], cells[1])
		}
		return f
	},
}

// warnHalfChanged finds the codes that change without their pattern, and the reverse.
func (t *importTx) warnHalfChanged(ctx context.Context, c fileCount) ([]located, error) {
	if c.Name != "configurations" || c.changed == 0 {
		return nil, nil
	}
	found, _, err := t.run(ctx, halfChanged, mostInRows)
	return found, err
}

// newKey finds the keys of connectors that change to one which no other connector has: a
// plug and its header have the same.
var newKey = check{sql: `SELECT d.place, ARRAY[d.key, (d.old).key, d.layout, d.connector] AS cells
	FROM delta_layouts d
	WHERE op = 'changed' AND d.key IS DISTINCT FROM (d.old).key AND (d.old).key IS NOT NULL AND d.key IS NOT NULL
		AND (SELECT count(*) FROM next_layouts n WHERE n.key = d.key) = 1`,
	say: func(_ *inspection, cells []string) standin.Finding {
		return standin.Finding{Code: standin.UsedOnce, Column: "key", Value: cells[0],
			Message: fmt.Sprintf("the key of %s, connector %s, changes from %s to %s, which no other connector has: it would mate with nothing", cells[2], cells[3], cells[1], cells[0])}
	},
}

// warnNewKeys finds the connectors whose key would mate with nothing.
func (t *importTx) warnNewKeys(ctx context.Context, c fileCount) ([]located, error) {
	if c.Name != "layouts" || c.changed == 0 {
		return nil, nil
	}
	found, _, err := t.run(ctx, newKey, mostInRows)
	return found, err
}
