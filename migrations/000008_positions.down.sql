-- What the older schema has no words for is taken away rather than left to be
-- read as something else: a board of another position would be taken for the
-- control, a range of volts for one of its ends, a digit for a lamp.

DROP VIEW bundle.families, bundle.boards, bundle.models, bundle.builds, bundle.loads;

DELETE FROM loads WHERE position <> '';
DELETE FROM configurations c
WHERE c.build_id IN (SELECT id FROM builds WHERE position <> '')
   OR c.family_id IN (SELECT family_id FROM boards WHERE position <> '');
DELETE FROM presets p
WHERE p.build_id IN (SELECT id FROM builds WHERE position <> '')
   OR p.part_id IN (SELECT part_id FROM boards WHERE position <> '');
DELETE FROM builds WHERE position <> '';
UPDATE configurations SET pattern = NULL
WHERE family_id IN (SELECT id FROM families WHERE EXISTS (SELECT FROM unnest(alphabet) a WHERE a <> 'lamp'))
   OR pattern !~ '^[10f-]+$';
SET CONSTRAINTS ALL IMMEDIATE;

ALTER TABLE configurations
    DROP CONSTRAINT configuration_pattern_is_made_of_what_points_show,
    ADD CONSTRAINT configuration_pattern_is_made_of_1_0_f_and_either CHECK (pattern ~ '^[10f-]+$');
COMMENT ON COLUMN configurations.pattern IS 'A character a read-back point: 1 lit, 0 unlit, f flashing, - either.';
COMMENT ON COLUMN configurations.build_id IS 'NULL: all builds.';
COMMENT ON COLUMN presets.build_id IS 'NULL: all builds.';

DROP TRIGGER forget_trust ON families;
CREATE TRIGGER forget_trust AFTER UPDATE OF selector, code_length, readback ON families
    FOR EACH STATEMENT EXECUTE FUNCTION forget_trust();
ALTER TABLE families DROP COLUMN method, DROP COLUMN reversible, DROP COLUMN alphabet, DROP COLUMN panel;

ALTER TABLE loads
    DROP CONSTRAINT load_is_of_a_build_of_its_model,
    DROP CONSTRAINT loads_are_unique,
    DROP COLUMN position, DROP COLUMN amps, DROP COLUMN power_factor, DROP COLUMN ohms_low, DROP COLUMN ohms_high,
    DROP COLUMN at_celsius,
    ADD CONSTRAINT loads_are_unique UNIQUE NULLS NOT DISTINCT (model_id, build_id, circuit),
    ADD CONSTRAINT load_is_of_a_build_of_its_model FOREIGN KEY (model_id, build_id) REFERENCES builds (model_id, id);
COMMENT ON COLUMN loads.build_id IS 'NULL: all builds.';

ALTER TABLE builds
    DROP CONSTRAINT build_can_be_referred_to_with_its_position,
    DROP CONSTRAINT builds_of_a_model_are_unique,
    DROP CONSTRAINT builds_of_a_model_do_not_overlap,
    DROP COLUMN position,
    ADD CONSTRAINT builds_of_a_model_are_unique UNIQUE (model_id, build),
    ADD CONSTRAINT builds_of_a_model_do_not_overlap EXCLUDE USING gist (model_id WITH =, made WITH &&)
        WHERE (made_from IS NOT NULL OR made_to IS NOT NULL) DEFERRABLE INITIALLY DEFERRED;

ALTER TABLE boards DROP COLUMN position;

ALTER TABLE models
    DROP CONSTRAINT model_volts_are_voltages_or_ranges,
    DROP CONSTRAINT model_hertz_are_positive,
    DROP COLUMN class,
    ALTER COLUMN volts TYPE double precision USING CASE WHEN volts ~ '^[0-9.]+$' THEN volts::double precision END,
    ALTER COLUMN hertz TYPE double precision USING CASE WHEN cardinality(hertz) = 1 THEN hertz[1] END,
    ADD CONSTRAINT model_volts_are_positive CHECK (volts > 0),
    ADD CONSTRAINT model_hertz_are_positive CHECK (hertz > 0);

CREATE VIEW bundle.families AS
SELECT f.family, f.title, nullif(f.selector, '{}') AS selector, f.code_length::bigint,
       nullif(f.readback, '{}') AS readback, p.procedure, f.note
FROM families f
LEFT JOIN procedures p ON p.id = f.procedure_id;

CREATE VIEW bundle.boards AS
SELECT p.part_number, f.family, b.title, b.gtin
FROM boards b
JOIN parts p ON p.id = b.part_id
LEFT JOIN families f ON f.id = b.family_id;

CREATE VIEW bundle.models AS
SELECT m.brand, m.model, m.variant, m.kind, m.made_from, m.made_to, m.volts, m.hertz, r.rule AS serial_rule
FROM models m
LEFT JOIN serial_rules r ON r.id = m.serial_rule_id
WHERE m.listed;
COMMENT ON VIEW bundle.models IS 'A badge that is known only as a twin is not a row of models.csv.';

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

-- Likewise what was imported: what differs in the new columns alone is no change
-- any more.

CREATE FUNCTION pg_temp.older(file text, said jsonb) RETURNS jsonb LANGUAGE sql IMMUTABLE AS $$
    SELECT CASE file
        WHEN 'models' THEN said - 'class' - 'volts' - 'hertz' || jsonb_strip_nulls(jsonb_build_object(
            'volts', CASE WHEN said ->> 'volts' ~ '^[0-9.]+$' THEN (said ->> 'volts')::double precision END,
            'hertz', CASE WHEN jsonb_array_length(said -> 'hertz') = 1 THEN said -> 'hertz' -> 0 END))
        WHEN 'families' THEN said - 'method' - 'reversible' - 'alphabet' - 'panel'
        ELSE said - 'position' - 'amps' - 'power_factor' - 'ohms_low' - 'ohms_high' - 'at_celsius'
    END
$$;
DELETE FROM changes
WHERE file IN ('builds', 'loads') AND key ->> 'position' <> ''
   OR file IN ('models', 'families', 'boards', 'builds', 'loads')
      AND pg_temp.older(file, before) IS NOT DISTINCT FROM pg_temp.older(file, after);
UPDATE changes
SET key = key - 'position', before = pg_temp.older(file, before), after = pg_temp.older(file, after)
WHERE file IN ('models', 'families', 'boards', 'builds', 'loads');
