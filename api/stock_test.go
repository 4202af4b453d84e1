package api_test

import (
	"fmt"
	"net/http"
	"strings"
	"testing"
	"time"
)

const soldOne = `{"kind":"sold","location":"front","part_number":"70-1002","revision":"A","condition":"new","quantity":1,"reference":"job 7"}`

// The stock of testdata/bundle: two new of 70-1002 revision A at the front.
var stockCases = []struct {
	name string
	call
	status int
	has    has
}{
	{"lines", call{target: "/v1/stock"}, 200, has{
		"lines": `[{"condition":"new","free":2,"held":0,"kind":"board","location":"front","part_number":"70-1002","quantity":2,"revision":"A","short":0}]`,
	}},
	{"lines of a location with none", call{target: "/v1/stock?location=back"}, 200, has{"lines": "[]"}},
	{"a line", call{target: "/v1/stock/front/70-1002?revision=A"}, 200, has{"quantity": "2", "free": "2"}},
	{"a line that is not there", call{target: "/v1/stock/front/70-1002"}, 404, has{"type": `"/problems/not-found"`}},
	{"a sale", as("stock", "POST", "/v1/stock/moves", soldOne), 201, has{
		"kind": `"sold"`, "before": "2", "after": "1", "by": `"the stock token"`, "reference": `"job 7"`, "to": "null", "hold": "null",
	}},
	{"a sale of more than there is", as("stock", "POST", "/v1/stock/moves", strings.Replace(soldOne, `:1,"ref`, `:3,"ref`, 1)), 409, has{
		"type": `"/problems/not-free"`, "parameter": `"quantity"`, "stock": "[]",
	}},
	{"a move", as("admin", "POST", "/v1/stock/moves", strings.Replace(soldOne, `"sold"`, `"moved","to":"back"`, 1)), 201, has{
		"to": `{"after":1,"before":0,"location":"back"}`,
	}},
	{"a move by one who may move at the front alone", as("front", "POST", "/v1/stock/moves", strings.Replace(soldOne, `"sold"`, `"moved","to":"back"`, 1)), 403, has{
		"type": `"/problems/forbidden"`, "parameter": `"to"`,
	}},
	{"a sale at the front by one who may", as("front", "POST", "/v1/stock/moves", soldOne), 201, has{"by": `"front desk"`}},
	{"an unknown part", as("stock", "POST", "/v1/stock/moves", strings.Replace(soldOne, "70-1002", "70-9999", 1)), 404, has{"parameter": `"part_number"`}},
	{"an unknown kind", as("stock", "POST", "/v1/stock/moves", strings.Replace(soldOne, "sold", "lost", 1)), 400, has{"parameter": `"/kind"`}},
	{"no key", call{method: "POST", target: "/v1/stock/moves", body: soldOne, header: []string{"Authorization", "Bearer stock"}}, 400, has{"parameter": `"Idempotency-Key"`}},
	{"a key that is none", as("stock", "POST", "/v1/stock/moves", soldOne, "Idempotency-Key", `"a`), 400, has{"parameter": `"Idempotency-Key"`}},
	{"a line made", as("stock", "PUT", "/v1/stock/back/70-1002?condition=used", `{"quantity":4}`), 201, has{"quantity": "4", "revision": `""`, "condition": `"used"`}},
	{"a line counted", as("stock", "PUT", "/v1/stock/front/70-1002?revision=A", `{"quantity":4}`), 200, has{"quantity": "4"}},
	{"a line that must not be there", as("stock", "PUT", "/v1/stock/front/70-1002?revision=A", `{"quantity":4}`, "If-None-Match", "*"), 412, has{"parameter": `"If-None-Match"`}},
	{"a line that is another", as("stock", "PUT", "/v1/stock/front/70-1002?revision=A", `{"quantity":4}`, "If-Match", `"1-0"`), 412, has{"parameter": `"If-Match"`}},
	{"less than nothing", as("stock", "PUT", "/v1/stock/front/70-1002?revision=A", `{"quantity":-1}`), 400, has{"parameter": `"/quantity"`}},
	{"a location", as("stock", "PUT", "/v1/stock/front", `{"lines":[{"part_number":"70-1001","condition":"new","quantity":1}]}`), 200, has{
		"added": "1", "changed": "1", "unchanged": "0", "unknown": "[]", "short": "[]",
	}},
	{"a location with an unknown part", as("stock", "PUT", "/v1/stock/front", `{"lines":[{"part_number":"70-9999","condition":"new","quantity":1}]}`), 422, has{
		"type": `"/problems/rejected"`, "parameter": `"/lines/0"`,
	}},
	{"and it left out", as("stock", "PUT", "/v1/stock/back?skip_unknown=true", `{"lines":[{"part_number":"70-9999","condition":"new","quantity":1}]}`), 200, has{
		"unknown": `[{"condition":"new","location":"back","part_number":"70-9999","revision":""}]`,
	}},
	{"another location than one's own", as("front", "PUT", "/v1/stock/back", `{"lines":[]}`), 403, has{"parameter": `"location"`}},
	{"a hold that is not there", call{target: "/v1/holds/9"}, 404, has{"type": `"/problems/not-found"`}},
	{"a hold in the past", as("stock", "POST", "/v1/holds", holdBody(1, -time.Hour)), 400, has{"parameter": `"until"`}},
	{"a hold on more than there is", as("stock", "POST", "/v1/holds", holdBody(3, time.Hour)), 409, has{"type": `"/problems/not-free"`}},
	{"holds", call{target: "/v1/holds?state=held"}, 200, has{"holds": "[]"}},
	{"moves", call{target: "/v1/stock/moves"}, 200, has{"moves": "[]"}},
}

