package db

import (
	"testing"

	"standin"
)

// Where the schema is missing, a question says so instead of answering.
func TestQuestionWithoutSchema(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	exec(t, db, `DROP TABLE twins CASCADE`)
	for range 2 { // the connection is fit for use after the failure
		if _, err := db.Dossiers(t.Context(), []standin.Machine{machine("Ondara", "WD 300", "")}); standin.CodeOf(err) != standin.CodeSchema {
			t.Errorf("%v, want schema", err)
		}
	}
	if _, err := db.State(t.Context()); err != nil {
		t.Error(err)
	}
}
