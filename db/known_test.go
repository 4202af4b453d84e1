package db

import (
	"context"
	"testing"
	"time"

	"standin"
	"standin/db/dbtest"
)

// openTwo is one database opened twice, as by two servers.
func openTwo(t *testing.T) (one, other *DB) {
	t.Helper()
	url := dbtest.New(t)
	for _, db := range []**DB{&one, &other} {
		opened, err := Open(t.Context(), url)
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(opened.Close)
		*db = opened
	}
	return one, other
}

func stateTold(t *testing.T, db *DB) standin.State {
	t.Helper()
	state, err := db.State(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	return state
}

// write changes the catalogue as the packages that write do.
func write(t *testing.T, db *DB) {
	t.Helper()
	defer db.Changed()
	exec(t, db, "UPDATE catalogue_state SET catalogue = catalogue + 1")
}

// The DB that wrote tells the new state at once; another one, without listening,
// not later than is promised.
func TestStateIsNotStaleForLong(t *testing.T) {
	t.Parallel()
	one, other := openTwo(t)
	before := stateTold(t, one)
	if stateTold(t, other) != before {
		t.Fatal("they begin with different states")
	}
	write(t, one)
	committed := time.Now()
	if stateTold(t, one) == before {
		t.Error("the DB that wrote still tells the state from before")
	}
	time.Sleep(time.Until(committed.Add(StateHolds)))
	if stateTold(t, other) == before {
		t.Errorf("the state from before is told for more than %s", StateHolds)
	}
}

// A DB that listens asks again as soon as it hears of a change.
func TestListen(t *testing.T) {
	t.Parallel()
	one, other := openTwo(t)
	ctx, cancel := context.WithCancel(t.Context())
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		other.Listen(ctx)
	}()
	heard := func() int {
		_, changes, _ := other.known.get()
		return changes
	}
	for heard() == 0 { // it listens
		time.Sleep(time.Millisecond)
	}
	before, changes := stateTold(t, other), heard()
	write(t, one)
	for heard() == changes {
		time.Sleep(time.Millisecond)
	}
	if stateTold(t, other) == before {
		t.Error("it heard of the change and still tells the state from before")
	}
	cancel()
	<-ended
}

// An answer that comes late does not bring back a state that was forgotten.
func TestForgottenStateStaysForgotten(t *testing.T) {
	t.Parallel()
	var k knownState
	_, changes, _ := k.get()
	k.forget()
	k.put(standin.State{Catalogue: 1}, time.Now(), StateHolds, changes)
	if _, _, ok := k.get(); ok {
		t.Error("a state asked for before the change is taken for the present one")
	}
	_, changes, _ = k.get()
	k.put(standin.State{Catalogue: 2}, time.Now(), StateHolds, changes)
	if s, _, ok := k.get(); !ok || s.Catalogue != 2 {
		t.Errorf("state %+v, known %v", s, ok)
	}
	k.put(standin.State{Catalogue: 2}, time.Now().Add(-StateHolds), StateHolds, changes)
	if _, _, ok := k.get(); ok {
		t.Error("a state counts from when it was asked for, not from when it was told")
	}
}