func holdBody(quantity int, lasts time.Duration) string {
	return fmt.Sprintf(`{"location":"front","part_number":"70-1002","revision":"A","condition":"new","quantity":%d,"until":%q,"for":"Mrs Ashby"}`,
		quantity, time.Now().Add(lasts).UTC().Format(time.RFC3339))
}

// Each call begins with the same stock.
func TestStockCalls(t *testing.T) {
	t.Parallel()
	handler, _, exec := newShop(t)
	for _, c := range stockCases {
		t.Run(c.name, func(t *testing.T) {
			exec(`TRUNCATE stock_moves, holds, feed, idempotency`)
			exec(`DELETE FROM stock WHERE revision_id IS NULL OR location <> 'front'`)
			exec(`UPDATE stock SET quantity = 2`)
			got := c.do(t, handler)
			if got.Code != c.status {
				t.Errorf("status %d, want %d", got.Code, c.status)
			}
			for path, want := range c.has {
				if have := got.at(path); have != want {
					t.Errorf("%s is %s, want %s", path, have, want)
				}
			}
			if t.Failed() {
				t.Logf("%s", got.Body)
			}
		})
	}
}

// RFC 9110, 13.1.1: what was read is changed only where it is still so.
func TestNoUpdateIsLost(t *testing.T) {
	t.Parallel()
	handler, _, _ := newShop(t)
	const target = "/v1/stock/front/70-1002?revision=A"
	read := get(t, handler, target)
	tag := read.Header().Get("ETag")
	if tag == "" || strings.HasPrefix(tag, "W/") {
		t.Fatalf("ETag %q", tag)
	}
	if got := (call{target: target, header: []string{"If-None-Match", tag}}).do(t, handler); got.Code != http.StatusNotModified {
		t.Errorf("read again: status %d", got.Code)
	}
	if got := as("stock", "PUT", target, `{"quantity":5}`, "If-Match", tag).do(t, handler); got.Code != 200 || got.Header().Get("ETag") == tag {
		t.Errorf("the first: status %d, ETag %q", got.Code, got.Header().Get("ETag"))
	}
	if got := as("stock", "PUT", target, `{"quantity":6}`, "If-Match", tag).do(t, handler); got.Code != http.StatusPreconditionFailed {
		t.Errorf("the second: status %d", got.Code)
	}
}

// A hold from its beginning to its end, and what answers say of it meanwhile.
func TestHoldCalls(t *testing.T) {
	t.Parallel()
	handler, _, exec := newShop(t)
	const question = "/v1/fits?brand=Wexcombe&model=DW+410&plug=6+2+2&location=front"
	free := func(want string) {
		t.Helper()
		if got := get(t, handler, question); got.at("candidates.0.stock.0.free") != want {
			t.Errorf("the answer has %s free, want %s", got.at("candidates.0.stock"), want)
		}
		if got := get(t, handler, "/v1/boards/70-1002"); got.at("stock.0.free") != want {
			t.Errorf("the board has %s free, want %s", got.at("stock"), want)
		}
	}
	tag := func() string { return get(t, handler, question).Header().Get("ETag") }
	free("2")
	before := tag()
	made := as("stock", "POST", "/v1/holds", holdBody(2, time.Hour)).do(t, handler)
	if made.Code != 201 || made.Header().Get("Location") != "/v1/holds/"+made.at("hold") || made.at("state") != `"held"` || made.at("for") != `"Mrs Ashby"` {
		t.Fatalf("status %d, %s", made.Code, made.Body)
	}
	free("0")
	if tag() == before {
		t.Error("the answer's ETag is as before the hold")
	}
	before = tag()
	exec(`UPDATE holds SET until = now() - interval '1 microsecond'`)
	free("2")
	if tag() == before {
		t.Error("the answer's ETag is as before the hold ran out")
	}
	id := as("stock", "POST", "/v1/holds", holdBody(1, time.Hour)).do(t, handler).at("hold")
	if got := as("stock", "PATCH", "/v1/holds/"+id, fmt.Sprintf(`{"until":%q}`, time.Now().Add(48*time.Hour).UTC().Format(time.RFC3339))).do(t, handler); got.Code != 200 {
		t.Errorf("renewed: status %d, %s", got.Code, got.Body)
	}
	if got := as("stock", "POST", "/v1/holds/"+id+"/take", `{"reason":"collected"}`).do(t, handler); got.Code != 200 || got.at("hold.state") != `"taken"` || got.at("move.hold") != id || got.at("move.after") != "1" {
		t.Errorf("taken: status %d, %s", got.Code, got.Body)
	}
	free("1")
	if got := as("stock", "DELETE", "/v1/holds/"+id, "").do(t, handler); got.Code != 409 || got.at("type") != `"/problems/conflict"` {
		t.Errorf("released after it was taken: status %d, %s", got.Code, got.Body)
	}
	id = as("stock", "POST", "/v1/holds", holdBody(1, time.Hour)).do(t, handler).at("hold")
	exec(`UPDATE stock SET location = 'back'`)
	exec(`UPDATE holds SET location = 'back' WHERE id = $1::text::bigint`, id)
	if got := as("front", "DELETE", "/v1/holds/"+id, "").do(t, handler); got.Code != 403 {
		t.Errorf("released by one who may not at the back: status %d", got.Code)
	}
	if got := as("stock", "DELETE", "/v1/holds/"+id, "").do(t, handler); got.Code != 200 || got.at("state") != `"released"` {
		t.Errorf("released: status %d, %s", got.Code, got.Body)
	}
	if got := get(t, handler, "/v1/holds?limit=1"); got.at("holds.length") != "1" || !strings.Contains(got.Header().Get("Link"), "/v1/holds?limit=1") && !strings.Contains(got.Header().Get("Link"), "after=") {
		t.Errorf("one hold a page: %s, Link %q", got.Body, got.Header().Get("Link"))
	}
}

