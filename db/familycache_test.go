package db

import (
	"fmt"
	"testing"

	"standin"
)

// sized is a family of so many configurations.
func sized(name string, configurations int) *standin.PreparedFamily {
	return standin.PrepareFamily(standin.FamilyRecord{
		Family: standin.Family{Name: name}, Configurations: make([]standin.Configuration, configurations),
	}, 1)
}

func TestFamilyCacheKeepsOneEdition(t *testing.T) {
	t.Parallel()
	c := newFamilyCache()
	f := sized("Lumen", 1)
	c.put(3, "Lumen", f)
	if c.get(3, "Lumen") != f || c.get(4, "Lumen") != nil || c.get(2, "Lumen") != nil || c.get(3, "Drum") != nil {
		t.Error("it gives what it was not asked for, or not what it was")
	}
	c.put(2, "lumen", sized("Lumen", 1))
	if c.get(3, "lumen") != nil || c.get(2, "lumen") != nil {
		t.Error("a family of an older edition is kept")
	}
	c.put(4, "Drum", sized("Drum", 1))
	if c.get(3, "Lumen") != nil || c.get(4, "Drum") == nil || c.weight != 2 {
		t.Errorf("after a newer edition came there are %d names, weight %d", len(c.at), c.weight)
	}
}

func TestFamilyCacheIsBounded(t *testing.T) {
	t.Parallel()
	c := newFamilyCache()
	for i := range 30 {
		c.put(1, fmt.Sprint(i), sized("f", mostPrepared/10))
		c.get(1, "0")
	}
	if c.weight > mostPrepared || len(c.at) != c.used.Len() {
		t.Errorf("weight %d, %d names of %d families", c.weight, len(c.at), c.used.Len())
	}
	if c.get(1, "0") == nil || c.get(1, "29") == nil || c.get(1, "1") != nil {
		t.Error("it is not those used least recently that are dropped")
	}
	c.put(1, "huge", sized("huge", 2*mostPrepared))
	if c.get(1, "huge") == nil || len(c.at) != 1 {
		t.Errorf("beside a family that is too large there are %d names", len(c.at))
	}
}

func TestPreparedFamilyFollowsTheCatalogue(t *testing.T) {
	t.Parallel()
	db := openSmall(t)
	prepared := func() *standin.PreparedFamily {
		t.Helper()
		f, err := db.PreparedFamily(t.Context(), "Lumen")
		if err != nil {
			t.Fatal(err)
		}
		return f
	}
	first := prepared()
	if first.Name != "Lumen" || first.CatalogueVersion != 12 || len(first.Table.Settings) == 0 {
		t.Errorf("the family is %+v at version %d", first.Family, first.CatalogueVersion)
	}
	if prepared() != first {
		t.Error("it is prepared anew though nothing changed")
	}
	exec(t, db, "UPDATE catalogue_state SET stock = stock + 1")
	if prepared() != first {
		t.Error("a change of the stock prepares it anew")
	}
	exec(t, db, "UPDATE configurations SET pattern = '0000' WHERE family_id = (SELECT id FROM families WHERE family = 'Lumen'); UPDATE catalogue_state SET catalogue = catalogue + 1")
	if next := prepared(); next == first || next.CatalogueVersion != 13 || next.Table.Settings[0].Pattern != "0000" {
		t.Errorf("after a change of the catalogue: version %d, %+v", next.CatalogueVersion, next.Table.Settings[0])
	}
	if _, err := db.PreparedFamily(t.Context(), "Nothing"); standin.CodeOf(err) != standin.CodeNotFound {
		t.Errorf("an unknown family: %v", err)
	}
}
