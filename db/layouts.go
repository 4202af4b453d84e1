package db

import (
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"

	"standin"
)

// layout returns the layout with an id, shared by everything that refers to it; nil
// for 0, which means that none is recorded.
func (l *load) layout(id int64) *standin.Layout {
	if id == 0 {
		return nil
	}
	layout := l.layouts[id]
	if layout == nil {
		if layout = l.held.layouts[id]; layout == nil {
			layout = &standin.Layout{}
		}
		l.layouts[id] = layout
	}
	return layout
}

// The connectors of the harnesses, the boards, the old parts (of which none may have
// been asked for) and the adaptors.
const connectorsSQL = `
SELECT l.id, l.layout, c.connector, c.ways, c.pitch_mm, c.key, c.circuits
FROM layouts l
JOIN connectors c ON c.layout_id = l.id
WHERE l.id = ANY (ARRAY(
	(SELECT layout_id FROM builds WHERE model_id = ANY ((SELECT current_setting('standin.models'))::bigint[])
	UNION
	SELECT layout_id FROM revisions WHERE part_id = ANY ((SELECT current_setting('standin.boards'))::bigint[])
	UNION
	SELECT unnest(coalesce(nullif((SELECT current_setting('standin.old_layouts', true)), ''), '{}')::bigint[])
	UNION
	SELECT unnest(ARRAY[takes_layout_id, gives_layout_id]) FROM adaptors
	WHERE part_id = ANY ((SELECT current_setting('standin.adaptors'))::bigint[]))
	EXCEPT
	SELECT unnest(coalesce(nullif((SELECT current_setting('standin.held_layouts', true)), ''), '{}')::bigint[])))
ORDER BY l.id, c.connector`

func (l *load) readConnectors(rows pgx.Rows) error {
	var id int64
	var name string
	var c standin.Connector
	var ways pgtype.Int4
	var pitch pgtype.Float8
	var key pgtype.Text
	var circuits []string
	_, err := pgx.ForEachRow(rows, []any{&id, &name, &c.Marking, &ways, &pitch, &key, &circuits}, func() error {
		c.Ways, c.PitchMM, c.Key, c.Circuits = maybeInt(ways), maybeFloat(pitch), maybeText(key), maybeList(circuits)
		layout := l.layout(id)
		layout.Name = name
		layout.Connectors = append(layout.Connectors, c)
		return nil
	})
	return err
}
