-- Bundles that were sent to be checked or imported in the background.

CREATE TABLE uploads (
    id         text COLLATE "C" PRIMARY KEY,
    created    timestamptz NOT NULL DEFAULT now(),
    by         text NOT NULL,
    bundle     text NOT NULL,
    options    jsonb NOT NULL,
    undoes     bigint,
    server     text NOT NULL,
    heartbeat  timestamptz NOT NULL DEFAULT now(),
    state      text COLLATE "C" NOT NULL DEFAULT 'waiting',
    file       text NOT NULL DEFAULT '',
    rows       bigint NOT NULL DEFAULT 0,
    share      double precision NOT NULL DEFAULT 0,
    errors     integer NOT NULL DEFAULT 0,
    warnings   integer NOT NULL DEFAULT 0,
    findings   jsonb NOT NULL DEFAULT '[]',
    read       jsonb NOT NULL DEFAULT '[]',
    files      jsonb NOT NULL DEFAULT '[]',
    changes    jsonb NOT NULL DEFAULT '[]',
    refusal    text NOT NULL DEFAULT '',
    about      text NOT NULL DEFAULT '',
    message    text NOT NULL DEFAULT '',
    import_id  bigint,
    kept_until timestamptz,
    ended      timestamptz,
    CONSTRAINT upload_state_is_known CHECK (state IN ('waiting', 'reading', 'checking', 'writing', 'checked', 'done', 'refused', 'failed', 'lost')),
    CONSTRAINT upload_under_way_has_not_ended CHECK ((state IN ('waiting', 'reading', 'checking', 'writing')) = (ended IS NULL)),
    CONSTRAINT upload_with_an_import_is_done CHECK (import_id IS NULL OR state = 'done'),
    CONSTRAINT upload_import_is_known FOREIGN KEY (import_id) REFERENCES imports (id),
    CONSTRAINT upload_undoes_a_known_import FOREIGN KEY (undoes) REFERENCES imports (id)
);
COMMENT ON TABLE uploads IS 'Bundles that were sent to be checked or imported in the background, and what became of them; kept for some days.';
COMMENT ON COLUMN uploads.undoes IS 'The import that is to be undone; there is no bundle then.';
COMMENT ON COLUMN uploads.server IS 'The run of a service that works on it and has its files.';
COMMENT ON COLUMN uploads.heartbeat IS 'When that service was last heard of.';
COMMENT ON COLUMN uploads.share IS 'Of the bytes to be read, from 0 to 1.';
COMMENT ON COLUMN uploads.findings IS 'The first of them; errors and warnings count all.';
COMMENT ON COLUMN uploads.changes IS 'What it would change, row by row, as far as it is kept.';
COMMENT ON COLUMN uploads.refusal IS 'The code of the error that ended it.';
COMMENT ON COLUMN uploads.about IS 'The parameter, column or file that the error is about; empty: none.';
COMMENT ON COLUMN uploads.import_id IS 'Written in the transaction of the import.';
COMMENT ON COLUMN uploads.kept_until IS 'Until when the service has the files of what was only checked.';
CREATE INDEX uploads_by_age ON uploads (created);
CREATE UNIQUE INDEX uploads_by_import ON uploads (import_id) WHERE import_id IS NOT NULL;
CREATE INDEX uploads_by_server ON uploads (server);
