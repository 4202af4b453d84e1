package bundle

import (
	"strings"
	"testing"
)

// Each case is the whole bundle, which is valid, with one thing broken.
func TestCheckFindsOneFault(t *testing.T) {
	t.Parallel()
	db := openEmpty(t) // nothing is committed, so all cases may share it
	tests := []struct {
		name     string
		old, new string
		want     string
	}{
		{"nothing", "", "", ""},
		{"repeated key", "PN-300,,Fixed control,9638507\n", "PN-300,,Fixed control,9638507\nPN-300,rotary,Again,\n",
			`boards.csv:5: duplicate-key part_number="PN-300": this row has the same part_number as line 4 of boards.csv`},
		{"repeated key with an empty part", "jumper,Aldor,W200,x,,,,,,\n", "jumper,Aldor,W200,x,,,,,,\njumper,Aldor,W200,x,,,5,,,\n",
			`configurations.csv:6: duplicate-key family="jumper, Aldor, W200, x": this row has the same family, brand, model, variant, build, issue_from as line 5 of configurations.csv`},
		{"board and adaptor", "PN-300,,Fixed control,9638507\n", "PN-300,,Fixed control,9638507\nLOOM-1,,Loom,\n",
			`boards.csv:5: duplicate-key part_number="LOOM-1": LOOM-1 cannot be a board, because it is an adaptor already`},

		{"family's procedure", "H M P,dial", "H M P,dail",
			`families.csv:2: unknown-reference procedure="dail": there is no procedure dail in procedures.csv nor in the catalogue [dial]`},
		{"adaptor's plugs", "LOOM-1,Loom,harness-1,", "LOOM-1,Loom,hamess-1,",
			`adaptors.csv:2: unknown-reference takes="hamess-1": there is no layout hamess-1 in layouts.csv nor in the catalogue [harness-1]`},
		{"adaptor's other end", "LOOM-1,Loom,harness-1,board-1", "LOOM-1,Loom,harness-1,board",
			`adaptors.csv:2: unknown-reference gives="board": there is no layout board in layouts.csv nor in the catalogue [board-1]`},
		{"board's family", "PN-200,rotary,New", "PN-200,Rotary,New",
			`boards.csv:3: unknown-reference family="Rotary": there is no family Rotary in families.csv nor in the catalogue [rotary]`},
		{"revision's board", "PN-200,B,2,", "PN-20O,B,2,",
			`revisions.csv:4: unknown-reference part_number="PN-20O": there is no board PN-20O in boards.csv nor in the catalogue [PN-200]`},
		{"revision's layout", "PN-100,A,1,board-1", "PN-100,A,1,xyz",
			`revisions.csv:2: unknown-reference layout="xyz": there is no layout xyz in layouts.csv nor in the catalogue`},
		{"revision's procedure", "50 60,dial,", "50 60,push,",
			`revisions.csv:3: unknown-reference procedure="push": there is no procedure push in procedures.csv nor in the catalogue`},
		{"marking's board", "Z-77,PN-200,,", "Z-77,PN-900,,",
			`markings.csv:3: unknown-reference part_number="PN-900": there is no board PN-900 in boards.csv nor in the catalogue`},
		{"marking's revision", "Z-77,PN-100,A,on", "Z-77,PN-100,B,on",
			`markings.csv:2: unknown-reference revision="B": there is no revision B of board PN-100 in revisions.csv nor in the catalogue`},
		{"rating's revision", "PN-200,A,heater", "PN-200,C,heater",
			`ratings.csv:2: unknown-reference revision="C": there is no revision C of board PN-200 in revisions.csv nor in the catalogue`},
		{"rating's board", "PN-200,A,heater", "XX,A,heater",
			`ratings.csv:2: unknown-reference part_number="XX": there is no board XX in boards.csv nor in the catalogue`},
		{"old part", "PN-100,PN-200,one-way", "PN-X,PN-200,one-way",
			`supersessions.csv:2: unknown-reference old_part="PN-X": there is no board or adaptor PN-X in boards.csv or adaptors.csv nor in the catalogue`},
		{"new part", "PN-200,PN-300,two-way", "PN-200,PN-3000,two-way",
			`supersessions.csv:3: unknown-reference new_part="PN-3000": there is no board or adaptor PN-3000 in boards.csv or adaptors.csv nor in the catalogue [PN-300]`},
		{"model's serial rule", "230,50,year", "230,50,years",
			`models.csv:2: unknown-reference serial_rule="years": there is no serial rule years in serial_rules.csv nor in the catalogue [year]`},
		{"twin's model", "Bexley,Q1,,Aldor,W100,", "Bexley,Q1,,Aldor,W1OO,",
			`twins.csv:2: unknown-reference of_model="W1OO": there is no model Aldor W1OO in models.csv or twins.csv nor in the catalogue; did you mean Aldor W100? [W100]`},
		{"build's model", "Aldor,W100,,b3", "Alder,W100,,b3",
			`builds.csv:4: unknown-reference brand="Alder": there is no model Alder W100 in models.csv or twins.csv nor in the catalogue; did you mean Aldor W100? [Aldor]
presets.csv:3: unknown-reference build="b3": there is no build b3 of model Aldor W100 in builds.csv nor in the catalogue`},
		{"build's board", ",30,,,PN-100,A,", ",30,,,PN-1000,A,",
			`builds.csv:2: unknown-reference part_number="PN-1000": there is no board PN-1000 in boards.csv nor in the catalogue [PN-100]`},
		{"build's revision", ",30,,,PN-100,A,", ",30,,,PN-100,B,",
			`builds.csv:2: unknown-reference revision="B": there is no revision B of board PN-100 in revisions.csv nor in the catalogue`},
		{"build's revision of no board", ",30,,,PN-100,A,", ",30,,,,A,",
			`builds.csv:2: missing-value part_number="": the factory board's revision A is recorded, but not its part number`},
		{"build's layout", "PN-100,A,harness-1,none", "PN-100,A,harness-2,none",
			`builds.csv:2: unknown-reference layout="harness-2": there is no layout harness-2 in layouts.csv nor in the catalogue [harness-1]`},
		{"load's model", "Aldor,W100,,,heater", "Aldor,W300,y,,heater",
			`loads.csv:2: unknown-reference model="W300": there is no model Aldor W300 / y in models.csv or twins.csv nor in the catalogue`},
		{"load's build", "Aldor,W100,,b2,heater", "Aldor,W100,,b9,heater",
			`loads.csv:3: unknown-reference build="b9": there is no build b9 of the control of model Aldor W100 in builds.csv nor in the catalogue`},
		{"configuration's family", "jumper,Aldor,W200,x", "jumpers,Aldor,W200,x",
			`configurations.csv:5: unknown-reference family="jumpers": there is no family jumpers in families.csv nor in the catalogue [jumper]`},
		{"configuration's model", "jumper,Aldor,W200,x", "jumper,Dorn,W200,x",
			`configurations.csv:5: unknown-reference model="W200": there is no model Dorn W200 / x in models.csv or twins.csv nor in the catalogue`},
		{"configuration's build", "rotary,Aldor,W100,,b2", "rotary,Aldor,W100,,b4",
			`configurations.csv:4: unknown-reference build="b4": there is no build b4 of model Aldor W100 in builds.csv nor in the catalogue`},
		{"preset's board", "PN-300,Aldor,W100,,\n", "LOOM-1,Aldor,W100,,\n",
			`presets.csv:2: unknown-reference part_number="LOOM-1": there is no board LOOM-1 in boards.csv nor in the catalogue`},
		{"preset's build", "PN-300,Aldor,W100,,b3", "PN-300,Aldor,W100,,b0",
			`presets.csv:3: unknown-reference build="b0": there is no build b0 of model Aldor W100 in builds.csv nor in the catalogue`},
		{"stock's part", "front,PN-200,,used", "front,PN-2OO,,used",
			`stock.csv:3: unknown-stock part_number="PN-2OO": there is no board or adaptor PN-2OO in boards.csv or adaptors.csv nor in the catalogue; --skip-unknown-stock leaves such lines out [PN-200]`},
		{"stock's revision", "front,PN-200,A,new", "front,PN-200,D,new",
			`stock.csv:2: unknown-stock revision="D": there is no revision D of board PN-200 in revisions.csv nor in the catalogue; --skip-unknown-stock leaves such lines out`},

		{"builds that overlap by a day", "b2,2003-06-01,2004-12-31", "b2,2003-06-01,2005-01-01",
			`builds.csv:4: overlap made_from="2005-01-01": build b3 overlaps build b2 (line 3 of builds.csv), which is made 2003-06-01 to 2005-01-01`},
		{"builds that meet", "b2,2003-06-01,2004-12-31", "b2,2003-06-01,2004-12-31", ""},
		{"builds that begin together", "b2,2003-06-01,2004-12-31", "b2,2001-01-01,2004-12-31",
			`builds.csv:3: overlap made_from="2001-01-01": build b2 overlaps build b1 (line 2 of builds.csv), which is made 2001-01-01 to 2004-12-31`},
		{"a build that ends before all", "b3,2005-01-01,", "b3,,2000-12-31", ""},
		{"a build without beginning that overlaps", "b3,2005-01-01,", "b3,,2001-01-01",
			`builds.csv:4: overlap made_from="": build b3 overlaps build b1 (line 2 of builds.csv), which is made 2001-01-01 to 2003-05-31`},
		{"a build without dates", "b3,2005-01-01,", "b3,,", ""},
		{"two builds without dates", "b3,2005-01-01,", "b4,,,,,,,,,,\nAldor,W100,,b3,,", ""},
		{"configurations that share an issue", "rotary,Aldor,W100,,,2,", "rotary,Aldor,W100,,,1,",
			`configurations.csv:3: overlap issue_from="1": family rotary has a configuration for Aldor W100 and some of these issues already (line 2 of configurations.csv, for issues up to 1)`},

		{"circle of replacements", "PN-200,PN-300,two-way,,\n", "PN-200,PN-300,two-way,,\nPN-300,PN-100,one-way,,\n",
			`supersessions.csv:4: circle new_part="PN-100": PN-100 cannot replace PN-300, because other rows say that PN-300 replaces it in the end`},
		{"circle closed by a two-way link", "PN-200,PN-300,two-way,,\n", "PN-200,PN-300,,,\nPN-300,PN-100,two-way,,\n",
			`supersessions.csv:4: circle new_part="PN-100": PN-100 cannot replace PN-300, because other rows say that PN-300 replaces it in the end`},
		{"a two-way link along a chain", "PN-200,PN-300,two-way,,\n", "PN-200,PN-300,,,\nPN-100,PN-300,two-way,,\n", ""},
		{"there and back both ways", "PN-200,PN-300,two-way,,\n", "PN-200,PN-300,two-way,,\nPN-300,PN-200,two-way,,\n", ""},
		{"a part that replaces itself", "PN-200,PN-300,two-way,,\n", "PN-200,PN-200,two-way,,\n",
			`supersessions.csv:3: circle new_part="PN-200": PN-200 cannot replace PN-200, because other rows say that PN-200 replaces it in the end`},
		{"circle of twins", "Corvin,K8,,Corvin,K7,r\n", "Corvin,K8,,Corvin,K7,r\nAldor,W200,x,Corvin,K8,\n",
			`twins.csv:5: circle of_model="K8": Aldor W200 / x cannot be a twin of Corvin K8, which is itself a twin of it in the end
configurations.csv:5: twin-with-data model="W200": Aldor W200 / x is a twin of Corvin K8 and can have no configurations of its own`},

		{"twin with a build", "Aldor,W100,,b3", "Bexley,Q1,,b3",
			`builds.csv:4: twin-with-data model="Q1": Bexley Q1 is a twin of Aldor W100 and can have no builds of its own
presets.csv:3: unknown-reference build="b3": there is no build b3 of model Aldor W100 in builds.csv nor in the catalogue`},
		{"twin with a load", "Aldor,W100,,,heater", "Bexley,Q1,,,heater",
			`loads.csv:2: twin-with-data model="Q1": Bexley Q1 is a twin of Aldor W100 and can have no loads of its own`},
		{"unlisted twin with a configuration", "jumper,Aldor,W200,x", "jumper,Corvin,K7,r",
			`configurations.csv:5: twin-with-data model="K7": Corvin K7 / r is a twin of Aldor W200 / x and can have no configurations of its own`},
		{"twin with a preset", "PN-300,Aldor,W100,,\n", "PN-300,Corvin,K8,,\n",
			`presets.csv:2: twin-with-data model="K8": Corvin K8 is a twin of Corvin K7 / r and can have no presets of its own`},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			if !strings.Contains(whole, test.old) {
				t.Fatalf("the whole bundle does not have %q", test.old)
			}
			tx := openTx(t, db)
			defer tx.Rollback()
			stage(t, tx, strings.Replace(whole, test.old, test.new, 1))
			if got := strings.TrimSpace(findings(t, tx)); got != test.want {
				t.Errorf("got\n%s\nwant\n%s", got, test.want)
			}
		})
	}
}
