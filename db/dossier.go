package db

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"

	"standin"
)

// A dossier is loaded by one batch of statements: one round trip, for one
// machine or a thousand, and each thing that several machines share is loaded
// once. A statement that finds keys keeps them, as arrays, in settings of the
// transaction (standin.models, standin.boards …), where the statements after it
// find them. This has three merits: the statements stay small; it works on a
// read-only standby, where a temporary table would not; and the planner, which
// cannot see into ((SELECT current_setting(…))::bigint[]), expects a few keys and
// takes the indexes, so that the cost of a dossier does not depend on how large
// the catalogue is. For the same reason names are looked up by subselects, which
// it cannot turn into a join that reads a whole table, and parameters stand in
// (SELECT $1), which keeps it from planning anew for every value.

// One snapshot for all statements, or an import committed half-way between them
// would show half.
const (
	beginDossiersSQL  = `BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY`
	commitDossiersSQL = `COMMIT`
)

// Dossiers loads the dossier of each machine's model, in the order asked.
func (db *DB) Dossiers(ctx context.Context, machines []standin.Machine) ([]*standin.Dossier, error) {
	if len(machines) == 0 {
		return nil, nil
	}
	return db.load(ctx, machines, make([]int64, len(machines)))
}

// DossierOf loads the dossier of one model by its id. CodeNotFound where there
// is none.
func (db *DB) DossierOf(ctx context.Context, id int64) (*standin.Dossier, error) {
	dossiers, err := db.load(ctx, make([]standin.Machine, 1), []int64{id})
	if err != nil {
		return nil, err
	}
	if dossiers[0] == nil {
		return nil, &standin.Error{Code: standin.CodeNotFound, Message: fmt.Sprintf("there is no model with id %d", id), Field: "id"}
	}
	return dossiers[0], nil
}

// load loads a dossier a machine, by the id of its model where that is not 0,
// else by its key.
func (db *DB) load(ctx context.Context, machines []standin.Machine, ids []int64) ([]*standin.Dossier, error) {
	ctx, cancel := context.WithTimeout(ctx, readTimeout)
	defer cancel()
	l := newLoad()
	if err := db.pool.SendBatch(ctx, l.batch(machines, ids)).Close(); err != nil {
		return nil, translate(err)
	}
	dossiers := make([]*standin.Dossier, len(machines))
	for i := range machines {
		dossiers[i] = l.dossier(i)
	}
	return dossiers, nil
}

// load is what one batch has loaded, each thing once. Things are made when they
// are first mentioned and filled when their own statement is read, so the order
// of the statements does not matter to what points at what.
type load struct {
	version    int64
	found      []found             // a machine
	oldParts   [][]standin.OldPart // a machine
	models     map[int64]*standin.Model
	histories  map[int64]*history // by model
	boards     []board            // by part number
	boardAt    map[int64]int      // part id → index in boards
	ofFamily   map[int64][]int    // family id → indexes in boards
	links      map[int64][]lead   // by the part they lead from
	families   map[int64]*standin.Family
	procedures map[string]*standin.Procedure
	layouts    map[int64]*standin.Layout
	adaptors   []standin.Adaptor
	stock      map[string][]standin.Stock // by part number

	dossiers map[int64]*standin.Dossier // by model, without what differs from machine to machine
}

func newLoad() *load {
	return &load{
		models:     map[int64]*standin.Model{},
		histories:  map[int64]*history{},
		boardAt:    map[int64]int{},
		ofFamily:   map[int64][]int{},
		links:      map[int64][]lead{},
		families:   map[int64]*standin.Family{},
		procedures: map[string]*standin.Procedure{},
		layouts:    map[int64]*standin.Layout{},
		stock:      map[string][]standin.Stock{},
		dossiers:   map[int64]*standin.Dossier{},
	}
}

func (l *load) batch(machines []standin.Machine, ids []int64) *pgx.Batch {
	b := &pgx.Batch{}
	b.Queue(beginDossiersSQL)
	b.Queue(dossierStateSQL).QueryRow(func(row pgx.Row) error { return row.Scan(&l.version) })
	l.queueFound(b, machines, ids)
	b.Queue(chooseBoardsSQL)
	l.queueOldParts(b, machines)
	b.Queue(chooseAdaptorsSQL)
	for _, part := range []struct {
		sql  string
		read func(pgx.Rows) error
	}{
		{modelsSQL, l.readModels},
		{buildsSQL, l.readBuilds},
		{loadsSQL, l.readLoads},
		{configurationsSQL, l.readConfigurations},
		{presetsSQL, l.readPresets},
		{boardsSQL, l.readBoards},
		{revisionsSQL, l.readRevisions},
		{ratingsSQL, l.readRatings},
		{linksSQL, l.readLinks},
		{familiesSQL, l.readFamilies},
		{proceduresSQL, l.readProcedures},
		{adaptorsSQL, l.readAdaptors},
		{connectorsSQL, l.readConnectors},
		{stockSQL, l.readStock},
	} {
		b.Queue(part.sql).Query(part.read)
	}
	b.Queue(commitDossiersSQL)
	return b
}
