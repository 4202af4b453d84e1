package api

import (
	"runtime/debug"
	runtimemetrics "runtime/metrics"
	"testing"
)

func percentNow() uint64 {
	sample := []runtimemetrics.Sample{{Name: "/gc/gogc:percent"}}
	runtimemetrics.Read(sample)
	return sample[0].Value.Uint64()
}

// Garbage is collected sooner from the first batch to the last, and then as before. The
// percentage is the program's: this test runs alone.
func TestBatchesAreLean(t *testing.T) {
	defer debug.SetGCPercent(debug.SetGCPercent(100))
	batches := newBatches()
	first, err := batches.enter(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if got := percentNow(); got != leanPercent {
		t.Errorf("with a batch it is %d %%", got)
	}
	lean.begin() // another
	first.leave()
	if got := percentNow(); got != leanPercent {
		t.Errorf("with another batch it is %d %%", got)
	}
	lean.end()
	if got := percentNow(); got != 100 {
		t.Errorf("without a batch it is %d %%", got)
	}
	debug.SetGCPercent(20)
	lean.begin()
	if got := percentNow(); got != 20 {
		t.Errorf("where it was 20 %% it is %d %%", got)
	}
	lean.end()
}
