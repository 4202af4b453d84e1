package standin_test

import (
	"fmt"
	"reflect"
	"sync"
	"testing"

	"standin"
)

// Answers are the same whether seatings are shared with questions before or not,
// and whoever asks beside.
func TestSharedSeatings(t *testing.T) {
	t.Parallel()
	for seed := range uint64(400) {
		d, m := newCase(seed)
		nameLayouts(d)
		want := standin.Fit(d, m)
		d.Seatings = standin.NewSeatings()
		var asked sync.WaitGroup
		for range 3 {
			asked.Go(func() {
				for range 2 {
					if got := standin.Fit(d, m); !reflect.DeepEqual(got, want) {
						t.Errorf("seed %d: the answer with shared seatings differs", seed)
					}
				}
			})
		}
		asked.Wait()
	}
}

// nameLayouts gives each layout a name of its own, as a catalogue does.
func nameLayouts(d *standin.Dossier) {
	named := map[*standin.Layout]bool{nil: true}
	name := func(l *standin.Layout) {
		if !named[l] {
			l.Name = fmt.Sprintf("layout %d", len(named))
			named[l] = true
		}
	}
	for i := range d.Builds {
		name(d.Builds[i].Layout)
	}
	for i := range d.Boards {
		for j := range d.Boards[i].Revisions {
			name(d.Boards[i].Revisions[j].Layout)
		}
	}
}
