package importer

import (
	"slices"

	"standin"
)

// shape is what a family asks of the codes and patterns of its configurations.
type shape struct {
	selector []string            // in dial order; nil: not recorded, or faulty
	length   standin.Maybe[int]  // symbols of a code; not known: faulty
	readback standin.Maybe[int]  // read-back points; not known: faulty
	oneEach  bool                // every symbol is one character
	on       map[string]struct{} // the selector as a set
}

func newShape(selector []string, length, readback standin.Maybe[int]) *shape {
	s := &shape{selector: selector, length: length, readback: readback, on: map[string]struct{}{}}
	for _, symbol := range selector {
		s.on[symbol] = struct{}{}
	}
	s.oneEach = !slices.ContainsFunc(selector, func(symbol string) bool { return len([]rune(symbol)) != 1 })
	return s
}

// shapes are the families a bundle may refer to: those stored, and over them
// those of the bundle.
type shapes map[string]*shape

func storedShapes(families map[string]standin.Family) shapes {
	all := shapes{}
	for name, f := range families {
		all[name] = newShape(f.Selector, standin.Known(f.CodeLength), standin.Known(len(f.Readback)))
	}
	return all
}
