DROP TABLE catalogue_state, changes, imports, stock, presets, configurations, loads, builds, twins, models,
    serial_rules, supersessions, markings, ratings, revisions, adaptors, boards, parts, connectors, layouts,
    families, procedure_steps, procedures, sources;
DROP FUNCTION tell_catalogue_state();
DROP FUNCTION note_adaptor_ways();
DROP FUNCTION folded(text);
DROP FUNCTION plain(text);
-- The extensions stay: they may have been there before, for others.
