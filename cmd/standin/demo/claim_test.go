package demo

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"standin"
)

// claim is one line of an expectation. holds is what is wrong with an answer,
// nil where nothing is.
type claim struct {
	where, text string
	holds       check
}

type check func(standin.Result) error

// answered turns a check of an answer into one of a result: no answer is wrong.
func answered(holds func(*standin.Answer) error) check {
	return func(r standin.Result) error {
		if r.Answer == nil {
			return fmt.Errorf("not answered: %w", r.Err)
		}
		return holds(r.Answer)
	}
}

// want says what differs, nil where nothing does.
func want[T comparable](what string, got, want T) error {
	if got == want {
		return nil
	}
	return fmt.Errorf("%s: got %v", what, got)
}

// parseClaim reads what stands behind "expect:".
func parseClaim(text string) (check, error) {
	if _, _, ok := strings.Cut(text, " before "); ok {
		return order(text)
	}
	for _, form := range forms {
		if rest, ok := strings.CutPrefix(text+" ", form.begins+" "); ok {
			return form.parse(strings.TrimSpace(rest))
		}
	}
	return board(text)
}

// forms are the claims that begin with a word of their own; all others are
// about a board.
var forms = []struct {
	begins string
	parse  func(rest string) (check, error)
}{
	{"builds", buildsLeft},
	{"twin of", twinOf},
	{"contradiction", contradiction},
	{"hint", hint},
	{"not used", notUsed},
	{"unknown model", unknownModel},
	{"nearest", nearest},
	{"no question", noQuestion},
	{"question", question},
	{"asks", asks},
	{"never asks", neverAsks},
	{"choice", choice},
	{"only", only},
	{"nothing fits", nothingFits},
	{"never", never},
	{"before fitting", beforeFitting},
}

func buildsLeft(rest string) (check, error) {
	if rest == "" {
		return nil, fmt.Errorf("builds of which labels? - for a model without builds")
	}
	return answered(func(a *standin.Answer) error {
		var labels []string
		for _, b := range a.Builds {
			labels = append(labels, orDash(b.Label))
		}
		return want("builds", strings.Join(labels, " "), rest)
	}), nil
}

func orDash(label string) string {
	if label == "" {
		return "-"
	}
	return label
}

func twinOf(rest string) (check, error) {
	key, err := parseKey(rest)
	return answered(func(a *standin.Answer) error {
		if a.TwinOf == nil {
			return fmt.Errorf("not answered as a twin")
		}
		return want("twin of", *a.TwinOf, key)
	}), err
}

// kinds reads kinds of evidence.
func kinds(text string, accepted ...string) error {
	for _, k := range strings.Fields(text) {
		if !slices.Contains(accepted, k) {
			return fmt.Errorf("%q is not among %s", k, strings.Join(accepted, ", "))
		}
	}
	if text == "" {
		return fmt.Errorf("which? one of %s", strings.Join(accepted, ", "))
	}
	return nil
}

func contradiction(rest string) (check, error) {
	return answered(func(a *standin.Answer) error {
		if a.Contradiction == nil {
			return fmt.Errorf("no contradiction")
		}
		return want("contradiction", strings.Join(a.Contradiction.Evidence, " "), rest)
	}), kinds(rest, standin.EvidenceMade, standin.EvidenceSerial, standin.EvidencePlug, standin.EvidenceOldPart, standin.EvidencePosition)
}

// hint reads a word that what would resolve a contradiction is said with.
func hint(rest string) (check, error) {
	if rest == "" {
		return nil, fmt.Errorf("write: hint WORD")
	}
	return answered(func(a *standin.Answer) error {
		if a.Contradiction == nil || !strings.Contains(a.Contradiction.Hint, rest) {
			return fmt.Errorf("contradiction: got %+v", a.Contradiction)
		}
		return nil
	}), nil
}

func notUsed(rest string) (check, error) {
	return answered(func(a *standin.Answer) error {
		var unused []string
		for _, n := range a.NotUsed {
			unused = append(unused, n.Evidence)
		}
		return want("not used", strings.Join(unused, " "), rest)
	}), kinds(rest, standin.EvidenceSerial, standin.EvidenceOldPart)
}

