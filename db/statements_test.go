package db

import (
	"testing"

	"standin/db/dbtest"
)

func TestEveryStatementCanBePrepared(t *testing.T) {
	t.Parallel()
	dbtest.PrepareStatements(t, 20)
}
