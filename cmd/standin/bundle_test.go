package main

import (
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"standin/api"
	"standin/db"
	"standin/db/dbtest"
)

// smallBundle is a catalogue of one model with a cut-in, and one family.
var smallBundle = map[string]string{
	"families.csv":   "family,title,selector,code_length,readback,procedure\nQX,Wash control,A B C D,3,K1 K2 K3,dial\n",
	"procedures.csv": "procedure,phase,step,do\ndial,enter,1,turn the dial to D\n",
	"layouts.csv": "layout,connector,ways,pitch_mm,key,circuits\n" +
		"wide,P1,3,5,a,heater motor valve\nsplit,P1,2,5,a,heater motor\nsplit,P2,1,5,b,valve\n",
	"boards.csv": "part_number,family,title\nQX-1,QX,Wash control\nQX-2,QX,Wash control with split plugs\n",
	"revisions.csv": "part_number,revision,issue,layout,options,volts_min,volts_max,hertz\n" +
		"QX-1,A,1,wide,none,207,253,50\nQX-2,A,2,split,none,207,253,50\n",
	"models.csv": "brand,model,variant,kind,volts,hertz\nCorvane,DW 640,,dishwasher,230,50\nCorvane,DW 650,,dishwasher,230,50\n",
	"builds.csv": "brand,model,build,made_from,made_to,part_number,layout,needs\n" +
		"Corvane,DW 640,b1,1999,2001-02,QX-1,wide,none\nCorvane,DW 640,b2,2001-03,,QX-2,split,none\n",
	"configurations.csv": "family,brand,model,issue_from,code,pattern\nQX,Corvane,DW 640,1,C A D,10f\n",
	"stock.csv":          "location,part_number,revision,condition,quantity\nfront,QX-1,A,new,2\n",
}

