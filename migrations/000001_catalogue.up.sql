-- Everything a bundle says, and what became of each bundle. Two conventions hold
-- throughout: NULL is "not recorded", an empty array is "none"; and no NULL is
-- part of a natural key except as "all builds" or "not known", where the key
-- says NULLS NOT DISTINCT.

CREATE EXTENSION IF NOT EXISTS pg_trgm;
CREATE EXTENSION IF NOT EXISTS btree_gist;

-- The comparison of names as people type them. The bodies are bound when the
-- function is made, so that a dump can be restored under any search path.

CREATE FUNCTION plain(word text) RETURNS text
    LANGUAGE sql IMMUTABLE PARALLEL SAFE
    RETURN translate(upper(word COLLATE "default"),
        E' \t\r\n!"#$%&''()*+,-./:;<=>?@[\\]^_`{|}~\u00a0\u00b7\u2010\u2011\u2012\u2013\u2014\u2212', '');
COMMENT ON FUNCTION plain(text) IS 'A name without case, spaces and punctuation.';

CREATE FUNCTION folded(word text) RETURNS text
    LANGUAGE sql IMMUTABLE PARALLEL SAFE
    RETURN translate(plain(word), 'OILSBZ', '011582');
COMMENT ON FUNCTION folded(text) IS 'plain(), with characters that are mistaken for each other on plates made one: 0 O, 1 I L, 5 S, 8 B, 2 Z.';

-- Documents

CREATE TABLE sources (
    id     bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    source text COLLATE "C" NOT NULL,
    listed boolean NOT NULL DEFAULT true,
    title  text,
    issued date,
    note   text,
    CONSTRAINT sources_are_unique UNIQUE (source),
    CONSTRAINT source_has_a_name CHECK (source <> '')
);
COMMENT ON TABLE sources IS 'The documents that statements come from.';
COMMENT ON COLUMN sources.listed IS 'Stated in sources.csv; else only named by a statement.';

-- Families and how they are configured

CREATE TABLE procedures (
    id        bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    procedure text COLLATE "C" NOT NULL,
    CONSTRAINT procedures_are_unique UNIQUE (procedure),
    CONSTRAINT procedure_has_a_name CHECK (procedure <> '')
);
COMMENT ON TABLE procedures IS 'How a code is entered and read back; the steps are procedure_steps.';

CREATE TABLE procedure_steps (
    procedure_id bigint NOT NULL,
    phase        text COLLATE "C" NOT NULL,
    step         integer NOT NULL,
    "do"         text,
    hold_seconds double precision,
    expect       text,
    CONSTRAINT procedure_steps_are_unique PRIMARY KEY (procedure_id, phase, step),
    CONSTRAINT procedure_step_belongs_to_a_procedure FOREIGN KEY (procedure_id) REFERENCES procedures (id),
    CONSTRAINT procedure_step_has_a_known_phase CHECK (phase IN ('enter', 'symbol', 'finish', 'readback')),
    CONSTRAINT procedure_step_counts_from_one CHECK (step >= 1),
    CONSTRAINT procedure_step_hold_is_not_negative CHECK (hold_seconds >= 0)
);
COMMENT ON TABLE procedure_steps IS 'The steps of a procedure, in each phase in order.';
COMMENT ON COLUMN procedure_steps.step IS '1, 2 …; in phase symbol the place in the code.';
COMMENT ON COLUMN procedure_steps.expect IS 'The indication to expect once the step is done.';

