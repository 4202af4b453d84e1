package standin_test

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// arrow says what a package and those below it may use of the module, and of
// the outside world. Their tests may use anything.
type arrow struct {
	from string
	may  []string // packages of the module that may be imported, and those below them
	not  []string // packages that must not be reached, not even by way of others
	std  bool     // imports the standard library and the module only
}

const (
	pgxModule      = "github.com/jackc/pgx"
	echoModule     = "github.com/labstack/echo"
	excelizeModule = "github.com/xuri/excelize"
	yamlModule     = "go.yaml.in/yaml"
)

// arrows has the more particular packages first: the first that holds counts.
var arrows = []arrow{
	{from: "standin/api/draw", may: []string{"standin."}, not: []string{pgxModule, echoModule}},
	{from: "standin/api/locale", not: []string{pgxModule, echoModule}},
	{from: "standin/api/page/judge", may: []string{"standin.", "standin/api/page/judge"}, std: true},
	{from: "standin/api/page", may: []string{"standin.", "standin/api/page/judge", "standin/api/draw", "standin/api/locale"}, not: []string{pgxModule, echoModule}},
	{from: "standin/api/sheet", may: []string{"standin.", "standin/api/draw", "standin/api/locale"}, not: []string{pgxModule, echoModule}},
	{from: "standin/api", may: []string{"standin.", "standin/openapi", "standin/api"}, not: []string{pgxModule}},
	{from: "standin/cmd", may: []string{"standin"}},
	{from: "standin/db/bundle", may: []string{"standin.", "standin/db.", "standin/db/internal"}, not: []string{echoModule}},
	{from: "standin/db/shop", may: []string{"standin.", "standin/db.", "standin/db/internal"}, not: []string{echoModule}},
	{from: "standin/db/uploads", may: []string{"standin.", "standin/db.", "standin/db/internal", "standin/db/shop"}, not: []string{echoModule}},
	{from: "standin/db/dbtest", may: []string{"standin.", "standin/db/private", "standin/migrations"}, not: []string{echoModule}},
	{from: "standin/db/internal", may: []string{"standin.", "standin/db/internal"}, not: []string{echoModule}},
	{from: "standin/db/private", may: []string{"standin/db/internal"}, not: []string{echoModule}},
	{from: "standin/db.", may: []string{"standin.", "standin/db/internal"}, not: []string{echoModule}},
	{from: "standin/importer/table", may: []string{"standin."}, not: []string{pgxModule, echoModule, excelizeModule, yamlModule}},
	{from: "standin/importer/sheet", may: []string{"standin.", "standin/importer/table"}, not: []string{pgxModule, echoModule, yamlModule}},
	{from: "standin/importer/mapping", may: []string{"standin.", "standin/importer/table"}, not: []string{pgxModule, echoModule, excelizeModule}},
	{from: "standin/importer", may: []string{"standin.", "standin/importer"}, not: []string{pgxModule, echoModule}},
	{from: "standin/migrations", not: []string{echoModule}},
	{from: "standin/openapi/client", not: []string{pgxModule, echoModule}},
	{from: "standin/openapi", may: []string{"standin/openapi"}, not: []string{pgxModule}},
	{from: "standin.", std: true},
}

// direct says who alone may import a package themselves.
var direct = map[string][]string{
	pgxModule:  {"standin/db", "standin/migrations"}, // the latter to break off a step
	echoModule: {"standin/api", "standin/openapi/gen"},

	excelizeModule: {"standin/importer/sheet", "standin/importer/importertest"},
	yamlModule:     {"standin/importer/mapping", "standin/api/locale"},
}

// imports are what a package imports, and reaches, without its tests.
type imports struct{ direct, all []string }

// TestArrows keeps the directions in which packages use each other.
func TestArrows(t *testing.T) {
	t.Parallel()
	for _, fault := range turned(listed(t)) {
		t.Error(fault)
	}
}

// Every file of this package is explained in its documentation, and none that is not there.
func TestFilesAreListed(t *testing.T) {
	t.Parallel()
	doc, err := os.ReadFile("doc.go")
	if err != nil {
		t.Fatal(err)
	}
	there, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	there = slices.DeleteFunc(there, func(name string) bool { return name == "doc.go" || strings.HasSuffix(name, "_test.go") })
	var explained []string
	for _, entry := range regexp.MustCompile(`(?m)^//\t(\w+\.go) +\S`).FindAllStringSubmatch(string(doc), -1) {
		explained = append(explained, entry[1])
	}
	slices.Sort(explained)
	if diff := cmp.Diff(there, explained); diff != "" {
		t.Errorf("doc.go explains (+) other files than there are (-):\n%s", diff)
	}
}

