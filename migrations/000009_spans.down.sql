DROP TRIGGER note_spans_added ON builds;
DROP TRIGGER note_spans_changed ON builds;
DROP TRIGGER note_spans_added ON configurations;
DROP TRIGGER note_spans_changed ON configurations;
DROP TABLE spans_to_check;
DROP FUNCTION check_spans(), note_spans();

ALTER TABLE builds ADD CONSTRAINT builds_of_a_model_do_not_overlap
    EXCLUDE USING gist (model_id WITH =, position WITH =, made WITH &&)
    WHERE (made_from IS NOT NULL OR made_to IS NOT NULL) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE configurations ADD CONSTRAINT configurations_do_not_overlap_in_issues
    EXCLUDE USING gist (model_id WITH =, family_id WITH =, coalesce(build_id, 0) WITH =, issues WITH &&)
    DEFERRABLE INITIALLY DEFERRED;
