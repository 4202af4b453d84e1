package db

import "standin/db/internal/pg"

func translate(err error) error { return pg.Translate(err) }

func isNoRows(err error) bool { return pg.IsNoRows(err) }
