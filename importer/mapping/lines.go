package mapping

import (
	"errors"
	"slices"
	"strings"

	"go.yaml.in/yaml/v4"

	"standin"
)

// The ways in which a column of a bundle may come by its value, as far as a person can
// choose without writing YAML.
const (
	wayColumn   = "column"
	wayConstant = "constant"
)

var errNoLines = errors.New("the mapping has no rows")

// Lines are the columns of bundle files that a mapping fills, in its order, with what is
// said of each; and the number of the row of the table with its headers, 0 where it has
// none. The mapping need not be right, but it must be YAML.
func Lines(text string) (lines []standin.MappingLine, header int, err error) {
	root, err := rootOf(text)
	if err != nil {
		return nil, 0, err
	}
	for _, n := range all(valueOf(valueOf(root, "table"), "header")) {
		header = max(header, number(n))
	}
	for _, at := range placesOf(root) {
		lines = append(lines, at.line())
	}
	if len(lines) == 0 {
		err = errNoLines
	}
	return lines, header, err
}

// Rewrite changes the values of some lines of a mapping, given by their places among
// Lines. An empty value leaves the line out, those that are the same as it, and each
// file that cannot do without it.
func Rewrite(text string, values map[int]string) (string, error) {
	root, err := rootOf(text)
	if err != nil {
		return "", err
	}
	gone := map[*yaml.Node]bool{}
	for i, at := range placesOf(root) {
		value, changed := values[i]
		chosen := at.chosen()
		switch {
		case !changed || chosen == nil:
		case value == "":
			gone[at.value] = true
		case chosen.Value != value:
			chosen.Value, chosen.Tag, chosen.Style = value, "!!str", yaml.DoubleQuotedStyle
		}
	}
	leaveOut(root, gone)
	out, err := yaml.Dump(root)
	return string(out), err
}

// leaveOut removes lines, those that are the same, and every entry that lacks a column
// it needs then. What other entries share with one that goes is said where it is first
// needed.
func leaveOut(root *yaml.Node, gone map[*yaml.Node]bool) {
	rows := valueOf(root, "rows")
	if rows == nil || len(gone) == 0 {
		return
	}
	var kept []*yaml.Node
	lost := map[*yaml.Node]bool{} // values whose entry goes
	for _, entry := range all(rows) {
		lines := placesOf(&yaml.Node{Kind: yaml.MappingNode, Content: []*yaml.Node{{Value: "rows"}, entry}})
		needed := slices.ContainsFunc(lines, func(p place) bool { return p.needed() && (gone[p.value] || gone[p.value.Alias]) })
		if !needed {
			kept = append(kept, entry)
			continue
		}
		for _, p := range lines {
			lost[p.value] = true
		}
	}
	for _, entry := range kept {
		columns := valueOf(entry, "columns")
		if columns == nil || columns.Kind != yaml.MappingNode {
			continue
		}
		var left []*yaml.Node
		for i := 0; i+1 < len(columns.Content); i += 2 {
			name, value := columns.Content[i], columns.Content[i+1]
			if gone[value] || gone[value.Alias] {
				continue
			}
			if of := value.Alias; lost[of] {
				delete(lost, of)
				value = of
			}
			left = append(left, name, value)
		}
		columns.Content = left
	}
	rows.Content = kept
}

// needed reports whether a file cannot do without the column.
func (p place) needed() bool {
	f, _ := standin.FileNamed(p.file)
	c, _ := f.Column(p.key.Value)
	return c.Required
}

func rootOf(text string) (*yaml.Node, error) {
	var document yaml.Node
	if err := yaml.Load([]byte(text), &document); err != nil {
		return nil, err
	}
	if document.Kind == yaml.DocumentNode && len(document.Content) == 1 {
		return document.Content[0], nil
	}
	return &document, nil
}

// place is where a mapping fills a column of a file.
type place struct {
	file       string
	key, value *yaml.Node
}

func placesOf(root *yaml.Node) (places []place) {
	for _, entry := range all(valueOf(root, "rows")) {
		columns := valueOf(entry, "columns")
		file := ""
		if named := valueOf(entry, "file"); named != nil {
			file = named.Value
		}
		for i := 0; columns != nil && columns.Kind == yaml.MappingNode && i+1 < len(columns.Content); i += 2 {
			places = append(places, place{file, columns.Content[i], columns.Content[i+1]})
		}
	}
	return places
}

// chosen is the node whose value a person can choose, nil where there is none.
func (p place) chosen() *yaml.Node {
	if p.value.Kind == yaml.ScalarNode {
		return p.value
	}
	for _, way := range []string{wayColumn, wayConstant} {
		if n := valueOf(p.value, way); n != nil && n.Kind == yaml.ScalarNode {
			return n
		}
	}
	return nil
}

func (p place) line() standin.MappingLine {
	line := standin.MappingLine{File: p.file, Column: p.key.Value}
	for _, n := range []*yaml.Node{p.key, p.value} {
		line.Said += strings.TrimSpace(strings.TrimPrefix(n.LineComment, "#"))
	}
	chosen := p.chosen()
	switch {
	case p.value.Kind == yaml.AliasNode:
		line.SameAs = p.value.Value
	case chosen == nil:
		line.Text = flat(p.value)
	default:
		line.Value, line.Constant = chosen.Value, valueOf(p.value, wayConstant) != nil
		line.Text = besides(p.value)
	}
	return line
}

// besides is what a value says beside its column or constant.
func besides(value *yaml.Node) string {
	rest := &yaml.Node{Kind: yaml.MappingNode}
	for i := 0; value.Kind == yaml.MappingNode && i+1 < len(value.Content); i += 2 {
		if name := value.Content[i].Value; name != wayColumn && name != wayConstant {
			rest.Content = append(rest.Content, value.Content[i:i+2]...)
		}
	}
	if len(rest.Content) == 0 {
		return ""
	}
	return flat(rest)
}

// flat is a node on one line, without its comments.
func flat(n *yaml.Node) string {
	plain := stripped(n)
	plain.Style = yaml.FlowStyle
	text, err := yaml.Dump(plain)
	if err != nil {
		return ""
	}
	return strings.Trim(strings.Join(strings.Fields(string(text)), " "), "{} ")
}

// stripped is a node without comments and anchors.
func stripped(n *yaml.Node) *yaml.Node {
	plain := &yaml.Node{Kind: n.Kind, Tag: n.Tag, Value: n.Value, Style: n.Style}
	if n.Kind == yaml.AliasNode {
		plain = &yaml.Node{Kind: yaml.ScalarNode, Value: n.Value}
	}
	for _, in := range n.Content {
		plain.Content = append(plain.Content, stripped(in))
	}
	return plain
}

// valueOf is the value of a name in a mapping, nil where it has none.
func valueOf(n *yaml.Node, name string) *yaml.Node {
	for i := 0; n != nil && n.Kind == yaml.MappingNode && i+1 < len(n.Content); i += 2 {
		if n.Content[i].Value == name {
			return n.Content[i+1]
		}
	}
	return nil
}

// all are the elements of a list, or a single one.
func all(n *yaml.Node) []*yaml.Node {
	switch {
	case n == nil:
		return nil
	case n.Kind == yaml.SequenceNode:
		return n.Content
	}
	return []*yaml.Node{n}
}

// number is what a scalar counts, 0 where it is no number.
func number(n *yaml.Node) (value int) {
	if n.Decode(&value) != nil {
		return 0
	}
	return value
}
