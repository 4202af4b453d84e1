// What workshop software does, tried on the demo catalogue of the service at
// $STANDIN with the token $TOKEN. It ends with an error where something is amiss.
import { connect, nextAfter, type CountAsked, type FittingAsked, type HoldAsked, type Problem } from "./client.js";

declare const process: { env: Record<string, string | undefined> };

const { STANDIN = "http://127.0.0.1:8470", TOKEN } = process.env;
const standin = connect(STANDIN, TOKEN);

function must(holds: boolean, what: string, got?: unknown): asserts holds {
  if (!holds) throw new Error(`${what}: ${JSON.stringify(got)}`);
}

/** What was answered; the detail of a problem is thrown. */
function answered<T>(result: { data?: T; error?: Problem }): T {
  if (result.data === undefined) throw new Error(result.error?.detail ?? "nothing was answered");
  return result.data;
}

async function counter() {
  const query = { brand: "Fenlask", model: "Vask 690", plug: "10", location: "front" };
  const answer = answered(await standin.GET("/v1/fits", { params: { query } }));
  const best = answer.candidates[0];
  must(best?.part_number === "ZQ-PA-131" && best.verdict === "fits", "the best board", best);
  must(best.builds[0]?.code.join(" ") === "3 4 12 2", "its code", best.builds[0]);

  const machines = [{ brand: "Fenlask", model: "Vask 690" }, { brand: "Fenlask", model: "Vask 69O" }];
  const { answers } = answered(await standin.POST("/v1/fits/short", { body: { machines } }));
  const [first, second] = answers;
  must(first?.kind === "answer" && first.question?.kind === "plug", "the question that settles it", first);
  must(second?.kind === "problem" && second.candidates?.[0]?.model === "Vask 690", "the nearest model", second);
}

async function nightly() {
  const params = { path: { location: "van" }, query: { skip_unknown: true } };
  const lines: CountAsked[] = [
    { part_number: "ZQ-PA-131", revision: "C", condition: "new", quantity: 2 },
    { part_number: "ZQ-LM-101", condition: "new", quantity: 5 },
    { part_number: "ZQ-PA-999", condition: "used", quantity: 1 },
  ];
  const counted = answered(await standin.PUT("/v1/stock/{location}", { params, body: { lines, reason: "nightly" } }));
  must(counted.added === 2 && counted.unknown[0]?.part_number === "ZQ-PA-999", "what was counted", counted);

  const found: string[] = [];
  for (let after: string | undefined, more = true; more; more = after !== undefined) {
    const page = await standin.GET("/v1/stock", { params: { query: { location: "van", limit: 1, after } } });
    found.push(...answered(page).lines.map((line) => line.part_number));
    after = nextAfter(page.response);
  }
  must(found.join() === "ZQ-LM-101,ZQ-PA-131", "what is in the van", found);

  const line = { path: { location: "van", part_number: "ZQ-LM-101" } };
  const read = await standin.GET("/v1/stock/{location}/{part_number}", { params: line });
  const set = (quantity: number) => standin.PUT("/v1/stock/{location}/{part_number}", {
    params: { ...line, header: { "If-Match": read.response.headers.get("ETag") ?? "" } }, body: { quantity },
  });
  must(answered(await set(6)).quantity === 6, "the line as it was read");
  must((await set(7)).error?.type === "/problems/precondition", "the line, changed since it was read");
}

async function holdAndTake() {
  const until = new Date(Date.now() + 3 * 24 * 3600 * 1000).toISOString();
  const body: HoldAsked = { location: "van", part_number: "ZQ-PA-131", revision: "C", condition: "new", quantity: 1, until, for: "Mrs Ashby" };
  const hold = (key: string, quantity: number) =>
    standin.POST("/v1/holds", { params: { header: { "Idempotency-Key": key } }, body: { ...body, quantity } });
  const [one, same] = await Promise.all([hold("job-9-hold", 1), hold("job-9-hold", 1)]);
  const { hold: id } = answered(one);
  must(answered(same).hold === id, "the same key, the same hold", same.data);
  must((await hold("job-9-hold", 2)).error?.type === "/problems/key-reused", "the key of another request");
  const { error } = await hold("job-10-hold", 2);
  must(error?.type === "/problems/not-free" && Array.isArray(error.stock), "more than is free", error);

  const params = { path: { id }, header: { "Idempotency-Key": "job-9-take" } };
  const taken = answered(await standin.POST("/v1/holds/{id}/take", { params, body: { reason: "collected" } }));
  must(taken.hold.state === "taken" && taken.move.after === 1 && taken.move.hold === id, "what was taken", taken);
}

async function fitting() {
  const body: FittingAsked = {
    brand: "Fenlask", model: "Vask 690", plug: [10], part_number: "ZQ-PA-131", revision: "C",
    code: ["3", "4", "12", "2"], reading: "11f110f101", outcome: "works", reference: "job 9",
  };
  const params = { header: { "Idempotency-Key": "job-9-fitting" } };
  const made = answered(await standin.POST("/v1/fittings", { params, body }));
  must(made.tally === "tallies" && made.pattern === "11f11-f101", "the fitting", made);
}

async function changes() {
  const kinds = new Map<string, number>();
  for (let after: string | undefined; ; ) {
    const page = answered(await standin.GET("/v1/changes", { params: { query: { limit: 200, after } } }));
    for (const { kind } of page.changes) kinds.set(kind, (kinds.get(kind) ?? 0) + 1);
    if (page.changes.length === 0) break;
    after = page.next;
  }
  must(kinds.get("holds") === 2 && kinds.get("fittings") === 1 && (kinds.get("boards") ?? 0) > 10, "what changed", [...kinds]);
}

async function problems() {
  const { error, response } = await standin.GET("/v1/fits", { params: { query: { brand: "Fenlask", model: "Vask 69O" } } });
  must(response.status === 404 && error?.type === "/problems/unknown-model" && error.parameter === "model", "an unknown model", error);
  const stranger = await connect(STANDIN, "standin_wrong").DELETE("/v1/holds/{id}", { params: { path: { id: 1 } } });
  must(stranger.error?.type === "/problems/unauthorized", "a token that is none", stranger.error);
}

for (const part of [counter, nightly, holdAndTake, fitting, changes, problems]) {
  await part();
  console.log(part.name);
}
