-- Who may do what over HTTP.

CREATE TABLE tokens (
    id        bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    name      text NOT NULL,
    hash      bytea NOT NULL,
    scopes    text[] NOT NULL,
    location  text COLLATE "C" NOT NULL DEFAULT '',
    created   timestamptz NOT NULL DEFAULT now(),
    expires   timestamptz,
    revoked   timestamptz,
    last_used timestamptz,
    CONSTRAINT token_has_a_name CHECK (name <> ''),
    CONSTRAINT token_hash_is_a_sha_256 CHECK (octet_length(hash) = 32),
    CONSTRAINT token_has_a_scope CHECK (cardinality(scopes) > 0),
    CONSTRAINT token_scopes_are_known CHECK (scopes <@ ARRAY['read', 'stock', 'fittings', 'catalogue', 'admin'])
);
COMMENT ON TABLE tokens IS 'Who may do what over HTTP.';
COMMENT ON COLUMN tokens.hash IS 'SHA-256 of the secret, which is kept nowhere.';
COMMENT ON COLUMN tokens.location IS 'The only one whose stock it may change; empty: any.';
COMMENT ON COLUMN tokens.last_used IS 'To the minute.';
CREATE UNIQUE INDEX tokens_in_use_have_different_names ON tokens (name) WHERE revoked IS NULL;