CREATE TABLE families (
    id              bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    family          text COLLATE "C" NOT NULL,
    title           text,
    selector        text[],
    code_length     integer NOT NULL,
    readback        text[],
    readback_points integer NOT NULL GENERATED ALWAYS AS (coalesce(cardinality(readback), 0)) STORED,
    procedure_id    bigint,
    note            text,
    CONSTRAINT families_are_unique UNIQUE (family),
    CONSTRAINT family_has_a_name CHECK (family <> ''),
    CONSTRAINT family_code_length_is_not_negative CHECK (code_length >= 0),
    CONSTRAINT family_procedure_is_known FOREIGN KEY (procedure_id) REFERENCES procedures (id),
    CONSTRAINT family_code_length_can_be_referred_to UNIQUE (id, code_length),
    CONSTRAINT family_readback_points_can_be_referred_to UNIQUE (id, readback_points)
);
COMMENT ON TABLE families IS 'Boards that share a selector, a code length, a procedure and a read-back.';
COMMENT ON COLUMN families.selector IS 'The symbols in dial order.';
COMMENT ON COLUMN families.code_length IS 'Symbols in a code; 0 where the family is configured by other means.';
COMMENT ON COLUMN families.readback IS 'The read-back points in the order they are read.';
CREATE INDEX families_by_procedure ON families (procedure_id);

-- Connectors

CREATE TABLE layouts (
    id     bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    layout text COLLATE "C" NOT NULL,
    CONSTRAINT layouts_are_unique UNIQUE (layout),
    CONSTRAINT layout_has_a_name CHECK (layout <> '')
);
COMMENT ON TABLE layouts IS 'Sets of connectors: the plugs of a harness, the headers of a board revision, an end of an adaptor.';

CREATE TABLE connectors (
    layout_id bigint NOT NULL,
    connector text COLLATE "C" NOT NULL,
    ways      integer,
    pitch_mm  double precision,
    key       text,
    circuits  text[],
    CONSTRAINT connectors_are_unique PRIMARY KEY (layout_id, connector),
    CONSTRAINT connector_belongs_to_a_layout FOREIGN KEY (layout_id) REFERENCES layouts (id),
    CONSTRAINT connector_has_a_marking CHECK (connector <> ''),
    CONSTRAINT connector_ways_are_positive CHECK (ways >= 1),
    CONSTRAINT connector_pitch_is_positive CHECK (pitch_mm > 0),
    CONSTRAINT connector_has_a_circuit_for_each_way CHECK (cardinality(circuits) = ways)
);
COMMENT ON TABLE connectors IS 'The connectors of a layout.';
COMMENT ON COLUMN connectors.connector IS 'Its marking, as printed beside it.';
COMMENT ON COLUMN connectors.key IS 'The mechanical coding.';
COMMENT ON COLUMN connectors.circuits IS 'The circuit on each pin; . for a pin that carries none.';

-- Parts: boards and adaptors

CREATE TABLE parts (
    id          bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    part_number text COLLATE "C" NOT NULL,
    kind        text COLLATE "C" NOT NULL,
    CONSTRAINT parts_are_unique UNIQUE (part_number),
    CONSTRAINT part_has_a_number CHECK (part_number <> ''),
    CONSTRAINT part_is_a_board_or_an_adaptor CHECK (kind IN ('board', 'adaptor')),
    CONSTRAINT part_can_be_referred_to_with_its_kind UNIQUE (id, kind)
);
COMMENT ON TABLE parts IS 'Everything that can be ordered: a board or an adaptor, never both.';
CREATE INDEX parts_by_plain_number ON parts (plain(part_number));

CREATE TABLE boards (
    part_id   bigint PRIMARY KEY,
    kind      text COLLATE "C" NOT NULL GENERATED ALWAYS AS ('board') STORED,
    family_id bigint,
    title     text,
    gtin      text,
    CONSTRAINT board_is_a_part FOREIGN KEY (part_id, kind) REFERENCES parts (id, kind),
    CONSTRAINT board_family_is_known FOREIGN KEY (family_id) REFERENCES families (id)
);
COMMENT ON TABLE boards IS 'Control boards.';
COMMENT ON COLUMN boards.family_id IS 'NULL: a fixed board, which has nothing to configure.';
CREATE INDEX boards_by_family ON boards (family_id);

