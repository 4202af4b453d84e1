package api_test

import (
	"net/http"
	"testing"
)

// has is what a response must hold: paths and their values, see response.at.
type has map[string]string

var cases = []struct {
	name string
	call
	status int
	has    has
}{
	{
		name: "a machine whose build is known", call: call{target: "/v1/fits?brand=Wexcombe&model=DW+410&plug=6+2+2&location=front"}, status: 200,
		has: has{
			"machine.plug": "[6,2,2]", "machine.made": `""`, "twin_of": "null", "contradiction": "null", "question": "null", "more_questions": "[]",
			"builds.length": "1", "builds.0.build": `"b2"`, "builds.0.made_from": `"2001-03-01"`, "builds.0.layout": `"three plugs"`,
			"candidates.length": "1", "candidates.0.part_number": `"70-1002"`, "candidates.0.verdict": `"fits"`, "candidates.0.distance": "0",
			"candidates.0.stock":         `[{"condition":"new","free":2,"location":"front","revision_known":true}]`,
			"candidates.0.builds.0.work": `"configure"`, "candidates.0.builds.0.code": `["A","B","C"]`, "candidates.0.builds.0.pattern": `"10-1"`,
			"candidates.0.builds.0.adaptors": "[]", "candidates.0.builds.0.swappable": `[["CN2","CN3"]]`, "candidates.0.builds.0.checks.length": "6",
			"candidates.0.builds.0.trust.distance": "null", "candidates.0.builds.0.trust.text": `"No other code of the family has a pattern to compare it with."`,
			"candidates.0.builds.0.procedure": `"curlew entry"`, "families.0.readback": `["L1","L2","L3","L4"]`, "procedures.0.steps.length": "2",
			// IEC 60335-1 clause 10.1: 2000 W heating, +5 % and -10 %, at 230 V.
			"before_fitting.0.ohms_low": "25.19", "before_fitting.0.ohms_high": "29.39", "before_fitting.0.amps": "8.7",
		},
	},
	{
		name: "two builds possible", call: call{target: "/v1/fits?brand=Wexcombe&model=DW+410"}, status: 200,
		has: has{
			"builds.length": "2", "question.kind": `"plug"`, "candidates.0.verdict": `"depends"`, "candidates.0.builds.length": "2",
			"before_fitting.0.builds": `["b1","b2"]`,
		},
	},
	{
		name: "the parts that do not fit too", call: call{target: "/v1/fits?brand=Wexcombe&model=DW+410&plug=10&all=true"}, status: 200,
		has: has{"candidates.length": "2", "candidates.1.verdict": `"no"`, "candidates.1.part_number": `"70-1002"`},
	},
	{
		name: "empty evidence is none", call: call{target: "/v1/fits?brand=Wexcombe&model=DW+410&variant=&made=&plug=&serial=&old_part=&location="}, status: 200,
		has: has{"builds.length": "2", "machine.plug": "[]"},
	},
	{
		name: "evidence that contradicts itself", call: call{target: "/v1/fits?brand=Wexcombe&model=DW+410&made=2000&plug=6+2+2"}, status: 200,
		has: has{"contradiction.evidence": `["made","plug"]`, "builds": "[]", "candidates": "[]", "question": "null"},
	},
	{
		name: "evidence that cannot be used", call: call{target: "/v1/fits?brand=Wexcombe&model=DW+410&old_part=99-9999"}, status: 200,
		has: has{"not_used.0.evidence": `"old_part"`, "builds.length": "2"},
	},
	{
		name: "a twin", call: call{target: "/v1/fits?brand=Harrowden&model=HD+41&variant=UK"}, status: 200,
		has: has{"machine.brand": `"Harrowden"`, "twin_of": `{"brand":"Wexcombe","model":"DW 410","variant":""}`},
	},
	{
		name: "a model nothing is recorded of", call: call{target: "/v1/fits?brand=Wexcombe&model=DW+500"}, status: 200,
		has: has{"builds.length": "1", "builds.0.build": `""`, "builds.0.made_from": `""`, "candidates": "[]", "families": "[]", "procedures": "[]"},
	},
	{
		name: "an unknown model", call: call{target: "/v1/fits?brand=Wexcombe&model=DW+41O"}, status: 404,
		has: has{"type": `"/problems/unknown-model"`, "parameter": `"model"`, "candidates.0.model": `"DW 410"`},
	},
	{
		name: "models as typed", call: call{target: "/v1/models?q=Harrowden+HD41"}, status: 200,
		has: has{"models.0.model": `"HD 41"`, "models.0.twin_of.model": `"DW 410"`},
	},
	{
		name: "no more models than asked for", call: call{target: "/v1/models?q=Wexcombe&limit=1"}, status: 200,
		has: has{"models.length": "1"},
	},
	{
		name: "no model like it", call: call{target: "/v1/models?q=Zzz"}, status: 200, has: has{"models": "[]"},
	},
	{
		name: "a board", call: call{target: "/v1/boards/70-1001"}, status: 200,
		has: has{
			"family": `"Curlew"`, "gtin": `""`, "revisions.0.options": "[]", "revisions.0.issue": "1", "revisions.0.made_from": `""`,
			"revisions.0.ratings": `[{"circuit":"heater","max_amps":16}]`, "layouts.0.connectors.0.ways": "10",
			"supersessions.0": `{"from":"2001-03-01","interchange":"one-way","new_part":"70-1002","note":"loom needed","old_part":"70-1001"}`,
			"markings.0":      `{"marking":"PCB 88","note":"","revision":"A"}`, "stock": "[]",
		},
	},
	{
		name: "a board of which little is recorded, with a number that must be escaped", call: call{target: "/v1/boards/70%2F2001%20B"}, status: 200,
		has: has{
			"part_number": `"70/2001 B"`, "family": `""`, "revisions.0.options": "null", "revisions.0.issue": "null",
			"revisions.0.hertz": "null", "revisions.0.stop": `"recalled"`, "layouts": "[]",
		},
	},
	{
		name: "an unknown board", call: call{target: "/v1/boards/70-9999"}, status: 404,
		has: has{"type": `"/problems/not-found"`, "parameter": `"part_number"`},
	},
	{
		name: "an adaptor", call: call{target: "/v1/adaptors/LM%205"}, status: 200,
		has: has{"part_number": `"LM 5"`, "takes": `"lamp plug"`, "gives": `"lamp end"`, "layouts.length": "2",
			"stock": `[{"condition":"used","free":4,"location":"front","quantity":4,"revision":""}]`},
	},
	{
		name: "an unknown adaptor", call: call{target: "/v1/adaptors/70-1001"}, status: 404, has: has{"type": `"/problems/not-found"`},
	},
	{
		name: "a plug that is not there", call: call{target: "/v1/fits?brand=Wexcombe&model=DW+410&plug=no+10"}, status: 200,
		has: has{"machine.no_plug": "[10]", "machine.plug": "[]", "builds.length": "1", "builds.0.build": `"b2"`},
	},
	{
		name: "a plug with and without", call: call{target: "/v1/fits?brand=Wexcombe&model=DW+410&plug=10+no+6"}, status: 200,
		has: has{"machine.no_plug": "[6]", "machine.plug": "[10]", "builds.0.build": `"b1"`},
	},
	{
		name: "a board that the model is not recorded to have", call: call{target: "/v1/fits?brand=Wexcombe&model=DW+410&position=display"}, status: 200,
		has: has{"machine.position": `"display"`, "contradiction.evidence": `["position"]`},
	},
	{
		name: "the models of a board", call: call{target: "/v1/boards/70-1002/models"}, status: 200,
		has: has{
			"models.length": "1", "models.0.model": `"DW 410"`, "models.0.verdict": `"depends"`,
			"models.0.revisions": `[{"issue":2,"revision":"A","verdict":"depends"}]`,
		},
	},
	{
		name: "a board that no model has", call: call{target: "/v1/boards/70%2F2001%20B/models"}, status: 200, has: has{"models": "[]"},
	},
	{
		name: "the models of an unknown board", call: call{target: "/v1/boards/70-9999/models"}, status: 404,
		has: has{"type": `"/problems/not-found"`},
	},
	{
		name: "the families", call: call{target: "/v1/families"}, status: 200,
		has: has{"families.length": "3", "families.0.selector": `["A","B","C","D"]`, "families.1.readback": "[]"},
	},
	{
		name: "a family", call: call{target: "/v1/families/Curlew"}, status: 200,
		has: has{
			"code_length": "3", "boards": `["70-1001","70-1002"]`, "steps.1.hold_seconds": "null",
			"steps.0": `{"do":"Hold START","expect":"all lamps lit","hold_seconds":5,"phase":"enter","step":1}`,
		},
	},
	{
		name: "a family without a procedure", call: call{target: "/v1/families/Dunlin"}, status: 200,
		has: has{"steps": "[]", "boards": "[]", "configurations": "0", "code_map.points": "[]", "trust.recorded": "0", "skipped": "[]"},
	},
	{
		name: "a family of one configuration", call: call{target: "/v1/families/Curlew"}, status: 200,
		has: has{
			"code_map.points.length": "4", "code_map.points.0.kind": `"unknown"`, "code_map.points.0.places": "[]", "code_map.points.0.cells": "[]",
			"code_map.points.0.text": `"not known: only 1 row tells anything, at least 8 must"`, "trust.by_distance": "[]",
		},
	},
	{
		name: "a code map", call: call{target: "/v1/families/Grebe"}, status: 200,
		has: has{
			"configurations": "16", "code_map.points.1.kind": `"exact"`, "code_map.points.1.places": "[1]", "code_map.points.2.places": "[2]",
			"code_map.points.1.g3": "0", "code_map.points.1.rows": "16", "code_map.points.1.shared": "16", "code_map.points.1.constant": `""`,
			"code_map.points.1.cells.length": "4", "code_map.points.1.cells.1": `{"against":0,"rows":4,"shows":"1","symbols":["B"]}`,
			"trust.by_distance": `[{"distance":1,"settings":16}]`, "trust.recorded": "16",
		},
	},
	{
		name: "an unknown family", call: call{target: "/v1/families/Curlwe"}, status: 404, has: has{"type": `"/problems/not-found"`},
	},
	{name: "health", call: call{target: "/healthz"}, status: 200, has: has{"status": `"ok"`, "version": `"test"`}},
	{name: "readiness", call: call{target: "/readyz"}, status: 200, has: has{"status": `"ok"`}},
}

