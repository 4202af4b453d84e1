package bundle

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// several is a bundle with every column about positions, plates, measurements
// and ways of being read back, in the form in which it is exported.
const several = `-- families.csv --
family,title,method,reversible,selector,code_length,readback,alphabet,panel,procedure,note
slide,,switches,yes,on off,2,H M,digit red-green,M / H,,
-- boards.csv --
part_number,family,position,title,gtin
PN-500,,display,Display,
PN-510,slide,,Control,
-- models.csv --
brand,model,variant,kind,made_from,made_to,volts,hertz,class,serial_rule
Aldor,W500,,washer,,,110-120/220-240,50/60,II,
-- builds.csv --
brand,model,variant,position,build,made_from,made_to,run_out_days,serial_from,serial_to,part_number,revision,layout,needs,source
Aldor,W500,,,b1,2001-01-01,,,,,PN-510,,,none,
Aldor,W500,,,b2,2003-01-01,2003-12-31,,,,PN-510,,,none,
Aldor,W500,,display,b1,2002-01-01,2009-12-31,,,,PN-500,,,none,
-- loads.csv --
brand,model,variant,position,build,circuit,watts,volts,element,amps,power_factor,ohms_low,ohms_high,at_celsius
Aldor,W500,,,,motor,300,,motor,,0.6,12,14.5,20
Aldor,W500,,display,b1,lamp,,,,0.2,,,,
-- configurations.csv --
family,brand,model,variant,build,issue_from,issue_to,code,pattern,source
slide,Aldor,W500,,b1,,,on off,7r,
`

func TestSeveralBoards(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	put(t, db, whole)
	before := contents(t, db)
	made := put(t, db, several)
	if diff := cmp.Diff(sorted(t, whole+several), contents(t, db)); diff != "" {
		t.Errorf("stored (+) differs (-):\n%s", diff)
	}
	if again := put(t, db, several); again.ID != 0 {
		t.Errorf("imported again it changes something: %+v", again)
	}
	var held string
	if err := db.pool.QueryRow(t.Context(), `SELECT string_agg(b.position || ' ' || b.build || ' ' || b.made, '; ' ORDER BY b.position, b.build)
		FROM builds b JOIN models m ON m.id = b.model_id WHERE m.model = 'W500'`).Scan(&held); err != nil {
		t.Fatal(err)
	}
	if want := " b1 [2001-01-01,2003-01-01);  b2 [2003-01-01,2004-01-01); display b1 [2002-01-01,2010-01-01)"; held != want {
		t.Errorf("spans %s, want %s", held, want)
	}
	tx := openTx(t, db)
	stage(t, tx, several)
	if found, n, err := tx.Warnings(t.Context(), 10); err != nil || n > 0 {
		t.Errorf("%v %+v", err, found)
	}
	tx.Rollback()
	undo(t, db, made.ID)
	if diff := cmp.Diff(before, contents(t, db)); diff != "" {
		t.Errorf("undone (+) differs from before (-):\n%s", diff)
	}
}

// A bundle of several boards with one thing broken.
func TestCheckOfSeveralBoards(t *testing.T) {
	t.Parallel()
	db := openEmpty(t)
	put(t, db, several)
	for _, test := range []struct{ name, bundle, want string }{
		{"builds of one position overlap", "-- builds.csv --\nbrand,model,variant,position,build,made_from\nAldor,W500,,display,b3,2009-06-01\n",
			`builds.csv:2: overlap made_from="2009-06-01": build b3 overlaps build b1 (the catalogue), which is made 2002-01-01 to 2009-12-31`},
		{"builds of two do not", "-- builds.csv --\nbrand,model,variant,position,build,made_from\nAldor,W500,,motor,b3,2009-06-01\n", ""},
		{"a load of a build of another position", "-- loads.csv --\nbrand,model,variant,position,build,circuit\nAldor,W500,,display,b2,lamp\n",
			`loads.csv:2: unknown-reference build="b2": there is no build b2 of the display of model Aldor W500 in builds.csv nor in the catalogue`},
		{"a configuration of a build by its label", "-- configurations.csv --\nfamily,brand,model,variant,build,code\nslide,Aldor,W500,,b2,on on\n", ""},
		{"points that show something else", "-- families.csv --\nfamily,method,reversible,selector,code_length,readback,alphabet\nslide,switches,yes,on off,2,H M,lamp\n",
			`families.csv:2: bad-value alphabet="lamp": the configuration of family slide for Aldor W500 in the catalogue has a pattern with a character that is not on this alphabet`},
		{"points that show more", "-- families.csv --\nfamily,method,reversible,selector,code_length,readback,alphabet\nslide,switches,yes,on off,2,H M,sign red-amber\n", ""},
	} {
		tx := openTx(t, db)
		stage(t, tx, test.bundle)
		if got := strings.TrimSpace(findings(t, tx)); got != test.want {
			t.Errorf("%s: got\n%s\nwant\n%s", test.name, got, test.want)
		}
		tx.Rollback()
	}
}

// A configuration names a build by its label, and keeps naming it while builds of
// that label come and go in any position.
func TestLabelOfSeveralPositions(t *testing.T) {
	t.Parallel()
	const header = "-- builds.csv --\nbrand,model,variant,position,build\n"
	db := openEmpty(t)
	put(t, db, `-- families.csv --
family,code_length
jumper,0
-- models.csv --
brand,model
Aldor,W500
`)
	motor := put(t, db, header+"Aldor,W500,,motor,b1\n")
	const configured = "-- configurations.csv --\nfamily,brand,model,variant,build\njumper,Aldor,W500,,b1\n"
	put(t, db, configured)
	for _, first := range []string{"", "display"} {
		made := put(t, db, header+"Aldor,W500,,"+first+",b1\n")
		if again := put(t, db, configured); again.ID != 0 {
			t.Errorf("with %q the same configuration changes something: %+v", first, again)
		}
		changed := put(t, db, strings.Replace(configured, "build\njumper,Aldor,W500,,b1", "build,source\njumper,Aldor,W500,,b1,chart", 1))
		if changed.Changed != 1 || changed.Added != 0 {
			t.Errorf("with %q a source is not added to it: %+v", first, changed)
		}
		undo(t, db, changed.ID)
		undo(t, db, made.ID)
	}
	put(t, db, header+"Aldor,W500,,,b1\n")
	undo(t, db, motor.ID)
	if got := contents(t, db); !strings.Contains(got, "jumper,Aldor,W500,,b1,") || strings.Contains(got, "motor") {
		t.Errorf("stored is\n%s", got)
	}
}
