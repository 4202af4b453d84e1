// Judges the cases on the standard input with the program for browsers, in node:
// node run.js wasm_exec.js judge.wasm.gz. The answers are written as a list.
"use strict";

const fs = require("node:fs");
const vm = require("node:vm");
const zlib = require("node:zlib");

vm.runInThisContext(fs.readFileSync(process.argv[2], "utf8"));

(async () => {
  const go = new Go();
  const { instance } = await WebAssembly.instantiate(zlib.gunzipSync(fs.readFileSync(process.argv[3])), go.importObject);
  go.run(instance);
  const cases = JSON.parse(fs.readFileSync(0, "utf8"));
  const answers = cases.map((c) => standinJudge(c.Taken, c.Reading, c.AsItIs));
  fs.writeFileSync(1, JSON.stringify(answers));
  process.exit(0);
})();
