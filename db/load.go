package db

import (
	"maps"
	"slices"

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
	ofFamily   map[int64][]int64 // family id → ids of its boards, by part number
	links      map[int64][]lead  // by the part they lead from
	families   map[int64]*standin.Family
	procedures map[string]*standin.Procedure
	layouts    map[int64]*standin.Layout
	adaptors   []standin.Adaptor
	rules      map[int64]*standin.SerialRule
	stock      map[string][]standin.Stock // by part number
	pages      []int64                    // of boards that were read whole
	neighbours []int64                    // boards that were read beside those asked for

	held *pieces // what is held already, so that none of it is held twice
}

// newLoad returns a load beside what is held already; nil: nothing.
func newLoad(held *pieces) *load {
	if held == nil {
		held = &pieces{}
	}
	return &load{
		held:       held,
		boardAt:    map[int64]int{},
		ofFamily:   map[int64][]int64{},
		links:      map[int64][]lead{},
		families:   map[int64]*standin.Family{},
		procedures: map[string]*standin.Procedure{},
		layouts:    map[int64]*standin.Layout{},
		rules:      map[int64]*standin.SerialRule{},
		stock:      map[string][]standin.Stock{},
	}
}

// queue adds the statements for what is shared by the models that own.queue has
// chosen.
func (l *load) queue(b *pgx.Batch) {
	b.Queue(chooseNeighboursSQL, idsOf(l.held.families), idsOf(l.held.layouts), idsOf(l.held.pages)).QueryRow(func(row pgx.Row) error {
		return row.Scan(nil, nil, nil, nil, &l.pages, &l.neighbours)
	})
	for _, part := range []struct {
		sql  string
		read func(pgx.Rows) error
	}{
		{boardsSQL, l.readBoards},
		{revisionsSQL, l.readRevisions},
		{ratingsSQL, l.readRatings},
		{linksSQL, l.readLinks},
		{familiesSQL, l.readFamilies},
		{boardsOfFamiliesSQL, l.readBoardsOfFamilies},
		{proceduresSQL, l.readProcedures},
		{adaptorsSQL, l.readAdaptors},
		{connectorsSQL, l.readConnectors},
		{rulesSQL, l.readRules},
	} {
		b.Queue(part.sql).Query(part.read)
	}
}

// idsOf returns the keys of a map. Of an empty one they are no nil, which would be
// sent as NULL, with which everything compares as unknown.
func idsOf[T any](held map[int64]T) []int64 {
	return slices.AppendSeq(make([]int64, 0, len(held)), maps.Keys(held))
}

// pieces returns what was read, in the form in which it is held in memory. Harnesses
// are complete where the models that were read use them.
func (l *load) pieces(o *own) *pieces {
	p := newPieces()
	for id, f := range l.families {
		p.families[id] = &sharedFamily{Family: f, procedure: l.procedures[f.Procedure], boards: l.ofFamily[id]}
	}
	for i := range l.boards {
		b := &l.boards[i]
		p.boards[b.id] = &sharedBoard{board: b, procedures: l.overriding(b)}
	}
	for _, part := range slices.Concat(o.reachable, l.neighbours) {
		p.leads[part] = l.links[part]
		if !l.isBoard(part) {
			p.boards[part] = nil
		}
	}
	for _, page := range l.pages {
		p.pages[page] = struct{}{}
	}
	p.layouts, p.rules = l.layouts, l.rules
	if !o.readsAdaptors { // those of every harness are held
		return p
	}
	for _, h := range o.histories {
		for i := range h.builds {
			if id := h.builds[i].layout; id != 0 && p.usableAdaptors[id] == nil {
				p.usableAdaptors[id] = standin.UsableAdaptors(l.adaptors, []standin.Build{{Layout: l.layout(id)}})
			}
		}
	}
	return p
}

// isBoard reports whether a part is a board that was read, or is held.
func (l *load) isBoard(part int64) bool {
	_, read := l.boardAt[part]
	return read || l.held.boards[part] != nil
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
