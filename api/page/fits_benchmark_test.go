package page_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"testing"
	"time"

	"standin"
	"standin/api"
	"standin/api/page"
)

// BenchmarkFits renders the answer page and, in the same run, encodes the same
// answer as JSON; x-json is the ratio, to stay under 3.
func BenchmarkFits(b *testing.B) {
	for name, of := range map[string]struct {
		store standin.Catalogue
		key   standin.ModelKey
	}{
		"demo":                    {demoStore(b), standin.ModelKey{Brand: "Fenlask", Model: "Vask 690"}},
		"30 candidates, 3 builds": {imported(b, wideRange(b)), standin.ModelKey{Brand: "Wexcombe", Model: "DW 1000"}},
	} {
		pages, err := page.New(page.Config{Catalogue: of.store, Bench: true, Sheet: true})
		if err != nil {
			b.Fatal(err)
		}
		results, err := standin.Ask(b.Context(), of.store, []standin.Machine{{ModelKey: of.key, Location: "front"}})
		if err != nil || results[0].Err != nil {
			b.Fatal(err, results)
		}
		for _, all := range []bool{false, true} {
			b.Run(fmt.Sprintf("%s, all=%v", name, all), func(b *testing.B) { benchmarkFits(b, pages, results[0].Answer, all) })
		}
	}
}

// wideRange is a bundle with a model of three builds and 15 boards of two
// revisions, of which those with the second can stand in by an adaptor.
func wideRange(b *testing.B) string {
	files := map[string][][]string{
		"families":       {{"family", "selector", "code_length", "readback"}, {"Curlew", "A B C D", "6", "L1 L2 L3 L4 L5 L6 L7 L8"}},
		"models":         {{"brand", "model", "made_from", "made_to", "volts", "hertz"}, {"Wexcombe", "DW 1000", "2000", "2008", "230", "50"}},
		"configurations": {{"family", "brand", "model", "issue_from", "code", "pattern"}, {"Curlew", "Wexcombe", "DW 1000", "", "ABCDAB", "1010ff-1"}},
		"loads":          {{"brand", "model", "circuit", "watts", "element"}, {"Wexcombe", "DW 1000", "c0", "2000", "heating"}, {"Wexcombe", "DW 1000", "c2", "60", "motor"}},
		"layouts":        {{"layout", "connector", "ways", "pitch_mm", "circuits"}},
		"adaptors":       {{"part_number", "takes", "gives"}, {"70-9000", "wide", "split"}},
		"builds":         {{"brand", "model", "build", "made_from", "made_to", "part_number", "layout", "needs"}},
		"boards":         {{"part_number", "family", "title"}},
		"revisions":      {{"part_number", "revision", "issue", "layout", "volts_min", "volts_max", "hertz", "options"}},
		"ratings":        {{"part_number", "revision", "circuit", "max_amps"}},
		"stock":          {{"location", "part_number", "revision", "condition", "quantity"}},
	}
	add := func(file string, cells ...string) { files[file] = append(files[file], cells) }
	for i := range 12 {
		circuits := fmt.Sprintf("c%d c%d", 2*i, 2*i+1)
		add("layouts", "old", fmt.Sprintf("CN%d", i), "2", "5", circuits)
		if i > 0 {
			add("layouts", "new", fmt.Sprintf("CN%d", i), "2", "5", circuits)
		}
	}
	add("layouts", "wide", "P1", "2", "5", "c0 c1")
	for i := range 2 {
		add("layouts", "new", fmt.Sprintf("CN%d", 20+i), "1", "5", fmt.Sprintf("c%d", i))
		add("layouts", "split", fmt.Sprintf("P%d", i), "1", "5", fmt.Sprintf("c%d", i))
	}
	for i, span := range [][2]string{{"2000", "2002"}, {"2003", "2005"}, {"2006", "2008"}} {
		add("builds", "Wexcombe", "DW 1000", fmt.Sprintf("b%d", i), span[0], span[1], "70-1000", []string{"old", "new", "old"}[i], "none")
	}
	for part := range 15 {
		number := fmt.Sprintf("70-%d", 1000+part)
		add("boards", number, "Curlew", "Dishwasher control")
		add("stock", "front", number, "A", "new", "2")
		for revision := range 2 {
			label := string(rune('A' + revision))
			add("revisions", number, label, fmt.Sprint(2*part+revision+1), []string{"old", "new"}[revision], "220", "240", "50", "none")
			add("ratings", number, label, "c0", "16")
			add("ratings", number, label, "c2", "4")
		}
	}
	return bundle(b, files)
}

func benchmarkFits(b *testing.B, pages *page.Pages, answer *standin.Answer, all bool) {
	var html, text bytes.Buffer
	var rendering, encoding time.Duration
	for b.Loop() {
		html.Reset()
		text.Reset()
		start := time.Now()
		if err := pages.RenderFits(&html, answer, all); err != nil {
			b.Fatal(err)
		}
		rendered := time.Now()
		if err := json.NewEncoder(&text).Encode(api.EncodeAnswer(answer, all)); err != nil {
			b.Fatal(err)
		}
		rendering += rendered.Sub(start)
		encoding += time.Since(rendered)
	}
	b.ReportMetric(float64(rendering.Microseconds())/float64(b.N), "µs/page")
	b.ReportMetric(float64(encoding.Microseconds())/float64(b.N), "µs/json")
	b.ReportMetric(float64(rendering)/float64(encoding), "x-json")
	b.ReportMetric(float64(html.Len()), "bytes/page")
	b.ReportMetric(float64(text.Len()), "bytes/json")
}
