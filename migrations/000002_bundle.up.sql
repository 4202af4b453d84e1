-- What is stored, as a bundle says it: a view a file, with the columns, types
-- and natural keys of that file. Import, audit, undo and export share them. A
-- key column that may be empty is the empty text, so that keys compare with =;
-- issue_from alone is NULL where it is not recorded.

CREATE SCHEMA bundle;
COMMENT ON SCHEMA bundle IS 'The catalogue as the files of a bundle say it, a view a file.';

CREATE VIEW bundle.sources AS
SELECT source, title, issued, note
FROM sources
WHERE listed;

CREATE VIEW bundle.procedures AS
SELECT p.procedure, s.phase, s.step::bigint, s."do", s.hold_seconds, s.expect
FROM procedure_steps s
JOIN procedures p ON p.id = s.procedure_id;

CREATE VIEW bundle.families AS
SELECT f.family, f.title, nullif(f.selector, '{}') AS selector, f.code_length::bigint,
       nullif(f.readback, '{}') AS readback, p.procedure, f.note
FROM families f
LEFT JOIN procedures p ON p.id = f.procedure_id;

CREATE VIEW bundle.layouts AS
SELECT l.layout, c.connector, c.ways::bigint, c.pitch_mm, c.key, nullif(c.circuits, '{}') AS circuits
FROM connectors c
JOIN layouts l ON l.id = c.layout_id;

CREATE VIEW bundle.adaptors AS
SELECT p.part_number, a.title, t.layout AS takes, g.layout AS gives
FROM adaptors a
JOIN parts p ON p.id = a.part_id
JOIN layouts t ON t.id = a.takes_layout_id
JOIN layouts g ON g.id = a.gives_layout_id;

CREATE VIEW bundle.boards AS
SELECT p.part_number, f.family, b.title, b.gtin
FROM boards b
JOIN parts p ON p.id = b.part_id
LEFT JOIN families f ON f.id = b.family_id;

CREATE VIEW bundle.revisions AS
SELECT p.part_number, r.revision, r.issue::bigint, l.layout, r.made_from, r.made_to, r.options,
       r.volts_min, r.volts_max, nullif(r.hertz, '{}') AS hertz, pr.procedure, r.stop
FROM revisions r
JOIN parts p ON p.id = r.part_id
LEFT JOIN layouts l ON l.id = r.layout_id
LEFT JOIN procedures pr ON pr.id = r.procedure_id;

CREATE VIEW bundle.markings AS
SELECT m.marking, p.part_number, r.revision, m.note
FROM markings m
JOIN parts p ON p.id = m.part_id
LEFT JOIN revisions r ON r.id = m.revision_id;

CREATE VIEW bundle.ratings AS
SELECT p.part_number, r.revision, c.circuit, c.max_amps
FROM ratings c
JOIN revisions r ON r.id = c.revision_id
JOIN parts p ON p.id = r.part_id;

CREATE VIEW bundle.supersessions AS
SELECT o.part_number AS old_part, n.part_number AS new_part, s.interchange, s."from", s.note
FROM supersessions s
JOIN parts o ON o.id = s.old_part_id
JOIN parts n ON n.id = s.new_part_id;

CREATE VIEW bundle.serial_rules AS
SELECT rule, pattern, year_base::bigint, note
FROM serial_rules;

CREATE VIEW bundle.models AS
SELECT m.brand, m.model, m.variant, m.kind, m.made_from, m.made_to, m.volts, m.hertz, r.rule AS serial_rule
FROM models m
LEFT JOIN serial_rules r ON r.id = m.serial_rule_id
WHERE m.listed;
COMMENT ON VIEW bundle.models IS 'A badge that is known only as a twin is not a row of models.csv.';

CREATE VIEW bundle.twins AS
SELECT m.brand, m.model, m.variant, o.brand AS of_brand, o.model AS of_model, nullif(o.variant, '') AS of_variant
FROM twins t
JOIN models m ON m.id = t.model_id
JOIN models o ON o.id = t.of_model_id;

CREATE VIEW bundle.builds AS
SELECT m.brand, m.model, m.variant, b.build, b.made_from, b.made_to, b.run_out_days::bigint,
       b.serial_from, b.serial_to, p.part_number, r.revision, l.layout, b.needs, s.source
FROM builds b
JOIN models m ON m.id = b.model_id
LEFT JOIN parts p ON p.id = b.part_id
LEFT JOIN revisions r ON r.id = b.revision_id
LEFT JOIN layouts l ON l.id = b.layout_id
LEFT JOIN sources s ON s.id = b.source_id;

CREATE VIEW bundle.loads AS
SELECT m.brand, m.model, m.variant, coalesce(b.build, '') AS build, l.circuit, l.watts, l.volts, l.element
FROM loads l
JOIN models m ON m.id = l.model_id
LEFT JOIN builds b ON b.id = l.build_id;

CREATE VIEW bundle.configurations AS
SELECT f.family, m.brand, m.model, m.variant, coalesce(b.build, '') AS build, c.issue_from::bigint, c.issue_to::bigint,
       nullif(c.code, '{}') AS code, c.pattern, s.source
FROM configurations c
JOIN families f ON f.id = c.family_id
JOIN models m ON m.id = c.model_id
LEFT JOIN builds b ON b.id = c.build_id
LEFT JOIN sources s ON s.id = c.source_id;

CREATE VIEW bundle.presets AS
SELECT p.part_number, m.brand, m.model, m.variant, coalesce(b.build, '') AS build
FROM presets r
JOIN parts p ON p.id = r.part_id
JOIN models m ON m.id = r.model_id
LEFT JOIN builds b ON b.id = r.build_id;

CREATE VIEW bundle.stock AS
SELECT s.location, p.part_number, coalesce(r.revision, '') AS revision, s.condition, s.quantity::bigint
FROM stock s
JOIN parts p ON p.id = s.part_id
LEFT JOIN revisions r ON r.id = s.revision_id;
