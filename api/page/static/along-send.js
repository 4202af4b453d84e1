// Notes fittings in the browser and sends each once: under a key of its own, by which
// the service knows what it has already, however often it is sent.
"use strict";

const alongSend = (() => {
  const keyHolds = 23 * 3600e3; // milliseconds; the service knows a key for 24 hours
  const again = 15e3; // milliseconds between tries

  const say = (send) => {
    const about = send.body.part_number + " in " + send.body.brand + " " + send.body.model + ", " + send.body.outcome.replaceAll("-", " ");
    switch (send.state) {
      case "sent":
        if (send.tallyHere && send.tally !== send.tallyHere) {
          return "STOP: " + about + ": recorded as fitting " + send.number + ", but the service compares the reading otherwise than the copy did: " +
            send.tally.replaceAll("-", " ") + ", not " + send.tallyHere.replaceAll("-", " ") + ". Ask for the job again.";
        }
        return about + ": recorded as fitting " + send.number + ".";
      case "refused":
        return about + ": the service refuses it: " + send.said;
      case "unsure":
        return about + ": sent a day ago, and no answer came. It may be recorded: look among the fittings before it is noted again.";
    }
    return about + ": kept here, sent when there is a signal." + (send.said ? " " + send.said : "");
  };

  const post = async (base, address, send) => {
    if (send.tried && Date.now() - send.tried > keyHolds) {
      await alongStore.put(base, "sends", { ...send, state: "unsure" });
      return;
    }
    const probe = await fetch(base + "/healthz"); // it begins only where there is a signal
    if (!probe.ok) return;
    send.tried = send.tried || Date.now();
    await alongStore.put(base, "sends", send);
    const answer = await fetch(address, {
      method: "POST", body: JSON.stringify(send.body),
      headers: { "Content-Type": "application/json", "Idempotency-Key": '"' + send.key + '"' },
    });
    const said = await answer.json();
    if (answer.status === 201) {
      Object.assign(send, { state: "sent", number: said.fitting, tally: said.tally, said: "" });
    } else if (answer.status === 401 || answer.status === 403) {
      send.said = said.detail;
    } else if ([400, 404, 413, 422].includes(answer.status)) {
      Object.assign(send, { state: "refused", said: said.detail });
    } else {
      return; // it has no time now
    }
    await alongStore.put(base, "sends", send);
  };

  // start shows what is noted, of one job or of all, and sends what waits.
  const start = (base, address, list, job) => {
    const show = async () => {
      const sends = (await alongStore.all(base, "sends")).filter((s) => !job || s.job === job);
      list.replaceChildren(...sends.sort((a, b) => a.at - b.at).map((s) => {
        const line = document.createElement("p");
        line.className = s.state === "waiting" ? "" : s.state;
        line.textContent = say(s);
        if (/^Sign in/.test(s.said || "")) {
          const link = document.createElement("a");
          link.href = base + "/sign-in?to=" + encodeURIComponent(location.pathname.slice(base.length) + location.search);
          link.textContent = " Sign in";
          line.append(link);
        }
        if (s.state !== "waiting") {
          const drop = document.createElement("button");
          drop.type = "button";
          drop.className = "plain";
          drop.textContent = "Clear";
          drop.addEventListener("click", async () => {
            await alongStore.drop(base, "sends", s.key);
            show();
          });
          line.append(" ", drop);
        }
        return line;
      }));
      return sends;
    };
    let sending = false;
    const flush = async () => {
      if (sending) return;
      sending = true;
      for (const send of navigator.onLine ? await alongStore.all(base, "sends").catch(() => []) : []) {
        if (send.state === "waiting") await post(base, address, send).catch(() => {}); // it waits on
      }
      sending = false;
      await show().catch(() => {});
    };
    addEventListener("online", flush);
    setInterval(flush, again);
    show().then(flush, () => {});
    return flush;
  };

  return { start };
})();
