DROP TRIGGER drop_settings ON families;
DROP FUNCTION drop_settings();
DROP TRIGGER forget_trust ON models;
DROP TRIGGER forget_trust ON families;
DROP TRIGGER forget_trust ON configurations;
DROP FUNCTION forget_trust();
DROP TABLE settings, trusted_families;
