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
	store := demoStore(b)
	pages, err := page.New(page.Config{Catalogue: store, Bench: true, Sheet: true})
	if err != nil {
		b.Fatal(err)
	}
	for _, key := range []standin.ModelKey{{Brand: "Fenlask", Model: "Vask 690"}, {Brand: "Ruskelby", Model: "R6-D3"}, {Brand: "Fenlask", Model: "Kyl 210"}} {
		results, err := standin.Ask(b.Context(), store, []standin.Machine{{ModelKey: key, Location: "front"}})
		if err != nil || results[0].Err != nil {
			b.Fatal(err, results)
		}
		answer := results[0].Answer
		for _, all := range []bool{false, true} {
			b.Run(fmt.Sprintf("%s all=%v", key, all), func(b *testing.B) { benchmarkFits(b, pages, answer, all) })
		}
	}
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