CREATE TABLE adaptors (
    part_id         bigint PRIMARY KEY,
    kind            text COLLATE "C" NOT NULL GENERATED ALWAYS AS ('adaptor') STORED,
    title           text,
    takes_layout_id bigint NOT NULL,
    gives_layout_id bigint NOT NULL,
    takes_ways      integer[] NOT NULL DEFAULT '{}',
    gives_ways      integer[] NOT NULL DEFAULT '{}',
    CONSTRAINT adaptor_is_a_part FOREIGN KEY (part_id, kind) REFERENCES parts (id, kind),
    CONSTRAINT adaptor_takes_a_known_layout FOREIGN KEY (takes_layout_id) REFERENCES layouts (id),
    CONSTRAINT adaptor_gives_a_known_layout FOREIGN KEY (gives_layout_id) REFERENCES layouts (id)
);
COMMENT ON TABLE adaptors IS 'Looms that take some plugs and give others.';
COMMENT ON COLUMN adaptors.takes_ways IS 'The ways that occur among the plugs it takes, 0 for ways not recorded; kept by the trigger note_adaptor_ways.';
COMMENT ON COLUMN adaptors.gives_ways IS 'The ways that occur among the plugs it gives, likewise.';
CREATE INDEX adaptors_by_taken_layout ON adaptors (takes_layout_id);
CREATE INDEX adaptors_by_given_layout ON adaptors (gives_layout_id);
CREATE INDEX adaptors_by_taken_ways ON adaptors USING gin (takes_ways);

-- Which adaptors could be applied to a harness is asked with every dossier; the
-- ways at their ends are copied beside them so that the asking stays cheap. The
-- search path is bound so that a dump can be restored.
CREATE FUNCTION note_adaptor_ways() RETURNS trigger
    LANGUAGE plpgsql SET search_path FROM CURRENT AS $$
BEGIN
    UPDATE adaptors a
    SET takes_ways = now.takes, gives_ways = now.gives
    FROM (
        SELECT part_id,
            ARRAY(SELECT DISTINCT coalesce(ways, 0) FROM connectors WHERE layout_id = takes_layout_id ORDER BY 1) AS takes,
            ARRAY(SELECT DISTINCT coalesce(ways, 0) FROM connectors WHERE layout_id = gives_layout_id ORDER BY 1) AS gives
        FROM adaptors
    ) AS now
    WHERE now.part_id = a.part_id AND (now.takes, now.gives) IS DISTINCT FROM (a.takes_ways, a.gives_ways);
    RETURN NULL;
END
$$;
COMMENT ON FUNCTION note_adaptor_ways() IS 'Copies the ways of the plugs that adaptors take and give.';
CREATE TRIGGER note_adaptor_ways AFTER INSERT OR DELETE OR UPDATE OF layout_id, ways ON connectors
    FOR EACH STATEMENT EXECUTE FUNCTION note_adaptor_ways();
CREATE TRIGGER note_adaptor_ways AFTER INSERT OR UPDATE OF takes_layout_id, gives_layout_id ON adaptors
    FOR EACH STATEMENT EXECUTE FUNCTION note_adaptor_ways();

