package db

import (
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"standin"
)

func TestFindBoards(t *testing.T) {
	t.Parallel()
	db := openSmall(t)
	match := func(part string, by standin.NumberKind, number string, exact bool) standin.BoardMatch {
		return standin.BoardMatch{PartNumber: part, By: by, Number: number, Exact: exact}
	}
	tests := []struct {
		name, typed string
		want        []standin.BoardMatch
	}{
		{"as it is written", "FX-1", []standin.BoardMatch{match("FX-1", standin.ByPartNumber, "FX-1", true)}},
		{"without case, spaces and punctuation", "fx 1", []standin.BoardMatch{match("FX-1", standin.ByPartNumber, "FX-1", true)}},
		{"the beginning", "lb", []standin.BoardMatch{match("LB-100", standin.ByPartNumber, "LB-100", false), match("LB-200", standin.ByPartNumber, "LB-200", false)}},
		{"a marking of two boards", "40112", []standin.BoardMatch{match("FX-2", standin.ByMarking, "40 11-2", true), match("LB-100", standin.ByMarking, "40 11-2", true)}},
		{"the beginning of a marking", "40 1", []standin.BoardMatch{match("FX-2", standin.ByMarking, "40 11-2", false), match("LB-100", standin.ByMarking, "40 11-2", false)}},
		{"a GTIN", "96385074", []standin.BoardMatch{match("LB-100", standin.ByGTIN, "96385074", true)}},
		{"a GTIN with zeros before it", "0000096385074", []standin.BoardMatch{match("LB-100", standin.ByGTIN, "96385074", true)}},
		{"the beginning of a GTIN", "9638507", nil},
		{"an adaptor", "ad1", []standin.BoardMatch{{PartNumber: "AD-1", Adaptor: true, By: standin.ByPartNumber, Number: "AD-1", Exact: true}}},
		{"no more than there is room for", "fx", []standin.BoardMatch{match("FX-0", standin.ByPartNumber, "FX-0", false), match("FX-1", standin.ByPartNumber, "FX-1", false), match("FX-2", standin.ByPartNumber, "FX-2", false)}},
		{"nothing", " - ", nil},
		{"an end of the alphabet", "\U0010FFFF", nil},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			got, err := db.FindBoards(t.Context(), tt.typed, 3)
			if err != nil {
				t.Fatal(err)
			}
			for i := range got {
				got[i].Title, got[i].Family = "", "" // below
			}
			if diff := cmp.Diff(tt.want, got, cmpopts.EquateEmpty()); diff != "" {
				t.Errorf("boards (-want +got):\n%s", diff)
			}
		})
	}
	got, err := db.FindBoards(t.Context(), "LB-100", 3)
	if err != nil || len(got) != 1 || got[0].Title != "Lumen control" || got[0].Family == "" {
		t.Errorf("%+v, %v; want the title and the family too", got, err)
	}
}
