package bundle

import (
	"fmt"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"standin"
)

// chart is a bundle of a family of two places and four points, each point of one
// place, with the code and pattern of some rows as given instead. The rows of
// brand Ouse begin at line 2, one row per model.
func chart(instead map[string]string) string { return chartOf(16, instead) }

// chartOf has so many rows; from the seventeenth on their codes come again.
func chartOf(rows int, instead map[string]string) string {
	models, configurations := &strings.Builder{}, &strings.Builder{}
	for n := range rows {
		i, j := n/4%4, n%4
		name := fmt.Sprintf("W%c%c", "ABCD"[i], "ABCD"[j])
		if again := n / 16; again > 0 {
			name += strconv.Itoa(again)
		}
		row := fmt.Sprintf("%c %c,%02b%02b", "ABCD"[i], "ABCD"[j], i, j)
		if other, ok := instead[name]; ok {
			row = other
		}
		models.WriteString("Ouse," + name + ",,,,,,,\n")
		configurations.WriteString("Grebe,Ouse," + name + ",,,,," + row + ",\n")
	}
	return "-- families.csv --\nfamily,title,selector,code_length,readback,procedure,note\nGrebe,,A B C D,2,K1 K2 K3 K4,,\n" +
		"-- models.csv --\nbrand,model,variant,kind,made_from,made_to,volts,hertz,serial_rule\n" + models.String() +
		"-- configurations.csv --\nfamily,brand,model,variant,build,issue_from,issue_to,code,pattern,source\n" + configurations.String()
}

// readingCodes are the codes of what proof-reading says.
var readingCodes = map[string]bool{standin.LikelyMisprint: true, standin.PredictedPattern: true}

// misprintLines are what proof-reading says of a bundle, a line each.
func misprintLines(found []standin.Finding) string {
	var lines []string
	for _, f := range found {
		if readingCodes[f.Code] {
			lines = append(lines, fmt.Sprintf("%s:%d %s %s=%q [%s] %s", f.File, f.Line, f.Code, f.Column, f.Value, f.Correction, f.Message))
		}
	}
	return strings.Join(lines, "\n")
}

func warned(t *testing.T, db *database, bundle string) []standin.Finding {
	t.Helper()
	tx := openTx(t, db)
	defer tx.Rollback()
	stage(t, tx, bundle)
	found, total, err := tx.Warnings(t.Context(), 100_000)
	if err != nil || total != len(found) {
		t.Fatalf("%d findings are counted, %d shown; %v", total, len(found), err)
	}
	for _, f := range found {
		if f.Severity != standin.SeverityWarning {
			t.Errorf("%s is no warning", f.Code)
		}
	}
	return found
}

func TestMisprintsOfAnImport(t *testing.T) {
	t.Parallel()
	for _, test := range []struct {
		name    string
		instead map[string]string
		want    []string // begins of lines
	}{
		{"a right chart", nil, nil},
		{"a point", map[string]string{"WBC": "B C,1110"}, []string{
			`configurations.csv:8 likely-misprint pattern="1110" [] K1 is probably unlit, not lit: so it is in 3 of 3 other rows with B at place 1; about as likely: D at place 1`,
		}},
		{"no pattern", map[string]string{"WBC": "B C,"}, []string{
			`configurations.csv:8 predicted-pattern pattern="" [0110 (predicted)] no pattern is recorded for the code B C; going by the other codes it would be 0110`,
		}},
		{"a code that is not the family's", map[string]string{"WBC": "B Z,0110"}, nil},
	} {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			db := openEmpty(t)
			got := misprintLines(warned(t, db, chart(test.instead)))
			var lines []string
			if got != "" {
				lines = strings.Split(got, "\n")
			}
			if len(lines) != len(test.want) {
				t.Fatalf("it is said:\n%s", got)
			}
			for i, want := range test.want {
				if !strings.HasPrefix(lines[i], want) || !strings.HasSuffix(lines[i], "(family Grebe, Ouse WBC)") {
					t.Errorf("line %d is\n%s\nwant\n%s", i, lines[i], want)
				}
			}
		})
	}
}

