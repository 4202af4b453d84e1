package api

import (
	"encoding/json"
	"fmt"
	"html/template"
	"net/http"
	"net/url"
	"regexp"
	"strings"

	"github.com/getkin/kin-openapi/openapi3"

	"standin"
	pages "standin/api/page"
)

// typeOf says how a value is written: by the name of its shape, else by its kind and
// its limits.
func typeOf(ref *openapi3.SchemaRef) pages.Type {
	switch {
	case ref == nil:
		return pages.Type{}
	case ref.Ref != "":
		return pages.Type{Link: ref.Ref[strings.LastIndex(ref.Ref, "/")+1:]}
	}
	s := ref.Value
	if s.Type.Is("array") {
		of := typeOf(s.Items)
		of.Before = "list of " + of.Before
		of.After += orNull(s)
		return of
	}
	for _, several := range []openapi3.SchemaRefs{s.AllOf, s.OneOf, s.AnyOf} {
		if len(several) > 0 {
			of := typeOf(several[0])
			for _, other := range several[1:] {
				more := typeOf(other)
				of.After += " or " + more.Before + more.Link + more.After
			}
			of.After += orNull(s)
			return of
		}
	}
	return pages.Type{Before: strings.Join(s.Type.Slice(), " or ") + limitsOf(s) + orNull(s)}
}

func orNull(s *openapi3.Schema) string {
	if s.Nullable {
		return " or null"
	}
	return ""
}

// limitsOf says which values are accepted.
func limitsOf(s *openapi3.Schema) string {
	var said []string
	if len(s.Enum) > 0 {
		var values []string
		for _, v := range s.Enum {
			values = append(values, fmt.Sprint(v))
		}
		said = append(said, strings.Join(values, ", "))
	}
	if s.Format != "" && s.Format != "int64" && s.Format != "double" {
		said = append(said, s.Format)
	}
	if s.Min != nil {
		said = append(said, fmt.Sprintf("from %v", *s.Min))
	}
	if s.Max != nil {
		said = append(said, fmt.Sprintf("to %v", *s.Max))
	}
	if s.MaxLength != nil {
		said = append(said, fmt.Sprintf("up to %d characters", *s.MaxLength))
	}
	if s.Default != nil {
		said = append(said, fmt.Sprintf("%v where it is left out", s.Default))
	}
	if len(said) == 0 {
		return ""
	}
	return " (" + strings.Join(said, "; ") + ")"
}

// curl is a call as a command for a POSIX shell, with every parameter and body that
// the contract shows. Of a body that is no JSON nothing is shown.
func curl(method, path string, o *openapi3.Operation) string {
	var query []string
	headers := ""
	for _, p := range o.Parameters {
		text := fmt.Sprint(p.Value.Example)
		switch {
		case p.Value.Example == nil:
		case p.Value.In == openapi3.ParameterInPath:
			path = strings.Replace(path, "{"+p.Value.Name+"}", url.PathEscape(text), 1)
		case p.Value.In == openapi3.ParameterInQuery:
			query = append(query, "--data-urlencode "+quoted(p.Value.Name+"="+text))
		case p.Value.Required:
			headers += " \\\n  -H " + quoted(p.Value.Name+": "+text)
		}
	}
	command := "curl"
	if method != http.MethodGet {
		command += " -X " + method
	}
	if len(query) > 0 {
		command += " -G"
	}
	command += ` "$STANDIN` + path + `"`
	if scope, _ := scopeOf(o); scope != standin.ScopeNone && scope != standin.ScopeRead {
		command += " \\\n  -H \"Authorization: Bearer $TOKEN\""
	}
	command += headers
	for _, one := range query {
		command += " \\\n  " + one
	}
	if o.RequestBody == nil {
		return command
	}
	media := o.RequestBody.Value.Content.Get("application/json")
	if media == nil || exampleOf(media) == nil {
		return ""
	}
	return command + " \\\n  -H 'Content-Type: application/json' \\\n  -d " + quoted(indented(exampleOf(media)))
}

// quoted is a word of a command for a POSIX shell.
func quoted(text string) string { return "'" + strings.ReplaceAll(text, "'", `'\''`) + "'" }

// indented is an example as people read it.
func indented(value any) string {
	text, err := json.MarshalIndent(value, "", "  ")
	if err != nil {
		return fmt.Sprint(value)
	}
	return string(text)
}

var (
	listItem = regexp.MustCompile(`^(?:\d+\.|[-*]) +`)
	marks    = regexp.MustCompile("`[^`]+`|\\*\\*[^*]+\\*\\*|\\*[^*\\s][^*]*\\*")
)

// prose is a description of the contract: paragraphs and lists, with code, bold and
// italic words. The contract has no more of CommonMark than that.
func prose(text string) template.HTML {
	var b strings.Builder
	for block := range strings.SplitSeq(strings.TrimSpace(text), "\n\n") {
		lines := strings.Split(block, "\n")
		if !listItem.MatchString(lines[0]) {
			if block != "" {
				b.WriteString("<p>" + marked(strings.Join(lines, " ")) + "</p>")
			}
			continue
		}
		element := "ul"
		if lines[0][0] >= '0' && lines[0][0] <= '9' {
			element = "ol"
		}
		b.WriteString("<" + element + ">")
		var items []string
		for _, line := range lines {
			if item := listItem.FindString(line); item != "" {
				items = append(items, line[len(item):])
				continue
			}
			items[len(items)-1] += " " + strings.TrimSpace(line)
		}
		for _, item := range items {
			b.WriteString("<li>" + marked(item) + "</li>")
		}
		b.WriteString("</" + element + ">")
	}
	return template.HTML(b.String())
}

// marked is a text with its marks as elements.
func marked(text string) string {
	var b strings.Builder
	end := 0
	for _, at := range marks.FindAllStringIndex(text, -1) {
		b.WriteString(template.HTMLEscapeString(text[end:at[0]]))
		part := text[at[0]:at[1]]
		end = at[1]
		switch {
		case part[0] == '`':
			b.WriteString("<code>" + template.HTMLEscapeString(part[1:len(part)-1]) + "</code>")
		case strings.HasPrefix(part, "**"):
			b.WriteString("<b>" + template.HTMLEscapeString(part[2:len(part)-2]) + "</b>")
		default:
			b.WriteString("<i>" + template.HTMLEscapeString(part[1:len(part)-1]) + "</i>")
		}
	}
	b.WriteString(template.HTMLEscapeString(text[end:]))
	return b.String()
}
