package api

import (
	"runtime/debug"
	"sync"
)

// leanPercent is how much garbage may gather beside what is held while batches are
// answered, as GOGC has it. They make much of it, beside everything that is held for
// the catalogue: with the usual 100 the program would grow to twice both.
const leanPercent = 40

// lean has the whole program collect its garbage sooner as long as anybody needs that.
var lean thrift

// thrift counts who needs it.
type thrift struct {
	mu    sync.Mutex
	needs int
	usual int // the percentage otherwise
}

func (t *thrift) begin() {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.needs++; t.needs > 1 {
		return
	}
	if t.usual = debug.SetGCPercent(leanPercent); t.usual >= 0 && t.usual < leanPercent {
		debug.SetGCPercent(t.usual) // somebody wants it leaner still
	}
}

func (t *thrift) end() {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.needs--; t.needs == 0 {
		debug.SetGCPercent(t.usual)
	}
}
