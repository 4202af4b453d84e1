package page_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"golang.org/x/net/html"
)

// document is a page that was parsed.
type document struct {
	t    testing.TB
	root *html.Node
}

func parse(t testing.TB, text string) *document {
	t.Helper()
	root, err := html.Parse(strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	return &document{t, root}
}

// all are the elements that a selector finds, in order. A selector is steps with
// spaces between them (inside), each a tag, #id, .class, [name] or [name=value],
// or several of these at once.
func (d *document) all(selector string) []*html.Node {
	d.t.Helper()
	found := []*html.Node{d.root}
	for step := range strings.FieldsSeq(selector) {
		wanted, err := parseStep(step)
		if err != nil {
			d.t.Fatal(err)
		}
		var inside []*html.Node
		for _, n := range found {
			for below := range n.Descendants() {
				if wanted(below) && !slices.Contains(inside, below) {
					inside = append(inside, below)
				}
			}
		}
		found = inside
	}
	return found
}

// one is the element that a selector finds; more or none fail the test.
func (d *document) one(selector string) *html.Node {
	d.t.Helper()
	found := d.all(selector)
	if len(found) != 1 {
		d.t.Fatalf("%s finds %d elements, want 1", selector, len(found))
	}
	return found[0]
}

// text is the text of the one element that a selector finds, its spaces made single.
func (d *document) text(selector string) string {
	d.t.Helper()
	return textOf(d.one(selector))
}

// texts are the texts of the elements that a selector finds.
func (d *document) texts(selector string) []string {
	d.t.Helper()
	var all []string
	for _, n := range d.all(selector) {
		all = append(all, textOf(n))
	}
	return all
}

func textOf(n *html.Node) string {
	var b strings.Builder
	for below := range n.Descendants() {
		if below.Type == html.TextNode {
			b.WriteString(below.Data + " ")
		}
	}
	return strings.Join(strings.Fields(b.String()), " ")
}

// attribute is the value of an attribute, and whether there is one.
func attribute(n *html.Node, name string) (string, bool) {
	for _, a := range n.Attr {
		if a.Key == name {
			return a.Val, true
		}
	}
	return "", false
}

func valueOf(n *html.Node, name string) string {
	value, _ := attribute(n, name)
	return value
}

// parseStep is whether an element is what one step of a selector asks for.
func parseStep(step string) (func(*html.Node) bool, error) {
	var tests []func(*html.Node) bool
	rest := step
	for rest != "" {
		end := strings.IndexAny(rest[1:], "#.[") + 1
		if rest[0] == '[' {
			end = strings.IndexByte(rest, ']') + 1
		}
		if end == 0 {
			end = len(rest)
		}
		part := rest[:end]
		rest = rest[end:]
		switch part[0] {
		case '#':
			tests = append(tests, func(n *html.Node) bool { return valueOf(n, "id") == part[1:] })
		case '.':
			tests = append(tests, func(n *html.Node) bool { return slices.Contains(strings.Fields(valueOf(n, "class")), part[1:]) })
		case '[':
			if part[len(part)-1] != ']' {
				return nil, fmt.Errorf("the selector %q has no ]", step)
			}
			name, want, valued := strings.Cut(part[1:len(part)-1], "=")
			tests = append(tests, func(n *html.Node) bool {
				got, ok := attribute(n, name)
				return ok && (!valued || got == want)
			})
		default:
			tests = append(tests, func(n *html.Node) bool { return n.Data == part })
		}
	}
	return func(n *html.Node) bool {
		return n.Type == html.ElementNode && !slices.ContainsFunc(tests, func(test func(*html.Node) bool) bool { return !test(n) })
	}, nil
}

func TestSelect(t *testing.T) {
	t.Parallel()
	d := parse(t, `<div id=a class="x y"><p class=x>one</p><p title=t>two <b>2</b></p></div><p>three</p>`)
	for selector, want := range map[string]string{
		"p": "one|two 2|three", "#a p": "one|two 2", ".x": "one two 2|one", ".x .x": "one", "p[title]": "two 2",
		"[title=t] b": "2", "div.x.y p.x": "one", "p[title=u]": "", "#a #a": "",
	} {
		if got := strings.Join(d.texts(selector), "|"); got != want {
			t.Errorf("%s finds %q, want %q", selector, got, want)
		}
	}
}
