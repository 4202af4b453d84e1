package main

import (
	"encoding/json"
	"errors"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"standin/db/dbtest"
	"standin/openapi/client"
)

// served is the program over the demo catalogue, and a token with all that a
// workshop may do.
func served(t *testing.T, flags ...string) (url, token string) {
	t.Helper()
	at := dbtest.New(t)
	if got := run(t, "import", "demo/bundle", "--database-url", at, "--by", "demo"); got.status != statusAnswered {
		t.Fatalf("the demo catalogue is not imported: %s", got.stderr)
	}
	added := run(t, "token", "add", "till", "--scope", "stock,fittings", "--expires", "365d", "--database-url", at)
	if added.status != statusAnswered {
		t.Fatalf("there is no token: %s", added.stderr)
	}
	server := startServing(t, append([]string{"serve", "--database-url", at}, flags...)...)
	return server.url, strings.TrimSpace(added.stdout)
}

func connect(t *testing.T, url, token string) *client.ClientWithResponses {
	t.Helper()
	c, err := client.NewClientWithResponses(url, client.WithToken(token))
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// answered ends the test where a call was not answered.
func answered[R interface {
	StatusCode() int
	ContentType() string
	GetApplicationProblemJSONDefault() *client.Problem
}](t *testing.T, r R, err error) R {
	t.Helper()
	if err == nil {
		err = client.ErrorOf(r)
	}
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// refused is the problem a call was answered with.
func refused[R interface {
	StatusCode() int
	ContentType() string
	GetApplicationProblemJSONDefault() *client.Problem
}](t *testing.T, r R, err error) *client.Problem {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
	var p *client.Problem
	if err := client.ErrorOf(r); !errors.As(err, &p) {
		t.Fatalf("the answer is no problem: status %d, %v", r.StatusCode(), err)
	}
	if p.Status != r.StatusCode() {
		t.Errorf("status %d, and %d in the problem", r.StatusCode(), p.Status)
	}
	return p
}

var pa131 = client.StockKey{Location: "front", PartNumber: "ZQ-PA-131", Revision: "C", Condition: client.ConditionNew}

// What workshop software does, by the client in Go and on the program as it runs.
func TestClientGo(t *testing.T) {
	t.Parallel()
	url, token := served(t)
	c := connect(t, url, token)
	t.Run("counter", func(t *testing.T) { clientCounter(t, c) }) // before the others change what entity tags are about
	t.Run("batch", func(t *testing.T) { t.Parallel(); clientBatch(t, c) })
	t.Run("nightly stock", func(t *testing.T) { t.Parallel(); clientNightly(t, c) })
	t.Run("if-match", func(t *testing.T) { t.Parallel(); clientIfMatch(t, c) })
	t.Run("hold and take", func(t *testing.T) { t.Parallel(); clientHold(t, c) })
	t.Run("fitting", func(t *testing.T) { t.Parallel(); clientFitting(t, c) })
	t.Run("changes", func(t *testing.T) { t.Parallel(); clientChanges(t, c) })
	t.Run("problems", func(t *testing.T) { t.Parallel(); clientProblems(t, url, c) })
}

// The boards for a machine; asked again they need not be sent.
func clientCounter(t *testing.T, c *client.ClientWithResponses) {
	found, err := c.FindModelsWithResponse(t.Context(), &client.FindModelsParams{Q: new("Fenlask Vask 69O")})
	models := answered(t, found, err).JSON200.Models
	if len(models) == 0 || models[0].Model != "Vask 690" {
		t.Fatalf("found are %+v", models)
	}
	asked := &client.GetFitParams{Brand: models[0].Brand, Model: models[0].Model, Plug: new("10"), Location: new("front")}
	r, err := c.GetFitWithResponse(t.Context(), asked)
	answer := answered(t, r, err).JSON200
	best := answer.Candidates[0]
	if best.PartNumber != "ZQ-PA-131" || best.Verdict != client.VerdictFits || best.Stock[0].Location != "front" || best.Stock[0].Free == 0 {
		t.Errorf("the best is %+v", best)
	}
	if diff := cmp.Diff([]string{"3", "4", "12", "2"}, best.Builds[0].Code); diff != "" {
		t.Errorf("its code (-want +got):\n%s", diff)
	}
	one, err := c.GetModelWithResponse(t.Context(), models[0].Key, nil)
	again, err := c.GetModelWithResponse(t.Context(), models[0].Key, &client.GetModelParams{IfNoneMatch: answered(t, one, err).Headers200.ETag})
	if answered(t, again, err).StatusCode() != http.StatusNotModified || again.JSON200 != nil {
		t.Errorf("what still holds is answered with %d", again.StatusCode())
	}
}

// Each machine of a list has its answer, or its problem.
func clientBatch(t *testing.T, c *client.ClientWithResponses) {
	r, err := c.PostFitsWithResponse(t.Context(), nil, client.MachinesAsked{Machines: []client.MachineAsked{
		{Brand: "Fenlask", Model: "Vask 690", Plug: &[]int{10}}, {Brand: "Fenlask", Model: "Vask 69O"},
	}})
	var kinds []string
	for _, each := range answered(t, r, err).JSON200.Answers {
		value, err := each.ValueByDiscriminator()
		if err != nil {
			t.Fatal(err)
		}
		switch v := value.(type) {
		case client.Answer:
			kinds = append(kinds, v.Candidates[0].PartNumber)
		case client.Problem:
			kinds = append(kinds, (*v.Candidates)[0].Model)
		}
	}
	if diff := cmp.Diff([]string{"ZQ-PA-131", "Vask 690"}, kinds); diff != "" {
		t.Errorf("the answers (-want +got):\n%s", diff)
	}
}

// All that is at a location, or nothing where a line is wrong.
func clientNightly(t *testing.T, c *client.ClientWithResponses) {
	lines := []client.CountAsked{
		{PartNumber: "ZQ-PA-131", Revision: new("C"), Condition: client.ConditionNew, Quantity: 4},
		{PartNumber: "ZQ-LM-101", Condition: client.ConditionNew, Quantity: 12},
		{PartNumber: "ZQ-PA-999", Condition: client.ConditionNew, Quantity: 1},
	}
	put := func(skip bool) (*client.PutLocationResponse, error) {
		return c.PutLocationWithResponse(t.Context(), "van", &client.PutLocationParams{SkipUnknown: &skip},
			client.LocationAsked{Lines: lines, Reason: new("nightly")})
	}
	r, err := put(false)
	if p := refused(t, r, err); p.Type != client.ProblemTypeRejected || !strings.Contains(p.Detail, "ZQ-PA-999") {
		t.Errorf("a part that is not in the catalogue: %+v", p)
	}
	if quantities := stockAt(t, c, "van"); len(quantities) != 0 {
		t.Errorf("nothing was to be changed, there is %v", quantities)
	}
	r, err = put(true)
	counted := answered(t, r, err).JSON200
	if counted.Added != 2 || len(counted.Unknown) != 1 || counted.Unknown[0].PartNumber != "ZQ-PA-999" {
		t.Errorf("counted: %+v", counted)
	}
	if diff := cmp.Diff(map[string]int{"ZQ-PA-131": 4, "ZQ-LM-101": 12}, stockAt(t, c, "van")); diff != "" {
		t.Errorf("what is there (-want +got):\n%s", diff)
	}
	lines = lines[:1] // what is not named is not there
	r, err = put(false)
	answered(t, r, err)
	if diff := cmp.Diff(map[string]int{"ZQ-PA-131": 4, "ZQ-LM-101": 0}, stockAt(t, c, "van")); diff != "" {
		t.Errorf("what is there (-want +got):\n%s", diff)
	}
}

// stockAt is how many pieces of each part a location has, read in pages of one.
func stockAt(t *testing.T, c *client.ClientWithResponses, location string) map[string]int {
	t.Helper()
	all := map[string]int{}
	asked := &client.ListStockParams{Location: &location, Limit: new(1)}
	for {
		r, err := c.ListStockWithResponse(t.Context(), asked)
		for _, line := range answered(t, r, err).JSON200.Lines {
			all[line.PartNumber] += line.Quantity
		}
		if asked.After = client.NextAfter(r.Headers200.Link); asked.After == nil {
			return all
		}
	}
}

// One who changes a line from what it was before somebody else changed it is told.
func clientIfMatch(t *testing.T, c *client.ClientWithResponses) {
	get := func() *client.GetStockResponse {
		r, err := c.GetStockWithResponse(t.Context(), "store", "ZQ-PA-152", &client.GetStockParams{Revision: new("B")})
		return answered(t, r, err)
	}
	put := func(tag *string, n int) (*client.PutStockResponse, error) {
		return c.PutStockWithResponse(t.Context(), "store", "ZQ-PA-152", &client.PutStockParams{Revision: new("B"), IfMatch: tag},
			client.QuantityAsked{Quantity: n})
	}
	read := get()
	r, err := put(read.Headers200.ETag, read.JSON200.Quantity+1)
	if now := answered(t, r, err); now.JSON200.Quantity != 3 || *now.Headers200.ETag == *read.Headers200.ETag {
		t.Errorf("after it was put: %+v", now.JSON200)
	}
	r, err = put(read.Headers200.ETag, read.JSON200.Quantity-1)
	if p := refused(t, r, err); p.Type != client.ProblemTypePrecondition || *p.Parameter != "If-Match" {
		t.Errorf("an update that would be lost: %+v", p)
	}
	if got := get().JSON200.Quantity; got != 3 {
		t.Errorf("%d are there, want 3", got)
	}
}

// A hold becomes a sale, once, however often it is asked for.
func clientHold(t *testing.T, c *client.ClientWithResponses) {
	asked := client.HoldAsked{Location: pa131.Location, PartNumber: pa131.PartNumber, Revision: &pa131.Revision, Condition: pa131.Condition,
		Quantity: 1, Until: time.Now().Add(time.Hour), For: new("Mrs Ashby"), Reference: new("job 7")}
	params := &client.AddHoldParams{IdempotencyKey: "job-7-hold"}
	var holds [4]*client.Hold
	var all sync.WaitGroup
	for i := range holds {
		all.Go(func() {
			if r, err := c.AddHoldWithResponse(t.Context(), params, asked); err != nil || client.ErrorOf(r) != nil {
				t.Errorf("hold: %v, %v", err, client.ErrorOf(r))
			} else {
				holds[i] = r.JSON201
			}
		})
	}
	all.Wait()
	for _, h := range holds {
		if diff := cmp.Diff(holds[0], h); diff != "" {
			t.Fatalf("the same key, and another hold:\n%s", diff)
		}
	}
	asked.Quantity = 2
	other, err := c.AddHoldWithResponse(t.Context(), params, asked)
	if p := refused(t, other, err); p.Type != client.ProblemTypeKeyReused {
		t.Errorf("the key with another body: %+v", p)
	}
	other, err = c.AddHoldWithResponse(t.Context(), &client.AddHoldParams{IdempotencyKey: "job-8-hold"}, asked)
	if p := refused(t, other, err); p.Type != client.ProblemTypeNotFree || p.Stock == nil || *p.Parameter != "quantity" {
		t.Errorf("more than is free: %+v", p)
	}
	taken, err := c.TakeHoldWithResponse(t.Context(), holds[0].Hold, &client.TakeHoldParams{IdempotencyKey: "job-7-take"}, client.TakeAsked{Reason: new("collected")})
	if got := answered(t, taken, err).JSON200; got.Hold.State != client.HoldStateTaken || got.Move.Before != 2 || got.Move.After != 1 || *got.Move.Hold != holds[0].Hold {
		t.Errorf("taken: %+v", got)
	}
	ended, err := c.ReleaseHoldWithResponse(t.Context(), holds[0].Hold, nil)
	if p := refused(t, ended, err); p.Type != client.ProblemTypeConflict {
		t.Errorf("released after it was taken: %+v", p)
	}
}

func clientFitting(t *testing.T, c *client.ClientWithResponses) {
	r, err := c.AddFittingWithResponse(t.Context(), &client.AddFittingParams{IdempotencyKey: "job-7-fitting"}, client.FittingAsked{
		Brand: "Fenlask", Model: "Vask 690", Plug: &[]int{10}, PartNumber: "ZQ-PA-131", Revision: new("C"),
		Code: &[]string{"3", "4", "12", "2"}, Reading: new("11f110f101"), Outcome: client.FittingOutcomeWorks,
	})
	made := answered(t, r, err).JSON201
	if made.Tally != client.FittingTallyTallies || made.By != "till" {
		t.Errorf("recorded: %+v", made)
	}
	set, err := c.SetFittingResultWithResponse(t.Context(), made.Fitting, nil, client.FittingResultAsked{
		Outcome: client.FittingOutcomeFailedWithinDays, Cause: new("heater relay welded")})
	if got := answered(t, set, err).JSON200; got.Cause != "heater relay welded" || got.Fitting != made.Fitting {
		t.Errorf("what became of it: %+v", got)
	}
	listed, err := c.ListFittingsWithResponse(t.Context(), &client.ListFittingsParams{Outcome: new(client.FittingOutcomeFailedWithinDays)})
	if got := answered(t, listed, err).JSON200.Fittings; len(got) != 1 || got[0].Fitting != made.Fitting {
		t.Errorf("listed: %+v", got)
	}
}

// A copy is begun from nothing, followed to its end and then waited for.
func clientChanges(t *testing.T, c *client.ClientWithResponses) {
	boards := map[string]bool{}
	asked := &client.ListChangesParams{Limit: new(200)}
	for {
		r, err := c.ListChangesWithResponse(t.Context(), asked)
		body := answered(t, r, err).JSON200
		for _, change := range body.Changes {
			if change.Kind != "boards" {
				continue
			}
			var key struct {
				PartNumber string `json:"part_number"`
			}
			if err := json.Unmarshal(change.Key, &key); err != nil {
				t.Fatal(err)
			}
			boards[key.PartNumber] = change.After != nil
		}
		asked.After = &body.Next
		if len(body.Changes) == 0 {
			break
		}
	}
	if len(boards) < 10 || !boards["ZQ-PA-131"] {
		t.Errorf("the copy has the boards %v", boards)
	}
	moved := make(chan error, 1)
	go func() {
		time.Sleep(200 * time.Millisecond)
		r, err := c.AddMoveWithResponse(t.Context(), &client.AddMoveParams{IdempotencyKey: "delivery-1"}, client.MoveAsked{
			Kind: client.MoveKindReceived, Location: "shelf", PartNumber: "ZQ-LM-101", Condition: client.ConditionNew, Quantity: 3})
		if err == nil {
			err = client.ErrorOf(r)
		}
		moved <- err
	}()
	for asked.Wait = new(30); ; { // the other tests change things too
		r, err := c.ListChangesWithResponse(t.Context(), asked)
		body := answered(t, r, err).JSON200
		if slices.ContainsFunc(body.Changes, func(change client.Change) bool { return strings.Contains(string(change.Key), `"shelf"`) }) {
			break
		}
		asked.After = &body.Next
	}
	if err := <-moved; err != nil {
		t.Error(err)
	}
}

func clientProblems(t *testing.T, url string, c *client.ClientWithResponses) {
	r, err := c.GetFitWithResponse(t.Context(), &client.GetFitParams{Brand: "Fenlask", Model: "Vask 69O"})
	if p := refused(t, r, err); p.Type != client.ProblemTypeUnknownModel || (*p.Candidates)[0].Model != "Vask 690" || p.Error() != p.Detail || p.Detail == "" {
		t.Errorf("an unknown model: %+v", p)
	}
	for name, other := range map[string]*client.ClientWithResponses{"none": connect(t, url, ""), "another": connect(t, url, "standin_wrong")} {
		r, err := other.ReleaseHoldWithResponse(t.Context(), 1, nil)
		if p := refused(t, r, err); p.Type != client.ProblemTypeUnauthorized || !strings.HasPrefix(*r.HeadersDefault.WWWAuthenticate, "Bearer") {
			t.Errorf("a token, %s: %+v", name, p)
		}
	}
}

// Whoever asks too much is told when to ask again.
func TestClientRetryAfter(t *testing.T) {
	t.Parallel()
	url, token := served(t, "--rate-limit", "3")
	c := connect(t, url, token)
	for range 20 {
		r, err := c.GetBoardWithResponse(t.Context(), "ZQ-PA-131", nil)
		if err != nil {
			t.Fatal(err)
		}
		if client.ErrorOf(r) == nil {
			continue
		}
		after := r.HeadersDefault.RetryAfter
		if p := refused(t, r, nil); p.Type != client.ProblemTypeTooManyRequests || after == nil || *after < 1 || *after > 60 {
			t.Errorf("%+v, ask again after %v s", p, after)
		}
		return
	}
	t.Error("nothing was refused")
}

// Something that is not the service is no answer of it.
func TestClientElsewhere(t *testing.T) {
	t.Parallel()
	for _, status := range []int{http.StatusOK, http.StatusBadGateway} {
		elsewhere := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
			w.Header().Set("Content-Type", "text/html")
			w.WriteHeader(status)
			_, _ = w.Write([]byte("<p>Sign in to the network</p>"))
		}))
		t.Cleanup(elsewhere.Close)
		r, err := connect(t, elsewhere.URL, "").GetBoardWithResponse(t.Context(), "ZQ-PA-131", nil)
		if err != nil {
			t.Fatal(err)
		}
		var p *client.Problem
		if err := client.ErrorOf(r); err == nil || errors.As(err, &p) || !strings.Contains(err.Error(), "text/html") {
			t.Errorf("status %d: %v", status, err)
		}
	}
}
