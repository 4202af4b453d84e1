package standin

import (
	"fmt"
	"slices"
	"strings"
)

// ParseCode reads a code of the family: symbols separated by spaces, or
// undelimited where every symbol of the selector is one character. The error
// (CodeBadRequest, field code) names the place and the symbols there are.
func (f *Family) ParseCode(text string) ([]string, error) {
	code := strings.Fields(text)
	if len(code) == 1 && f.CodeLength > 1 && f.oneCharacterSymbols() {
		code = strings.Split(code[0], "")
	}
	return code, f.CheckCode(code)
}

func (f *Family) oneCharacterSymbols() bool {
	return !slices.ContainsFunc(f.Selector, func(s string) bool { return len([]rune(s)) != 1 })
}

// CheckCode tells what is wrong with a code of the family, nil where nothing is.
func (f *Family) CheckCode(code []string) error {
	if len(code) != f.CodeLength {
		return badCode("the code %q has %s, a code of family %s has %d",
			strings.Join(code, " "), countOf(len(code), "symbol"), f.Name, f.CodeLength)
	}
	for i, symbol := range code {
		if !slices.Contains(f.Selector, symbol) {
			return badCode("%q at place %d of the code is not on the selector%s", symbol, i+1, inBrackets(f.Selector))
		}
	}
	return nil
}

func badCode(format string, args ...any) error {
	return &Error{Code: CodeBadRequest, Field: "code", Message: fmt.Sprintf(format, args...)}
}

// countOf is "1 point" or "3 points".
func countOf(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

// inBrackets is " (a b c)", cut short where there are many; nothing for none.
func inBrackets(names []string) string {
	const most = 24
	switch {
	case len(names) == 0:
		return ""
	case len(names) > most:
		return fmt.Sprintf(" (%s … %s)", strings.Join(names[:most-1], " "), names[len(names)-1])
	}
	return " (" + strings.Join(names, " ") + ")"
}
