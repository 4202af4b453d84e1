package api_test

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"standin"
)

// Each machine has its own answer or its own problem, in the order asked.
func TestManyMachines(t *testing.T) {
	t.Parallel()
	body := `{"machines":[
		{"brand":"Wexcombe","model":"DW 410","plug":[6,2,2]},
		{"brand":"Wexcombe","model":"DW 41O"},
		{"brand":"Wexcombe","model":"DW 410","made":"3/2001"},
		{"brand":"Wexcombe","model":"DW 410","plug":[0]},
		{"brand":"","model":"DW 410"},
		{"brand":"Wexcombe","model":"DW 410","serial":"\u0000"},
		{"brand":"Wexcombe","model":"DW 410","made":"2000","plug":[6,2,2]},
		{"brand":"Wexcombe","model":"DW 410","plug":[10]},
		{"brand":"Wexcombe","model":"DW 410","serial":"` + strings.Repeat("é", 200) + `"},
		{"brand":"Wexcombe","model":"DW 410","serial":"` + strings.Repeat("é", 201) + `"},
		{"brand":"Wexcombe","model":"DW 410","no_plug":[10]},
		{"brand":"Wexcombe","model":"DW 410","no_plug":[0]},
		{"brand":"Wexcombe","model":"DW 410","plug":[10],"no_plug":[10]},
		{"brand":"Wexcombe","model":"DW 410","position":"display"}
	]}`
	got := call{method: "POST", target: "/v1/fits", body: body}.do(t, newAPI(t, newCatalogue()))
	if got.Code != 200 || got.at("answers.length") != "14" {
		t.Fatalf("status %d: %s", got.Code, got.Body)
	}
	for path, want := range (has{
		"answers.0.builds.0.build": `"b2"`, "answers.0.candidates.length": "1",
		"answers.1.type": `"/problems/unknown-model"`, "answers.1.status": "404", "answers.1.candidates.0.model": `"DW 410"`,
		"answers.2.type": `"/problems/bad-request"`, "answers.2.parameter": `"made"`,
		"answers.3.parameter": `"plug"`, "answers.4.parameter": `"brand"`, "answers.5.parameter": `"serial"`,
		"answers.6.contradiction.evidence": `["made","plug"]`, "answers.6.candidates": "[]",
		"answers.7.builds.0.build": `"b1"`,
		"answers.8.builds.length":  "2", "answers.9.parameter": `"serial"`,
		"answers.10.builds.length": "1", "answers.10.builds.0.build": `"b2"`, "answers.10.machine.no_plug": "[10]",
		"answers.11.type": `"/problems/bad-request"`, "answers.12.contradiction.evidence": `["plug"]`, "answers.12.candidates": "[]",
		"answers.13.machine.position": `"display"`, "answers.13.contradiction.evidence": `["position"]`,
	}) {
		if have := got.at(path); have != want {
			t.Errorf("%s is %s, want %s", path, have, want)
		}
	}
}

// One way of a question: GET and POST give the same answer.
func TestOneMachineOrMany(t *testing.T) {
	t.Parallel()
	handler := newAPI(t, newCatalogue())
	single := get(t, handler, "/v1/fits?brand=Wexcombe&model=DW+410&made=2001&plug=6+2+2&all=true")
	many := call{method: "POST", target: "/v1/fits", body: `{"machines":[{"brand":"Wexcombe","model":"DW 410","made":"2001","plug":[6,2,2]}],"all":true}`}.do(t, handler)
	var one any
	var all struct{ Answers []any }
	if err := json.Unmarshal(single.Body.Bytes(), &one); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(many.Body.Bytes(), &all); err != nil || len(all.Answers) != 1 {
		t.Fatalf("%v, %d answers", err, len(all.Answers))
	}
	element := all.Answers[0].(map[string]any)
	if element["kind"] != "answer" {
		t.Errorf("the element is of kind %v, want answer", element["kind"])
	}
	delete(element, "kind") // what alone an element of a batch has
	if diff := cmp.Diff(one, any(element)); diff != "" {
		t.Errorf("GET and POST differ (-GET +POST):\n%s", diff)
	}
}

func TestAThousandMachines(t *testing.T) {
	t.Parallel()
	got := call{method: "POST", target: "/v1/fits", body: machines(1000)}.do(t, newAPI(t, newCatalogue()))
	if got.Code != 200 || got.at("answers.length") != "1000" {
		t.Errorf("status %d, %s answers", got.Code, got.at("answers.length"))
	}
}

// Where none of them can be asked for, the store is left alone.
func TestManyMachinesAllRefused(t *testing.T) {
	t.Parallel()
	c := newCatalogue()
	c.failure = &standin.Error{Code: standin.CodeUnavailable, Message: "the database is away"}
	got := call{method: "POST", target: "/v1/fits", body: `{"machines":[{"brand":"","model":""}]}`}.do(t, newAPI(t, c))
	if got.Code != 200 || got.at("answers.0.parameter") != `"brand"` {
		t.Errorf("status %d: %s", got.Code, got.Body)
	}
}

// What is in an element of a batch is told by its kind, in full and in short.
func TestKindsOfABatch(t *testing.T) {
	t.Parallel()
	handler := newAPI(t, newCatalogue())
	body := `{"machines":[{"brand":"Wexcombe","model":"DW 410"},{"brand":"No","model":"One"}]}`
	for _, target := range []string{"/v1/fits", "/v1/fits/short"} {
		got := call{method: "POST", target: target, body: body}.do(t, handler)
		if got.at("answers.0.kind") != `"answer"` || got.at("answers.1.kind") != `"problem"` {
			t.Errorf("%s: %s", target, got.Body)
		}
		if alone := get(t, handler, target+"?brand=Wexcombe&model=DW+410"); alone.at("kind") != "absent" {
			t.Errorf("%s: %s", target, alone.Body)
		}
	}
}

// The short form says what the full one says, with less.
func TestShort(t *testing.T) {
	t.Parallel()
	for name, store := range stores(t) {
		handler := newAPI(t, store)
		for _, query := range []string{"?brand=Wexcombe&model=DW+410", "?brand=Wexcombe&model=DW+410&plug=6+2+2&all=true", "?brand=Wexcombe&model=DW+410&plug=99"} {
			full, short := get(t, handler, "/v1/fits"+query), get(t, handler, "/v1/fits/short"+query)
			for _, path := range []string{
				"model_id", "model_key", "twin_of", "catalogue_version", "contradiction", "question", "cautions", "candidates.length",
				"candidates.0.part_number", "candidates.0.verdict", "candidates.0.stock", "candidates.0.builds.0.verdict",
				"candidates.0.builds.0.code", "candidates.0.builds.0.pattern", "candidates.0.builds.0.swappable", "candidates.1.verdict",
			} {
				if full.at(path) != short.at(path) {
					t.Errorf("%s%s: %s is %s in full, %s in short", name, query, path, full.at(path), short.at(path))
				}
			}
			if short.at("candidates.0.builds.0.checks") != "absent" {
				t.Errorf("%s%s: %s", name, query, short.Body)
			}
		}
	}
}
