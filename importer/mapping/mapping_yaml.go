package mapping

import (
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v4"

	"standin"
	"standin/importer/table"
)

// Limits of a mapping file. One for a hundred columns has a tenth of them.
const (
	MostBytes = 1 << 20 // bytes
	mostNodes = 50_000  // values; those that aliases repeat count each time
)

// yamlReader reads a mapping file strictly: it reports what it does not know, with its
// line, and reads on.
type yamlReader struct {
	name  string
	out   *table.Findings
	said  map[standin.Finding]bool // a fault that several aliases lead to is reported once
	nodes int
}

// fault reports something at its line.
func (r *yamlReader) fault(n *yaml.Node, format string, args ...any) {
	r.add(n, &table.Fault{Code: BadMapping, Message: fmt.Sprintf(format, args...)})
}

func (r *yamlReader) add(n *yaml.Node, f *table.Fault) {
	x := f.At(r.name, n.Line, "", n.Value)
	if !r.said[x] && len(r.said) < table.MostFindings {
		r.said[x] = true
		r.out.Add(x)
	}
}

// root returns the one document of the file, nil where there is none.
func (r *yamlReader) root(text []byte) *yaml.Node {
	if len(text) > MostBytes {
		r.fault(&yaml.Node{}, "the mapping is larger than %d KiB; probably it is another file", MostBytes>>10)
		return nil
	}
	if saysNothing(string(text)) {
		r.fault(&yaml.Node{}, "the mapping is empty; write rows:, and under it %s", rowsForm)
		return nil
	}
	var document yaml.Node
	if err := yaml.Load(text, &document); err != nil {
		line, message := yamlError(err)
		r.fault(&yaml.Node{Line: line}, "the mapping is no YAML: %s", message)
		return nil
	}
	if document.Kind == yaml.DocumentNode && len(document.Content) == 1 {
		return document.Content[0]
	}
	return &document
}

// saysNothing reports whether a file has comments at most.
func saysNothing(text string) bool {
	for line := range strings.Lines(text) {
		if line = table.Trim(line); line != "" && !strings.HasPrefix(line, "#") {
			return false
		}
	}
	return true
}

var yamlLine = regexp.MustCompile(`^.*? at L(\d+)\.C\d+: `)

// yamlError returns the error of the parser as one line, and its line number.
func yamlError(err error) (line int, message string) {
	message, _, _ = strings.Cut(strings.TrimPrefix(err.Error(), "yaml: "), "\n")
	if m := yamlLine.FindStringSubmatch(message); m != nil {
		line, _ = strconv.Atoi(m[1])
		message = message[len(m[0]):]
	}
	return line, table.Cut(message, table.ShownAsValue)
}

// follow returns the node that an alias stands for. It counts nodes, so that aliases
// of aliases come to an end.
func (r *yamlReader) follow(n *yaml.Node) *yaml.Node {
	r.nodes++
	if r.nodes == mostNodes {
		r.fault(n, "the mapping has more than %d values; say less with aliases", mostNodes)
	}
	if n.Kind == yaml.AliasNode && n.Alias != nil {
		return n.Alias
	}
	return n
}

// blank reports whether nothing is written where a value is expected.
func (r *yamlReader) blank(n *yaml.Node) bool {
	n = r.follow(n)
	return n.Kind == yaml.ScalarNode && (n.Value == "" || n.Tag == "!!null") || n.Kind != yaml.ScalarNode && len(n.Content) == 0
}

// each calls the function for each key of a mapping node and reports unknown keys.
func (r *yamlReader) each(n *yaml.Node, what string, known map[string]func(*yaml.Node)) {
	n = r.follow(n)
	if n.Kind != yaml.MappingNode {
		r.fault(n, "%s is written as keys with values: %s", what, table.List(slices.Sorted(maps.Keys(known))))
		return
	}
	seen := map[string]bool{}
	for i := 0; i+1 < len(n.Content) && r.nodes < mostNodes; i += 2 {
		key, value := n.Content[i], n.Content[i+1]
		read, ok := known[key.Value]
		switch {
		case !ok:
			r.unknown(key, what, slices.Sorted(maps.Keys(known)))
		case seen[key.Value]:
			r.fault(key, "%s has %s twice; leave one out", what, table.Quoted(key.Value))
		default:
			read(value)
		}
		seen[key.Value] = true
	}
}

func (r *yamlReader) unknown(key *yaml.Node, what string, known []string) {
	f := &table.Fault{Code: BadMapping, Message: fmt.Sprintf("%s has no %s; it has %s", what, table.Quoted(key.Value), table.List(known))}
	r.add(key, f.Correct(standin.NearestName(key.Value, known)))
}

// text returns a single value, as it is written.
func (r *yamlReader) text(n *yaml.Node) string {
	n = r.follow(n)
	if n.Kind != yaml.ScalarNode {
		r.fault(n, "one value is expected here, not several")
		return ""
	}
	if f := table.Plain(n.Value); f != nil {
		r.fault(n, "%s", f.Message)
		return ""
	}
	return n.Value
}

// texts returns one value or a list of them.
func (r *yamlReader) texts(n *yaml.Node) []string {
	var all []string
	for _, item := range r.items(n) {
		all = append(all, r.text(item))
	}
	return all
}

// items returns the nodes of a list, or the one node.
func (r *yamlReader) items(n *yaml.Node) []*yaml.Node {
	n = r.follow(n)
	if n.Kind != yaml.SequenceNode {
		return []*yaml.Node{n}
	}
	if len(n.Content) == 0 {
		r.fault(n, "the list is empty; leave it out")
	}
	return n.Content[:min(len(n.Content), max(0, mostNodes-r.nodes))]
}

func (r *yamlReader) truth(n *yaml.Node) bool {
	switch text := strings.ToLower(r.text(n)); text {
	case "true", "false":
		return text == "true"
	}
	r.fault(n, "write true or false")
	return false
}

// oneOf returns a value that must be one of a few words.
func (r *yamlReader) oneOf(n *yaml.Node, words ...string) string {
	text := r.text(n)
	if !slices.Contains(words, text) {
		r.fault(n, "%s is not one of %s", table.Quoted(text), table.List(words))
		return ""
	}
	return text
}

// spans returns rows by their numbers: 4, 7-9.
func (r *yamlReader) spans(n *yaml.Node) table.Spans {
	var all table.Spans
	for _, item := range r.items(n) {
		text := r.text(item)
		s, err := table.ParseSpan(text)
		if err != nil {
			r.fault(item, "%s is no row; write numbers from 1, or spans such as 7-9", table.Quoted(text))
			continue
		}
		all = append(all, s)
	}
	return all
}
