-- After a failover that lost commits, the next change takes a number again that was
-- another's. What a program keeps in memory of a version is kept by its stamp too,
-- so that it is never taken for the other.

ALTER TABLE catalogue_state
    ADD COLUMN catalogue_stamp integer NOT NULL DEFAULT 0,
    ADD COLUMN stock_stamp     integer NOT NULL DEFAULT 0;
COMMENT ON COLUMN catalogue_state.catalogue_stamp IS 'Drawn at random, below 2^20, with every version of the catalogue.';
COMMENT ON COLUMN catalogue_state.stock_stamp IS 'Drawn at random, below 2^20, with every version of the stock.';

CREATE FUNCTION stamp_catalogue_state() RETURNS trigger
    LANGUAGE plpgsql AS $$
BEGIN
    IF NEW.catalogue <> OLD.catalogue THEN
        NEW.catalogue_stamp := floor(random() * 1048576);
    END IF;
    IF NEW.stock <> OLD.stock THEN
        NEW.stock_stamp := floor(random() * 1048576);
    END IF;
    RETURN NEW;
END
$$;
COMMENT ON FUNCTION stamp_catalogue_state() IS 'Draws the stamps of versions that are new.';

CREATE TRIGGER stamp_catalogue_state BEFORE UPDATE ON catalogue_state
    FOR EACH ROW EXECUTE FUNCTION stamp_catalogue_state();
