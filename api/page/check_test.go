package page

import (
	"fmt"
	"html/template"
	"reflect"
	"strings"
	"testing"
	"text/template/parse"
)

// data are the pages' data by the view and the template that they are for.
var data = map[[2]string]any{
	{"counter", "layout"}:   counterPage{},
	{"help", "layout"}:      base{},
	{"shelf", "layout"}:     shelfPage{},
	{"find", "layout"}:      findPage{},
	{"find", "options"}:     findPage{},
	{"fits", "layout"}:      &fitsPage{},
	{"board", "layout"}:     &boardPage{},
	{"fault", "layout"}:     &faultPage{},
	{"along", "layout"}:     alongPage{},
	{"bench", "layout"}:     benchPage{},
	{"reading", "layout"}:   readingPage{},
	{"identify", "layout"}:  identifyPage{},
	{"nojob", "layout"}:     noJobPage{},
	{"print", "layout"}:     printPage{},
	{"signin", "layout"}:    signInPage{},
	{"reference", "layout"}: referencePage{},
	{"adaptor", "layout"}:   adaptorPage{},
	{"import", "layout"}:    importPage{},
	{"upload", "layout"}:    &uploadPage{},
	{"upload", "upload"}:    &uploadPage{},
	{"mapping", "layout"}:   mappingPage{},
}

// Every field that a template names is there, in branches that no test takes too.
func TestTemplatesHoldTheirData(t *testing.T) {
	t.Parallel()
	checked := map[string]bool{}
	for place, value := range data {
		view := views[place[0]]
		if view == nil {
			t.Errorf("there is no view %q", place[0])
			continue
		}
		checked[place[0]] = true
		for _, fault := range typed(view, place[1], reflect.TypeOf(value)) {
			t.Errorf("%s: %s", place[0], fault)
		}
	}
	for view := range views {
		if !checked[view] {
			t.Errorf("the view %q is not checked; add its data above", view)
		}
	}
}

func TestTemplatesCanFail(t *testing.T) {
	t.Parallel()
	type inner struct{ Name string }
	type outer struct {
		Inner inner
		List  []inner
		ByKey map[string]inner
	}
	for text, want := range map[string]string{
		`{{.Inner.Name}}{{range .List}}{{.Name}}{{$.Inner}}{{end}}`:        "",
		`{{with .ByKey}}{{range $k, $v := .}}{{$v.Name}}{{end}}{{end}}`:    "",
		`{{range $i, $v := .List}}{{if eq $i 0}}{{$v.Name}}{{end}}{{end}}`: "",
		`{{.Nothing}}`:                                         "outer has no Nothing",
		`{{if .Inner.Nme}}x{{end}}`:                            "inner has no Nme",
		`{{range .List}}{{.Nme}}{{end}}`:                       "inner has no Nme",
		`{{range $i, $v := .List}}{{$v.Nme}}{{end}}`:           "inner has no Nme",
		`{{with .Inner}}{{else}}{{.Nme}}{{end}}`:               "outer has no Nme",
		`{{define "x"}}{{.Nme}}{{end}}{{template "x" .Inner}}`: "inner has no Nme",
		`{{range .Inner}}{{end}}`:                              "inner is no list",
	} {
		view := template.Must(template.New("top").Parse(text))
		if got := strings.Join(typed(view, "top", reflect.TypeFor[outer]()), "; "); got != want {
			t.Errorf("%s: %q, want %q", text, got, want)
		}
	}
}

// typed are the faults of a template when it is given a type. What comes of a
// function's call is not followed, but for that of our own functions.
func typed(view *template.Template, name string, dot reflect.Type) []string {
	c := &checker{view: view, seen: map[string]bool{}}
	c.template(name, dot)
	return c.faults
}

type checker struct {
	view   *template.Template
	seen   map[string]bool // name and type
	faults []string
}

// scope is what a template sees: the dot, and variables by name. A nil type is
// one that is not known.
type scope struct {
	dot  reflect.Type
	vars map[string]reflect.Type
}

func (s scope) with(name string, t reflect.Type) scope {
	vars := map[string]reflect.Type{name: t}
	for n, t := range s.vars {
		if n != name {
			vars[n] = t
		}
	}
	return scope{s.dot, vars}
}

