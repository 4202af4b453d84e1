// Takes jobs of the bench along, says whether one that was taken still holds, and has
// fittings noted. Without it every page is whole.
"use strict";

(async () => {
  const along = document.getElementById("along");
  if (!along) return;
  const base = new URL(along.dataset.worker, location).pathname.replace(/\/bench\/worker\.js$/, "");
  const saidHere = document.getElementById("along-said");
  const job = document.getElementById("job")?.dataset.job;
  const isCopy = "taken" in along.dataset;
  const again = 10e3; // milliseconds between questions whether the server answers

  const add = (to, name, text, changes) => {
    const made = Object.assign(document.createElement(name), changes);
    made.textContent = text;
    to.append(made);
    return made;
  };
  const when = (text) => new Date(text).toLocaleString(undefined, { dateStyle: "medium", timeStyle: "short" });
  for (const time of along.querySelectorAll("time")) time.textContent = when(time.dateTime);

  // Why nothing can be taken along here; empty: it can.
  const hindrance = async () => {
    if (!("serviceWorker" in navigator)) {
      return "This browser cannot take a job along here: it can only over https, and in no private window. The pages work as ever.";
    }
    if (!("DecompressionStream" in window) || !("WebAssembly" in window)) {
      return "This browser is too old to take a job along. The pages work as ever.";
    }
    try {
      await alongStore.keys(base, "jobs");
    } catch (e) {
      return "This browser keeps nothing for this site (a private window, or its settings): no job can be taken along. The pages work as ever.";
    }
    return "";
  };

  const take = async (address) => {
    await navigator.serviceWorker.register(along.dataset.worker, { scope: base + "/bench", updateViaCache: "none" });
    const answer = await fetch(address);
    const made = await answer.json();
    if (!answer.ok) throw new Error(made.refused || made.detail);
    const known = new Set(await alongStore.keys(base, "files"));
    for (const file of made.files.filter((f) => !known.has(f))) {
      const got = await fetch(file);
      if (!got.ok) throw new Error("the server did not send " + file);
      await alongStore.put(base, "files", { address: file, type: got.headers.get("Content-Type"), body: await got.arrayBuffer() });
    }
    const { pages, ...record } = made;
    const kept = Object.entries(pages).map(([at, text]) => ({ address: alongStore.address(new URL(at, location)), job: made.key, text, policy: made.policy }));
    const shelf = await fetch(base + "/bench/along");
    if (!shelf.ok) throw new Error("the server did not send a page");
    await alongStore.put(base, "pages", { address: base + "/bench/along?", job: "", text: await shelf.text(), policy: made.policy });
    await alongStore.replaceJob(base, record, kept);
    await navigator.serviceWorker.ready;
    await navigator.storage?.persist?.();
    return record;
  };

  // reason says in a sentence why nothing was taken.
  const reason = (e) => (e.name === "QuotaExceededError" ? "This browser has no room left: nothing was taken along. The pages work as ever."
    : "Nothing was taken along: " + (navigator.onLine ? e.message : "there is no signal") + ".");

  // What differs between what was taken along and what holds now, in sentences.
  const differences = (was, now) => {
    const lines = [];
    const differs = (one, all) => !all.some((o) => o.about === one.about && o.sum === one.sum);
    for (const old of was.filter((o) => differs(o, now))) {
      const next = now.find((n) => n.about === old.about);
      if (!next) lines.push("No longer: " + old.about + (old.text ? ": " + old.text : ""));
      else if (old.text && old.text !== next.text) lines.push(old.about + ": was " + old.text + ", is now " + (next.text || "none"));
      else lines.push(old.about + " has changed.");
    }
    for (const one of now.filter((n) => differs(n, was) && !was.some((o) => o.about === n.about))) lines.push("New: " + one.about + (one.text ? ": " + one.text : ""));
    return lines;
  };

  const warn = (heading, lines, action, what) => {
    const box = document.createElement("section");
    box.className = "sheet warn changed";
    add(box, "h2", heading);
    const list = add(box, "ul", "");
    for (const line of lines) add(list, "li", line);
    add(box, "p", "Do nothing more by what you had. If it was done already, it must be looked at again before the machine goes back into use.");
    add(box, "button", action, { type: "button", className: "big" }).addEventListener("click", what);
    saidHere.replaceChildren(box);
    if (isCopy) document.getElementById("job").hidden = true;
  };

  // compare asks for a job that was taken along, and says first what differs.
  let compared = false;
  const compare = async (record) => {
    if (compared) return;
    let answer;
    try {
      answer = await fetch(along.dataset.copy, { cache: "no-store" });
    } catch (e) {
      return; // still away
    }
    if (answer.status >= 500 || answer.status === 429) return;
    if (answer.status === 401 || answer.status === 403) {
      const text = add(saidHere.appendChild(document.createElement("p")), "a", "The server answers again: sign in, so that the job can be compared.");
      text.href = base + "/sign-in?to=" + encodeURIComponent(location.pathname.slice(base.length) + location.search);
      compared = true;
      return;
    }
    const now = await answer.json();
    compared = true;
    if (!answer.ok) {
      warn("STOP. This job must not go on: the board may no longer be fitted", [now.refused], "Show what the catalogue says", async () => {
        await alongStore.replaceJob(base, { key: record.key }, []);
        location.reload();
      });
    } else if (now.facts !== record.facts) {
      warn("STOP. The catalogue has changed since this job was taken along", differences(record.says, now.says), "I have read it: take along what holds now", async () => {
        await take(along.dataset.copy).catch(() => {});
        location.reload();
      });
    } else if (isCopy) {
      const box = saidHere.appendChild(document.createElement("p"));
      box.className = "sheet tight";
      box.textContent = "The server answers again, and this job is as it was taken along (catalogue version " + now.version + " now). ";
      add(box, "a", "Go on without the copy", { href: location.href, className: "quietly" });
    }
  };

  // The pages of a job.
  if (job) {
    const kept = await alongStore.get(base, "jobs", job).catch(() => undefined);
    if (kept && isCopy) {
      addEventListener("online", () => compare(kept));
      setInterval(() => compare(kept), again);
      compare(kept);
    } else if (kept && kept.facts !== along.dataset.facts) {
      await compare(kept);
    }
    const offer = document.getElementById("take");
    if (offer && !isCopy) {
      const [status, button] = [offer.querySelector(".status"), offer.querySelector("button")];
      const why = await hindrance();
      offer.hidden = false;
      button.hidden = why !== "";
      status.textContent = why || (kept ? "Taken along " + when(kept.taken) + ", catalogue version " + kept.version + "." : "");
      if (kept) button.textContent = "Take it along anew";
      button.addEventListener("click", async () => {
        button.disabled = true;
        status.textContent = "Taking it along…";
        try {
          const record = await take(along.dataset.copy);
          status.textContent = "Taken along, catalogue version " + record.version + ". It opens without a signal now.";
          button.textContent = "Take it along anew";
        } catch (e) {
          status.textContent = reason(e);
        }
        button.disabled = false;
      });
    }
  }

  // What became of the board.
  const note = document.getElementById("note");
  if (note) {
    note.hidden = false;
    const flush = alongSend.start(base, note.dataset.send, note.querySelector(".sends"), job);
    const form = note.querySelector("form");
    form.addEventListener("submit", async (e) => {
      e.preventDefault();
      const body = JSON.parse(note.dataset.fitting);
      for (const [name, value] of new FormData(form)) if (value.trim()) body[name] = value.trim();
      const points = [...new URLSearchParams(location.search)].filter(([name]) => /^p\d+$/.test(name));
      if (points.length) body.reading = points.sort(([a], [b]) => a.slice(1) - b.slice(1)).map(([, value]) => value).join("");
      const key = [...crypto.getRandomValues(new Uint8Array(16))].map((b) => b.toString(16).padStart(2, "0")).join("");
      try {
        await alongStore.put(base, "sends", { key, job, body, at: Date.now(), state: "waiting", tallyHere: isCopy ? note.dataset.tally : "" });
        form.reset();
      } catch (e) {
        note.querySelector(".sends").textContent = "This browser keeps nothing: the fitting is not noted.";
        return;
      }
      await flush();
    });
  }

  // The page of what was taken along.
  const shelf = document.getElementById("shelf");
  if (!shelf) return;
  const said = document.getElementById("shelf-said");
  document.getElementById("none").hidden = !new URLSearchParams(location.search).has("none");
  const why = await hindrance();
  if (why) {
    said.textContent = why;
    return;
  }
  const jobs = await alongStore.all(base, "jobs");
  said.textContent = jobs.length ? "These open without a signal. Each says of which version of the catalogue it is." : "Nothing was taken along in this browser.";
  for (const one of jobs) {
    const line = add(shelf, "li", "");
    add(add(line, "a", one.board + " ", { href: one.start }), "small", "into " + one.machine + ", catalogue version " + one.version + ", " + when(one.taken));
    add(line, "button", "Put back", { type: "button", className: "plain" }).addEventListener("click", async () => {
      await alongStore.replaceJob(base, { key: one.key }, []);
      line.remove();
    });
  }
  const opened = [];
  for (let i = 0; i < localStorage.length; i++) {
    const key = localStorage.key(i);
    const seen = key.startsWith("bench ?") && JSON.parse(localStorage.getItem(key) || "{}");
    if (seen && new Date(seen.opened || 0).toDateString() === new Date().toDateString() && !jobs.some((j) => "bench " + j.key === key)) opened.push(key.slice(6));
  }
  const today = document.getElementById("today");
  today.hidden = opened.length === 0;
  for (const query of opened) {
    const asked = new URLSearchParams(query);
    const line = add(today.querySelector("ul"), "li", "");
    add(line, "a", asked.get("part_number") + " into " + asked.get("brand") + " " + asked.get("model"), { href: base + "/bench" + query });
  }
  const all = today.querySelector("button");
  all.addEventListener("click", async () => {
    all.disabled = true;
    const failed = [];
    for (const query of opened) await take(base + "/bench/copy" + query).catch((e) => failed.push(query.slice(1, 60) + ": " + reason(e)));
    if (failed.length === 0) location.reload();
    else said.textContent = failed.join(" ");
  });
  const waiting = document.getElementById("waiting");
  if (waiting.dataset.send && (await alongStore.keys(base, "sends")).length) {
    waiting.hidden = false;
    alongSend.start(base, waiting.dataset.send, waiting.querySelector(".sends"));
  }
})();
