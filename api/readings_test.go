package api_test

import (
	"strings"
	"testing"
)

func verify(body string) call { return call{method: "POST", target: "/v1/readings/verify", body: body} }

func identify(body string) call {
	return call{method: "POST", target: "/v1/readings/identify", body: body}
}

var readings = []struct {
	name string
	call
	has has
}{
	{
		name: "a reading that tallies", call: verify(`{"family":"Grebe","code":"CA","reading":"1000"}`),
		has: has{
			"tally": `"tallies"`, "text": `"The reading tallies."`, "mismatches": "[]", "to_read": "[]", "alike": "[]", "stories": "[]", "model": "null",
			"code": `["C","A"]`, "pattern": `"1000"`, "reading": `"1000"`, "readback": `["K1","K2","K3","K4"]`, "predicted": `""`, "remarks": "[]",
			"trust.distance": "1", "trust.nearest_count": "4", "trust.nearest.0.code": `["A","A"]`, "catalogue_version": "1",
		},
	},
	{
		name: "a dial one click off", call: verify(`{"family":"Grebe","code":"C A","ticks":{"K1":"lit","k2":"lit","K3":"off","K4":"off"}}`),
		has: has{
			"tally": `"does-not-tally"`, "mismatches": `[{"expected":"0","point":"K2","seen":"1"}]`, "stories.0.kind": `"wrong-symbol"`,
			"stories.0.place": "1", "stories.0.rank": "1", "stories.0.entered": `["D","A"]`, "stories.0.expected": `"1100"`, "stories.0.predicted": "false",
			"stories.0.models": `[{"brand":"Ouse","model":"WDA","variant":""}]`, "stories.1.kind": `"misread"`, "stories.1.misread": `["K2"]`, "stories.1.place": "null",
		},
	},
	{
		name: "a reading that is not complete", call: verify(`{"family":"Grebe","code":"CA","reading":"lit off unread dark"}`),
		has: has{
			"tally": `"incomplete"`, "to_read": `["K3"]`, "alike.0.code": `["C","C"]`, "alike_count": "1",
			"alike.0.models": `[{"brand":"Ouse","model":"WCC","variant":""}]`, "stories": "[]",
		},
	},
	{
		name: "no point read", call: verify(`{"family":"Grebe","code":"CA","reading":"????"}`),
		has: has{"tally": `"incomplete"`, "to_read.length": "4", "alike_count": "15"},
	},
	{
		name: "for a model, by its board", call: verify(`{"part_number":"70-1002","revision":"A","brand":"Wexcombe","model":"DW 410","reading":"1001"}`),
		has: has{"family": `"Curlew"`, "model.model": `"DW 410"`, "code": `["A","B","C"]`, "tally": `"tallies"`, "trust.distance": "null"},
	},
	{
		name: "for a twin", call: verify(`{"brand":"Harrowden","model":"HD 41","variant":"UK","reading":"1001"}`),
		has: has{"model.brand": `"Wexcombe"`, "tally": `"tallies"`},
	},
	{
		name: "a code that nobody recorded", call: verify(`{"family":"Curlew","code":"DDD","reading":"1001"}`),
		has: has{"tally": `"proves-nothing"`, "pattern": `""`, "predicted": `"????"`, "remarks.length": "1"},
	},
	{
		name: "what a board is set for", call: identify(`{"family":"Grebe","reading":"110?"}`),
		has: has{
			"exact_count": "2", "compared": "16", "family": `"Grebe"`, "settings.length": "16", "settings.0.exact": "true", "settings.0.code": `["D","A"]`,
			"settings.1.code": `["D","B"]`, "settings.2.exact": "false", "settings.2.differs.length": "1", "settings.0.counting": "3", "settings.0.configurations": "1",
		},
	},
	{
		name: "what a board of any family is set for", call: identify(`{"reading":"10f1","limit":2}`),
		has: has{
			"compared": "17", "exact_count": "1", "family": `""`, "settings.length": "2", "settings.0.family": `"Curlew"`, "settings.0.readback.length": "4",
			"settings.0.models": `[{"brand":"Wexcombe","model":"DW 410","variant":""}]`, "settings.0.counting": "3", "settings.1.exact": "false", "settings.1.differs": `["K3"]`,
		},
	},
	{
		name: "no family reads so many points", call: identify(`{"reading":"10101"}`),
		has: has{"compared": "0", "settings": "[]", "text": `"No recorded pattern has 5 points."`},
	},
}

