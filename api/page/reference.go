package page

import (
	"html/template"
	"net/http"
)

// Reference is the HTTP API as a page tells it: its calls and what they take and
// answer.
type Reference struct {
	About  template.HTML
	Groups []CallGroup
	Shapes []Shape
}

// CallGroup is the calls about one thing.
type CallGroup struct {
	Name, About string
	Calls       []Call
}

// Call is one call of the API.
type Call struct {
	ID, Method, Path string
	Summary          string
	About            template.HTML
	Who              string // may make it
	Parameters       []Parameter
	Body             []Content // one of these; none: it takes no body
	Curl             string    // the call as a command, by the examples of the contract; empty: none is shown
	Responses        []Response
}

// Parameter is one in the path, the query or a header.
type Parameter struct {
	Name, In string
	Required bool
	Type     Type
	About    template.HTML
}

// Content is a body of a type of media.
type Content struct {
	Media   string
	Type    Type
	Example string // empty: none is shown
}

// Response is one way in which a call may be answered.
type Response struct {
	Status  string
	About   template.HTML
	Headers string
	Content []Content
}

// Shape is an object of bodies, by its fields, or a value of a kind of its own.
type Shape struct {
	Name   string
	About  template.HTML
	Type   Type // of a value; empty: an object
	Fields []Parameter
}

// Type is how a value is written. Link is the name of the shape that it is, or that
// it is a list of; empty: none.
type Type struct {
	Before, Link, After string
}

// referencePage is the page of the API.
type referencePage struct {
	base
	*Reference
}

// Reference shows the HTTP API.
func (p *Pages) Reference(reference *Reference) http.HandlerFunc {
	page := referencePage{p.bare("HTTP API", ""), reference}
	return func(w http.ResponseWriter, r *http.Request) {
		p.show(w, r, http.StatusOK, "reference", page)
	}
}
