-- That spans do not overlap was kept by exclusion constraints, whose indexes cost
-- an import more than all else that it writes. Spans that stand in order overlap
-- only where neighbours do, so it is enough to look along each model once, when
-- the transaction ends.

CREATE TABLE spans_to_check (
    spans  text COLLATE "C" NOT NULL,
    models bigint[] NOT NULL
);
COMMENT ON TABLE spans_to_check IS 'Models whose spans a transaction has changed, one row per statement. Empty outside transactions: each row is checked and removed when its transaction commits.';
COMMENT ON COLUMN spans_to_check.spans IS 'The table: builds or configurations.';

CREATE FUNCTION note_spans() RETURNS trigger
    LANGUAGE plpgsql AS $$
BEGIN
    INSERT INTO spans_to_check (spans, models)
    SELECT TG_TABLE_NAME, models
    FROM (SELECT array_agg(DISTINCT model_id) AS models FROM written) changed
    WHERE models IS NOT NULL;
    RETURN NULL;
END $$;
COMMENT ON FUNCTION note_spans() IS 'Notes the models of the rows that a statement has written.';

-- Two transactions that add neighbours do not see each other, so they check one
-- after the other, and the second sees what the first has committed. In a
-- transaction that keeps to one snapshot it would not.
--
-- The queries ask for an aggregate: with a limit the planner, which may know nothing
-- of the table yet, prefers a plan that is quick for the first row and takes the
-- square of the rows for all.
CREATE FUNCTION check_spans() RETURNS trigger
    LANGUAGE plpgsql AS $$
DECLARE
    model bigint;
    rule text;
BEGIN
    IF current_setting('transaction_isolation') NOT IN ('read committed', 'read uncommitted') THEN
        RAISE EXCEPTION 'spans of % can be written in transactions of isolation level READ COMMITTED only', NEW.spans
            USING ERRCODE = 'feature_not_supported', TABLE = NEW.spans;
    END IF;
    PERFORM pg_advisory_xact_lock('spans_to_check'::regclass::bigint);
    IF NEW.spans = 'builds' THEN
        rule := 'builds_of_a_model_do_not_overlap';
        SELECT min(model_id) INTO model
        FROM (
            SELECT b.model_id, b.made && lag(b.made) OVER (PARTITION BY b.model_id, b.position ORDER BY b.made) AS clashes
            FROM builds b
            WHERE b.model_id = ANY (NEW.models) AND (b.made_from IS NOT NULL OR b.made_to IS NOT NULL)
        ) in_order
        WHERE clashes;
    ELSE
        rule := 'configurations_do_not_overlap_in_issues';
        SELECT min(model_id) INTO model
        FROM (
            SELECT c.model_id, c.issues && lag(c.issues) OVER (PARTITION BY c.model_id, c.family_id, c.build_id ORDER BY c.issues) AS clashes
            FROM configurations c
            WHERE c.model_id = ANY (NEW.models)
        ) in_order
        WHERE clashes;
    END IF;
    IF model IS NOT NULL THEN
        RAISE EXCEPTION 'two rows of % overlap in model %', NEW.spans, model
            USING ERRCODE = 'exclusion_violation', TABLE = NEW.spans, CONSTRAINT = rule;
    END IF;
    DELETE FROM spans_to_check WHERE spans = NEW.spans AND models = NEW.models;
    RETURN NULL;
END $$;
COMMENT ON FUNCTION check_spans() IS 'Refuses spans of the noted models that overlap, as an exclusion constraint would.';

CREATE CONSTRAINT TRIGGER check_spans AFTER INSERT ON spans_to_check
    DEFERRABLE INITIALLY DEFERRED FOR EACH ROW EXECUTE FUNCTION check_spans();

ALTER TABLE builds DROP CONSTRAINT builds_of_a_model_do_not_overlap;
CREATE TRIGGER note_spans_added AFTER INSERT ON builds
    REFERENCING NEW TABLE AS written FOR EACH STATEMENT EXECUTE FUNCTION note_spans();
CREATE TRIGGER note_spans_changed AFTER UPDATE ON builds
    REFERENCING NEW TABLE AS written FOR EACH STATEMENT EXECUTE FUNCTION note_spans();

ALTER TABLE configurations DROP CONSTRAINT configurations_do_not_overlap_in_issues;
CREATE TRIGGER note_spans_added AFTER INSERT ON configurations
    REFERENCING NEW TABLE AS written FOR EACH STATEMENT EXECUTE FUNCTION note_spans();
CREATE TRIGGER note_spans_changed AFTER UPDATE ON configurations
    REFERENCING NEW TABLE AS written FOR EACH STATEMENT EXECUTE FUNCTION note_spans();