// TestArrowsCanTurn keeps TestArrows able to fail.
func TestArrowsCanTurn(t *testing.T) {
	t.Parallel()
	for name, test := range map[string]struct {
		from string
		uses imports
		want []string
	}{
		"the core, the standard library": {"standin", imports{direct: []string{"fmt", "encoding/json"}}, nil},
		"the core, a library":            {"standin", imports{direct: []string{"golang.org/x/text"}}, []string{"standin imports golang.org/x/text"}},
		"the core, an adapter":           {"standin", imports{direct: []string{"standin/db"}}, []string{"standin imports standin/db"}},
		"the API, the core":              {"standin/api", imports{direct: []string{"standin", echoModule + "/v4", "standin/api/page"}}, nil},
		"the API, the database":          {"standin/api", imports{direct: []string{"standin/db"}, all: []string{"standin/db"}}, []string{"standin/api imports standin/db"}},
		"the API, SQL by a way round":    {"standin/api", imports{all: []string{pgxModule + "/v5/pgconn"}}, []string{"standin/api reaches github.com/jackc/pgx/v5/pgconn"}},
		"a page, the API":                {"standin/api/page", imports{direct: []string{"standin/api"}}, []string{"standin/api/page imports standin/api"}},
		"the database, the API":          {"standin/db", imports{direct: []string{"standin/api"}}, []string{"standin/db imports standin/api"}},
		"questions, bundles":             {"standin/db", imports{direct: []string{"standin/db/bundle"}}, []string{"standin/db imports standin/db/bundle"}},
		"bundles, questions":             {"standin/db/bundle", imports{direct: []string{"standin", "standin/db", "standin/db/internal/pg", pgxModule + "/v5"}}, nil},
		"a private server, questions":    {"standin/db/private", imports{direct: []string{"standin/db"}}, []string{"standin/db/private imports standin/db"}},
		"the database, migrations":       {"standin/db", imports{direct: []string{"standin/migrations"}}, []string{"standin/db imports standin/migrations"}},
		"test databases, migrations":     {"standin/db/dbtest", imports{direct: []string{"standin/migrations", pgxModule + "/v5"}}, nil},
		"the importer, the database":     {"standin/importer", imports{direct: []string{"standin/db"}}, []string{"standin/importer imports standin/db"}},
		"spreadsheets, mappings":         {"standin/importer/sheet", imports{direct: []string{"standin/importer/table", "standin/importer/mapping"}}, []string{"standin/importer/sheet imports standin/importer/mapping"}},
		"mappings, the importer":         {"standin/importer/mapping", imports{direct: []string{"standin/importer"}}, []string{"standin/importer/mapping imports standin/importer"}},
		"mappings, a workbook":           {"standin/importer/mapping", imports{direct: []string{excelizeModule + "/v2"}}, []string{"standin/importer/mapping imports github.com/xuri/excelize/v2"}},
		"tables, SQL by a way round":     {"standin/importer/table", imports{all: []string{pgxModule}}, []string{"standin/importer/table reaches github.com/jackc/pgx"}},
		"the command, everything":        {"standin/cmd/standin", imports{direct: []string{"standin/db", "standin/api"}, all: []string{pgxModule, echoModule}}, nil},
		"the command, SQL itself":        {"standin/cmd/standin", imports{direct: []string{pgxModule + "/v5"}}, []string{"standin/cmd/standin imports github.com/jackc/pgx/v5"}},
		"the contract, the core":         {"standin/openapi/gen", imports{direct: []string{"standin"}}, []string{"standin/openapi/gen imports standin"}},
		"a client, the server's types":   {"standin/openapi/client", imports{direct: []string{"standin/openapi/gen"}, all: []string{echoModule + "/v4"}}, []string{"standin/openapi/client imports standin/openapi/gen", "standin/openapi/client reaches github.com/labstack/echo/v4"}},
		"a folder nobody has thought of": {"standin/web", imports{}, []string{"standin/web has no arrows"}},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			got := turned(map[string]imports{test.from: test.uses})
			if diff := cmp.Diff(test.want, got); diff != "" {
				t.Errorf("faults (-want +got):\n%s", diff)
			}
		})
	}
}

// turned are the faults of a graph of packages, in order.
func turned(graph map[string]imports) (faults []string) {
	for from, uses := range graph {
		i := slices.IndexFunc(arrows, func(a arrow) bool { return within(from, a.from) })
		if i < 0 {
			faults = append(faults, from+" has no arrows")
			continue
		}
		for _, to := range uses.direct {
			if !arrows[i].allows(to) || !mayHold(from, to) {
				faults = append(faults, fmt.Sprintf("%s imports %s", from, to))
			}
		}
		for _, to := range uses.all {
			if withinAny(to, arrows[i].not) {
				faults = append(faults, fmt.Sprintf("%s reaches %s", from, to))
			}
		}
	}
	slices.Sort(faults)
	return faults
}

func (a arrow) allows(to string) bool {
	if within(to, "standin") {
		return withinAny(to, a.may)
	}
	first, _, _ := strings.Cut(to, "/")
	return !a.std || !strings.Contains(first, ".")
}

func mayHold(from, to string) bool {
	for what, holders := range direct {
		if within(to, what) && !withinAny(from, holders) {
			return false
		}
	}
	return true
}

// within reports whether a package is another or below it. A dot at the end means
// that package alone.
func within(pkg, top string) bool {
	if alone, ok := strings.CutSuffix(top, "."); ok {
		return pkg == alone
	}
	return pkg == top || strings.HasPrefix(pkg, top+"/")
}

func withinAny(pkg string, tops []string) bool {
	return slices.ContainsFunc(tops, func(top string) bool { return within(pkg, top) })
}

// listed asks the go command for the module's packages.
func listed(t *testing.T) map[string]imports {
	t.Helper()
	cmd := exec.Command("go", "list", "-f", `{{.ImportPath}}|{{join .Imports " "}}|{{join .Deps " "}}`, "./...")
	var errs bytes.Buffer
	cmd.Stderr = &errs
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("go list: %v\n%s", err, errs.Bytes())
	}
	graph := map[string]imports{}
	for line := range strings.Lines(string(out)) {
		parts := strings.Split(strings.TrimSpace(line), "|")
		graph[parts[0]] = imports{direct: strings.Fields(parts[1]), all: strings.Fields(parts[2])}
	}
	if len(graph) < 2 {
		t.Fatalf("go list knows of the packages %q alone", out)
	}
	return graph
}