CREATE TABLE revisions (
    id           bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    part_id      bigint NOT NULL,
    revision     text COLLATE "C" NOT NULL,
    issue        integer,
    layout_id    bigint,
    made_from    date,
    made_to      date,
    options      text[],
    volts_min    double precision,
    volts_max    double precision,
    hertz        double precision[],
    procedure_id bigint,
    stop         text,
    CONSTRAINT revisions_of_a_board_are_unique UNIQUE (part_id, revision),
    CONSTRAINT revision_can_be_referred_to_with_its_board UNIQUE (part_id, id),
    CONSTRAINT revision_belongs_to_a_board FOREIGN KEY (part_id) REFERENCES boards (part_id),
    CONSTRAINT revision_has_a_label CHECK (revision <> ''),
    CONSTRAINT revision_issue_counts_from_one CHECK (issue >= 1),
    CONSTRAINT revision_layout_is_known FOREIGN KEY (layout_id) REFERENCES layouts (id),
    CONSTRAINT revision_is_made_before_it_ends CHECK (made_from <= made_to),
    CONSTRAINT revision_volts_are_positive CHECK (volts_min > 0 AND volts_max > 0),
    CONSTRAINT revision_volts_are_in_order CHECK (volts_min <= volts_max),
    CONSTRAINT revision_hertz_are_positive CHECK (0 < ALL (hertz)),
    CONSTRAINT revision_procedure_is_known FOREIGN KEY (procedure_id) REFERENCES procedures (id)
);
COMMENT ON TABLE revisions IS 'The hardware and firmware states of a board.';
COMMENT ON COLUMN revisions.issue IS 'Its rank in time.';
COMMENT ON COLUMN revisions.options IS 'Options fitted; an empty array records that there are none.';
COMMENT ON COLUMN revisions.procedure_id IS 'Overrides that of the family.';
COMMENT ON COLUMN revisions.stop IS 'Why it must not be supplied.';
CREATE INDEX revisions_by_layout ON revisions (layout_id);
CREATE INDEX revisions_by_procedure ON revisions (procedure_id);

CREATE TABLE ratings (
    revision_id bigint NOT NULL,
    circuit     text COLLATE "C" NOT NULL,
    max_amps    double precision,
    CONSTRAINT ratings_of_a_revision_are_unique PRIMARY KEY (revision_id, circuit),
    CONSTRAINT rating_belongs_to_a_revision FOREIGN KEY (revision_id) REFERENCES revisions (id),
    CONSTRAINT rating_names_a_circuit CHECK (circuit <> ''),
    CONSTRAINT rating_is_not_negative CHECK (max_amps >= 0)
);
COMMENT ON TABLE ratings IS 'What a revision can switch on each circuit.';

CREATE TABLE markings (
    marking     text COLLATE "C" NOT NULL,
    part_id     bigint NOT NULL,
    revision_id bigint,
    note        text,
    CONSTRAINT markings_of_a_board_are_unique PRIMARY KEY (marking, part_id),
    CONSTRAINT marking_is_not_empty CHECK (marking <> ''),
    CONSTRAINT marking_leads_to_a_board FOREIGN KEY (part_id) REFERENCES boards (part_id),
    CONSTRAINT marking_leads_to_a_revision_of_its_board FOREIGN KEY (part_id, revision_id) REFERENCES revisions (part_id, id)
);
COMMENT ON TABLE markings IS 'Numbers printed on boards that are not those they are ordered by.';
COMMENT ON COLUMN markings.revision_id IS 'NULL: it may be any revision of the board.';
CREATE INDEX markings_by_plain_marking ON markings (plain(marking));
CREATE INDEX markings_by_board ON markings (part_id);
CREATE INDEX markings_by_revision ON markings (revision_id);

CREATE TABLE supersessions (
    old_part_id bigint NOT NULL,
    new_part_id bigint NOT NULL,
    interchange text COLLATE "C",
    "from"      date,
    note        text,
    CONSTRAINT supersessions_are_unique PRIMARY KEY (old_part_id, new_part_id),
    CONSTRAINT supersession_old_part_is_known FOREIGN KEY (old_part_id) REFERENCES parts (id),
    CONSTRAINT supersession_new_part_is_known FOREIGN KEY (new_part_id) REFERENCES parts (id),
    CONSTRAINT supersession_leads_to_another_part CHECK (old_part_id <> new_part_id),
    CONSTRAINT supersession_interchange_is_one_way_or_two_way CHECK (interchange IN ('one-way', 'two-way'))
);
COMMENT ON TABLE supersessions IS 'Old part numbers replaced by new ones.';
COMMENT ON COLUMN supersessions.interchange IS 'one-way: the new serves for the old; two-way: the old also for the new. Not recorded counts as one-way.';
CREATE INDEX supersessions_by_new_part ON supersessions (new_part_id);

