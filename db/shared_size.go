package db

import "standin"

// Estimates of how many bytes things take in memory: their structures, their texts,
// and the overhead of a map entry.
const (
	sizeOfEntry = 64
	sizeOfText  = 24 // of a text, besides its letters
)

func sizeOfTexts(texts ...string) int {
	size := 0
	for _, t := range texts {
		size += sizeOfText + len(t)
	}
	return size
}

func sizeOfFamily(f *sharedFamily) int {
	size := 256 + sizeOfEntry + 8*len(f.boards) + sizeOfTexts(f.Name, f.Title, f.Procedure, f.Note) +
		sizeOfTexts(f.Selector...) + sizeOfTexts(f.Readback...)
	return size + sizeOfProcedure(f.procedure)
}

func sizeOfProcedure(p *standin.Procedure) int {
	if p == nil {
		return 0
	}
	size := 64
	for i := range p.Steps {
		size += 64 + sizeOfTexts(p.Steps[i].Do, p.Steps[i].Expect)
	}
	return size
}

func sizeOfBoard(b *sharedBoard) int {
	if b == nil {
		return sizeOfEntry
	}
	size := 192 + sizeOfEntry + sizeOfTexts(b.PartNumber, b.Family, b.Title, b.GTIN)
	for i := range b.Revisions {
		r := &b.Revisions[i]
		size += 256 + sizeOfTexts(r.Label, r.Procedure, r.Stop) + sizeOfTexts(r.Options.V...) + 8*len(r.Hertz.V)
		for circuit := range r.Ratings {
			size += sizeOfEntry + len(circuit)
		}
	}
	for _, p := range b.procedures {
		size += sizeOfProcedure(p)
	}
	return size
}

func sizeOfLeads(leads []lead) int {
	size := sizeOfEntry
	for i := range leads {
		size += 96 + sizeOfTexts(leads[i].Old, leads[i].New, leads[i].Note)
	}
	return size
}

func sizeOfLayout(l *standin.Layout) int {
	size := sizeOfEntry + 48 + len(l.Name)
	for i := range l.Connectors {
		c := &l.Connectors[i]
		size += 128 + sizeOfTexts(c.Marking, c.Key.V) + sizeOfTexts(c.Circuits.V...)
	}
	return size
}

// sizeOfAdaptors leaves out their layouts, which are held as such.
func sizeOfAdaptors(adaptors []standin.Adaptor) int {
	size := sizeOfEntry
	for i := range adaptors {
		size += 48 + sizeOfTexts(adaptors[i].PartNumber, adaptors[i].Title)
	}
	return size
}

func sizeOfRule(r *standin.SerialRule) int {
	return 4096 + sizeOfEntry // a compiled regular expression
}
