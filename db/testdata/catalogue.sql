-- A small catalogue, every kind of row at least once. Names are invented.

INSERT INTO sources (id, source, title) OVERRIDING SYSTEM VALUE VALUES (1, 'bulletin 7', 'Boards of the WD range');

INSERT INTO procedures (id, procedure) OVERRIDING SYSTEM VALUE VALUES (1, 'dial'), (2, 'dial, late');
INSERT INTO procedure_steps (procedure_id, phase, step, "do", hold_seconds, expect) VALUES
    (1, 'readback', 1, 'turn to the end', NULL, NULL),
    (1, 'enter', 1, 'hold start', 5, 'all lit'),
    (1, 'symbol', 1, 'turn and press', 0, 'one flash'),
    (2, 'enter', 1, 'hold start', 3, NULL);
INSERT INTO families (id, family, title, selector, code_length, readback, procedure_id, note) OVERRIDING SYSTEM VALUE VALUES
    (1, 'Lumen', 'dial boards', '{A,B,C,D}', 3, '{P1,P2,P3,P4}', 1, NULL),
    (2, 'Drum', NULL, NULL, 0, NULL, NULL, 'a chip is moved over');

INSERT INTO layouts (id, layout) OVERRIDING SYSTEM VALUE VALUES
    (1, 'wide harness'), (2, 'split harness'), (3, 'wide board'), (4, 'split board'),
    (5, 'wide plug'), (6, 'three plugs'), (7, 'odd plug'), (8, 'two plugs'), (9, 'other harness');
INSERT INTO connectors (layout_id, connector, ways, pitch_mm, key, circuits) VALUES
    (1, 'J1', 10, 2.5, 'a', NULL),
    (1, 'J2', 2, 2.5, NULL, '{heater,.}'),
    (2, 'J1', 6, 2.5, 'a', NULL), (2, 'J2', 2, 2.5, 'a', NULL), (2, 'J3', 2, NULL, 'b', NULL),
    (3, 'CN1', 10, 2.5, 'a', NULL),
    (4, 'CN1', 6, 2.5, 'a', NULL), (4, 'CN2', 2, 2.5, 'a', NULL), (4, 'CN3', 2, NULL, 'b', NULL),
    (5, 'P', 10, 2.5, 'a', NULL),
    (6, 'S1', 6, 2.5, 'a', NULL), (6, 'S2', 2, 2.5, 'a', NULL), (6, 'S3', 3, NULL, 'b', NULL),
    (7, 'P', 3, NULL, 'b', NULL),
    (8, 'S1', 2, NULL, NULL, NULL), (8, 'S2', NULL, NULL, NULL, NULL),
    (9, 'J1', 77, NULL, NULL, NULL);

INSERT INTO parts (id, part_number, kind) OVERRIDING SYSTEM VALUE VALUES
    (1, 'LB-100', 'board'), (2, 'LB-200', 'board'), (3, 'FX-1', 'board'), (4, 'FX-2', 'board'), (5, 'FX-3', 'board'),
    (6, 'FX-0', 'board'), (7, 'DR-1', 'board'), (8, 'OTHER', 'board'),
    (11, 'AD-1', 'adaptor'), (12, 'AD-2', 'adaptor'), (13, 'AD-3', 'adaptor');
INSERT INTO boards (part_id, family_id, title, gtin) VALUES
    (1, 1, 'Lumen control', '96385074'), (2, 1, NULL, NULL), (3, NULL, 'fixed', NULL), (4, NULL, NULL, NULL), (5, NULL, NULL, NULL),
    (6, NULL, NULL, NULL), (7, 2, NULL, NULL), (8, NULL, NULL, NULL);
INSERT INTO adaptors (part_id, title, takes_layout_id, gives_layout_id) VALUES
    (11, 'wide to three', 5, 6), (12, NULL, 7, 8), (13, 'of another machine', 9, 6);
