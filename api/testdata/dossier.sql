\set model random(1, :models)
SELECT json_build_object(
	'state', (SELECT row_to_json(s) FROM catalogue_state s),
	'model', row_to_json(m),
	'builds', (SELECT json_agg(b) FROM builds b WHERE b.model_id = m.id),
	'loads', (SELECT json_agg(l) FROM loads l WHERE l.model_id = m.id),
	'harnesses', (SELECT json_agg(c) FROM connectors c WHERE c.layout_id IN (SELECT b.layout_id FROM builds b WHERE b.model_id = m.id)),
	'adaptors', (SELECT json_agg(json_build_object('adaptor', a, 'stock', (SELECT json_agg(s) FROM stock s WHERE s.part_id = a.part_id)))
		FROM adaptors a
		WHERE a.takes_layout_id IN (SELECT b.layout_id FROM builds b WHERE b.model_id = m.id)),
	'configurations', (SELECT json_agg(json_build_object('configuration', c, 'trust', (
			SELECT row_to_json(t) FROM settings t
			WHERE t.family_id = c.family_id AND t.code = array_to_string(c.code, ' ') AND t.pattern = c.pattern)))
		FROM configurations c WHERE c.model_id = m.id),
	'families', (SELECT json_agg(json_build_object('family', f, 'steps', (
			SELECT json_agg(p) FROM procedure_steps p WHERE p.procedure_id = f.procedure_id)))
		FROM families f WHERE f.id IN (SELECT c.family_id FROM configurations c WHERE c.model_id = m.id)),
	'presets', (SELECT json_agg(p) FROM presets p WHERE p.model_id = m.id),
	'boards', (SELECT json_agg(json_build_object(
			'board', b,
			'stock', (SELECT json_agg(s) FROM stock s WHERE s.part_id = b.part_id),
			'superseded by', (SELECT json_agg(s) FROM supersessions s WHERE s.old_part_id = b.part_id),
			'revisions', (SELECT json_agg(json_build_object(
					'revision', r,
					'ratings', (SELECT json_agg(g) FROM ratings g WHERE g.revision_id = r.id),
					'headers', (SELECT json_agg(c) FROM connectors c WHERE c.layout_id = r.layout_id)))
				FROM revisions r WHERE r.part_id = b.part_id)))
		FROM boards b
		WHERE b.part_id IN (
			SELECT f.part_id FROM boards f WHERE f.family_id IN (SELECT c.family_id FROM configurations c WHERE c.model_id = m.id)
			UNION SELECT o.part_id FROM builds o WHERE o.model_id = m.id
			UNION SELECT p.part_id FROM presets p WHERE p.model_id = m.id)))
FROM models m WHERE m.id = :model;
