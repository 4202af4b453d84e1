package mapping_test

import (
	"bytes"
	"encoding/json"
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/santhosh-tekuri/jsonschema/v6"
	"go.yaml.in/yaml/v4"

	"standin"
	"standin/importer/importertest"
	"standin/importer/mapping"
)

func mappingSchema(t testing.TB) *jsonschema.Schema {
	t.Helper()
	document, err := jsonschema.UnmarshalJSON(bytes.NewReader(mapping.Schema))
	importertest.Must(t, err)
	compiler := jsonschema.NewCompiler()
	importertest.Must(t, compiler.AddResource("mapping.schema.json", document))
	schema, err := compiler.Compile("mapping.schema.json")
	importertest.Must(t, err)
	return schema
}

// asJSON is YAML as the schema sees it.
func asJSON(t testing.TB, text string) any {
	t.Helper()
	var value any
	importertest.Must(t, yaml.Load([]byte(text), &value))
	encoded, err := json.Marshal(value)
	importertest.Must(t, err)
	value, err = jsonschema.UnmarshalJSON(bytes.NewReader(encoded))
	importertest.Must(t, err)
	return value
}

// The schema accepts the mappings that the importer accepts, and refuses most
// of what it refuses.
func TestMappingSchema(t *testing.T) {
	t.Parallel()
	schema := mappingSchema(t)
	for _, path := range []string{"../importertest/supplied/mapping.yaml", "../../cmd/standin/demo/wide/tarn.yaml"} {
		text, err := os.ReadFile(path)
		importertest.Must(t, err)
		if err := schema.Validate(asJSON(t, string(text))); err != nil {
			t.Errorf("%s: %v", path, err)
		}
	}
	text := importertest.Supplied(t)["mapping.yaml"]
	for name, change := range map[string][2]string{
		"a word not known":          {"header: 1", "heder: 1"},
		"a file that is none":       {"file: models", "file: model"},
		"a column that is none":     {"kind: {", "sort: {"},
		"a word of a column":        {"{column: Volts, unit: V}", "{colum: Volts, unit: V}"},
		"two sources":               {"{column: Volts, unit: V}", "{column: Volts, constant: 230}"},
		"no source":                 {"{column: Volts, unit: V}", "{unit: V}"},
		"a prefix that is none":     {"prefix: words", "prefix: word"},
		"an empty that means other": {"empty: unlit", "empty: off"},
		"an empty list":             {"date: MM/YYYY", "date: []"},
		"rows that are no numbers":  {"header: 1", "header: first"},
	} {
		broken := strings.Replace(text, change[0], change[1], 1)
		if broken == text {
			t.Fatalf("%s: %q is not there", name, change[0])
		}
		if schema.Validate(asJSON(t, broken)) == nil {
			t.Errorf("%s: the schema accepts it", name)
		}
	}
}

// The schema knows the files and columns of a bundle, no others.
func TestMappingSchemaColumns(t *testing.T) {
	t.Parallel()
	var schema struct {
		Properties struct {
			Rows struct {
				Items struct {
					AllOf []struct {
						If struct {
							Properties struct{ File struct{ Const string } }
						}
						Then struct {
							Properties struct {
								Columns struct{ PropertyNames struct{ Enum []string } }
							}
						}
					}
				}
			}
		}
	}
	importertest.Must(t, json.Unmarshal(mapping.Schema, &schema))
	got, want := map[string][]string{}, map[string][]string{}
	for _, rule := range schema.Properties.Rows.Items.AllOf {
		got[rule.If.Properties.File.Const] = rule.Then.Properties.Columns.PropertyNames.Enum
	}
	for _, f := range standin.Files {
		for _, c := range f.Columns {
			want[f.Name] = append(want[f.Name], c.Name)
		}
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("columns (-files +schema):\n%s", diff)
	}
}
