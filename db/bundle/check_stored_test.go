package bundle

import "testing"

const (
	buildsHeader         = "-- builds.csv --\nbrand,model,variant,build,made_from,made_to,run_out_days,serial_from,serial_to,part_number,revision,layout,needs,source\n"
	configurationsHeader = "-- configurations.csv --\nfamily,brand,model,variant,build,issue_from,issue_to,code,pattern,source\n"
	familiesHeader       = "-- families.csv --\nfamily,title,selector,code_length,readback,procedure,note\n"
	supersessionsHeader  = "-- supersessions.csv --\nold_part,new_part,interchange,from,note\n"
	twinsHeader          = "-- twins.csv --\nbrand,model,variant,of_brand,of_model,of_variant\n"
)

// Each case is a small bundle against what is stored, the whole bundle.
func TestCheckAgainstWhatIsStored(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	put(t, db, whole)
	tests := []struct {
		name   string
		bundle string
		want   string
	}{
		{"a reference to what is stored", "-- stock.csv --\nlocation,part_number,revision,condition,quantity\nback,PN-200,B,new,1\n", ""},
		{"a build in a stored one", buildsHeader + "Aldor,W100,,b9,2004-01-01,2004-06-01,,,,,,,,\n",
			"builds.csv:2: overlap made_from=\"2004-01-01\": build b9 overlaps build b2 (the catalogue), which is made 2003-06-01 to 2004-12-31\n"},
		{"a build after all stored ones", buildsHeader + "Aldor,W100,,b9,2006-01-01,,,,,,,,,\n", ""},
		{"a stored build that moves", buildsHeader + "Aldor,W100,,b2,2003-07-01,2004-12-31,,,,,,,,\n", ""},
		{"an issue that a stored configuration has", configurationsHeader + "rotary,Aldor,W100,,,3,,A A A,,\n",
			"configurations.csv:2: overlap issue_from=\"3\": family rotary has a configuration for Aldor W100 and some of these issues already (the catalogue, for issues from 2)\n"},
		{"a stored configuration that changes", configurationsHeader + "rotary,Aldor,W100,,,2,5,A A A,,\nrotary,Aldor,W100,,,6,,A A B,,\n", ""},
		{"a link that closes a stored circle", supersessionsHeader + "PN-300,PN-100,two-way,,\n",
			"supersessions.csv:2: circle new_part=\"PN-100\": PN-100 cannot replace PN-300, because other rows say that PN-300 replaces it in the end\n"},
		{"a model with builds that becomes a twin", twinsHeader + "Aldor,W100,,Aldor,W200,x\n",
			`twins.csv:2: twin-with-data model="W100": Aldor W100 is a twin of Aldor W200 / x and can have no builds of its own
twins.csv:2: twin-with-data model="W100": Aldor W100 is a twin of Aldor W200 / x and can have no loads of its own
twins.csv:2: twin-with-data model="W100": Aldor W100 is a twin of Aldor W200 / x and can have no configurations of its own
twins.csv:2: twin-with-data model="W100": Aldor W100 is a twin of Aldor W200 / x and can have no presets of its own
`},
		{"a family with shorter codes", familiesHeader + "rotary,Rotary controls,A B C D,2,H M P,dial,\n",
			"families.csv:2: wrong-length code_length=\"2\": 3 configurations of family rotary in the catalogue, such as the one for Aldor W100, have a code of another length\n"},
		{"a family with more points", familiesHeader + "rotary,Rotary controls,A B C D,3,H M P Q,dial,\n",
			"families.csv:2: wrong-length readback=\"H M P Q\": 2 configurations of family rotary in the catalogue, such as the one for Aldor W100, have a pattern for another number of points\n"},
		{"a family without a symbol", familiesHeader + "rotary,Rotary controls,A B D,3,H M P,dial,\n",
			"families.csv:2: unknown-symbol selector=\"A B D\": the configuration of family rotary for Aldor W100 in the catalogue has a symbol that is not on this selector\n"},
		{"a family that changes with its configurations", familiesHeader + "rotary,Rotary controls,A B,1,H,dial,\n" + configurationsHeader +
			"rotary,Aldor,W100,,,,1,A,1,\nrotary,Aldor,W100,,,2,,B,0,\nrotary,Aldor,W100,,b2,,,B,,\n", ""},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			tx := openTx(t, db)
			defer tx.Rollback()
			stage(t, tx, test.bundle)
			if got := findings(t, tx); got != test.want {
				t.Errorf("got\n%swant\n%s", got, test.want)
			}
		})
	}
}

func TestCheckCountsBeyondItsLimit(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	bundle := configurationsHeader
	for _, model := range []string{"W1", "W2", "W3", "W4", "W5"} {
		bundle += "rotary,Aldor," + model + ",,,,,A,,\n"
	}
	for _, limit := range []int{0, 1, 3, 100} {
		tx := openTx(t, db)
		stage(t, tx, bundle)
		found, total, err := tx.Check(t.Context(), limit)
		if err != nil {
			t.Fatal(err)
		}
		if len(found) != min(limit, 10) || total != 10 {
			t.Errorf("with limit %d: %d of %d", limit, len(found), total)
		}
		for i, f := range found {
			if f.Line != 2+i/2 {
				t.Errorf("with limit %d finding %d is of line %d", limit, i, f.Line)
			}
		}
		tx.Rollback()
	}
}
