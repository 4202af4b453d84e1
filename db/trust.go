package db

import (
	"strconv"
	"strings"

	"github.com/jackc/pgx/v5/pgtype"

	"standin"
)

// keptTrust is the trust in a pattern as configurationsSQL selects it.
type keptTrust struct {
	unrecorded      pgtype.Int4 // NULL: no trust is stored
	distance        pgtype.Int4
	count           int
	codes, patterns []string
	models          []string // by nearest setting: brand, model and variant of its first models, then how many it has
}

func (k *keptTrust) columns() []any {
	return []any{&k.unrecorded, &k.distance, &k.count, &k.codes, &k.patterns, &k.models}
}

// trust returns nil where none is stored or what is stored cannot be read: it is
// then worked out from the family.
func (k *keptTrust) trust(pattern standin.Pattern) *standin.Trust {
	if !k.unrecorded.Valid || len(k.models) != len(k.codes) {
		return nil
	}
	t := standin.Trust{Distance: maybeInt(k.distance), NearestCount: k.count, Unrecorded: int(k.unrecorded.Int32)}
	for i, code := range k.codes {
		n, ok := neighbour(code, k.patterns[i], k.models[i])
		if !ok {
			return nil
		}
		t.Nearest = append(t.Nearest, n)
	}
	t = standin.NewTrust(pattern, t)
	return &t
}

// neighbour returns a near setting from its models as one text. It reports false for
// a text that cannot be read, as where a name contains the separator.
func neighbour(code, pattern, models string) (standin.Neighbour, bool) {
	n := standin.Neighbour{Code: symbolsOf(code), Pattern: standin.Pattern(pattern)}
	names := strings.Split(models, "\x1f")
	last := len(names) - 1
	count, err := strconv.Atoi(names[last])
	if err != nil || last != 3*min(count, standin.ModelsOfNearest) {
		return n, false
	}
	n.ModelCount = count
	n.Models = make([]standin.ModelKey, last/3)
	for i := range n.Models {
		n.Models[i] = standin.ModelKey{Brand: names[3*i], Model: names[3*i+1], Variant: names[3*i+2]}
	}
	return n, true
}

// symbolsOf returns the symbols of a code, which are separated by spaces.
func symbolsOf(code string) []string {
	if code == "" {
		return nil
	}
	return strings.Split(code, " ")
}
