-- Machines with several boards, plates with several voltages and frequencies,
-- loads as they can be measured, and families that are configured or read back
-- otherwise than by a selector and lamps.

DROP VIEW bundle.families, bundle.boards, bundle.models, bundle.builds, bundle.loads;

-- Families

ALTER TABLE families
    ADD COLUMN method     text COLLATE "C",
    ADD COLUMN reversible boolean,
    ADD COLUMN alphabet   text[],
    ADD COLUMN panel      text[],
    ADD CONSTRAINT family_method_is_known CHECK (
        method IN ('selector', 'switches', 'jumpers', 'resistor', 'chip', 'tool', 'contactless')),
    ADD CONSTRAINT family_alphabet_is_one_for_all_points_or_one_a_point CHECK (
        cardinality(alphabet) IN (1, readback_points));
COMMENT ON COLUMN families.method IS 'How its boards are configured; NULL: by a selector.';
COMMENT ON COLUMN families.reversible IS 'Whether what is configured can be undone.';
COMMENT ON COLUMN families.alphabet IS 'What a read-back point may show: lamp, digit, sign, or colours joined by hyphens; one for all points or one a point. NULL: lamps.';
COMMENT ON COLUMN families.panel IS 'The read-back points as they lie, row by row, with / between rows.';

DROP TRIGGER forget_trust ON families;
CREATE TRIGGER forget_trust AFTER UPDATE OF selector, code_length, readback, alphabet ON families
    FOR EACH STATEMENT EXECUTE FUNCTION forget_trust();

ALTER TABLE configurations
    DROP CONSTRAINT configuration_pattern_is_made_of_1_0_f_and_either,
    ADD CONSTRAINT configuration_pattern_is_made_of_what_points_show CHECK (pattern ~ '^[0-9A-Za-z-]+$');
COMMENT ON COLUMN configurations.pattern IS 'A character a read-back point: for a lamp 1 lit, 0 unlit, f flashing; for others one of its alphabet; - either.';

-- Several boards in a machine

ALTER TABLE boards ADD COLUMN position text COLLATE "C" NOT NULL DEFAULT '';
COMMENT ON COLUMN boards.position IS 'Which of the boards of a machine it is: display, motor …; empty: the control.';

ALTER TABLE builds
    ADD COLUMN position text COLLATE "C" NOT NULL DEFAULT '',
    DROP CONSTRAINT builds_of_a_model_are_unique,
    DROP CONSTRAINT builds_of_a_model_do_not_overlap,
    ADD CONSTRAINT builds_of_a_model_are_unique UNIQUE (model_id, position, build),
    ADD CONSTRAINT build_can_be_referred_to_with_its_position UNIQUE (model_id, position, id),
    ADD CONSTRAINT builds_of_a_model_do_not_overlap EXCLUDE USING gist (model_id WITH =, position WITH =, made WITH &&)
        WHERE (made_from IS NOT NULL OR made_to IS NOT NULL) DEFERRABLE INITIALLY DEFERRED;
COMMENT ON COLUMN builds.position IS 'The board that it is about, as in boards.';
COMMENT ON COLUMN configurations.build_id IS 'NULL: all builds. A label stands for the builds of all positions that have it; kept is the first of these.';
COMMENT ON COLUMN presets.build_id IS 'NULL: all builds; else as in configurations.';

ALTER TABLE loads
    ADD COLUMN position     text COLLATE "C" NOT NULL DEFAULT '',
    ADD COLUMN amps         double precision,
    ADD COLUMN power_factor double precision,
    ADD COLUMN ohms_low     double precision,
    ADD COLUMN ohms_high    double precision,
    ADD COLUMN at_celsius   double precision,
    DROP CONSTRAINT loads_are_unique,
    DROP CONSTRAINT load_is_of_a_build_of_its_model,
    ADD CONSTRAINT loads_are_unique UNIQUE NULLS NOT DISTINCT (model_id, position, build_id, circuit),
    ADD CONSTRAINT load_is_of_a_build_of_its_model FOREIGN KEY (model_id, position, build_id) REFERENCES builds (model_id, position, id),
    ADD CONSTRAINT load_amps_are_not_negative CHECK (amps >= 0),
    ADD CONSTRAINT load_power_factor_is_a_share CHECK (power_factor > 0 AND power_factor <= 1),
    ADD CONSTRAINT load_ohms_are_not_negative CHECK (ohms_low >= 0 AND ohms_high >= 0),
    ADD CONSTRAINT load_ohms_are_in_order CHECK (ohms_low <= ohms_high),
    ADD CONSTRAINT load_temperature_is_above_absolute_zero CHECK (at_celsius > -273.15);
