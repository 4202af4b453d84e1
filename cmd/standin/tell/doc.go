// Package tell says in plain text, for a person, what the program has to say:
// an answer, a board, a family, what an import found. It takes values of the
// core and gives text of at most Width columns; it reads and writes nothing.
//
// Everything from the catalogue is cleaned of control characters on its way,
// so that a hostile model name cannot steer the terminal.
package tell
