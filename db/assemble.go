package db

import (
	"slices"
	"strings"

	"standin"
)

// assembly makes dossiers from what was read of the models and from what is held
// of the things they share.
type assembly struct {
	*own
	held    *shelf
	stocked map[string][]standin.Stock // of adaptors, where it was not read
	made    map[int64]*standin.Dossier // by model, without what differs from machine to machine
	missing bool                       // something that models share was not held

	unstocked bool // the stock of an adaptor was neither read nor held
}

// lack is what an assembly lacks.
type lack int

const (
	lacksNothing lack = iota
	lacksStock        // of an adaptor
	lacksShared       // something that models share
)

// assemble makes the dossiers of what was read, one per machine; stocked is the stock of
// adaptors, used where it was not read. Where something is lacking it returns none.
func (s *shelf) assemble(o *own, stocked map[string][]standin.Stock) ([]*standin.Dossier, lack) {
	if s == nil {
		return nil, lacksShared
	}
	a := &assembly{own: o, held: s, stocked: stocked, made: make(map[int64]*standin.Dossier, len(o.histories))}
	if o.readsAdaptors {
		a.stocked = o.stock
	}
	dossiers := make([]*standin.Dossier, len(o.found))
	for i := range dossiers {
		if dossiers[i] = a.dossier(i); a.missing {
			return nil, lacksShared
		}
	}
	if a.unstocked {
		return nil, lacksStock
	}
	return dossiers, lacksNothing
}

// dossier returns the dossier of a machine, nil where its model is not known. Machines of
// one model share all but the badge and the old part.
func (a *assembly) dossier(machine int) *standin.Dossier {
	found := a.found[machine]
	if found.model == 0 {
		return nil
	}
	a.held.mu.Lock() // for each machine anew: a batch of a thousand must not keep one question waiting
	defer a.held.mu.Unlock()
	shared := a.made[found.model]
	if shared == nil {
		shared = a.model(found.model)
		a.made[found.model] = shared
		a.held.makeRoom()
	}
	d := *shared
	d.Asked = a.models[found.badge].ModelKey
	for _, part := range a.oldParts[machine] {
		part.Layout = a.layout(part.layout)
		d.OldParts = append(d.OldParts, part.OldPart)
	}
	return &d
}

func (a *assembly) model(id int64) *standin.Dossier {
	h, m := a.history(id), a.models[id]
	d := &standin.Dossier{
		CatalogueVersion: a.state.Catalogue,
		State:            a.state,
		Fitted:           a.fitted,
		Model:            m.Model,
		Loads:            h.loads,
		Configurations:   h.configurations,
		Families:         map[string]*standin.Family{},
		Procedures:       map[string]*standin.Procedure{},
		Seatings:         a.held.seatings,
	}
	for i := range d.Configurations {
		d.Configurations[i].Model = d.Model.ModelKey
	}
	d.Model.SerialRule = a.rule(m.rule)
	a.addBuilds(d, h)
	for _, p := range h.presets {
		p.PartNumber = a.board(p.part).PartNumber
		d.Presets = append(d.Presets, p.Preset)
	}
	reached, links := a.reach(h)
	d.Supersessions = links
	looked := a.lookedAt(h, reached)
	d.Boards = make([]standin.Board, 0, len(looked))
	for _, b := range looked {
		a.addBoard(d, b)
	}
	for i := range d.Adaptors {
		lines, ok := a.stocked[d.Adaptors[i].PartNumber]
		a.unstocked = a.unstocked || !ok && !a.readsAdaptors
		d.Stock = append(d.Stock, lines...)
	}
	return d
}

// addBuilds adds the builds with the names of what they refer to, and the adaptors
// that may be applied to their harnesses.
func (a *assembly) addBuilds(d *standin.Dossier, h *history) {
	for _, b := range h.builds {
		if b.part != 0 {
			board := a.board(b.part)
			b.PartNumber, b.Revision = board.PartNumber, board.label(b.revision)
		}
		if b.layout != 0 {
			b.Layout = a.layout(b.layout)
			d.Adaptors = append(d.Adaptors, a.usableAdaptors(b.layout)...)
		}
		d.Builds = append(d.Builds, b.Build)
	}
	slices.SortFunc(d.Adaptors, func(x, y standin.Adaptor) int { return strings.Compare(x.PartNumber, y.PartNumber) })
	d.Adaptors = slices.CompactFunc(d.Adaptors, func(x, y standin.Adaptor) bool { return x.PartNumber == y.PartNumber })
}

