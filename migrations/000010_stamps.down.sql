DROP TRIGGER stamp_catalogue_state ON catalogue_state;
DROP FUNCTION stamp_catalogue_state();
ALTER TABLE catalogue_state DROP COLUMN catalogue_stamp, DROP COLUMN stock_stamp;
