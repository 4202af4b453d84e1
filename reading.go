package standin

import (
	"errors"
	"fmt"
	"slices"
	"strings"
)

// Reading is what someone saw, one character per read-back point: '1' lit, '0'
// unlit, 'f' flashing for a lamp, a character of its alphabet for any other,
// '?' unread.
type Reading string

// readingWords are the words a reading may use for what a point shows.
var readingWords = map[string]byte{
	"1": ShowsLit, "lit": ShowsLit, "on": ShowsLit, "light": ShowsLit, "lights": ShowsLit, "steady": ShowsLit,
	"yes": ShowsLit, "y": ShowsLit,
	"0": ShowsUnlit, "unlit": ShowsUnlit, "off": ShowsUnlit, "dark": ShowsUnlit, "out": ShowsUnlit,
	"no": ShowsUnlit, "n": ShowsUnlit,
	"f": ShowsFlashing, "flashing": ShowsFlashing, "flashes": ShowsFlashing, "flash": ShowsFlashing,
	"blinking": ShowsFlashing, "blinks": ShowsFlashing, "blink": ShowsFlashing,
	"?": NotRead, "-": NotRead, "unread": NotRead, "unseen": NotRead, "unknown": NotRead, "unsure": NotRead,
	"skip": NotRead,
}

// ReadingWord returns what a point shows by a word of a reading, and whether the
// word says anything: lit on light lights steady yes y 1, unlit off dark out no
// n 0, flashing flashes flash blinking blinks blink f, or, for one that was not
// read, unread unseen unknown unsure skip ? -. Case does not count.
func ReadingWord(word string) (shows byte, ok bool) {
	shows, ok = readingWords[strings.ToLower(word)]
	return shows, ok
}

// ReadingForms are the forms ParseReading accepts, for messages.
const ReadingForms = "10f? (" + LampForms + ", ? not read), or as words in the order of the points " +
	"(lit off flashing unread), or by name (K1=lit K2=off)"

// ParseReading reads what was seen at the read-back points of a family, given
// in one of three forms:
//
//   - one character per point in the order they are read, 10f?; spaces do not
//     count, and - is taken as ?;
//   - words in that order, as ReadingWord takes them, separated by spaces, commas
//     or semicolons;
//   - the same words by point name, K1=lit K2:off or K1 lit, K2 off; points
//     that are not named are unread.
//
// Case does not count. A reading that is too long or too short, names a point
// the family does not have, or names one twice with different values is an
// error (CodeBadRequest, field reading) that says what would be accepted.
func (f *Family) ParseReading(text string) (Reading, error) {
	if len(f.Readback) == 0 {
		return "", nothingToRead()
	}
	tokens := strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(" ,;\t\r\n", r) })
	if len(tokens) == 0 {
		return "", badReading("the reading is empty; write it as %s", f.readingForms())
	}
	joined := strings.Join(tokens, "")
	if f.lampsOnly() {
		if strings.Trim(strings.ToLower(joined), "10f?-") == "" {
			return f.inOrder(strings.Split(joined, ""))
		}
	} else if f.charactersOf(joined) {
		return f.inOrder(strings.Split(joined, ""))
	}
	if pairs, named, err := namedTicks(tokens, f.Readback); named || err != nil {
		return f.ticked(pairs, err)
	}
	return f.inOrder(tokens)
}

// charactersOf reports whether a text is one character for each point, each one
// that the point can show.
func (f *Family) charactersOf(text string) bool {
	if len(text) != len(f.Readback) {
		return false
	}
	for i := range len(text) {
		if _, ok := f.ReadingWord(i, text[i:i+1]); !ok {
			return false
		}
	}
	return true
}

// ReadingOf is the reading given as ticks by point name, with the words of
// ParseReading; points that are not in ticks are unread. An error names the field
// ticks.
func (f *Family) ReadingOf(ticks map[string]string) (Reading, error) {
	var pairs [][2]string
	for name, word := range ticks {
		pairs = append(pairs, [2]string{name, word})
	}
	slices.SortFunc(pairs, func(a, b [2]string) int { return strings.Compare(a[0], b[0]) })
	reading, err := f.ticked(pairs, nil)
	if wrong := (*Error)(nil); errors.As(err, &wrong) {
		wrong.Field = "ticks"
	}
	return reading, err
}