func unknownModel(rest string) (check, error) {
	return func(r standin.Result) error {
		if r.Answer != nil {
			return fmt.Errorf("answered as %s", r.Answer.Model.ModelKey)
		}
		return want("error", r.Err.Code, standin.CodeUnknownModel)
	}, bare(rest)
}

// bare refuses words behind a claim that has none.
func bare(rest string) error {
	if rest != "" {
		return fmt.Errorf("%q says nothing here", rest)
	}
	return nil
}

func nearest(rest string) (check, error) {
	key, err := parseKey(rest)
	return func(r standin.Result) error {
		if r.Err == nil {
			return fmt.Errorf("the model was found")
		}
		if slices.ContainsFunc(r.Err.Nearest, func(m standin.ModelMatch) bool { return m.ModelKey == key }) {
			return nil
		}
		return fmt.Errorf("nearest: got %v", r.Err.Nearest)
	}, err
}

func noQuestion(rest string) (check, error) {
	return answered(func(a *standin.Answer) error { return want("questions", len(a.Questions), 0) }), bare(rest)
}

func askable(kind string) error {
	return kinds(kind, standin.EvidencePosition, standin.EvidencePlug, standin.EvidenceOldPart, standin.EvidenceMade)
}

func asksFor(a *standin.Answer, kind string) bool {
	return slices.ContainsFunc(a.Questions, func(q standin.Question) bool { return q.Kind == kind })
}

func question(rest string) (check, error) {
	return answered(func(a *standin.Answer) error {
		if len(a.Questions) == 0 {
			return fmt.Errorf("no question is asked")
		}
		return want("first question", a.Questions[0].Kind, rest)
	}), askable(rest)
}

func asks(rest string) (check, error) {
	return answered(func(a *standin.Answer) error { return want("asks "+rest, asksFor(a, rest), true) }), askable(rest)
}

func neverAsks(rest string) (check, error) {
	return answered(func(a *standin.Answer) error { return want("asks "+rest, asksFor(a, rest), false) }), askable(rest)
}

func choice(rest string) (check, error) {
	answer, left, ok := strings.Cut(rest, " leaves ")
	if !ok {
		return nil, fmt.Errorf("write: choice ANSWER leaves BUILDS")
	}
	return answered(func(a *standin.Answer) error {
		for _, q := range a.Questions {
			for _, c := range q.Choices {
				if c.Answer == answer && strings.Join(c.Builds, " ") == left {
					return nil
				}
			}
		}
		return fmt.Errorf("questions: got %v", a.Questions)
	}), nil
}

func nothingFits(rest string) (check, error) {
	return answered(func(a *standin.Answer) error { return want("boards that may do", strings.Join(mayDo(a), ", "), "") }), bare(rest)
}

func never(rest string) (check, error) {
	if len(strings.Fields(rest)) != 1 {
		return nil, fmt.Errorf("write: never PART")
	}
	return answered(func(a *standin.Answer) error {
		looked := slices.ContainsFunc(a.Candidates, func(c standin.Candidate) bool { return c.PartNumber == rest })
		return want("looked at", looked, false)
	}), nil
}

// beforeFitting reads CIRCUIT LOW to HIGH ohms, or CIRCUIT AMPS amps.
func beforeFitting(rest string) (check, error) {
	words := strings.Fields(rest)
	switch {
	case len(words) == 5 && words[2] == "to" && words[4] == "ohms":
	case len(words) == 3 && words[2] == "amps":
	default:
		return nil, fmt.Errorf("write: before fitting CIRCUIT LOW to HIGH ohms, or CIRCUIT AMPS amps")
	}
	return answered(func(a *standin.Answer) error {
		for _, p := range a.BeforeFitting {
			if p.Circuit == words[0] && measured(p, words) {
				return nil
			}
		}
		return fmt.Errorf("before fitting: got %+v", a.BeforeFitting)
	}), nil
}

func measured(p standin.Precheck, words []string) bool {
	if words[len(words)-1] == "amps" {
		return rounds(p.Amps, words[1])
	}
	return rounds(p.OhmsLow, words[1]) && rounds(p.OhmsHigh, words[3])
}

// rounds reports whether a value is the written one to as many decimals.
func rounds(value standin.Maybe[float64], written string) bool {
	_, decimals, _ := strings.Cut(written, ".")
	return value.Known && strconv.FormatFloat(value.V, 'f', len(decimals), 64) == written
}
