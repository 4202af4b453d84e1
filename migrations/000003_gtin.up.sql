-- A GTIN is read off a label. One of 12 digits and the same with zeros before it
-- are one number, so 14 digits are compared.
CREATE INDEX boards_by_gtin ON boards (lpad(gtin, 14, '0')) WHERE gtin IS NOT NULL;