// A correction is offered where nothing else would put the row right.
func TestCorrectionsThatAreSure(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	put(t, db, chart(map[string]string{"WBC": "C B,0110"}))
	found, _, err := db.Audit(t.Context(), "", 100)
	if err != nil {
		t.Fatal(err)
	}
	const want = `likely-misprint code="C B" [B C] C and B next to each other in the code are probably exchanged: with the code B C the pattern is as in the other rows`
	if got := misprintLines(found); !strings.Contains(got, want) {
		t.Errorf("it is said:\n%s\nwant\n%s", got, want)
	}
}

// Only rows of the import are under review, against the family as it will be; in an
// audit all are. What is predicted is nowhere stored.
func TestMisprintsOfStoredRows(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	put(t, db, chart(map[string]string{"WBC": "B C,1110", "WDD": "D D,"}))
	fresh := "-- models.csv --\nbrand,model,variant,kind,made_from,made_to,volts,hertz,serial_rule\nOuse,X1,,,,,,,\n" +
		"-- configurations.csv --\nfamily,brand,model,variant,build,issue_from,issue_to,code,pattern,source\nGrebe,Ouse,X1,,,,,%s,\n"
	if got := misprintLines(warned(t, db, fmt.Sprintf(fresh, "A A,0000"))); got != "" {
		t.Errorf("of a right row it is said:\n%s", got)
	}
	if got := misprintLines(warned(t, db, fmt.Sprintf(fresh, "C A,1010"))); !strings.HasPrefix(got, `configurations.csv:2 likely-misprint pattern="1010" [] K3`) || strings.Contains(got, "\n") {
		t.Errorf("of a wrong row it is said:\n%s", got)
	}
	found, _, err := db.Audit(t.Context(), "", 100)
	if err != nil {
		t.Fatal(err)
	}
	audit := misprintLines(found)
	if strings.Count(audit, "\n") != 1 || !strings.Contains(audit, "K1 is probably unlit") || !strings.Contains(audit, "[1111 (predicted)]") {
		t.Errorf("the audit says:\n%s", audit)
	}
	f, err := db.FamilyOf(t.Context(), "Grebe")
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(standin.Pattern(""), f.Configurations[15].Pattern); diff != "" {
		t.Errorf("the pattern predicted is stored: %s", diff)
	}
}

// A family of more rows than are proof-read together is read in parts, in each of
// which all of it shows: what is wrong is found as well.
func TestMisprintsOfALargeFamily(t *testing.T) {
	t.Parallel()
	instead := map[string]string{"WBC7": "B C,1110", "WDA300": "D A,"}
	got := misprintLines(warned(t, openEmpty(t), chartOf(mostProofread+16, instead)))
	want := []string{
		`likely-misprint pattern="1110" [] K1 is probably unlit, not lit`,
		`predicted-pattern pattern="" [1100 (predicted)]`,
	}
	lines := strings.Split(got, "\n")
	if len(lines) != len(want) || !strings.Contains(lines[0], want[0]) || !strings.Contains(lines[1], want[1]) {
		t.Errorf("it is said:\n%s\nwant\n%s", got, strings.Join(want, "\n"))
	}
}

func TestPartsOfALargeFamily(t *testing.T) {
	t.Parallel()
	for _, test := range []struct{ rows, want int }{
		{1, 1}, {mostProofread, mostProofread}, {mostProofread + 1, mostProofread/2 + 1}, {3*mostProofread - 2, mostProofread},
	} {
		if got := (&reviewedFamily{rows: test.rows}).part(); got != test.want {
			t.Errorf("a family of %d rows is read in parts of %d, want %d", test.rows, got, test.want)
		}
	}
}
