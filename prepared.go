package standin

import "sync"

// PreparedFamily is a family with its recorded configurations made ready for
// the rules of reading, as they were at one version of the catalogue. It is not
// to be changed, and may be used at the same time.
type PreparedFamily struct {
	FamilyRecord
	CatalogueVersion int64
	Table            *Table

	codeMap   func() *CodeMap
	misprints func() []Misprint
	trust     func() FamilyTrust
}

// PrepareFamily makes a family ready. What is learnt from its configurations is
// worked out when it is first asked for, and once.
func PrepareFamily(record FamilyRecord, version int64) *PreparedFamily {
	f := &PreparedFamily{FamilyRecord: record, CatalogueVersion: version}
	f.Table = NewTable(&f.Family, f.Configurations)
	f.codeMap = sync.OnceValue(f.Table.CodeMap)
	f.misprints = sync.OnceValue(f.Table.Misprints)
	f.trust = sync.OnceValue(f.Table.FamilyTrust)
	return f
}

// CodeMap is what the family's code map has learnt.
func (f *PreparedFamily) CodeMap() *CodeMap { return f.codeMap() }

// Misprints are the configurations of the family that are likely misprinted.
func (f *PreparedFamily) Misprints() []Misprint { return f.misprints() }

// Trust is how far the family's patterns tell its codes apart.
func (f *PreparedFamily) Trust() FamilyTrust { return f.trust() }