-- Models and their builds

CREATE TABLE serial_rules (
    id        bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    rule      text COLLATE "C" NOT NULL,
    pattern   text NOT NULL,
    year_base integer,
    note      text,
    CONSTRAINT serial_rules_are_unique UNIQUE (rule),
    CONSTRAINT serial_rule_has_a_name CHECK (rule <> '')
);
COMMENT ON TABLE serial_rules IS 'How a date of making is read out of a serial number.';
COMMENT ON COLUMN serial_rules.pattern IS 'A regular expression (RE2) with the groups y1 y2 y4 yl m ml w d.';
COMMENT ON COLUMN serial_rules.year_base IS 'The year that a two-digit year is added to.';

CREATE TABLE models (
    id             bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    brand          text COLLATE "C" NOT NULL,
    model          text COLLATE "C" NOT NULL,
    variant        text COLLATE "C" NOT NULL DEFAULT '',
    listed         boolean NOT NULL DEFAULT true,
    kind           text,
    made_from      date,
    made_to        date,
    volts          double precision,
    hertz          double precision,
    serial_rule_id bigint,
    folded         text COLLATE "C" NOT NULL GENERATED ALWAYS AS (folded(brand || model || variant)) STORED,
    folded_number  text COLLATE "C" NOT NULL GENERATED ALWAYS AS (folded(model || variant)) STORED,
    CONSTRAINT models_are_unique UNIQUE (brand, model, variant),
    CONSTRAINT model_has_a_brand_and_a_number CHECK (brand <> '' AND model <> ''),
    CONSTRAINT model_is_made_before_it_ends CHECK (made_from <= made_to),
    CONSTRAINT model_volts_are_positive CHECK (volts > 0),
    CONSTRAINT model_hertz_are_positive CHECK (hertz > 0),
    CONSTRAINT model_serial_rule_is_known FOREIGN KEY (serial_rule_id) REFERENCES serial_rules (id)
);
COMMENT ON TABLE models IS 'Appliance models, and every badge that is known only as a twin of one.';
COMMENT ON COLUMN models.variant IS 'The product code on the plate where one model number covers several; empty for none.';
COMMENT ON COLUMN models.listed IS 'Stated as a model; false for a badge that is known only as a twin.';
COMMENT ON COLUMN models.folded IS 'What people search in, brand included.';
COMMENT ON COLUMN models.folded_number IS 'What people search in where they leave the brand out.';
CREATE INDEX models_by_folded ON models (folded);
CREATE INDEX models_by_folded_number ON models (folded_number);
CREATE INDEX models_by_likeness ON models USING gin (folded_number gin_trgm_ops);
CREATE INDEX models_by_serial_rule ON models (serial_rule_id);

CREATE TABLE twins (
    model_id    bigint PRIMARY KEY,
    of_model_id bigint NOT NULL,
    CONSTRAINT twin_is_a_model FOREIGN KEY (model_id) REFERENCES models (id),
    CONSTRAINT twin_of_a_known_model FOREIGN KEY (of_model_id) REFERENCES models (id),
    CONSTRAINT twin_is_of_another_model CHECK (model_id <> of_model_id)
);
COMMENT ON TABLE twins IS 'The same appliance under another badge; a twin may be of another twin.';
CREATE INDEX twins_by_model ON twins (of_model_id);

