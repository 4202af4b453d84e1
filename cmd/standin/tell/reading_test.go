package tell

import (
	"context"
	"fmt"
	"strings"

	"standin"
)

// mapped is a family of three places, of whose points two show the first place,
// one the second and the third together, one always the same and one nothing
// that is known. One row is misprinted, of one code no pattern is recorded, and
// one code is not the family's.
func mapped(selector []string) standin.FamilyRecord {
	f := standin.FamilyRecord{Family: standin.Family{
		Name: "QX", Title: "Wash control with a dial", CodeLength: 3, Selector: selector, Readback: strings.Fields("K1 K2 door salt eco"),
	}}
	add := func(code []string, pattern standin.Pattern) {
		f.Configurations = append(f.Configurations, standin.Configuration{
			Family: "QX", Code: code, Pattern: pattern, Model: standin.ModelKey{Brand: "Corvane", Model: fmt.Sprintf("DW %d", 600+len(f.Configurations))},
		})
	}
	for n := range 60 {
		i, j, k := n%4, n/4%3, n/12%3
		pattern := fmt.Sprintf("%d%d%d1", i/2, i%2, (j*k+j)%2)
		if n == 7 {
			pattern = fmt.Sprintf("%d%d%d1", 1-i/2, i%2, (j*k+j)%2)
		}
		add([]string{selector[i], selector[j], selector[k]}, standin.Pattern(pattern+string("01f"[(i+j+k)%3])))
	}
	add([]string{selector[3], selector[3], selector[3]}, "")
	add([]string{"Z", selector[0], selector[0]}, "10111")
	return f
}

func sampleMapped() *standin.PreparedFamily {
	return standin.PrepareFamily(mapped(strings.Fields("A B C D E F G H")), 1)
}

// sampleLongDial has more symbols than go into a line.
func sampleLongDial() *standin.PreparedFamily {
	var selector []string
	for n := range 24 {
		selector = append(selector, fmt.Sprintf("P%02d", n+1))
	}
	return standin.PrepareFamily(mapped(selector), 1)
}

// oneFamily is a catalogue of the sample family.
type oneFamily struct{ standin.Catalogue }

func (oneFamily) PreparedFamily(context.Context, string) (*standin.PreparedFamily, error) {
	return sampleMapped(), nil
}

func readingCases() map[string]string {
	verified := func(code, reading string) string {
		v, err := standin.VerifyReading(context.Background(), oneFamily{}, standin.ReadingAsked{Family: "QX", Code: code, Reading: reading})
		if err != nil {
			return err.Error()
		}
		return Verified(v)
	}
	identified := func(reading string) string {
		i, err := standin.IdentifyReading(context.Background(), oneFamily{}, standin.IdentifyAsked{Family: "QX", Reading: reading, Limit: 3})
		if err != nil {
			return err.Error()
		}
		return Identification(i)
	}
	return map[string]string{
		"verified-tallies":    verified("CAA", "1001f"),
		"verified-slip":       verified("CAA", "11010"),
		"verified-far":        verified("CAA", "011f1"),
		"verified-incomplete": verified("CAA", "1??1f"),
		"verified-predicted":  verified("DDD", "11?1?"),
		"identified":          identified("100??"),
		"identified-near":     identified("1000?"),
	}
}