// writeBundle writes a bundle with some files changed and returns its folder.
func writeBundle(t *testing.T, changed map[string]string) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "spring")
	if err := os.Mkdir(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	for _, files := range []map[string]string{smallBundle, changed} {
		for name, text := range files {
			if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
	return dir
}

// loaded is a database with the small bundle in it.
func loaded(t *testing.T) (databaseURL string) {
	t.Helper()
	databaseURL = dbtest.New(t)
	if got := run(t, "import", writeBundle(t, nil), "--database-url", databaseURL, "--by", "Ada"); got.status != statusAnswered {
		t.Fatalf("the bundle is not imported: %s", got.stderr)
	}
	return databaseURL
}

// checkSays checks the status and that stdout says each of some things.
func checkSays(t *testing.T, got ran, status int, says ...string) {
	t.Helper()
	if got.status != status || got.stderr != "" {
		t.Errorf("status %d, stderr %q; want %d and nothing", got.status, got.stderr, status)
	}
	for _, s := range says {
		if !strings.Contains(got.stdout, s) {
			t.Errorf("it does not say %q:\n%s", s, got.stdout)
		}
	}
}

func TestImportFitUndo(t *testing.T) {
	t.Parallel()
	at := dbtest.New(t)
	bundle := writeBundle(t, nil)
	question := []string{"fit", "--brand", "Corvane", "--model", "DW 640", "--database-url", at}

	got := run(t, "import", bundle, "--check", "--database-url", at)
	checkSays(t, got, statusAnswered, "models.csv: 2 rows", "boards", "2 added, 0 changed, 0 removed", "added      part_number QX-1", "nothing is yet")
	if got := run(t, question...); got.status != statusFailed {
		t.Errorf("a check imported something: %s", got.stdout)
	}
	got = run(t, "import", bundle, "--database-url", at, "--by", "Ada")
	checkSays(t, got, statusAnswered, "as import 1", "To take it back: standin undo 1")
	got = run(t, "import", bundle, "--database-url", at)
	checkSays(t, got, statusAnswered, "nothing changes")
	got = run(t, "imports", "--database-url", at)
	checkSays(t, got, statusAnswered, "Import 1, spring", "by Ada")
	if strings.Contains(got.stdout, "Import 2") {
		t.Errorf("an import that changed nothing is listed:\n%s", got.stdout)
	}

	checkSays(t, run(t, question...), statusAnswered, "Corvane DW 640, dishwasher", "It depends on the build",
		"add --plug 3", "[ C ]  [ A ]  [ D ]", "K1 lit", "K2 unlit", "K3 flashing", "2 new at front", "Procedure dial")
	checkSays(t, run(t, append(question, "--plug", "3")...), statusAnswered, "Yes: QX-1 revision A fits; 2 new at front.")

	got = run(t, "undo", "1", "--database-url", at, "--by", "Bo")
	checkSays(t, got, statusAnswered, "undoes import 1", "by Bo")
	if got := run(t, question...); got.status != statusFailed || !strings.Contains(got.stderr, "no model Corvane DW 640") {
		t.Errorf("after undo: status %d, %q", got.status, got.stderr)
	}
	got = run(t, "undo", "77", "--database-url", at)
	checkSentence(t, got)
	if got.status != statusFailed {
		t.Errorf("undo of no import: status %d", got.status)
	}
}

func TestImportWithErrors(t *testing.T) {
	t.Parallel()
	at := dbtest.New(t)
	bundle := writeBundle(t, map[string]string{
		"configurations.csv": "family,brand,model,issue_from,code,pattern\nQX,Corvane,DW 640,1,C A Z,10f\n",
		"stock.csv":          "location,part_number,condition,quantity\nfront,QX-1,new,-2\n",
	})
	got := run(t, "import", bundle, "--database-url", at)
	if got.status != statusFailed || got.stdout != "" {
		t.Errorf("status %d, stdout %q; want %d and nothing", got.status, got.stdout, statusFailed)
	}
	for _, says := range []string{"configurations.csv:2 code unknown-symbol", "stock.csv:2 quantity bad-value", "2 errors"} {
		if !strings.Contains(got.stderr, says) {
			t.Errorf("it does not say %q:\n%s", says, got.stderr)
		}
	}
	var report reportJSON
	asJSON := run(t, "import", bundle, "--json", "--database-url", at)
	decode(t, asJSON.stdout, &report)
	if asJSON.status != statusFailed || report.Errors != 2 || len(report.Findings) != 2 || report.Committed || report.Import != nil {
		t.Errorf("status %d, report %+v; want %d and both errors", asJSON.status, report, statusFailed)
	}
	if got := run(t, "imports", "--database-url", at); !strings.Contains(got.stdout, "Nothing has been imported yet") {
		t.Errorf("something was imported:\n%s", got.stdout)
	}
	got = run(t, "import", filepath.Join(bundle, "none.csv"), "--database-url", at)
	checkSentence(t, got)
	if got.status != statusUsage {
		t.Errorf("a path that is not there: status %d, want %d", got.status, statusUsage)
	}
}

func TestFitStatus(t *testing.T) {
	t.Parallel()
	at := loaded(t)
	for _, c := range []struct {
		name   string
		args   []string
		status int
		stdout string
		stderr string
	}{
		{"words", []string{"corvane dw640"}, statusAnswered, "It depends on the build", ""},
		{"words of none", []string{"Corvane DW"}, statusFailed, "", `no model "Corvane DW" is recorded`},
		{"misread", []string{"--brand", "Corvane", "--model", "DW 64O"}, statusFailed, "", `standin fit --brand Corvane --model "DW 640"`},
		{"nothing recorded", []string{"--brand", "Corvane", "--model", "DW 650"}, statusNothing, "No: nothing in the catalogue", ""},
		{"contradiction", []string{"--brand", "Corvane", "--model", "DW 640", "--made", "2005", "--plug", "3"}, statusNothing, "contradicts itself", ""},
		{"not the build", []string{"--brand", "Corvane", "--model", "DW 640", "--made", "2005", "--all"}, statusAnswered, "does not fit", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			got := run(t, append([]string{"fit", "--database-url", at}, c.args...)...)
			if got.status != c.status || !strings.Contains(got.stdout, c.stdout) || !strings.Contains(got.stderr, c.stderr) {
				t.Errorf("status %d, stdout %q, stderr %q; want %d, %q, %q", got.status, got.stdout, got.stderr, c.status, c.stdout, c.stderr)
			}
			if c.stderr == "" && got.stderr != "" {
				t.Errorf("stderr is %q, want nothing", got.stderr)
			}
			if strings.Contains(got.stdout, "\x1b") {
				t.Error("an answer into a pipe is coloured")
			}
		})
	}
}

// TestJSON compares the JSON of commands with that of the API over HTTP.
func TestJSON(t *testing.T) {
	t.Parallel()
	at := loaded(t)
	store, err := db.Open(t.Context(), at)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(store.Close)
	handler, err := api.New(api.Config{Catalogue: store})
	if err != nil {
		t.Fatal(err)
	}
	server := httptest.NewServer(handler)
	t.Cleanup(server.Close)
	for _, c := range []struct {
		args []string
		path string
	}{
		{[]string{"fit", "--brand", "Corvane", "--model", "DW 640", "--location", "front"}, "/v1/fits?brand=Corvane&model=DW+640&location=front"},
		{[]string{"fit", "--brand", "Corvane", "--model", "DW 640", "--made", "2005", "--all"}, "/v1/fits?brand=Corvane&model=DW+640&made=2005&all=true"},
		{[]string{"fit", "--brand", "Corvane", "--model", "DW 640", "--made", "2005"}, "/v1/fits?brand=Corvane&model=DW+640&made=2005"},
		{[]string{"models", "corvane 64O"}, "/v1/models?q=corvane+64O"},
		{[]string{"board", "QX-1"}, "/v1/boards/QX-1"},
		{[]string{"family", "QX"}, "/v1/families/QX"},
		{[]string{"family"}, "/v1/families"},
	} {
		t.Run(strings.Join(c.args, " "), func(t *testing.T) {
			t.Parallel()
			got := run(t, append(c.args, "--json", "--database-url", at)...)
			if got.status != statusAnswered {
				t.Fatalf("status %d: %s", got.status, got.stderr)
			}
			var told, called any
			decode(t, got.stdout, &told)
			response, err := http.Get(server.URL + c.path)
			if err != nil {
				t.Fatal(err)
			}
			defer response.Body.Close()
			if err := json.NewDecoder(response.Body).Decode(&called); err != nil || response.StatusCode != http.StatusOK {
				t.Fatalf("GET %s: %s, %v", c.path, response.Status, err)
			}
			if diff := cmp.Diff(called, told); diff != "" {
				t.Errorf("the command says otherwise than the API (-API +command):\n%s", diff)
			}
		})
	}
	for _, args := range [][]string{{"board", "no/such part"}, {"family", "NONE"}} {
		got := run(t, append(args, "--json", "--database-url", at)...)
		var problem struct {
			Status int
			Detail string
		}
		decode(t, got.stdout, &problem)
		if problem.Status != http.StatusNotFound || problem.Detail == "" {
			t.Errorf("%v: stdout is %q, want the problem of the call", args, got.stdout)
		}
		got.stdout = ""
		checkSentence(t, got)
		if got.status != statusFailed {
			t.Errorf("%v: status %d, want %d", args, got.status, statusFailed)
		}
	}
}

func TestLookUps(t *testing.T) {
	t.Parallel()
	at := loaded(t)
	checkSays(t, run(t, "models", "dw 640", "--database-url", at), statusAnswered, "Corvane DW 640", `standin fit --brand Corvane --model "DW 640"`)
	checkSays(t, run(t, "board", "QX-1", "--database-url", at), statusAnswered, "QX-1, Wash control", "Revision A, issue 1", "2 new at front", "    Corvane DW 640\n")
	checkSays(t, run(t, "family", "QX", "--database-url", at), statusAnswered, "A B C D", "K1 K2 K3", "QX-1, QX-2", "1 configuration of 1 model")
	checkSays(t, run(t, "family", "--database-url", at), statusAnswered, "QX", "code of 3 places")
	for _, args := range [][]string{{"board", "NONE"}, {"family", "NONE"}} {
		got := run(t, append(args, "--database-url", at)...)
		checkSentence(t, got)
		if got.status != statusFailed {
			t.Errorf("%v: status %d, want %d", args, got.status, statusFailed)
		}
	}
}

func decode(t *testing.T, text string, into any) {
	t.Helper()
	if err := json.Unmarshal([]byte(text), into); err != nil {
		t.Fatalf("%v in %q", err, text)
	}
}