// namedTicks splits tokens into names and words where they are given by name:
// joined by = or :, or beginning with the name of a point that is no word.
func namedTicks(tokens, readback []string) (pairs [][2]string, named bool, err error) {
	joined := strings.ContainsAny(strings.Join(tokens, ""), "=:")
	_, isWord := ReadingWord(tokens[0])
	if !joined && (isWord || pointNamed(tokens[0], readback) < 0) {
		return nil, false, nil
	}
	split := func(r rune) bool { return r == '=' || r == ':' }
	var parts []string
	for _, token := range tokens {
		parts = append(parts, strings.FieldsFunc(token, split)...)
	}
	if len(parts)%2 != 0 {
		return nil, true, badReading("%q is not a name and what it shows for each point; write it as K1=lit K2=off",
			strings.Join(tokens, " "))
	}
	for pair := range slices.Chunk(parts, 2) {
		pairs = append(pairs, [2]string{pair[0], pair[1]})
	}
	return pairs, true, nil
}

func (f *Family) ticked(pairs [][2]string, err error) (Reading, error) {
	readback := f.Readback
	if err != nil {
		return "", err
	}
	reading := []byte(strings.Repeat(string(NotRead), len(readback)))
	given := map[int]bool{}
	for _, pair := range pairs {
		i := pointNamed(pair[0], readback)
		if i < 0 {
			return "", badReading("%q is not a read-back point of the family%s", pair[0], inBrackets(readback))
		}
		c, ok := f.ReadingWord(i, pair[1])
		if !ok {
			return "", f.notShown(pair[1])
		}
		if given[i] && reading[i] != c {
			return "", badReading("%s is given twice, as %s and as %s", readback[i], f.Shown(i, reading[i]), f.Shown(i, c))
		}
		reading[i], given[i] = c, true
	}
	return Reading(reading), nil
}

// pointNamed returns the index of the point of that name, exactly or without
// regard to case where only one matches, else -1.
func pointNamed(name string, readback []string) int {
	if i := slices.Index(readback, name); i >= 0 {
		return i
	}
	found := -1
	for i, point := range readback {
		if strings.EqualFold(point, name) {
			if found >= 0 {
				return -1
			}
			found = i
		}
	}
	return found
}

func (f *Family) inOrder(words []string) (Reading, error) {
	readback := f.Readback
	reading := make([]byte, len(words))
	for i, word := range words {
		c, ok := f.ReadingWord(i, word)
		if !ok {
			return "", f.notShown(word)
		}
		reading[i] = c
	}
	if len(words) != len(readback) {
		than := "short"
		if len(words) > len(readback) {
			than = "long"
		}
		return "", badReading("the reading is too %s: it has %s, the family reads %d%s; ? stands for one not read",
			than, countOf(len(words), "point"), len(readback), inBrackets(readback))
	}
	return Reading(reading), nil
}

func (f *Family) notShown(word string) error {
	return badReading("%q is nothing a point can show; write the reading as %s", word, f.readingForms())
}

func badReading(format string, args ...any) error {
	return &Error{Code: CodeBadRequest, Field: "reading", Message: fmt.Sprintf(format, args...)}
}

// Read is the number of points that were read.
func (r Reading) Read() int { return len(r) - strings.Count(string(r), string(NotRead)) }

// Mismatches are the indices of the points at which the reading differs from
// the pattern: where both say something. Both have the same length.
func (r Reading) Mismatches(p Pattern) []int {
	var differ []int
	for i := range min(len(r), len(p)) {
		if r[i] != NotRead && p[i] != ShowsEither && r[i] != p[i] {
			differ = append(differ, i)
		}
	}
	return differ
}

func nothingToRead() error {
	return badReading("the family has no read-back points: there is nothing to read")
}
