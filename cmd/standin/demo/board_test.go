package demo

import (
	"fmt"
	"slices"
	"strings"

	"standin"
)

// name is how a board is said: PART rev REV.
func name(c *standin.Candidate) string { return c.PartNumber + " rev " + c.Revision }

// mayDo are the boards whose verdict is not no.
func mayDo(a *standin.Answer) []string {
	var names []string
	for i := range a.Candidates {
		if a.Candidates[i].Verdict != standin.No {
			names = append(names, name(&a.Candidates[i]))
		}
	}
	return names
}

// parseName reads PART rev REV, and what stands behind it.
func parseName(text string) (board, rest string, err error) {
	words := strings.SplitN(text, " ", 4)
	if len(words) < 3 || words[1] != "rev" {
		return "", "", fmt.Errorf("%q is not an expectation; a board is said as PART rev REV", text)
	}
	if len(words) == 4 {
		rest = words[3]
	}
	return strings.Join(words[:3], " "), rest, nil
}

// parseNames reads PART rev REV, PART rev REV …
func parseNames(text, separator string) ([]string, error) {
	names := strings.Split(text, separator)
	for _, n := range names {
		if _, rest, err := parseName(n); err != nil || rest != "" {
			return nil, fmt.Errorf("%q is not a board; it is said as PART rev REV", n)
		}
	}
	return names, nil
}

// find is the place of a board among the candidates.
func find(a *standin.Answer, board string) (int, error) {
	i := slices.IndexFunc(a.Candidates, func(c standin.Candidate) bool { return name(&c) == board })
	if i < 0 {
		return i, fmt.Errorf("%s is not looked at", board)
	}
	return i, nil
}

func order(text string) (check, error) {
	names, err := parseNames(text, " before ")
	return answered(func(a *standin.Answer) error {
		last := -1
		for _, n := range names {
			at, err := find(a, n)
			if err != nil {
				return err
			}
			if at < last {
				return fmt.Errorf("%s stands before it", n)
			}
			last = at
		}
		return nil
	}), err
}

func only(rest string) (check, error) {
	names, err := parseNames(rest, ", ")
	slices.Sort(names)
	return answered(func(a *standin.Answer) error {
		return want("boards that may do", strings.Join(slices.Sorted(slices.Values(mayDo(a))), ", "), strings.Join(names, ", "))
	}), err
}

// board reads [first] PART rev REV VERDICT, CLAUSE, CLAUSE …
func board(text string) (check, error) {
	text, first := strings.CutPrefix(text, "first ")
	board, rest, err := parseName(text)
	if err != nil {
		return nil, err
	}
	clauses := strings.Split(rest, ", ")
	if !isVerdict(clauses[0]) {
		return nil, fmt.Errorf("%q is not a verdict; they are fits, check, depends and no", clauses[0])
	}
	tests, err := parseClauses(clauses[1:])
	if err != nil {
		return nil, err
	}
	return answered(func(a *standin.Answer) error {
		at, err := find(a, board)
		if err != nil {
			return err
		}
		if first && at > 0 {
			return fmt.Errorf("the first is %s", name(&a.Candidates[0]))
		}
		c := &a.Candidates[at]
		if err := want("verdict", c.Verdict.String(), clauses[0]); err != nil {
			return fmt.Errorf("%w: %s", err, judged(c.Builds))
		}
		for _, holds := range tests {
			if err := holds(c); err != nil {
				return err
			}
		}
		return nil
	}), nil
}

func isVerdict(word string) bool {
	return slices.Contains([]string{"fits", "check", "depends", "no"}, word)
}
