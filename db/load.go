package db

import (
	"github.com/jackc/pgx/v5"

	"standin"
)

// load is what one batch has read of the things that models share, each once. A
// thing is made when it is first referred to and filled when its own statement is
// read, so references do not depend on the order of the statements.
type load struct {
	edition    edition
	boards     []board           // by part number
	boardAt    map[int64]int     // part id → index in boards
	ofFamily   map[int64][]int64 // family id → ids of its boards
	links      map[int64][]lead  // by the part they lead from
	families   map[int64]*standin.Family
	procedures map[string]*standin.Procedure
	layouts    map[int64]*standin.Layout
	adaptors   []standin.Adaptor
	rules      map[int64]*standin.SerialRule
	stock      map[string][]standin.Stock // by part number

	held     func() *shelf  // returns what is held already, so that a layout is not held twice
	complete map[int64]bool // layouts that come from held
}

func newLoad() *load {
	return &load{
		boardAt:    map[int64]int{},
		ofFamily:   map[int64][]int64{},
		links:      map[int64][]lead{},
		families:   map[int64]*standin.Family{},
		procedures: map[string]*standin.Procedure{},
		layouts:    map[int64]*standin.Layout{},
		rules:      map[int64]*standin.SerialRule{},
		stock:      map[string][]standin.Stock{},
		held:       func() *shelf { return nil },
		complete:   map[int64]bool{},
	}
}

// queue adds the statements for what is shared by the models that own.queue has
// chosen.
func (l *load) queue(b *pgx.Batch) {
	for _, part := range []struct {
		sql  string
		read func(pgx.Rows) error
	}{
		{boardsSQL, l.readBoards},
		{revisionsSQL, l.readRevisions},
		{ratingsSQL, l.readRatings},
		{linksSQL, l.readLinks},
		{familiesSQL, l.readFamilies},
		{proceduresSQL, l.readProcedures},
		{adaptorsSQL, l.readAdaptors},
		{connectorsSQL, l.readConnectors},
		{rulesSQL, l.readRules},
	} {
		b.Queue(part.sql).Query(part.read)
	}
}

// pieces returns what was read, in the form in which it is held in memory. Families
// and harnesses are complete where the models that were read have configurations
// for them or use them.
func (l *load) pieces(o *own) *pieces {
	p := newPieces()
	for id, f := range l.families {
		p.families[id] = &sharedFamily{Family: f, procedure: l.procedures[f.Procedure]}
	}
	for i := range l.boards {
		b := &l.boards[i]
		p.boards[b.id] = &sharedBoard{board: b, procedures: l.overriding(b)}
	}
	for _, part := range o.reachable {
		p.leads[part] = l.links[part]
		if _, isBoard := p.boards[part]; !isBoard {
			p.boards[part] = nil
		}
	}
	p.layouts, p.rules = l.layouts, l.rules
	for _, h := range o.histories {
		for _, id := range h.families {
			p.families[id].boards, p.families[id].whole = l.ofFamily[id], true
		}
		for i := range h.builds {
			if id := h.builds[i].layout; id != 0 && p.usableAdaptors[id] == nil {
				p.usableAdaptors[id] = standin.UsableAdaptors(l.adaptors, []standin.Build{{Layout: l.layout(id)}})
			}
		}
	}
	return p
}

// overriding returns the procedures that revisions of a board have instead of the
// family's.
func (l *load) overriding(b *board) []*standin.Procedure {
	var procedures []*standin.Procedure
	for i := range b.Revisions {
		if p := l.procedures[b.Revisions[i].Procedure]; p != nil {
			procedures = append(procedures, p)
		}
	}
	return procedures
}
