// Keeps the progress of a job in the browser, so that a reload or a locked phone
// loses nothing. Without it the address still holds the step.
"use strict";

(() => {
  const job = document.getElementById("job");
  if (!job?.dataset.job) return;
  const key = "bench " + job.dataset.job;

  // Storage may be full, or not allowed: then nothing is kept, and nothing fails.
  const load = () => {
    try {
      return JSON.parse(localStorage.getItem(key)) || {};
    } catch (e) {
      return {};
    }
  };
  const keep = (changes) => {
    try {
      localStorage.setItem(key, JSON.stringify({ ...load(), ...changes }));
    } catch (e) {
      // not kept
    }
  };

  keep({ opened: Date.now() });
  if (job.dataset.step) keep({ step: job.dataset.step, at: location.pathname + location.search });

  const resume = document.getElementById("resume");
  const { step, at, seen } = load();
  if (resume && at && /^\/([\w.-]+\/)*bench/.test(at)) {
    const link = resume.querySelector("a");
    link.href = at;
    link.textContent = step === "reading" ? say("Go on with the reading") : say("Go on at step {n}", { n: step });
    resume.hidden = false;
  }

  // The reading: what was set is set again, unless the address says what was.
  const reading = document.getElementById("reading");
  if (reading && !new URLSearchParams(location.search).has("p1")) {
    for (const [name, value] of Object.entries(seen || {})) {
      const field = reading.elements[name];
      if (field) field.value = value;
    }
  }
  document.addEventListener("change", (e) => {
    if (e.target.form?.id !== "reading") return;
    keep({ seen: Object.fromEntries([...new FormData(e.target.form)].filter(([name]) => /^p\d+$/.test(name))) });
  });
  document.addEventListener("click", (e) => {
    if (e.target.closest("[data-forget]")) keep({ seen: {} });
  });
})();