CREATE TABLE builds (
    id           bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    model_id     bigint NOT NULL,
    build        text COLLATE "C" NOT NULL,
    made_from    date,
    made_to      date,
    made         daterange NOT NULL,
    run_out_days integer,
    serial_from  text COLLATE "C",
    serial_to    text COLLATE "C",
    part_id      bigint,
    revision_id  bigint,
    layout_id    bigint,
    needs        text[],
    source_id    bigint,
    CONSTRAINT builds_of_a_model_are_unique UNIQUE (model_id, build),
    CONSTRAINT build_can_be_referred_to_with_its_model UNIQUE (model_id, id),
    CONSTRAINT build_belongs_to_a_model FOREIGN KEY (model_id) REFERENCES models (id),
    CONSTRAINT build_has_a_label CHECK (build <> ''),
    CONSTRAINT build_is_made_before_it_ends CHECK (made_from <= made_to),
    CONSTRAINT build_span_begins_and_ends_as_stated CHECK (
        lower(made) IS NOT DISTINCT FROM made_from AND (made_to IS NULL OR upper(made) = made_to + 1)),
    CONSTRAINT build_run_out_is_not_negative CHECK (run_out_days >= 0),
    CONSTRAINT build_factory_board_is_known FOREIGN KEY (part_id) REFERENCES boards (part_id),
    CONSTRAINT build_factory_revision_is_of_its_board FOREIGN KEY (part_id, revision_id) REFERENCES revisions (part_id, id),
    CONSTRAINT build_with_a_factory_revision_names_the_board CHECK (revision_id IS NULL OR part_id IS NOT NULL),
    CONSTRAINT build_layout_is_known FOREIGN KEY (layout_id) REFERENCES layouts (id),
    CONSTRAINT build_source_is_known FOREIGN KEY (source_id) REFERENCES sources (id),
    CONSTRAINT builds_of_a_model_do_not_overlap EXCLUDE USING gist (model_id WITH =, made WITH &&)
        WHERE (made_from IS NOT NULL OR made_to IS NOT NULL) DEFERRABLE INITIALLY DEFERRED
);
COMMENT ON TABLE builds IS 'Spans of production of a model, each with one factory board and one harness.';
COMMENT ON COLUMN builds.made IS 'The span as it holds: where made_to is not recorded and a later build begins, it ends the day before that.';
COMMENT ON COLUMN builds.run_out_days IS 'Days after the span in which this build may still turn up.';
COMMENT ON COLUMN builds.layout_id IS 'The harness.';
COMMENT ON COLUMN builds.needs IS 'Options needed; an empty array records that there are none.';
CREATE INDEX builds_by_factory_board ON builds (part_id, revision_id);
CREATE INDEX builds_by_layout ON builds (layout_id);
CREATE INDEX builds_by_source ON builds (source_id);

CREATE TABLE loads (
    model_id bigint NOT NULL,
    build_id bigint,
    circuit  text COLLATE "C" NOT NULL,
    watts    double precision,
    volts    double precision,
    element  text COLLATE "C",
    CONSTRAINT loads_are_unique UNIQUE NULLS NOT DISTINCT (model_id, build_id, circuit),
    CONSTRAINT load_belongs_to_a_model FOREIGN KEY (model_id) REFERENCES models (id),
    CONSTRAINT load_is_of_a_build_of_its_model FOREIGN KEY (model_id, build_id) REFERENCES builds (model_id, id),
    CONSTRAINT load_names_a_circuit CHECK (circuit <> ''),
    CONSTRAINT load_watts_are_not_negative CHECK (watts >= 0),
    CONSTRAINT load_volts_are_positive CHECK (volts > 0),
    CONSTRAINT load_element_is_heating_motor_or_other CHECK (element IN ('heating', 'motor', 'other'))
);
COMMENT ON TABLE loads IS 'What the circuits of a model draw.';
COMMENT ON COLUMN loads.build_id IS 'NULL: all builds.';
COMMENT ON COLUMN loads.volts IS 'Where it differs from the supply of the model.';

-- What serves for what

