package api

import (
	"encoding/base64"
	"encoding/json"
	"fmt"
	"maps"
	"net/url"
	"strconv"

	"standin"
)

// page cuts what was read with limit+1 to a page: its rows, the last of them,
// and whether more follow.
func page[T any](rows []T, limit int) (cut []T, last T, more bool) {
	if len(rows) <= limit {
		return rows, last, false
	}
	return rows[:limit], rows[limit-1], true
}

// nextPage is the Link header (RFC 8288) to the page after the row of that key. What
// the list is filtered by stays.
func (h *handlers) nextPage(path string, limit int, filter map[string]string, key ...string) *string {
	query := url.Values{"limit": {strconv.Itoa(limit)}, "after": {encodeCursor(key...)}}
	for name, value := range filter {
		if value != "" {
			query.Set(name, value)
		}
	}
	link := fmt.Sprintf(`<%s%s?%s>; rel="next"`, h.base, path, query.Encode())
	return &link
}

// encodeCursor is a key as a cursor.
func encodeCursor(key ...string) string {
	text, _ := json.Marshal(key) // strings always encode
	return base64.RawURLEncoding.EncodeToString(text)
}

// decodeCursor is the key, of so many parts, that a next page begins after.
// Without a cursor they are empty, which nothing comes before.
func decodeCursor(after *string, parts int) ([]string, error) {
	if after == nil {
		return make([]string, parts), nil
	}
	var key []string
	text, err := base64.RawURLEncoding.DecodeString(*after)
	if err == nil {
		err = json.Unmarshal(text, &key)
	}
	if err != nil || len(key) != parts {
		return nil, badField("after", "after is not from a Link header of this list; leave it out to begin anew")
	}
	for _, part := range key {
		if !printable(part) {
			return nil, badField("after", "after is not from a Link header of this list; leave it out to begin anew")
		}
	}
	return key, nil
}

// nextOf is nextPage for a list of what is in the shop.
func (h *handlers) nextOf(path string, filter standin.StockFilter, limit int, more map[string]string, key ...string) *string {
	kept := map[string]string{"location": filter.Location, "part_number": filter.PartNumber}
	maps.Copy(kept, more)
	return h.nextPage(path, limit, kept, key...)
}

// decodeID is the id that a next page begins after, 0 without a cursor.
func decodeID(after *string) (int64, error) {
	if after == nil {
		return 0, nil
	}
	key, err := decodeCursor(after, 1)
	if err != nil {
		return 0, err
	}
	id, err := strconv.ParseInt(key[0], 10, 64)
	if err != nil || id < 0 {
		return 0, badField("after", "after is not from a Link header of this list; leave it out to begin anew")
	}
	return id, nil
}