INSERT INTO revisions (id, part_id, revision, issue, layout_id, made_from, made_to, options, volts_min, volts_max, hertz, procedure_id, stop) OVERRIDING SYSTEM VALUE VALUES
    (1, 1, 'A', 1, 3, '2000-01-01', '2001-12-31', '{}', 207, 253, '{50}', NULL, NULL),
    (2, 1, 'B', 2, 4, NULL, NULL, '{hot-valve,sensor}', NULL, NULL, '{50,60}', 2, 'recalled'),
    (3, 2, 'A', NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL),
    (4, 3, '1', 1, 3, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL),
    (5, 8, 'X', 1, 3, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO ratings (revision_id, circuit, max_amps) VALUES (1, 'heater', 10), (1, 'motor', 2.5), (1, 'pump', NULL);
INSERT INTO markings (marking, part_id, revision_id, note) VALUES
    ('40 11-2', 1, 2, 'on the solder side'), ('40 11-2', 4, NULL, NULL), ('77', 3, NULL, NULL);
INSERT INTO supersessions (old_part_id, new_part_id, interchange, "from", note) VALUES
    (6, 3, 'one-way', NULL, NULL), (3, 4, 'one-way', '2003-01-01', 'redesigned'), (5, 4, 'two-way', NULL, NULL), (4, 7, NULL, NULL, NULL);

INSERT INTO serial_rules (id, rule, pattern, year_base) OVERRIDING SYSTEM VALUE VALUES (1, 'year and week', '^(?P<y2>\d\d)(?P<w>\d\d)', 2000);
INSERT INTO models (id, brand, model, variant, listed, kind, made_from, made_to, volts, hertz, serial_rule_id) OVERRIDING SYSTEM VALUE VALUES
    (1, 'Ondara', 'WD 300', '', true, 'washer', '2000-01-01', '2005-12-31', '230', '{50}', 1),
    (2, 'Ondara', 'WD 300', 'B/2', true, NULL, NULL, NULL, NULL, NULL, NULL),
    (3, 'Velisk', 'V-9', '', true, 'washer', NULL, NULL, NULL, NULL, NULL),
    (4, 'Kessen', 'K1', '', false, NULL, NULL, NULL, NULL, NULL, NULL),
    (5, 'Ondara', 'WD-88', '', true, NULL, NULL, NULL, NULL, NULL, NULL),
    (6, 'Ondara', 'WD 88', '', true, NULL, NULL, NULL, NULL, NULL, NULL),
    (7, 'Ondara', 'TD 5', 'C', true, 'dryer', NULL, NULL, NULL, NULL, NULL);
INSERT INTO twins (model_id, of_model_id) VALUES (3, 1), (4, 3);
INSERT INTO builds (id, model_id, build, made_from, made_to, made, run_out_days, serial_from, serial_to, part_id, revision_id, layout_id, needs, source_id) OVERRIDING SYSTEM VALUE VALUES
    (1, 1, 'b2', '2002-06-01', NULL, '[2002-06-01,)', NULL, '5000', NULL, 1, 1, 2, '{}', 1),
    (2, 1, 'b1', '2000-01-01', NULL, '[2000-01-01,2002-06-01)', 60, NULL, '4999', 3, NULL, 1, '{hot-valve}', NULL),
    (3, 7, 'only', NULL, NULL, '(,)', NULL, NULL, NULL, 8, NULL, 9, NULL, NULL);
INSERT INTO loads (model_id, build_id, circuit, watts, volts, element) VALUES
    (1, 1, 'heater', 1800, NULL, 'heating'), (1, NULL, 'heater', 2000, 230, 'heating'), (1, NULL, 'motor', NULL, NULL, NULL);
INSERT INTO configurations (family_id, model_id, build_id, issue_from, issue_to, code, pattern, source_id) VALUES
    (1, 1, NULL, NULL, 1, '{A,B,C}', '10f-', 1), (1, 1, NULL, 2, NULL, '{A,B,D}', NULL, NULL), (1, 1, 1, NULL, NULL, '{D,D,D}', '1111', NULL),
    (2, 7, NULL, NULL, NULL, '{}', NULL, NULL);
INSERT INTO presets (part_id, model_id, build_id) VALUES (2, 1, 1), (8, 7, NULL);
INSERT INTO stock (location, part_id, revision_id, condition, quantity) VALUES
    ('front', 1, 2, 'new', 2), ('front', 1, NULL, 'used', 1), ('back', 7, NULL, 'refurbished', 0), ('front', 8, NULL, 'new', 9), ('front', 11, NULL, 'new', 4);
UPDATE catalogue_state SET catalogue = 12, stock = 3;
UPDATE catalogue_state SET catalogue_stamp = 0, stock_stamp = 0;

-- What a test adds gets ids of its own.
DO $$
DECLARE name text;
BEGIN
    FOREACH name IN ARRAY ARRAY['sources', 'procedures', 'families', 'layouts', 'parts', 'revisions', 'serial_rules', 'models', 'builds'] LOOP
        EXECUTE format('ALTER TABLE %I ALTER COLUMN id RESTART WITH 1000', name);
    END LOOP;
END
$$;