CREATE TABLE configurations (
    id             bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    family_id      bigint NOT NULL,
    model_id       bigint NOT NULL,
    build_id       bigint,
    issue_from     integer,
    issue_to       integer,
    issues         int4range NOT NULL GENERATED ALWAYS AS (int4range(issue_from, issue_to, '[]')) STORED,
    code           text[] NOT NULL,
    code_length    integer NOT NULL GENERATED ALWAYS AS (cardinality(code)) STORED,
    pattern        text,
    pattern_length integer GENERATED ALWAYS AS (length(pattern)) STORED,
    source_id      bigint,
    CONSTRAINT configurations_are_unique UNIQUE NULLS NOT DISTINCT (model_id, family_id, build_id, issue_from),
    CONSTRAINT configuration_belongs_to_a_model FOREIGN KEY (model_id) REFERENCES models (id),
    CONSTRAINT configuration_is_for_a_build_of_its_model FOREIGN KEY (model_id, build_id) REFERENCES builds (model_id, id),
    CONSTRAINT configuration_issues_count_from_one CHECK (issue_from >= 1 AND issue_to >= 1),
    CONSTRAINT configuration_code_has_the_length_of_its_family FOREIGN KEY (family_id, code_length)
        REFERENCES families (id, code_length) DEFERRABLE INITIALLY DEFERRED,
    CONSTRAINT configuration_pattern_has_the_length_of_its_family FOREIGN KEY (family_id, pattern_length)
        REFERENCES families (id, readback_points) DEFERRABLE INITIALLY DEFERRED,
    CONSTRAINT configuration_pattern_is_made_of_1_0_f_and_either CHECK (pattern ~ '^[10f-]+$'),
    CONSTRAINT configuration_source_is_known FOREIGN KEY (source_id) REFERENCES sources (id),
    CONSTRAINT configurations_do_not_overlap_in_issues EXCLUDE USING gist
        (model_id WITH =, family_id WITH =, coalesce(build_id, 0) WITH =, issues WITH &&) DEFERRABLE INITIALLY DEFERRED
);
COMMENT ON TABLE configurations IS 'The code that makes a board of a family serve a model, and the pattern that proves it.';
COMMENT ON COLUMN configurations.build_id IS 'NULL: all builds.';
COMMENT ON COLUMN configurations.issue_from IS 'NULL: from the first issue on.';
COMMENT ON COLUMN configurations.issue_to IS 'NULL: every later issue.';
COMMENT ON COLUMN configurations.code IS 'The symbols in order; empty where the family has code length 0.';
COMMENT ON COLUMN configurations.pattern IS 'A character a read-back point: 1 lit, 0 unlit, f flashing, - either.';
CREATE INDEX configurations_by_family ON configurations (family_id);
CREATE INDEX configurations_by_source ON configurations (source_id);

CREATE TABLE presets (
    part_id  bigint NOT NULL,
    model_id bigint NOT NULL,
    build_id bigint,
    CONSTRAINT presets_are_unique UNIQUE NULLS NOT DISTINCT (model_id, part_id, build_id),
    CONSTRAINT preset_is_of_a_board FOREIGN KEY (part_id) REFERENCES boards (part_id),
    CONSTRAINT preset_is_for_a_model FOREIGN KEY (model_id) REFERENCES models (id),
    CONSTRAINT preset_is_for_a_build_of_its_model FOREIGN KEY (model_id, build_id) REFERENCES builds (model_id, id)
);
COMMENT ON TABLE presets IS 'Boards that are supplied already set for a model.';
COMMENT ON COLUMN presets.build_id IS 'NULL: all builds.';
CREATE INDEX presets_by_board ON presets (part_id);

