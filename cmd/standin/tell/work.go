package tell

import (
	"fmt"
	"strings"

	"standin"
)

// work says what must be done with a board before it is fitted. A setting that
// was told in full for an earlier board is told by its code alone.
func (c *counter) work(b standin.BuildAnswer, place string) {
	switch b.Work {
	case standin.Fixed:
		c.item(bodyIndent, "set", "nothing to configure")
		return
	case standin.AsPreset:
		c.item(bodyIndent, "set", "supplied set for this model, no code to enter")
		c.proof(&b)
		return
	case standin.NoWork:
		return
	case standin.Configure:
	}
	family := c.answer.Families[b.Family]
	if family == nil {
		family = &standin.Family{Name: b.Family}
	}
	by := ""
	if b.Procedure != "" {
		by = "; procedure " + b.Procedure
	}
	if len(b.Code) == 0 {
		c.item(bodyIndent, "code", "family "+family.Name+" has none; configure it"+strings.Replace(by, "; ", " by ", 1))
	} else {
		c.item(bodyIndent, "code", keys(b.Code))
	}
	setting := fmt.Sprintf("%q %q %q", b.Family, b.Code, b.Pattern)
	if earlier, ok := c.told[setting]; ok && len(b.Code) > 0 {
		c.item(bodyIndent, "", fmt.Sprintf("selector and pattern as for %s%s", earlier, by))
		return
	}
	c.told[setting] = place
	if len(b.Code) > 0 {
		c.item(bodyIndent, "", fmt.Sprintf("on the selector of family %s%s%s", family.Name, dial(family.Selector), by))
	}
	tellPattern(c.page, b.Pattern, family)
	if b.Trust != nil {
		c.item(bodyIndent, "trust", b.Trust.Text)
	}
}

// proof says what a board that is supplied already set must read back.
func (c *counter) proof(b *standin.BuildAnswer) {
	family, proof := c.answer.Families[b.Family], b.Proved()
	if family == nil || len(family.Readback) == 0 {
		return
	}
	if proof.Pattern == "" {
		c.item(bodyIndent, "proof", "what it must read back is not recorded")
		return
	}
	c.item(bodyIndent, "set to", keys(proof.Code))
	tellPattern(c.page, proof.Pattern, family)
	if b.Trust != nil {
		c.item(bodyIndent, "trust", b.Trust.Text)
	}
}

// keys are the symbols of a code, each as a key to press and well apart.
func keys(code []string) string {
	var all []string
	for _, symbol := range code {
		all = append(all, "["+nbsp+symbol+nbsp+"]"+nbsp)
	}
	return strings.Join(all, " ")
}

// dial shows a selector's symbols in dial order.
func dial(selector []string) string {
	if len(selector) == 0 {
		return ""
	}
	return " (" + strings.Join(selector, " ") + ")"
}

// tellPattern names every read-back point with what it must show, in the order
// they are read and in columns.
func tellPattern(p *page, pattern standin.Pattern, f *standin.Family) {
	if len(f.Readback) == 0 {
		return
	}
	if pattern == "" {
		p.item(bodyIndent, "pattern", "none recorded: the code cannot be proved by reading it back")
		return
	}
	p.item(bodyIndent, "pattern", columns(pointWords(string(pattern), f, "")))
}

// pointWords are "K1 lit", "D1 shows 3" and so on; unsaid is for a point that has ?.
func pointWords(shows string, f *standin.Family, unsaid string) []string {
	var all []string
	for i := range len(shows) {
		point := fmt.Sprintf("point %d", i+1)
		if i < len(f.Readback) {
			point = f.Readback[i]
		}
		word := unsaid
		if shows[i] != standin.NotRead {
			word = f.Shown(i, shows[i])
		}
		all = append(all, point+" "+word)
	}
	return all
}

// widestCell is the most that a word of a table may take of a line.
const widestCell = 24

// columns sets words below each other where they take more than a line, if they
// are short enough for that.
func columns(words []string) string {
	widest := 0
	for _, w := range words {
		widest = max(widest, width(clean(w)))
	}
	if widest > widestCell {
		return strings.Join(words, ", ")
	}
	var cells []string
	for _, w := range words {
		w = clean(w)
		cells = append(cells, bound(w+strings.Repeat(" ", widest-width(w)+1)))
	}
	return strings.Join(cells, " ")
}
