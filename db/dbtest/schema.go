package dbtest

import "standin/migrations"

// What the template is made of.
var (
	schema  = migrations.FS
	migrate = migrations.Up
)
