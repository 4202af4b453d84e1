package page_test

import (
	"cmp"
	"fmt"
	"maps"
	"net/http"
	"net/url"
	"slices"
	"testing"

	"standin"
)

// jobsByProcedure are the addresses of jobs of a catalogue's models, one for each way in
// which boards are set.
func jobsByProcedure(t *testing.T, c standin.Catalogue) map[string]string {
	t.Helper()
	models, err := c.ListModels(t.Context(), standin.ModelFilter{}, standin.ModelKey{}, 1000)
	if err != nil {
		t.Fatal(err)
	}
	jobs := map[string]string{}
	for _, m := range models {
		results, err := standin.Ask(t.Context(), c, []standin.Machine{{ModelKey: m.ModelKey}})
		if err != nil {
			t.Fatal(err)
		}
		a := results[0].Answer
		for i := range a.Candidates {
			j, err := a.Job(a.Candidates[i].PartNumber, a.Candidates[i].Revision)
			if err != nil {
				continue
			}
			name := string(j.Work)
			if j.Procedure != nil {
				name = j.Procedure.Name
			}
			if _, ok := jobs[name]; !ok {
				jobs[name] = url.Values{"brand": {m.Brand}, "model": {m.Model}, "variant": {m.Variant},
					"part_number": {j.Board.PartNumber}, "revision": {j.Board.Revision}}.Encode()
			}
		}
	}
	return jobs
}

// onePage says what of a page a thumb cannot reach without scrolling, or cannot hit.
const onePage = `(() => {
	const high = document.documentElement.scrollHeight, said = [];
	if (high > innerHeight) said.push("it is " + high + " px high");
	if (document.documentElement.scrollWidth > innerWidth) said.push("it is " + document.documentElement.scrollWidth + " px wide");
	for (const e of document.querySelectorAll("main a, main button, main input:not([type=hidden]), main select, main summary, header a")) {
		const box = (e.closest(".choices label") || e).getBoundingClientRect();
		if (!e.checkVisibility()) continue;
		const name = e.tagName + " " + e.textContent.trim().slice(0, 30);
		if (box.height < 48 || box.width < 48) said.push(name + " is " + box.width + " x " + box.height);
		if (box.bottom > innerHeight) said.push(name + " ends at " + box.bottom);
	}
	return said.join("; ");
})()`

// Every step of a job, however the board is set, is one screen of a small phone, with
// everything on it large enough for a gloved thumb.
func TestOneScreenAStep(t *testing.T) {
	t.Parallel()
	store := demoStore(t)
	handler := over(t, store)
	jobs := jobsByProcedure(t, store)
	if len(jobs) < 8 {
		t.Errorf("there are jobs for %v alone", slices.Sorted(maps.Keys(jobs)))
	}
	names := slices.Sorted(maps.Keys(jobs))
	oneScreenAStep(open(t, handler, phone, "/"), handler, jobs, names...)
	german := phone
	german.german = true
	oneScreenAStep(open(t, handler, german, "/"), handler, jobs, "pavane-dial", "rondeau-letters") // they have the most to say
}

func oneScreenAStep(b *tab, handler http.Handler, jobs map[string]string, names ...string) {
	b.t.Helper()
	t := b.t
	for _, name := range names {
		steps := len(get(t, handler, "/bench?"+jobs[name]).all(".stages a"))
		for step := 1; step <= max(1, steps); step++ {
			b.visit(fmt.Sprintf("/bench?%s&step=%d", jobs[name], step))
			b.see("#job")
			if said := evaluate[string](b, onePage); said != "" {
				t.Errorf("%s, step %d of %d, %s: %s", cmp.Or(name, "none"), step, steps, b.text("h1"), said)
			}
			b.picture(fmt.Sprintf("onestep-%s-%02d-%s", name, step, evaluate[string](b, "document.documentElement.lang")))
		}
	}
}
