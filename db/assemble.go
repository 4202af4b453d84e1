package db

import (
	"maps"
	"slices"

	"standin"
)

// dossier is the one of a machine out of what was loaded, nil where its model is
// not known. Machines of one model share all but the badge and the old part.
func (l *load) dossier(machine int) *standin.Dossier {
	found := l.found[machine]
	if found.model == 0 {
		return nil
	}
	shared := l.dossiers[found.model]
	if shared == nil {
		shared = l.assemble(found.model)
		l.dossiers[found.model] = shared
	}
	d := *shared
	d.Asked = l.models[found.badge].ModelKey
	d.OldParts = l.oldParts[machine]
	return &d
}

func (l *load) assemble(model int64) *standin.Dossier {
	h := l.history(model)
	reached, links := l.reach(h.factory)
	d := &standin.Dossier{
		CatalogueVersion: l.version,
		Model:            *l.models[model],
		Builds:           h.builds,
		Loads:            h.loads,
		Configurations:   h.configurations,
		Presets:          h.presets,
		Supersessions:    links,
		Adaptors:         usable(l.adaptors, h.builds),
		Families:         map[string]*standin.Family{},
		Procedures:       map[string]*standin.Procedure{},
	}
	for i := range d.Configurations {
		d.Configurations[i].Model = d.Model.ModelKey
	}
	for _, family := range h.families {
		l.addFamily(d, family)
	}
	looked := l.lookedAt(h, reached)
	d.Boards = make([]standin.Board, 0, len(looked))
	for _, at := range looked {
		l.addBoard(d, &l.boards[at])
	}
	for i := range d.Adaptors {
		d.Stock = append(d.Stock, l.stock[d.Adaptors[i].PartNumber]...)
	}
	return d
}

// lookedAt are the boards that rule 2 may look at for any build of a model, as
// indexes in order of the part number.
func (l *load) lookedAt(h *history, reached []int64) []int {
	chosen := map[int]bool{}
	for _, family := range h.families {
		for _, at := range l.ofFamily[family] {
			chosen[at] = true
		}
	}
	for _, part := range slices.Concat(reached, h.presetParts) {
		// A part may be reached that is no board.
		if at, ok := l.boardAt[part]; ok {
			chosen[at] = true
		}
	}
	return slices.Sorted(maps.Keys(chosen))
}

func (l *load) addBoard(d *standin.Dossier, b *board) {
	d.Boards = append(d.Boards, b.Board)
	d.Stock = append(d.Stock, l.stock[b.PartNumber]...)
	if b.family != 0 {
		l.addFamily(d, b.family)
	}
	for i := range b.Revisions {
		l.addProcedure(d, b.Revisions[i].Procedure)
	}
}

func (l *load) addFamily(d *standin.Dossier, id int64) {
	if f := l.families[id]; f != nil {
		d.Families[f.Name] = f
		l.addProcedure(d, f.Procedure)
	}
}

func (l *load) addProcedure(d *standin.Dossier, name string) {
	if p := l.procedures[name]; p != nil {
		d.Procedures[name] = p
	}
}