CREATE TABLE stock (
    location    text COLLATE "C" NOT NULL,
    part_id     bigint NOT NULL,
    revision_id bigint,
    condition   text COLLATE "C" NOT NULL,
    quantity    integer NOT NULL,
    CONSTRAINT stock_lines_are_unique UNIQUE NULLS NOT DISTINCT (part_id, location, revision_id, condition),
    CONSTRAINT stock_is_of_a_part FOREIGN KEY (part_id) REFERENCES parts (id),
    CONSTRAINT stock_revision_is_of_its_board FOREIGN KEY (part_id, revision_id) REFERENCES revisions (part_id, id),
    CONSTRAINT stock_has_a_location CHECK (location <> ''),
    CONSTRAINT stock_condition_is_new_refurbished_or_used CHECK (condition IN ('new', 'refurbished', 'used')),
    CONSTRAINT stock_is_not_negative CHECK (quantity >= 0)
);
COMMENT ON TABLE stock IS 'What each location has of each part.';
COMMENT ON COLUMN stock.revision_id IS 'NULL: not known, the label must be read.';

-- What became of bundles

CREATE TABLE imports (
    id                bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    at                timestamptz NOT NULL DEFAULT now(),
    by                text NOT NULL,
    bundle            text NOT NULL,
    catalogue_version bigint NOT NULL,
    added             integer NOT NULL,
    changed           integer NOT NULL,
    removed           integer NOT NULL,
    undoes            bigint,
    undone_by         bigint,
    CONSTRAINT import_counts_are_not_negative CHECK (added >= 0 AND changed >= 0 AND removed >= 0),
    CONSTRAINT import_is_undone_once UNIQUE (undoes),
    CONSTRAINT import_undoes_a_known_import FOREIGN KEY (undoes) REFERENCES imports (id),
    CONSTRAINT import_is_undone_by_a_known_import FOREIGN KEY (undone_by) REFERENCES imports (id)
);
COMMENT ON TABLE imports IS 'Bundles that were imported, and imports that were undone.';
COMMENT ON COLUMN imports.catalogue_version IS 'The version of the catalogue that it made.';

CREATE TABLE changes (
    import_id bigint NOT NULL,
    seq       integer NOT NULL,
    file      text COLLATE "C" NOT NULL,
    key       jsonb NOT NULL,
    before    jsonb,
    after     jsonb,
    CONSTRAINT changes_of_an_import_are_in_order PRIMARY KEY (import_id, seq),
    CONSTRAINT change_belongs_to_an_import FOREIGN KEY (import_id) REFERENCES imports (id),
    CONSTRAINT change_changes_something CHECK (before IS DISTINCT FROM after)
);
COMMENT ON TABLE changes IS 'Every row that an import added, changed or removed, as the bundle writes it.';
COMMENT ON COLUMN changes.file IS 'The bundle file that the row belongs to, without its ending.';
COMMENT ON COLUMN changes.before IS 'NULL: the row was added.';
COMMENT ON COLUMN changes.after IS 'NULL: the row was removed.';
-- Equality is all that is asked of a key, and a hash bounds the size of an entry.
CREATE INDEX changes_by_key ON changes USING hash (key);

CREATE TABLE catalogue_state (
    id        integer PRIMARY KEY DEFAULT 1,
    catalogue bigint NOT NULL DEFAULT 0,
    stock     bigint NOT NULL DEFAULT 0,
    CONSTRAINT catalogue_state_is_one_row CHECK (id = 1)
);
COMMENT ON TABLE catalogue_state IS 'The versions of the catalogue and of the stock, which every change raises.';
INSERT INTO catalogue_state DEFAULT VALUES;

CREATE FUNCTION tell_catalogue_state() RETURNS trigger
    LANGUAGE plpgsql AS $$
BEGIN
    PERFORM pg_notify('catalogue_state', NEW.catalogue || ' ' || NEW.stock);
    RETURN NULL;
END
$$;
COMMENT ON FUNCTION tell_catalogue_state() IS 'Tells listeners on channel catalogue_state the two versions.';
CREATE TRIGGER tell_catalogue_state AFTER UPDATE ON catalogue_state
    FOR EACH ROW EXECUTE FUNCTION tell_catalogue_state();
