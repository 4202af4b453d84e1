-- How far the patterns of a family can be trusted is worked out when its
-- configurations change, by the program that changes them, and kept here so that
-- a question need not look at the whole family.

CREATE TABLE trusted_families (
    family_id  bigint PRIMARY KEY,
    unrecorded integer NOT NULL,
    CONSTRAINT trusted_family_is_known FOREIGN KEY (family_id) REFERENCES families (id) ON DELETE CASCADE,
    CONSTRAINT trusted_family_unrecorded_is_not_negative CHECK (unrecorded >= 0)
);
COMMENT ON TABLE trusted_families IS 'The families whose settings are kept in the table settings as their configurations are now.';
COMMENT ON COLUMN trusted_families.unrecorded IS 'Codes that are recorded without a pattern.';

-- No foreign keys: the rows of a family are written together, and they count only
-- while it is among trusted_families.
CREATE TABLE settings (
    family_id        bigint NOT NULL,
    code             text COLLATE "C" NOT NULL,
    pattern          text COLLATE "C" NOT NULL,
    models           text[] NOT NULL,
    model_count      integer NOT NULL,
    also_unrecorded  boolean NOT NULL,
    distance         integer,
    nearest_codes    text[] NOT NULL,
    nearest_patterns text[] NOT NULL,
    nearest_count    integer NOT NULL,
    CONSTRAINT settings_are_unique PRIMARY KEY (family_id, code, pattern),
    CONSTRAINT setting_models_are_three_names_each CHECK (cardinality(models) % 3 = 0),
    CONSTRAINT setting_nearest_have_a_pattern_each CHECK (cardinality(nearest_codes) = cardinality(nearest_patterns))
);
COMMENT ON TABLE settings IS 'What boards of a family may be set for: every code with its pattern, and how far that can be trusted.';
COMMENT ON COLUMN settings.code IS 'The symbols in order, separated by spaces.';
COMMENT ON COLUMN settings.models IS 'Brand, model and variant of the first models that have it, by key.';
COMMENT ON COLUMN settings.model_count IS 'How many models have it.';
COMMENT ON COLUMN settings.also_unrecorded IS 'The code is recorded without a pattern too.';
COMMENT ON COLUMN settings.distance IS 'The fewest points at which the pattern of another code differs; NULL: there is none.';
COMMENT ON COLUMN settings.nearest_codes IS 'The first settings at that distance, in dial order; nearest_patterns has their patterns.';
COMMENT ON COLUMN settings.nearest_count IS 'How many settings are at that distance.';

-- Whoever keeps the settings right says so for the transaction. All others make
-- them not count: they are worked out from the configurations until somebody keeps
-- them again. The lock is that of imports, so that none works them out meanwhile;
-- the row of the catalogue's state is written so that a transaction whose snapshot
-- is older than the last import fails instead of not seeing what that worked out.
CREATE FUNCTION forget_trust() RETURNS trigger
    LANGUAGE plpgsql SET search_path FROM CURRENT AS $$
BEGIN
    IF coalesce(current_setting('standin.keeps_trust', true), '') <> 'yes' THEN
        PERFORM pg_advisory_xact_lock(x'62756e646c65'::bigint);
        UPDATE catalogue_state SET catalogue = catalogue;
        DELETE FROM trusted_families;
    END IF;
    RETURN NULL;
END
$$;
COMMENT ON FUNCTION forget_trust() IS 'Makes the settings not count where something they depend on changes.';
CREATE TRIGGER forget_trust AFTER INSERT OR UPDATE OR DELETE OR TRUNCATE ON configurations
    FOR EACH STATEMENT EXECUTE FUNCTION forget_trust();
CREATE TRIGGER forget_trust AFTER UPDATE OF selector, code_length, readback ON families
    FOR EACH STATEMENT EXECUTE FUNCTION forget_trust();
CREATE TRIGGER forget_trust AFTER UPDATE OF brand, model, variant ON models
    FOR EACH STATEMENT EXECUTE FUNCTION forget_trust();

-- Instead of a foreign key, which would be looked up for every row that is written.
CREATE FUNCTION drop_settings() RETURNS trigger
    LANGUAGE plpgsql SET search_path FROM CURRENT AS $$
BEGIN
    DELETE FROM settings WHERE family_id = OLD.id;
    RETURN NULL;
END
$$;
COMMENT ON FUNCTION drop_settings() IS 'Removes the settings of a family that is removed.';
CREATE TRIGGER drop_settings AFTER DELETE ON families
    FOR EACH ROW EXECUTE FUNCTION drop_settings();
