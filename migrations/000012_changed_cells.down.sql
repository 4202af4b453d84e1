CREATE TABLE changes_as_json (
    import_id bigint NOT NULL,
    seq       integer NOT NULL,
    file      text COLLATE "C" NOT NULL,
    key       jsonb NOT NULL,
    before    jsonb,
    after     jsonb
);

DO $$
DECLARE
    f text;
BEGIN
    FOR f IN SELECT DISTINCT file FROM changed_columns LOOP
        EXECUTE format('INSERT INTO changes_as_json
            SELECT c.import_id, c.seq, c.file, jsonb_strip_nulls(to_jsonb(k)),
                CASE WHEN c.before IS NOT NULL THEN jsonb_strip_nulls(to_jsonb(b)) END,
                CASE WHEN c.after IS NOT NULL THEN jsonb_strip_nulls(to_jsonb(a)) END
            FROM changes c JOIN changed_columns n ON n.import_id = c.import_id AND n.file = c.file
            CROSS JOIN jsonb_populate_record(NULL::bundle.%1$I, jsonb_object(n.keys, c.key)) k
            CROSS JOIN jsonb_populate_record(NULL::bundle.%1$I, coalesce(jsonb_object(n.columns, c.before), ''{}'')) b
            CROSS JOIN jsonb_populate_record(NULL::bundle.%1$I, coalesce(jsonb_object(n.columns, c.after), ''{}'')) a
            WHERE c.file = %1$L', f);
    END LOOP;
END $$;

DROP TABLE changes, changed_columns;
ALTER TABLE changes_as_json RENAME TO changes;
ALTER TABLE changes
    ADD CONSTRAINT changes_of_an_import_are_in_order PRIMARY KEY (import_id, seq),
    ADD CONSTRAINT change_belongs_to_an_import FOREIGN KEY (import_id) REFERENCES imports (id),
    ADD CONSTRAINT change_changes_something CHECK (before IS DISTINCT FROM after);
COMMENT ON TABLE changes IS 'Every row that an import added, changed or removed, as the bundle writes it.';
COMMENT ON COLUMN changes.file IS 'The bundle file that the row belongs to, without its ending.';
COMMENT ON COLUMN changes.before IS 'NULL: the row was added.';
COMMENT ON COLUMN changes.after IS 'NULL: the row was removed.';
-- Equality is all that is asked of a key, and a hash bounds the size of an entry.
CREATE INDEX changes_by_key ON changes USING hash (key);
