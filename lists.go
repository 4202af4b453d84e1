package standin

import "context"

// Lists are what is recorded, in pages: each call has the rows after a key
// (exclusive) in the order of their keys, limit at most, so that none is skipped
// or seen twice while others come and go. Every error is an *Error.
type Lists interface {
	// ListModels are the models and badges, in the order of their keys.
	ListModels(ctx context.Context, filter ModelFilter, after ModelKey, limit int) ([]ListedModel, error)

	// ModelID is the number of the model of exactly that key. CodeNotFound where
	// there is none.
	ModelID(ctx context.Context, key ModelKey) (int64, error)

	// ListBoards are the boards by part number.
	ListBoards(ctx context.Context, filter BoardFilter, after string, limit int) ([]ListedBoard, error)

	// ListAdaptors are the adaptors by part number.
	ListAdaptors(ctx context.Context, filter AdaptorFilter, after string, limit int) ([]ListedAdaptor, error)

	// Locations are the names of all places that stock is recorded of, in order.
	Locations(ctx context.Context) ([]string, error)
}

// ModelFilter leaves the models that have all that is given, as it is recorded.
type ModelFilter struct {
	Brand, Kind string
	Family      string // that a configuration of the model is for
}

// ListedModel is a model in a list.
type ListedModel struct {
	ID int64
	ModelKey
	Kind   string
	TwinOf *ModelKey
}

// BoardFilter leaves the boards that have all that is given.
type BoardFilter struct {
	Family string // as it is recorded
	Fixed  bool   // those without a family alone
	Text   string // somewhere in the part number or the title, in any case
}

// ListedBoard is a board in a list.
type ListedBoard struct {
	PartNumber, Family, Title, GTIN string
	Revisions                       int
}

// AdaptorFilter leaves the adaptors that have all that is given.
type AdaptorFilter struct {
	Takes, Gives string // layouts, as recorded
	Text         string // somewhere in the part number or the title, in any case
}

// ListedAdaptor is an adaptor in a list, with the names of its layouts.
type ListedAdaptor struct {
	PartNumber, Title, Takes, Gives string
}
