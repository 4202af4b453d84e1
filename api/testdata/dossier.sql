\set model random(1, :models)
WITH RECURSIVE asked AS MATERIALIZED (
	SELECT * FROM models WHERE id = :model
), reachable (part_id) AS (
	SELECT b.part_id FROM builds b, asked m WHERE b.model_id = m.id AND b.part_id IS NOT NULL
	UNION
	SELECT next.part_id
	FROM reachable r, LATERAL (
		SELECT s.new_part_id FROM supersessions s WHERE s.old_part_id = r.part_id
		UNION ALL
		SELECT s.old_part_id FROM supersessions s WHERE s.new_part_id = r.part_id AND s.interchange = 'two-way'
	) AS next (part_id)
), plugs (round, ways) AS (
	SELECT 1, ARRAY(
		SELECT DISTINCT coalesce(c.ways, 0) FROM connectors c
		WHERE c.layout_id IN (SELECT b.layout_id FROM builds b, asked m WHERE b.model_id = m.id))
	UNION ALL
	SELECT round + 1, ways || ARRAY(SELECT DISTINCT unnest(gives_ways) FROM adaptors WHERE takes_ways <@ (plugs.ways || 0))
	FROM plugs WHERE round < 3
), usable AS (
	SELECT a.* FROM plugs l, adaptors a WHERE l.round = 3 AND (0 = ANY (l.ways) OR a.takes_ways <@ (l.ways || 0))
	LIMIT :adaptors -- which of them mate by pitch and key the core decides; as many as those on average
)
SELECT json_build_object(
	'state', (SELECT row_to_json(s) FROM catalogue_state s),
	'model', (SELECT row_to_json(m) FROM asked m),
	'builds', (SELECT json_agg(b) FROM builds b, asked m WHERE b.model_id = m.id),
	'loads', (SELECT json_agg(l) FROM loads l, asked m WHERE l.model_id = m.id),
	'harnesses', (SELECT json_agg(c) FROM connectors c WHERE c.layout_id IN (SELECT b.layout_id FROM builds b, asked m WHERE b.model_id = m.id)),
	'adaptors', (SELECT json_agg(json_build_object(
			'adaptor', a,
			'takes', (SELECT json_agg(c) FROM connectors c WHERE c.layout_id = a.takes_layout_id),
			'gives', (SELECT json_agg(c) FROM connectors c WHERE c.layout_id = a.gives_layout_id),
			'stock', (SELECT json_agg(s) FROM stock s WHERE s.part_id = a.part_id)))
		FROM usable a),
	'configurations', (SELECT json_agg(json_build_object('configuration', c, 'trust', (
			SELECT row_to_json(t) FROM settings t
			WHERE t.family_id = c.family_id AND t.code = array_to_string(c.code, ' ') AND t.pattern = c.pattern)))
		FROM configurations c, asked m WHERE c.model_id = m.id),
	'families', (SELECT json_agg(json_build_object('family', f, 'steps', (
			SELECT json_agg(p) FROM procedure_steps p WHERE p.procedure_id = f.procedure_id)))
		FROM families f WHERE f.id IN (SELECT c.family_id FROM configurations c, asked m WHERE c.model_id = m.id)),
	'presets', (SELECT json_agg(p) FROM presets p, asked m WHERE p.model_id = m.id),
	'boards', (SELECT json_agg(json_build_object(
			'board', b,
			'stock', (SELECT json_agg(s) FROM stock s WHERE s.part_id = b.part_id),
			'supersessions', (SELECT json_agg(s) FROM supersessions s WHERE s.old_part_id = b.part_id),
			'revisions', (SELECT json_agg(json_build_object(
					'revision', r,
					'ratings', (SELECT json_agg(g) FROM ratings g WHERE g.revision_id = r.id),
					'headers', (SELECT json_agg(c) FROM connectors c WHERE c.layout_id = r.layout_id)))
				FROM revisions r WHERE r.part_id = b.part_id)))
		FROM boards b
		WHERE b.part_id = ANY (ARRAY(
			SELECT f.part_id FROM boards f WHERE f.family_id IN (SELECT c.family_id FROM configurations c, asked m WHERE c.model_id = m.id)
			UNION SELECT part_id FROM reachable
			UNION SELECT p.part_id FROM presets p, asked m WHERE p.model_id = m.id))))
