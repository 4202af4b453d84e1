package standin

// Maybe is a value that may not have been recorded. The zero Maybe is "not
// recorded", which is never the same as zero, none or no: a comparison with it
// is Unknown, and unknown never becomes a pass.
type Maybe[T any] struct {
	V     T
	Known bool
}

// Known is a recorded value.
func Known[T any](v T) Maybe[T] { return Maybe[T]{V: v, Known: true} }

// Or is the value where it is recorded, else d.
func (m Maybe[T]) Or(d T) T {
	if m.Known {
		return m.V
	}
	return d
}

// Get is the value and whether it is recorded.
func (m Maybe[T]) Get() (T, bool) { return m.V, m.Known }
