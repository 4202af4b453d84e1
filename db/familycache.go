package db

import (
	linked "container/list"
	"sync"

	"standin"
)

// mostPrepared is how many configurations the cached families may have together:
// some 70 MB.
const mostPrepared = 100_000

// familyCache keeps the prepared families of one version of the catalogue that were
// used most recently. It is safe for concurrent use.
type familyCache struct {
	mu      sync.Mutex
	edition edition
	at      map[string]*linked.Element // by the name asked for
	used    *linked.List               // of kept, the last used first
	weight  int

	hits, misses uint64
}

type kept struct {
	name   string
	family *standin.PreparedFamily
}

// weight counts a family as one more than its configurations, so that those
// without any are bounded too.
func (k kept) weight() int { return 1 + len(k.family.Configurations) }

func newFamilyCache() *familyCache {
	return &familyCache{at: map[string]*linked.Element{}, used: linked.New()}
}

// get returns the family of that name at a version, nil where it is not kept.
func (c *familyCache) get(e edition, name string) *standin.PreparedFamily {
	c.mu.Lock()
	defer c.mu.Unlock()
	held := c.at[name]
	if held == nil || c.edition != e {
		c.misses++
		return nil
	}
	c.hits++
	c.used.MoveToFront(held)
	return held.Value.(kept).family
}

// counts returns how often get had the family and how often it had not.
func (c *familyCache) counts() (hits, misses uint64) {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.hits, c.misses
}

// put keeps a family, unless it is of an older version than those kept. The
// families of older versions are dropped, and those used least recently where
// there are too many; the last one is kept however large it is.
func (c *familyCache) put(e edition, name string, f *standin.PreparedFamily) {
	c.mu.Lock()
	defer c.mu.Unlock()
	switch {
	case e < c.edition:
		return
	case e > c.edition:
		c.edition, c.at, c.used, c.weight = e, map[string]*linked.Element{}, linked.New(), 0
	case c.at[name] != nil: // someone else was quicker
		return
	}
	k := kept{name, f}
	c.at[name] = c.used.PushFront(k)
	for c.weight += k.weight(); c.weight > mostPrepared && c.used.Len() > 1; {
		last := c.used.Remove(c.used.Back()).(kept)
		delete(c.at, last.name)
		c.weight -= last.weight()
	}
}
