//go:build js && wasm

// Command browser has a browser judge readings: it gives the page a function
// standinJudge(taken, reading, asItIs), which is judge.InJSON.
package main

import (
	"syscall/js"

	"standin/api/page/judge"
)

func main() {
	js.Global().Set("standinJudge", js.FuncOf(func(_ js.Value, asked []js.Value) any {
		return judge.InJSON(asked[0].String(), asked[1].String(), asked[2].Bool())
	}))
	select {} // the page goes on asking
}
