// What the server would say to what is entered, on a page that was taken along: whether
// a reading tallies, by the program of the core, which is loaded only when it is needed.
// The ends that a page may come to are on it as templates, made by the server.
"use strict";

(async () => {
  const along = document.getElementById("along");
  const base = new URL(along.dataset.worker, location).pathname.replace(/\/bench\/worker\.js$/, "");
  const jobBox = document.getElementById("job");
  const asked = new URLSearchParams(location.search);
  let points = [...asked].filter(([name]) => /^p\d+$/.test(name)); // and what each shows
  const end = (selector) => document.querySelector("template[" + selector + "]").content.cloneNode(true);

  // Links that lead out of the copy need a signal.
  const mark = async () => {
    const kept = new Set(await alongStore.keys(base, "pages"));
    for (const link of document.querySelectorAll("main a[href], header a[href]")) {
      const url = new URL(link.href);
      if (kept.has(alongStore.address(url)) || link.getAttribute("href").startsWith("#")) continue;
      link.title = "needs a signal";
      link.classList.add("needs-signal");
    }
  };

  // What was read goes on to the steps after it.
  const carry = (root) => {
    for (const link of root.querySelectorAll(".steps a")) {
      const url = new URL(link.href, location);
      if (!(Number(url.searchParams.get("step")) > Number(along.dataset.reads)) || !Number(along.dataset.reads)) continue;
      for (const [name, value] of points) url.searchParams.set(name, value);
      link.href = url.pathname + url.search;
    }
  };

  const judge = async (record, asItIs) => {
    if (!window.standinJudge) {
      await new Promise((resolve, reject) => {
        const script = Object.assign(document.createElement("script"), { src: along.dataset.run, onload: resolve, onerror: reject });
        document.head.append(script);
      });
      const packed = await fetch(along.dataset.judge);
      const program = await new Response(packed.body.pipeThrough(new DecompressionStream("gzip"))).arrayBuffer();
      const go = new Go();
      const { instance } = await WebAssembly.instantiate(program, go.importObject);
      go.run(instance);
    }
    const said = JSON.parse(standinJudge(record.judge, points.map(([, value]) => value).join(""), asItIs));
    if (said.Wrong) throw new Error(said.Wrong);
    return said;
  };

  const put = (root, selector, text) => {
    const at = root.querySelector(selector);
    if (at) at.textContent = text;
  };

  // fill makes a list of texts out of the first of its lines.
  const fill = (list, texts, ranks) => {
    const line = list.firstElementChild;
    list.replaceChildren(...texts.map((text, i) => {
      const made = line.cloneNode(true);
      made.textContent = text;
      if (ranks) made.value = ranks[i];
      return made;
    }));
  };

  const sentence = (text) => text[0].toUpperCase() + text.slice(1) + (/[.!?]$/.test(text) ? "" : ".");

  const showReading = (said) => {
    // How each point was seen is on the form, in the words of the server.
    const seen = points.map(([name, value]) => {
      const field = jobBox.querySelector(`[name=${name}][value="${CSS.escape(value)}"], select[name=${name}] option[value="${CSS.escape(value)}"]`);
      const from = field.tagName === "OPTION" ? field : field.parentNode.querySelector("span");
      return from.cloneNode(true).childNodes;
    });
    const made = end(`data-tally="${said.Missing ? "missing" : said.Tally}"`);
    if (said.Missing) {
      put(made, "[role=alert]", said.Missing);
      for (const [name, value] of points) {
        const radio = made.querySelector(`input[name=${name}][value="${CSS.escape(value)}"]`);
        const list = made.querySelector(`select[name=${name}]`);
        if (radio) radio.checked = true;
        if (list) list.value = value;
      }
      made.querySelectorAll(".toggle").forEach((toggle, i) => toggle.classList.toggle("toread", said.Unread.includes(i)));
      jobBox.replaceChildren(made);
      return;
    }
    jobBox.classList.remove("onestep");
    put(made, ".do", said.Text);
    made.querySelectorAll(".compared tbody tr").forEach((row, i) => {
      row.children[1].replaceChildren(...seen[i]);
      if (!(said.Differs || []).includes(i)) return;
      row.classList.add("differs");
      const mark = document.createElement("strong");
      mark.textContent = "≠";
      mark.append(Object.assign(document.createElement("span"), { className: "unseen", textContent: " differs" }));
      row.children[2].append(" ", mark);
    });
    const [first, more] = made.querySelectorAll(".stories");
    const stories = said.Stories || [];
    if (first && stories.length === 0) first.closest("section").remove();
    if (first && stories.length > 0) fill(first, stories.slice(0, 3).map((s) => sentence(s.Text)), stories.map((s) => s.Rank));
    if (more && stories.length <= 3) more.closest("details").remove();
    else if (more) fill(more, stories.slice(3).map((s) => sentence(s.Text)), stories.slice(3).map((s) => s.Rank));
    if (said.Tally === "incomplete") {
      const trials = made.querySelector("section ul");
      const remedy = made.querySelector("section p");
      if (said.Trials) fill(trials, said.Trials);
      else trials.remove();
      if (said.Remedy) remedy.textContent = sentence(said.Remedy);
      else remedy.remove();
      if (!said.Trials && !said.Remedy) made.querySelector("section").remove();
      const toRead = made.querySelector("a.press.big:not([data-forget])");
      toRead.href = location.pathname + location.search.replace(/&judge=[^&]*/, "");
    }
    if (said.Tally === "tallies") {
      const next = made.querySelector(".steps [rel=next]");
      const url = new URL(next.href, location);
      for (const [name, value] of points) url.searchParams.set(name, value);
      next.href = url.pathname + url.search;
    }
    jobBox.replaceChildren(made);
  };

  const measured = document.querySelector("form.measured[data-low]");
  if (measured && asked.get("measured")) {
    const field = measured.elements.measured;
    field.value = asked.get("measured");
    const [ohms, low, high] = [field.value.replaceAll(",", "."), measured.dataset.low, measured.dataset.high].map(Number);
    if (field.value.trim() === "" || !(ohms >= 0) || ohms === Infinity) {
      field.setCustomValidity("Give ohms, as 26.4.");
      field.reportValidity();
      field.addEventListener("input", () => field.setCustomValidity(""));
    } else {
      measured.after(end(`data-measured=${ohms < low ? "below" : ohms > high ? "above" : "within"}`));
    }
  }

  if (points.length > 0) {
    try {
      const record = await alongStore.get(base, "jobs", jobBox.dataset.job);
      const shown = new Map(points); // what is not given was not read
      points = JSON.parse(record.judge).Family.Readback.map((_, i) => ["p" + (i + 1), shown.get("p" + (i + 1)) || "?"]);
      if (document.getElementById("reading")) {
        showReading(await judge(record, asked.has("judge")));
      } else if (document.querySelector("template[data-proved]")) {
        const said = await judge(record, true);
        const proved = said.Tally === "tallies";
        const made = end(`data-proved=${proved}`);
        const text = [said.Text, said.Caution].filter(Boolean).join(" ");
        if (proved) made.querySelector("[role=status]").lastChild.textContent = "Proved: " + text;
        else put(made, "p:not(.press)", text);
        document.getElementById("proof").replaceChildren(made);
        const note = document.getElementById("note");
        if (note) {
          note.dataset.tally = said.Tally;
          note.querySelector("[value=works]").parentNode.hidden = !proved;
        }
      }
    } catch (e) {
      const failed = document.createElement("p");
      failed.className = "sheet warn caution";
      failed.textContent = "The reading cannot be compared without a signal: " + e.message + ". Nothing is proved.";
      document.getElementById("along-said").append(failed);
    }
    carry(document);
  }
  mark().catch(() => {});
})();
