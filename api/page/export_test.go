package page

import (
	"bytes"

	"standin"
)

// RenderFits renders the answer page, for the benchmark.
func (p *Pages) RenderFits(b *bytes.Buffer, a *standin.Answer, all bool) error {
	return render(b, "fits", "layout", p.fitsPage(a, all))
}
