package dbtest

import "sync"

// onceValue is a value that is made by the first who needs it and kept, with
// its error, for the others.
type onceValue[T any] struct {
	once  sync.Once
	value T
	err   error
}

func (o *onceValue[T]) get(make func() (T, error)) (T, error) {
	o.once.Do(func() { o.value, o.err = make() })
	return o.value, o.err
}
