package db

import "standin/db/internal/pg"

// Explain is what an error of the server means, in a sentence for people, whoever
// got it: the migrations have connections of their own. It reports whether err is
// one.
func Explain(err error) (sentence string, ok bool) { return pg.Explain(err) }

func translate(err error) error { return pg.Translate(err) }

func isNoRows(err error) bool { return pg.IsNoRows(err) }
