-- What an import changed is kept as the texts of cells, their columns once for each
-- file: as JSON, rows took 1.4 times the room and twice the time to write.

CREATE TABLE changed_columns (
    import_id bigint NOT NULL,
    file      text COLLATE "C" NOT NULL,
    keys      text[] NOT NULL,
    columns   text[] NOT NULL,
    CONSTRAINT changed_columns_are_those_of_a_file PRIMARY KEY (import_id, file),
    CONSTRAINT changed_columns_belong_to_an_import FOREIGN KEY (import_id) REFERENCES imports (id)
);
COMMENT ON TABLE changed_columns IS 'The columns that a file had in an import, in the order of the cells in changes.';
COMMENT ON COLUMN changed_columns.keys IS 'Those that the key is made of.';

CREATE TABLE changed_cells (
    import_id bigint NOT NULL,
    seq       integer NOT NULL,
    file      text COLLATE "C" NOT NULL,
    key       text[] NOT NULL,
    before    text[],
    after     text[]
);

DO $$
DECLARE
    f record;
BEGIN
    PERFORM set_config('DateStyle', 'ISO', true), set_config('extra_float_digits', '1', true);
    FOR f IN
        SELECT file, keys, array_agg(a.attname::text ORDER BY a.attnum) AS columns,
            (SELECT string_agg(format('k.%I::text', name), ', ' ORDER BY n) FROM unnest(keys) WITH ORDINALITY u (name, n)) AS key,
            string_agg(format('b.%I::text', a.attname), ', ' ORDER BY a.attnum) AS before,
            string_agg(format('a.%I::text', a.attname), ', ' ORDER BY a.attnum) AS after
        FROM (VALUES
            ('sources', '{source}'),
            ('procedures', '{procedure,phase,step}'),
            ('families', '{family}'),
            ('layouts', '{layout,connector}'),
            ('adaptors', '{part_number}'),
            ('boards', '{part_number}'),
            ('revisions', '{part_number,revision}'),
            ('markings', '{marking,part_number}'),
            ('ratings', '{part_number,revision,circuit}'),
            ('supersessions', '{old_part,new_part}'),
            ('serial_rules', '{rule}'),
            ('models', '{brand,model,variant}'),
            ('twins', '{brand,model,variant}'),
            ('builds', '{brand,model,variant,position,build}'),
            ('loads', '{brand,model,variant,position,build,circuit}'),
            ('configurations', '{family,brand,model,variant,build,issue_from}'),
            ('presets', '{part_number,brand,model,variant,build}'),
            ('stock', '{location,part_number,revision,condition}')
        ) known (file, key_columns)
        CROSS JOIN LATERAL (SELECT key_columns::text[]) x (keys)
        JOIN pg_attribute a ON a.attrelid = ('bundle.' || file)::regclass AND a.attnum > 0 AND NOT a.attisdropped
        WHERE EXISTS (SELECT FROM changes)
        GROUP BY file, keys
    LOOP
        EXECUTE format('INSERT INTO changed_cells
            SELECT c.import_id, c.seq, c.file, ARRAY[%2$s],
                CASE WHEN c.before IS NOT NULL THEN ARRAY[%3$s] END, CASE WHEN c.after IS NOT NULL THEN ARRAY[%4$s] END
            FROM changes c
            CROSS JOIN jsonb_populate_record(NULL::bundle.%1$I, c.key) k
            CROSS JOIN jsonb_populate_record(NULL::bundle.%1$I, coalesce(c.before, ''{}'')) b
            CROSS JOIN jsonb_populate_record(NULL::bundle.%1$I, coalesce(c.after, ''{}'')) a
            WHERE c.file = %1$L', f.file, f.key, f.before, f.after);
        INSERT INTO changed_columns SELECT DISTINCT import_id, file, f.keys, f.columns FROM changed_cells WHERE file = f.file;
    END LOOP;
END $$;

DROP TABLE changes;
ALTER TABLE changed_cells RENAME TO changes;
ALTER TABLE changes
    ADD CONSTRAINT changes_of_an_import_are_in_order PRIMARY KEY (import_id, seq),
    ADD CONSTRAINT change_belongs_to_an_import FOREIGN KEY (import_id) REFERENCES imports (id),
    ADD CONSTRAINT change_changes_something CHECK (before IS DISTINCT FROM after);
COMMENT ON TABLE changes IS 'Every row that an import added, changed or removed, in the columns that changed_columns names.';
COMMENT ON COLUMN changes.file IS 'The bundle file that the row belongs to, without its ending.';
COMMENT ON COLUMN changes.before IS 'NULL: the row was added. A cell is NULL where nothing is recorded.';
COMMENT ON COLUMN changes.after IS 'NULL: the row was removed.';
-- Equality is all that is asked of a key, and a hash bounds the size of an entry.
CREATE INDEX changes_by_key ON changes USING hash (key);
ANALYZE changes;
