package dbtest

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5"
)

// PrepareStatements has the server parse every statement of the package under test
// against the migrated schema, so that a column that was renamed is noticed. Statements
// are the constants that are named …SQL; where there are fewer than expected the test
// fails, as it would see nothing.
func PrepareStatements(t *testing.T, fewest int) {
	t.Helper()
	conn, err := pgx.Connect(t.Context(), New(t))
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(t.Context())
	all := statements(t)
	if len(all) < fewest {
		t.Fatalf("only %d statements were found", len(all))
	}
	for name, sql := range all {
		if _, err := conn.Prepare(t.Context(), name, sql); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if strings.Contains(sql, "SELECT *") || strings.Contains(sql, ".*") {
			t.Errorf("%s does not list its columns", name)
		}
	}
}

// statements are those of the package in the current folder, by name.
func statements(t *testing.T) map[string]string {
	t.Helper()
	files, err := os.ReadDir(".")
	if err != nil {
		t.Fatal(err)
	}
	constants := map[string]ast.Expr{}
	for _, file := range files {
		if name := file.Name(); strings.HasSuffix(name, ".go") && !strings.HasSuffix(name, "_test.go") {
			parsed, err := parser.ParseFile(token.NewFileSet(), name, nil, 0)
			if err != nil {
				t.Fatal(err)
			}
			ast.Inspect(parsed, func(n ast.Node) bool {
				if spec, ok := n.(*ast.ValueSpec); ok && len(spec.Values) == len(spec.Names) {
					for i, name := range spec.Names {
						constants[name.Name] = spec.Values[i]
					}
				}
				return true
			})
		}
	}
	found := map[string]string{}
	for name, value := range constants {
		if strings.HasSuffix(name, "SQL") {
			found[name] = text(t, value, constants)
		}
	}
	return found
}

// text is the value of a constant made of literals and other constants.
func text(t *testing.T, e ast.Expr, constants map[string]ast.Expr) string {
	t.Helper()
	switch e := e.(type) {
	case *ast.BasicLit:
		s, err := strconv.Unquote(e.Value)
		if err != nil {
			t.Fatal(err)
		}
		return s
	case *ast.BinaryExpr:
		return text(t, e.X, constants) + text(t, e.Y, constants)
	case *ast.Ident:
		return text(t, constants[e.Name], constants)
	}
	t.Fatalf("a statement is made of %T; make it of literals and constants", e)
	return ""
}
