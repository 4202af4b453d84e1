package judge_test

import (
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"

	diff "github.com/google/go-cmp/cmp"

	"standin"
	"standin/api/page/judge"
)

// TestInBrowser has the program for browsers judge readings of invented families, in
// node, and compares with what the core says now.
func TestInBrowser(t *testing.T) {
	t.Parallel()
	node, err := exec.LookPath(cmp.Or(os.Getenv("NODE"), "node"))
	if err != nil {
		if os.Getenv("STANDIN_TEST_REQUIRE") == "1" {
			t.Fatal(err)
		}
		t.Skip("no node; tests in Chromium judge some readings too")
	}
	var cases []judged
	for seed := range uint64(12) {
		cases = append(cases, readingsOf(seed)...)
	}
	asked, err := json.Marshal(cases)
	if err != nil {
		t.Fatal(err)
	}
	run := exec.CommandContext(t.Context(), node, "testdata/run.js", "../static/wasm_exec.js", "../static/judge.wasm.gz")
	run.Stdin = bytes.NewReader(asked)
	said, err := run.CombinedOutput()
	if err != nil {
		t.Fatalf("%v: %s", err, said)
	}
	var answers []string
	if err := json.Unmarshal(said, &answers); err != nil {
		t.Fatalf("%v: %.300s", err, said)
	}
	if len(answers) != len(cases) {
		t.Fatalf("%d answers to %d cases", len(answers), len(cases))
	}
	for i, c := range cases {
		if got := diff.Diff(judge.InJSON(c.Taken, c.Reading, c.AsItIs), answers[i]); got != "" {
			t.Fatalf("static/judge.wasm.gz does not answer as the core does now; make it anew: go generate ./api/page/judge\n"+
				"%s (core -, browser +):\n%s", c.Reading, got)
		}
	}
}

// The cases above come to every end of a reading.
func TestEveryEnd(t *testing.T) {
	t.Parallel()
	ends := map[string]int{}
	for seed := range uint64(12) {
		for _, c := range readingsOf(seed) {
			var j struct {
				judge.Judged
				Wrong string
			}
			if err := json.Unmarshal([]byte(judge.InJSON(c.Taken, c.Reading, c.AsItIs)), &j); err != nil {
				t.Fatal(err)
			}
			end := cmp.Or(string(j.Tally), map[bool]string{true: "missing"}[j.Missing != ""], map[bool]string{true: "wrong"}[j.Wrong != ""])
			ends[end]++
			if len(j.Stories) > 0 {
				ends["stories"]++
			}
			if (j.Tally == standin.Tallies) != (j.Caution == "" && j.Missing == "" && j.Wrong == "") {
				t.Errorf("%s: %+v", c.Reading, j)
			}
		}
	}
	for _, end := range []string{"tallies", "incomplete", "does-not-tally", "proves-nothing", "missing", "wrong", "stories"} {
		if ends[end] == 0 {
			t.Errorf("no reading is %s: %v", end, ends)
		}
	}
}

// judged is a reading to be judged.
type judged struct {
	Taken, Reading string
	AsItIs         bool
}

// readingsOf are readings of one invented family: as they must be, misread, of
// mis-keyed codes, with points unread, and one that is none.
func readingsOf(seed uint64) []judged {
	rng := rand.New(rand.NewPCG(seed, 0x9ea1))
	family, shows := invented(rng)
	codes := family.Configurations
	var all []judged
	for range 12 {
		c := codes[rng.IntN(len(codes))]
		taken := takenAlong(family, c)
		seen := []byte(shows(c.Code))
		keyed := append([]string(nil), c.Code...)
		place := rng.IntN(len(keyed))
		keyed[place] = family.Selector[rng.IntN(len(family.Selector))]
		slip := append([]byte(nil), seen...)
		slip[rng.IntN(len(slip))] = other(slip[0])
		part := append([]byte(nil), seen...)
		for i := range part {
			if rng.IntN(4) == 0 {
				part[i] = standin.NotRead
			}
		}
		for _, reading := range []string{string(seen), string(slip), string(shows(keyed)), string(part)} {
			all = append(all, judged{taken, reading, false}, judged{taken, reading, true})
		}
	}
	nothing := strings.Repeat("?", len(family.Readback))
	all = append(all, judged{takenAlong(family, codes[0]), nothing, false}, judged{takenAlong(family, codes[0]), nothing, true},
		judged{takenAlong(family, codes[0]), "1", false})
	blank := codes[0]
	blank.Pattern = standin.Pattern(strings.Repeat("-", len(family.Readback)))
	return append(all, judged{takenAlong(family, blank), string(shows(blank.Code)), false})
}

func other(c byte) byte {
	if c == standin.ShowsLit {
		return standin.ShowsUnlit
	}
	return standin.ShowsLit
}

func takenAlong(f standin.FamilyRecord, c standin.Configuration) string {
	text, err := json.Marshal(judge.Taken{Family: f, Version: 7, Code: c.Code, Pattern: c.Pattern})
	if err != nil {
		panic(err) // values that can be written
	}
	return string(text)
}

// invented is a family with 40 codes each point of whose patterns shows a place of
// the code, and what any code shows. Every third has a point that is a digit.
func invented(rng *rand.Rand) (standin.FamilyRecord, func(code []string) standin.Pattern) {
	places, points := 3+rng.IntN(3), 6+rng.IntN(8)
	f := standin.FamilyRecord{Family: standin.Family{Name: "Quill", CodeLength: places}}
	for i := range 10 {
		f.Selector = append(f.Selector, strconv.Itoa(i+1))
	}
	digit := rng.IntN(3) == 0
	at, table := make([]int, points), make([][]byte, points)
	for i := range points {
		f.Readback = append(f.Readback, fmt.Sprintf("L%d", i+1))
		characters := "10f"
		if digit && i == 0 {
			characters = "0123456789"
		}
		if digit {
			f.Alphabet = append(f.Alphabet, characters)
		}
		at[i] = rng.IntN(places)
		for range f.Selector {
			table[i] = append(table[i], characters[rng.IntN(len(characters))])
		}
	}
	shows := func(code []string) standin.Pattern {
		seen := make([]byte, points)
		for i := range seen {
			symbol, _ := strconv.Atoi(code[at[i]])
			seen[i] = table[i][symbol-1]
		}
		return standin.Pattern(seen)
	}
	for i := range 40 {
		var code []string
		for range places {
			code = append(code, f.Selector[rng.IntN(6)])
		}
		pattern := []byte(shows(code))
		if i%5 == 0 {
			pattern[rng.IntN(points)] = standin.ShowsEither
		}
		f.Configurations = append(f.Configurations, standin.Configuration{
			Family: f.Name, Model: standin.ModelKey{Brand: "Orrin", Model: "T" + strconv.Itoa(i)}, Code: code, Pattern: standin.Pattern(pattern), Source: "parts list",
		})
	}
	return f, shows
}
