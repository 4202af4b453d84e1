DROP TABLE feed, idempotency, stock_moves, holds;
ALTER TABLE catalogue_state DROP COLUMN feed;