// The same calls over the catalogue in memory and over the one in PostgreSQL.
func TestCalls(t *testing.T) {
	t.Parallel()
	for name, store := range stores(t) {
		handler := newAPI(t, store)
		for _, c := range cases {
			t.Run(name+"/"+c.name, func(t *testing.T) {
				t.Parallel()
				got := c.do(t, handler)
				if got.Code != c.status {
					t.Errorf("status %d, want %d", got.Code, c.status)
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

func TestModel(t *testing.T) {
	t.Parallel()
	for name, store := range stores(t) {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			handler := newAPI(t, store)
			model := get(t, handler, "/v1/models/"+get(t, handler, "/v1/models?q=Wexcombe+DW+410").at("models.0.id"))
			for path, want := range (has{
				"brand": `"Wexcombe"`, "model": `"DW 410"`, "twin_of": "null", "volts": "230", "made_to": `"2004-12-31"`, "serial_rule": `""`,
				"builds.length": "2", "builds.0.needs": "[]", "builds.1.made_from": `"2001-03-01"`, "builds.1.part_number": `"70-1002"`,
				"loads.0":        `{"amps":null,"at_celsius":null,"build":"","circuit":"heater","element":"heating","ohms_high":null,"ohms_low":null,"position":"","power_factor":null,"volts":null,"watts":2000}`,
				"layouts.length": "2", "layouts.0.layout": `"one plug"`, "layouts.0.connectors.0.ways": "10",
			}) {
				if have := model.at(path); have != want {
					t.Errorf("%s is %s, want %s", path, have, want)
				}
			}
			twin := get(t, handler, "/v1/models/"+get(t, handler, "/v1/models?q=Harrowden+HD+41").at("models.0.id"))
			if have, want := twin.at("brand")+twin.at("twin_of.brand")+twin.at("builds.length"), `"Harrowden""Wexcombe"2`; have != want {
				t.Errorf("the twin is %s, want %s", have, want)
			}
			if got := get(t, handler, "/v1/models/999999"); got.Code != http.StatusNotFound {
				t.Errorf("an unknown id: status %d", got.Code)
			}
		})
	}
}
