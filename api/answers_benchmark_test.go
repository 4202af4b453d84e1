package api_test

import (
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// BenchmarkThousandMachines asks for 1,000 machines at once and, in the same
// run, for each of them alone; x-singles is the ratio, to stay under 0.2.
func BenchmarkThousandMachines(b *testing.B) {
	running := httptest.NewServer(unchecked(b, imported(b, writeRange(b, 1000))))
	b.Cleanup(running.Close)
	var asked []map[string]any
	for i := range 1000 {
		asked = append(asked, map[string]any{"brand": "Wexcombe", "model": fmt.Sprintf("DW %d", 1000+i), "location": "front"})
	}
	body, err := json.Marshal(map[string]any{"machines": asked})
	if err != nil {
		b.Fatal(err)
	}
	var single, many time.Duration
	for b.Loop() {
		start := time.Now()
		for _, m := range asked {
			query := url.Values{"brand": {m["brand"].(string)}, "model": {m["model"].(string)}, "location": {"front"}}
			drain(b, http.MethodGet, running.URL+"/v1/fits?"+query.Encode(), "")
		}
		single += time.Since(start)
		start = time.Now()
		drain(b, http.MethodPost, running.URL+"/v1/fits", string(body))
		many += time.Since(start)
	}
	b.ReportMetric(float64(single.Milliseconds())/float64(b.N), "ms/1000-GET")
	b.ReportMetric(float64(many.Milliseconds())/float64(b.N), "ms/POST")
	b.ReportMetric(float64(many)/float64(single), "x-singles")
}

// drain sends a request and reads the answer to its end.
func drain(b *testing.B, method, target, body string) {
	b.Helper()
	request, err := http.NewRequestWithContext(b.Context(), method, target, strings.NewReader(body))
	if err != nil {
		b.Fatal(err)
	}
	request.Header.Set("Content-Type", "application/json")
	answer, err := http.DefaultClient.Do(request)
	if err != nil {
		b.Fatal(err)
	}
	defer func() { _ = answer.Body.Close() }()
	if n, err := io.Copy(io.Discard, answer.Body); err != nil || answer.StatusCode != http.StatusOK {
		b.Fatalf("status %d, %d bytes, %v", answer.StatusCode, n, err)
	}
}

// writeRange writes a bundle of n models of two builds each, a cut-in at which
// one plug was split, and a family of four boards of two revisions that serves
// them all.
func writeRange(b *testing.B, n int) string {
	b.Helper()
	files := map[string]*strings.Builder{}
	row := func(file, header, format string, args ...any) {
		if files[file] == nil {
			files[file] = &strings.Builder{}
			files[file].WriteString(header + "\n")
		}
		fmt.Fprintf(files[file], format+"\n", args...)
	}
	row("families", "family,selector,code_length,readback", "Curlew,A B C D E F G H,6,L1 L2 L3 L4 L5 L6 L7 L8")
	for i := range 6 {
		circuits := fmt.Sprintf("c%d c%d", 2*i, 2*i+1)
		row("layouts", "layout,connector,ways,pitch_mm,circuits", "old,CN%d,2,5,%s", i, circuits)
		if i > 0 {
			row("layouts", "", "new,CN%d,2,5,%s", i, circuits)
		}
	}
	row("layouts", "", "new,CN7,1,5,c0")
	row("layouts", "", "new,CN8,1,5,c1")
	for part := range 4 {
		row("boards", "part_number,family", "70-100%d,Curlew", part)
		for revision := range 2 {
			row("revisions", "part_number,revision,issue,layout,volts_min,volts_max,hertz,options", "70-100%d,%c,%d,%s,220,240,50,none", part, 'A'+rune(revision), 2*part+revision+1, []string{"old", "new"}[part%2])
			row("ratings", "part_number,revision,circuit,max_amps", "70-100%d,%c,c0,16", part, 'A'+rune(revision))
		}
		row("stock", "location,part_number,revision,condition,quantity", "front,70-100%d,A,new,2", part)
	}
	for i := range n {
		model := fmt.Sprintf("Wexcombe,DW %d,", 1000+i)
		row("models", "brand,model,variant,made_from,made_to,volts,hertz", "%s,2000,2008,230,50", model)
		row("builds", "brand,model,variant,build,made_from,made_to,part_number,layout,needs", "%s,b1,2000,2003,70-1000,old,none", model)
		row("builds", "", "%s,b2,2004,2008,70-1001,new,none", model)
		row("loads", "brand,model,variant,build,circuit,watts,element", "%s,,c0,2000,heating", model)
		row("configurations", "family,brand,model,variant,build,issue_from,code,pattern", "Curlew,%s,,,ABCDEF,1010ff-1", model)
	}
	dir := b.TempDir()
	for name, text := range files {
		if err := os.WriteFile(filepath.Join(dir, name+".csv"), []byte(text.String()), 0o600); err != nil {
			b.Fatal(err)
		}
	}
	return dir
}
