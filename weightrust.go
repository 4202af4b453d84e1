package standin

import (
	"context"
	"strings"
)

// trusts are how far patterns can be trusted, each worked out once for however
// many machines.
type trusts struct {
	catalogue Catalogue
	families  map[string]*PreparedFamily // nil: it has gone meanwhile
	known     map[[3]string]*Trust       // by family, code and pattern
}

// weighTrust sets how far the patterns in the answers can be trusted, where the
// store does not keep it.
func weighTrust(ctx context.Context, c Catalogue, results []Result) error {
	t := &trusts{c, map[string]*PreparedFamily{}, map[[3]string]*Trust{}}
	for _, r := range results {
		if r.Answer == nil {
			continue
		}
		for i := range r.Answer.Candidates {
			builds := r.Answer.Candidates[i].Builds
			for j := range builds {
				if builds[j].Work != Configure || builds[j].Pattern == "" || builds[j].Trust != nil {
					continue
				}
				if err := t.weigh(ctx, &builds[j]); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

func (t *trusts) weigh(ctx context.Context, b *BuildAnswer) error {
	key := [3]string{b.Family, strings.Join(b.Code, " "), string(b.Pattern)}
	if trust, known := t.known[key]; known {
		b.Trust = trust
		return nil
	}
	f, err := t.family(ctx, b.Family)
	if err != nil {
		return err
	}
	if f != nil {
		trust := f.Table.Trust(b.Code, b.Pattern)
		b.Trust = &trust
	}
	t.known[key] = b.Trust
	return nil
}

func (t *trusts) family(ctx context.Context, name string) (*PreparedFamily, error) {
	if f, known := t.families[name]; known {
		return f, nil
	}
	f, err := t.catalogue.PreparedFamily(ctx, name)
	if err != nil && CodeOf(err) != CodeNotFound {
		return nil, err
	}
	t.families[name] = f
	return f, nil
}