// The readings over the catalogue in memory and over the one in PostgreSQL.
func TestReadings(t *testing.T) {
	t.Parallel()
	for name, store := range stores(t) {
		handler := newAPI(t, store)
		for _, c := range readings {
			t.Run(name+"/"+c.name, func(t *testing.T) {
				t.Parallel()
				got := c.do(t, handler)
				if got.Code != 200 {
					t.Errorf("status %d", got.Code)
				}
				for path, want := range c.has {
					if have := got.at(path); have != want {
						t.Errorf("%s is %s, want %s", path, have, want)
					}
				}
				if t.Failed() {
					t.Logf("%s", got.Body)
				}
			})
		}
	}
}

// Readings that are refused: one clear sentence each.
var readingsRefused = []struct {
	name string
	call
	status    int
	kind      string
	parameter string
	sentence  string // in the detail
}{
	{"too short", verify(`{"family":"Grebe","code":"CA","reading":"10"}`), 400, "bad-request", "reading", "too short: it has 2 points, the family reads 4 (K1 K2 K3 K4)"},
	{"too long", verify(`{"family":"Grebe","code":"CA","reading":"10000"}`), 400, "bad-request", "reading", "too long: it has 5 points"},
	{"nothing read", verify(`{"family":"Grebe","code":"CA"}`), 400, "bad-request", "reading", "the reading is empty; write it as 10f?"},
	{"nothing a point shows", verify(`{"family":"Grebe","code":"CA","reading":"lit green off off"}`), 400, "bad-request", "reading", `"green" is nothing a point can show`},
	{"an unknown point", verify(`{"family":"Grebe","code":"CA","ticks":{"K9":"lit"}}`), 400, "bad-request", "ticks", `"K9" is not a read-back point of the family (K1 K2 K3 K4)`},
	{"a reading given twice", verify(`{"family":"Grebe","code":"CA","reading":"1000","ticks":{}}`), 400, "bad-request", "reading", "given twice"},
	{"a tick that is no text", verify(`{"family":"Grebe","code":"CA","ticks":{"K1":true}}`), 400, "bad-request", "/ticks/K1", "must be text"},
	{"a symbol not on the selector", verify(`{"family":"Grebe","code":"CX","reading":"1000"}`), 400, "bad-request", "code", `"X" at place 2 of the code is not on the selector (A B C D)`},
	{"a code too long", verify(`{"family":"Grebe","code":"CAB","reading":"1000"}`), 400, "bad-request", "code", "3 symbols, a code of family Grebe has 2"},
	{"nothing to compare with", verify(`{"family":"Grebe","reading":"1000"}`), 400, "bad-request", "code", "give the code, or brand and model"},
	{"no family", verify(`{"code":"CA","reading":"1000"}`), 400, "bad-request", "family", "give family or part_number"},
	{"a brand alone", verify(`{"brand":"Wexcombe","reading":"1000"}`), 400, "bad-request", "model", "give brand and model"},
	{"a build of nothing", verify(`{"family":"Grebe","code":"CA","build":"b1","reading":"1000"}`), 400, "bad-request", "model", "a build or a variant is one of a model"},
	{"a build that is not there", verify(`{"brand":"Wexcombe","model":"DW 410","build":"b9","reading":"1001"}`), 400, "bad-request", "build", "has no build b9 (b1 b2)"},
	{"a model without a code", verify(`{"brand":"Wexcombe","model":"DW 500","reading":"1001"}`), 400, "bad-request", "model", "no code is recorded for Wexcombe DW 500"},
	{"a code of another model", verify(`{"brand":"Wexcombe","model":"DW 410","code":"DDD","reading":"1001"}`), 400, "bad-request", "model", "no code of family Curlew is recorded for Wexcombe DW 410, with the code D D D"},
	{"a revision alone", verify(`{"family":"Grebe","revision":"A","code":"CA","reading":"1000"}`), 400, "bad-request", "part_number", "give part_number too"},
	{"a revision that is not there", verify(`{"part_number":"70-1002","revision":"Z","code":"ABC","reading":"1001"}`), 400, "bad-request", "revision", "has no revision Z (A)"},
	{"a board of another family", verify(`{"family":"Grebe","part_number":"70-1002","code":"CA","reading":"1000"}`), 400, "bad-request", "family", "70-1002 is a board of family Curlew, not Grebe"},
	{"a fixed board", verify(`{"part_number":"70/2001 B","code":"CA","reading":"1000"}`), 400, "bad-request", "part_number", "is a fixed board"},
	{"a family without points", verify(`{"family":"Dunlin","code":"A","reading":"1"}`), 400, "bad-request", "reading", "no read-back points"},
	{"an unknown family", verify(`{"family":"Curlwe","code":"ABC","reading":"1001"}`), 404, "not-found", "family", ""},
	{"an unknown board", verify(`{"part_number":"70-9999","code":"ABC","reading":"1001"}`), 404, "not-found", "part_number", ""},
	{"an unknown model", verify(`{"brand":"Wexcombe","model":"DW 41O","reading":"1001"}`), 404, "unknown-model", "model", "no model Wexcombe DW 41O"},
	{"a misspelt field", verify(`{"famly":"Grebe"}`), 400, "unknown-parameter", "/famly", "did you mean family?"},
	{"a NUL", verify(`{"family":"Gr\u0000be","code":"CA","reading":"1000"}`), 400, "bad-request", "family", "plain text"},
	{"a NUL in a tick", verify(`{"family":"Grebe","code":"CA","ticks":{"K\u0000":"lit"}}`), 400, "bad-request", "ticks", "plain text"},
	{"a family name too long", verify(`{"family":"` + strings.Repeat("x", 201) + `"}`), 400, "bad-request", "/family", "at most 200 characters"},
	{"all unread", identify(`{"family":"Grebe","reading":"????"}`), 400, "bad-request", "reading", "no point was read"},
	{"all unread, of any family", identify(`{"reading":"????"}`), 400, "bad-request", "reading", "no point was read"},
	{"an empty reading", identify(`{}`), 400, "bad-request", "reading", "the reading is empty"},
	{"ticks of any family", identify(`{"ticks":{"K1":"lit"}}`), 400, "bad-request", "family", "the names of points are those of a family"},
	{"names of any family", identify(`{"reading":"K1=lit"}`), 400, "bad-request", "family", "the names of points are those of a family"},
	{"a reading too long for its family", identify(`{"family":"Grebe","reading":"10101"}`), 400, "bad-request", "reading", "too long"},
	{"too many settings", identify(`{"reading":"1010","limit":101}`), 400, "bad-request", "/limit", "from 1 to 100"},
}

func TestReadingsRefused(t *testing.T) {
	t.Parallel()
	for name, store := range stores(t) {
		handler := newAPI(t, store)
		for _, c := range readingsRefused {
			t.Run(name+"/"+c.name, func(t *testing.T) {
				t.Parallel()
				got := c.do(t, handler)
				p := problem(t, got)
				if got.Code != c.status || p.Type != "/problems/"+c.kind || p.Parameter != c.parameter {
					t.Errorf("status %d, type %q, parameter %q; want %d, %q, %q", got.Code, p.Type, p.Parameter, c.status, "/problems/"+c.kind, c.parameter)
				}
				if !strings.Contains(p.Detail, c.sentence) || len(p.Detail) > 300 {
					t.Errorf("detail %q, want it to say %q", p.Detail, c.sentence)
				}
			})
		}
	}
}