// lookedAt returns the boards that rule 2 may look at for any build of a model, by
// part number.
func (a *assembly) lookedAt(h *history, reached []int64) []*sharedBoard {
	var boards []*sharedBoard
	for _, id := range h.families {
		for _, part := range a.family(id).boards {
			boards = append(boards, a.board(part))
		}
	}
	for _, part := range reached {
		boards = append(boards, a.board(part))
	}
	for _, p := range h.presets {
		boards = append(boards, a.board(p.part))
	}
	boards = slices.DeleteFunc(boards, func(b *sharedBoard) bool { return b.id == 0 })
	slices.SortFunc(boards, func(x, y *sharedBoard) int { return strings.Compare(x.PartNumber, y.PartNumber) })
	return slices.CompactFunc(boards, func(x, y *sharedBoard) bool { return x.id == y.id })
}

func (a *assembly) addBoard(d *standin.Dossier, b *sharedBoard) {
	d.Boards = append(d.Boards, b.Board)
	d.Stock = append(d.Stock, a.stock[b.PartNumber]...)
	if b.family != 0 {
		f := a.family(b.family)
		d.Families[f.Name] = f.Family
		addProcedure(d, f.procedure)
	}
	for _, p := range b.procedures {
		addProcedure(d, p)
	}
}

func addProcedure(d *standin.Dossier, p *standin.Procedure) {
	if p != nil {
		d.Procedures[p.Name] = p
	}
}

// reach returns every part that can be reached over supersessions from the factory
// parts, themselves included, and every link walked on the way.
func (a *assembly) reach(h *history) ([]int64, []standin.Supersession) {
	type pair struct{ older, newer string }
	walked := map[pair]bool{}
	var reached []int64
	var links []standin.Supersession
	visit := func(part int64) {
		if part != 0 && !slices.Contains(reached, part) {
			reached = append(reached, part)
		}
	}
	for i := range h.builds {
		visit(h.builds[i].part)
	}
	for at := 0; at < len(reached); at++ {
		for _, next := range a.leads(reached[at]) {
			visit(next.to)
			if key := (pair{next.Old, next.New}); !walked[key] {
				walked[key] = true
				links = append(links, next.Supersession)
			}
		}
	}
	return reached, links
}

// The accessors below return what is held. Where it is not they return something
// empty and set missing.

func (a *assembly) family(id int64) *sharedFamily {
	f, ok := a.held.family(id)
	if !ok {
		a.missing = true
		return &sharedFamily{Family: &standin.Family{}}
	}
	return f
}

// emptyBoard stands for what is not held, and for a part that is no board.
var emptyBoard = &sharedBoard{board: &board{}}

func (a *assembly) board(id int64) *sharedBoard {
	b, ok := a.held.board(id)
	a.missing = a.missing || !ok
	if b == nil {
		return emptyBoard
	}
	return b
}

func (a *assembly) leads(part int64) []lead {
	leads, ok := a.held.leads(part)
	a.missing = a.missing || !ok
	return leads
}

func (a *assembly) layout(id int64) *standin.Layout {
	if id == 0 {
		return nil
	}
	layout, ok := a.held.layout(id)
	a.missing = a.missing || !ok
	return layout
}

func (a *assembly) usableAdaptors(harness int64) []standin.Adaptor {
	adaptors, ok := a.held.usableAdaptors(harness)
	a.missing = a.missing || !ok
	return adaptors
}

func (a *assembly) rule(id int64) *standin.SerialRule {
	if id == 0 {
		return nil
	}
	rule, ok := a.held.rule(id)
	a.missing = a.missing || !ok
	return rule
}
