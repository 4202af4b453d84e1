package standin

import (
	"fmt"
	"regexp"
)

// SerialRule reads a date of making out of a serial number.
type SerialRule struct {
	Name     string
	Pattern  string
	YearBase Maybe[int] // the year that a two-digit year is added to

	expression *regexp.Regexp
}

// NewSerialRule compiles a rule. The pattern is a regular expression (RE2) with
// named groups among y1 y2 y4 yl m ml w d; it needs a year.
func NewSerialRule(name, pattern string, yearBase Maybe[int]) (*SerialRule, error) {
	expression, err := regexp.Compile(pattern)
	if err != nil {
		return nil, fmt.Errorf("%q is not a regular expression: %w", pattern, err)
	}
	return &SerialRule{name, pattern, yearBase, expression}, nil
}
