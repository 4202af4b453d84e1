DROP INDEX boards_by_gtin;
