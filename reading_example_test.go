package standin_test

import (
	"fmt"
	"strings"

	"standin"
)

// The way of a reading: the family's recorded configurations make a Table; what
// was typed becomes a code and a Reading; Verify says whether it tallies, and
// where it does not, Diagnose says why, by what the code map learnt.
func ExampleTable() {
	family := &standin.Family{Name: "Grebe", Selector: strings.Fields("A B C D"), CodeLength: 2,
		Readback: strings.Fields("K1 K2 K3 K4")}
	var recorded []standin.Configuration
	for i, first := range family.Selector {
		for j, second := range family.Selector {
			recorded = append(recorded, standin.Configuration{Family: family.Name,
				Model: standin.ModelKey{Brand: "Ouse", Model: "W" + first + second},
				Code:  []string{first, second}, Pattern: standin.Pattern(fmt.Sprintf("%02b%02b", i, j))})
		}
	}
	table := standin.NewTable(family, recorded)

	code, err := family.ParseCode("CA")
	if err != nil {
		fmt.Println(err)
		return
	}
	reading, err := family.ParseReading("K1=lit K2=lit K3=off")
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(table.Verify(code, "1000", reading).Text)

	codeMap := table.CodeMap()
	stories, err := table.Diagnose(codeMap, code, "1000", reading, 2)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, story := range stories {
		fmt.Printf("%d. %s\n", story.Rank, story.Text)
	}
	fmt.Println(table.Trust(code, "1000").Text)
	fmt.Printf("%s shows %s\n", codeMap.Points[0].Point, codeMap.Points[0].Text())
	// Output:
	// The reading does not tally: K2 is lit and must be unlit. Still to read: K4.
	// 1. place 1: D was probably entered, C was meant; that is the code for Ouse WDA.
	// 2. the code is right and K2 probably misread.
	// One misread point can hide a wrong code.
	// K1 shows place 1
}
