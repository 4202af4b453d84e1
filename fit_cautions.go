package standin

import "strings"

// cautions are given with every answer; some are for kinds of appliance.
func cautions(kind string) []string {
	all := []string{
		"Isolate the machine from the supply and prove it dead before opening it; capacitors may hold a charge.",
		"Work on mains equipment is for competent, licensed people; local rules and the maker's data come first.",
		"Handle a board by its edges and with electrostatic precautions.",
		"Photograph or label every plug before it is pulled; a plug on the wrong header can destroy the board.",
		"A board seldom fails by itself: find the short or the overload that took it along before fitting the next.",
	}
	for _, c := range cautionsOfKinds {
		for _, word := range c.kinds {
			if strings.Contains(strings.ToLower(kind), word) {
				all = append(all, c.text)
				break
			}
		}
	}
	return append(all, "Refit every seal, strain relief and earth connection before the machine is closed: they are part of its safety.")
}

// cautionsOfKinds are cautions for kinds of appliance, by words in the names of the
// kinds. That such appliances may have what is cautioned against is common
// practice.
var cautionsOfKinds = []struct {
	kinds []string
	text  string
}{
	{[]string{"fridge", "refrigerat", "freezer", "cool", "heat pump", "heat-pump", "dryer", "air condition", "ice"},
		"It may hold a flammable refrigerant: look at its label, ventilate, and keep sparks and flames away before it is opened or powered."},
	{[]string{"washing", "washer", "dryer", "dishwasher", "fridge", "refrigerat", "freezer", "air condition", "heat pump", "heat-pump", "hob", "induction", "microwave"},
		"An inverter or an induction or microwave stage keeps a dangerous voltage on its capacitors after isolation: wait as its label says, then measure before touching."},
	{[]string{"gas", "boiler"},
		"Gas parts and their controls are for people licensed for gas; test for leaks after the work."},
}