func (c *checker) template(name string, dot reflect.Type) {
	key := fmt.Sprint(name, dot)
	if c.seen[key] {
		return
	}
	c.seen[key] = true
	t := c.view.Lookup(name)
	if t == nil {
		c.faults = append(c.faults, "there is no template "+name)
		return
	}
	if t.Tree != nil {
		c.node(t.Tree.Root, scope{dot, map[string]reflect.Type{"$": dot}})
	}
}

func (c *checker) node(n parse.Node, s scope) {
	switch n := n.(type) {
	case *parse.ListNode:
		if n != nil {
			for _, one := range n.Nodes {
				c.node(one, s)
			}
		}
	case *parse.ActionNode:
		c.pipe(n.Pipe, s)
	case *parse.IfNode:
		c.pipe(n.Pipe, s)
		c.node(n.List, s)
		c.node(n.ElseList, s)
	case *parse.WithNode:
		inside := c.declared(n.Pipe, c.pipe(n.Pipe, s), nil, s)
		inside.dot = c.pipe(n.Pipe, s)
		c.node(n.List, inside)
		c.node(n.ElseList, s)
	case *parse.RangeNode:
		list := c.pipe(n.Pipe, s)
		element, key := c.element(list)
		inside := c.declared(n.Pipe, element, key, s)
		inside.dot = element
		c.node(n.List, inside)
		c.node(n.ElseList, s)
	case *parse.TemplateNode:
		c.template(n.Name, c.pipe(n.Pipe, s))
	}
}

// declared is a scope with the variables that a pipe declares.
func (c *checker) declared(p *parse.PipeNode, value, key reflect.Type, s scope) scope {
	switch len(p.Decl) {
	case 1:
		return s.with(p.Decl[0].Ident[0], value)
	case 2:
		return s.with(p.Decl[0].Ident[0], key).with(p.Decl[1].Ident[0], value)
	}
	return s
}

func (c *checker) element(list reflect.Type) (element, key reflect.Type) {
	switch {
	case list == nil:
	case list.Kind() == reflect.Slice || list.Kind() == reflect.Array:
		return list.Elem(), reflect.TypeFor[int]()
	case list.Kind() == reflect.Map:
		return list.Elem(), list.Key()
	default:
		c.faults = append(c.faults, list.Name()+" is no list")
	}
	return nil, nil
}

// pipe is the type of a pipe with one command; of several it is not known.
func (c *checker) pipe(p *parse.PipeNode, s scope) reflect.Type {
	if p == nil {
		return nil
	}
	var last reflect.Type
	for _, command := range p.Cmds {
		last = c.command(command, s)
	}
	if len(p.Cmds) != 1 {
		return nil
	}
	return last
}

func (c *checker) command(command *parse.CommandNode, s scope) reflect.Type {
	var types []reflect.Type
	for _, argument := range command.Args {
		types = append(types, c.argument(argument, s))
	}
	if name, ok := command.Args[0].(*parse.IdentifierNode); ok {
		if f := reflect.TypeOf(functions[name.Ident]); f != nil {
			return f.Out(0)
		}
		return nil
	}
	return types[0]
}

func (c *checker) argument(n parse.Node, s scope) reflect.Type {
	switch n := n.(type) {
	case *parse.DotNode:
		return s.dot
	case *parse.FieldNode:
		return c.fields(s.dot, n.Ident)
	case *parse.VariableNode:
		return c.fields(s.vars[n.Ident[0]], n.Ident[1:])
	case *parse.PipeNode:
		return c.pipe(n, s)
	case *parse.ChainNode:
		return c.fields(c.argument(n.Node, s), n.Field)
	}
	return nil
}

func (c *checker) fields(t reflect.Type, names []string) reflect.Type {
	for _, name := range names {
		if t == nil {
			return nil
		}
		if method, ok := t.MethodByName(name); ok {
			t = method.Type.Out(0)
			continue
		}
		for t.Kind() == reflect.Pointer {
			t = t.Elem()
		}
		field, ok := reflect.StructField{}, false
		if t.Kind() == reflect.Struct {
			field, ok = t.FieldByName(name)
		}
		if !ok || !field.IsExported() {
			c.faults = append(c.faults, t.Name()+" has no "+name)
			return nil
		}
		t = field.Type
	}
	return t
}
