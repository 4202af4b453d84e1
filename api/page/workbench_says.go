package page

import (
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"
	"strings"

	"standin"
)

// says is one thing that a job says. Two jobs differ where their sums do.
type says struct {
	About string `json:"about"`
	Text  string `json:"text"` // empty: it is not shown before the board was read
	Sum   string `json:"sum"`
}

// saysOf is everything that the pages of a job say, but for stock, which changes all
// the time and makes no copy wrong.
func saysOf(j *standin.Job, stages []stage) []says {
	all := []says{
		said("May it be fitted", j.Board.Verdict.Phrase(), j.Board.Verdict),
		said("The board", strings.TrimSpace(boardName(j.Board.PartNumber, j.Board.Revision)+" "+j.Board.Title), nil),
		said("The code", strings.Join(j.Code, " "), j.Work),
		said("What must be read back", "", []any{j.Pattern, j.Trust}),
		said("Adaptors", standin.AndList(j.Adaptors), nil),
		said("Before any work", strings.Join(j.Answer.Cautions, " "), nil),
	}
	for i := range stages {
		s := &stages[i]
		text := []string{s.Do, s.Expect}
		if s.Load != nil {
			text = append(text, s.Load.Expect)
		}
		all = append(all, said("Step: "+s.Name, strings.TrimSpace(strings.Join(append(text, s.Points...), " ")), s))
	}
	_, reading := stepsOf(j)
	if j.ReadsBack() {
		all = append(all, said("Points to read", standin.AndList(j.Family.Readback), []any{reading, j.Family.Alphabet}))
	}
	return all
}

// said is one thing with what else makes it another.
func said(about, text string, more any) says {
	return says{about, text, sumOf([]any{about, text, more})}
}

// sumOf tells values apart.
func sumOf(value any) string {
	text, err := json.Marshal(value)
	if err != nil {
		panic(err) // values of the program, all of which can be written
	}
	sum := sha256.Sum256(text)
	return base64.RawURLEncoding.EncodeToString(sum[:12])
}