COMMENT ON COLUMN loads.position IS 'The board that switches it, as in boards.';
COMMENT ON COLUMN loads.build_id IS 'NULL: all builds of the position.';
COMMENT ON COLUMN loads.amps IS 'The rated current.';
COMMENT ON COLUMN loads.ohms_low IS 'The least resistance to expect at its terminals, with ohms_high the most.';
COMMENT ON COLUMN loads.at_celsius IS 'The temperature at which the ohms hold.';

-- Plates as they are. An array of pairs would do for the volts; the text of the
-- plate says the same and is what people compare it with.

ALTER TABLE models
    ADD COLUMN class text COLLATE "C",
    DROP CONSTRAINT model_volts_are_positive,
    DROP CONSTRAINT model_hertz_are_positive,
    ALTER COLUMN volts TYPE text COLLATE "C" USING trim_scale(volts::numeric)::text,
    ALTER COLUMN hertz TYPE double precision[] USING CASE WHEN hertz IS NOT NULL THEN ARRAY[hertz] END,
    ADD CONSTRAINT model_volts_are_voltages_or_ranges CHECK (
        volts ~ '^\d+(\.\d+)?(-\d+(\.\d+)?)?(/\d+(\.\d+)?(-\d+(\.\d+)?)?)*$'),
    ADD CONSTRAINT model_hertz_are_positive CHECK (0 < ALL (hertz)),
    ADD CONSTRAINT model_class_is_i_ii_or_iii CHECK (class IN ('I', 'II', 'III'));
COMMENT ON COLUMN models.volts IS 'The rated voltages as the plate has them: 230, 220-240 or 110-120/220-240.';
COMMENT ON COLUMN models.hertz IS 'The rated frequencies.';
COMMENT ON COLUMN models.class IS 'The class of protection against electric shock.';

-- The views again, with their new columns in the order of the bundle

CREATE VIEW bundle.families AS
SELECT f.family, f.title, f.method, CASE f.reversible WHEN true THEN 'yes' WHEN false THEN 'no' END AS reversible,
       nullif(f.selector, '{}') AS selector, f.code_length::bigint, nullif(f.readback, '{}') AS readback,
       nullif(f.alphabet, '{}') AS alphabet, nullif(f.panel, '{}') AS panel, p.procedure, f.note
FROM families f
LEFT JOIN procedures p ON p.id = f.procedure_id;

CREATE VIEW bundle.boards AS
SELECT p.part_number, f.family, nullif(b.position, '') AS position, b.title, b.gtin
FROM boards b
JOIN parts p ON p.id = b.part_id
LEFT JOIN families f ON f.id = b.family_id;

CREATE VIEW bundle.models AS
SELECT m.brand, m.model, m.variant, m.kind, m.made_from, m.made_to, m.volts, nullif(m.hertz, '{}') AS hertz, m.class,
       r.rule AS serial_rule
FROM models m
LEFT JOIN serial_rules r ON r.id = m.serial_rule_id
WHERE m.listed;
COMMENT ON VIEW bundle.models IS 'A badge that is known only as a twin is not a row of models.csv.';

CREATE VIEW bundle.builds AS
SELECT m.brand, m.model, m.variant, b.position, b.build, b.made_from, b.made_to, b.run_out_days::bigint,
       b.serial_from, b.serial_to, p.part_number, r.revision, l.layout, b.needs, s.source
FROM builds b
JOIN models m ON m.id = b.model_id
LEFT JOIN parts p ON p.id = b.part_id
LEFT JOIN revisions r ON r.id = b.revision_id
LEFT JOIN layouts l ON l.id = b.layout_id
LEFT JOIN sources s ON s.id = b.source_id;

CREATE VIEW bundle.loads AS
SELECT m.brand, m.model, m.variant, l.position, coalesce(b.build, '') AS build, l.circuit, l.watts, l.volts, l.element,
       l.amps, l.power_factor, l.ohms_low, l.ohms_high, l.at_celsius
FROM loads l
JOIN models m ON m.id = l.model_id
LEFT JOIN builds b ON b.id = l.build_id;

-- What was imported before is kept in the form that the views now have, so that
-- it can still be undone.

UPDATE changes
SET before = before || jsonb_strip_nulls(jsonb_build_object('volts', before ->> 'volts', 'hertz',
        CASE WHEN before ? 'hertz' THEN jsonb_build_array(before -> 'hertz') END)),
    after = after || jsonb_strip_nulls(jsonb_build_object('volts', after ->> 'volts', 'hertz',
        CASE WHEN after ? 'hertz' THEN jsonb_build_array(after -> 'hertz') END))
WHERE file = 'models';

UPDATE changes
SET key = key || '{"position": ""}', before = before || '{"position": ""}', after = after || '{"position": ""}'
WHERE file IN ('builds', 'loads');