// What is said with a hold that is taken may be left out, and with it the body.
func TestTakeWithoutBody(t *testing.T) {
	t.Parallel()
	handler, _, _ := newShop(t)
	id := as("stock", "POST", "/v1/holds", holdBody(1, time.Hour)).do(t, handler).at("hold")
	for range 2 { // the second time by its key
		got := as("stock", "POST", "/v1/holds/"+id+"/take", "", "Idempotency-Key", "once").do(t, handler)
		if got.Code != 200 || got.at("hold.state") != `"taken"` || got.at("move.move") != "1" {
			t.Errorf("status %d, %s", got.Code, got.Body)
		}
	}
	if got := as("stock", "POST", "/v1/holds", "").do(t, handler); got.Code != 415 {
		t.Errorf("a body that is needed, left out: status %d", got.Code)
	}
}

// When a hold ends is a time, which its refusal shows.
func TestUntilIsATime(t *testing.T) {
	t.Parallel()
	handler, _, _ := newShop(t)
	body := strings.Replace(holdBody(1, time.Hour), `"until":"`, `"until":"by `, 1)
	if got := as("stock", "POST", "/v1/holds", body).do(t, handler); got.Code != 400 || !strings.Contains(got.at("detail"), "/until must be a time as 2026-03-06T17:00:00Z") {
		t.Errorf("status %d, %s", got.Code, got.Body)
	}
}

// draft-ietf-httpapi-idempotency-key-header-07, 2.6 and 2.7.
func TestIdempotencyKey(t *testing.T) {
	t.Parallel()
	handler, _, _ := newShop(t)
	const key = `"8e03978e-40d5-43dd-bc93-6894a57f9324"`
	first := as("stock", "POST", "/v1/stock/moves", soldOne, "Idempotency-Key", key).do(t, handler)
	// The same JSON in another order and with other spaces, the key without its quotes.
	other := `{"reference":"job 7", "quantity":1, "condition":"new", "revision":"A", "part_number":"70-1002", "location":"front", "kind":"sold"}`
	again := as("stock", "POST", "/v1/stock/moves", other, "Idempotency-Key", strings.Trim(key, `"`)).do(t, handler)
	if first.Code != 201 || again.Code != 201 || first.Body.String() != again.Body.String() {
		t.Errorf("first %d %s, again %d %s", first.Code, first.Body, again.Code, again.Body)
	}
	if got := get(t, handler, "/v1/stock/front/70-1002?revision=A"); got.at("quantity") != "1" {
		t.Errorf("sold more than once: %s", got.Body)
	}
	for name, c := range map[string]call{
		"another body": as("stock", "POST", "/v1/stock/moves", strings.Replace(soldOne, "job 7", "job 8", 1), "Idempotency-Key", key),
		"another call": as("stock", "POST", "/v1/holds", holdBody(1, time.Hour), "Idempotency-Key", key),
	} {
		if got := c.do(t, handler); got.Code != 422 || got.at("type") != `"/problems/key-reused"` {
			t.Errorf("%s: status %d, %s", name, got.Code, got.Body)
		}
	}
	if got := as("admin", "POST", "/v1/stock/moves", soldOne, "Idempotency-Key", key).do(t, handler); got.Code != 201 || got.at("after") != "0" {
		t.Errorf("the key of another token: status %d, %s", got.Code, got.Body)
	}
}
