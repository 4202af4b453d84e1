// The one script of the pages: suggestions while typing, a few keys, and asking
// again while the database is away. Every page is whole without it.
"use strict";

(() => {
  const field = document.getElementById("q");

  // Suggestions. The list is a listbox of the field (WAI-ARIA, combobox): the
  // focus stays in the field, aria-activedescendant says which line is chosen.
  if (field) {
    const list = document.createElement("ul");
    const said = document.createElement("p");
    let chosen = -1;
    let asking = null;
    let wait = 0;
    let shownFor = ""; // what was typed when the list was made
    let early = ""; // an arrow that was pressed before the list for what is typed was there

    list.id = "options";
    list.className = "options";
    list.hidden = true;
    list.setAttribute("role", "listbox");
    list.setAttribute("aria-label", "What may be meant");
    said.className = "unseen";
    said.setAttribute("role", "status");
    field.form.append(list, said);
    for (const [name, value] of Object.entries({ role: "combobox", "aria-expanded": "false", "aria-controls": "options", "aria-autocomplete": "list" })) {
      field.setAttribute(name, value);
    }

    // Once it goes to a line, a further Enter does not ask for what was typed.
    let leaving = false;
    const go = (line) => {
      leaving = true;
      location.assign(line.dataset.href);
    };
    addEventListener("pageshow", () => { leaving = false; });

    const lines = () => list.querySelectorAll("[data-href]");

    const choose = (place) => {
      chosen = place;
      lines().forEach((line, i) => line.setAttribute("aria-selected", String(i === chosen)));
      const line = lines()[chosen];
      if (line) {
        field.setAttribute("aria-activedescendant", line.id);
        line.scrollIntoView({ block: "nearest" });
      } else {
        field.removeAttribute("aria-activedescendant");
      }
    };

    // What is under way is dropped: a list must not change under a choice.
    const still = () => {
      clearTimeout(wait);
      if (asking) asking.abort();
    };

    const close = () => {
      still();
      early = "";
      list.hidden = true;
      field.setAttribute("aria-expanded", "false");
      choose(-1);
    };

    const suggest = async () => {
      still();
      const typed = field.value.trim();
      if (!typed) return close();
      asking = new AbortController();
      const query = new URLSearchParams({ q: typed, location: document.getElementById("location").value, fragment: "true" });
      try {
        const answer = await fetch(field.dataset.suggest + "?" + query, { signal: asking.signal });
        if (!answer.ok) {
          said.textContent = "Suggestions are away; Enter asks anyway.";
          return close();
        }
        const made = await answer.text();
        if (typed !== field.value.trim()) return; // the list for it is on its way
        list.innerHTML = made; // by this server, every name in it escaped there
      } catch (e) {
        return; // a later letter was typed, or the network is away: Enter still asks
      }
      list.hidden = list.children.length === 0;
      field.setAttribute("aria-expanded", String(!list.hidden));
      said.textContent = lines().length === 0 ? "Nothing looks like it." : lines().length + " to choose from.";
      shownFor = typed;
      choose({ ArrowDown: 0, ArrowUp: lines().length - 1 }[early] ?? -1);
      early = "";
    };

    field.addEventListener("input", () => {
      early = "";
      choose(-1); // from what was typed before
      clearTimeout(wait);
      wait = setTimeout(suggest, 40);
    });
    field.addEventListener("keydown", (e) => {
      const many = lines().length;
      if (e.key === "Escape" && !list.hidden) {
        close();
      } else if ((e.key === "ArrowDown" || e.key === "ArrowUp") && field.value.trim() !== shownFor) {
        early = e.key;
      } else if ((e.key === "ArrowDown" || e.key === "ArrowUp") && many > 0 && !list.hidden) {
        still();
        choose(e.key === "ArrowDown" ? (chosen + 1) % many : (chosen <= 0 ? many : chosen) - 1);
      } else if (e.key === "Enter" && chosen >= 0 && !list.hidden) {
        go(lines()[chosen]);
      } else {
        return;
      }
      e.preventDefault();
    });
    // Before the field loses the focus to what is pressed, and the list changes
    // under the finger.
    list.addEventListener("pointerdown", (e) => {
      still();
      e.preventDefault();
    });
    list.addEventListener("click", (e) => {
      const line = e.target.closest("[data-href]");
      if (line) go(line);
    });
    // A browser gives the focus only when it has drawn the page: a quick first
    // letter would be lost.
    if (document.activeElement === document.body) document.querySelector("[autofocus]")?.focus();
    // What stands there is ready to be typed over; what was typed before this
    // script was there is kept.
    if (field.value !== field.defaultValue) {
      suggest();
    } else if (document.activeElement === field) {
      field.select();
    }
    field.addEventListener("blur", close);
    field.form.addEventListener("submit", (e) => {
      if (leaving) e.preventDefault();
      close();
    });
    addEventListener("pagehide", close);
  }

  // The field always listens: what is typed or scanned anywhere goes to it and
  // replaces what is there; / leads to it; arrows walk what can be pressed.
  document.addEventListener("keydown", (e) => {
    if (e.ctrlKey || e.metaKey || e.altKey || e.isComposing || e.target.closest("input, textarea, select, dialog")) return;
    if (field && e.key.length === 1 && e.key !== " ") {
      field.focus();
      field.select();
      if (e.key !== "/") return; // the key goes where the focus is now
    } else if (e.key === "ArrowDown" || e.key === "ArrowUp") {
      const stops = [...document.querySelectorAll("[data-stop]")].filter((s) => s.checkVisibility());
      const at = stops.indexOf(document.activeElement);
      // A question comes first: the work above it may depend on the answer.
      const first = Math.max(0, stops.findIndex((s) => s.closest("[data-first]")));
      const next = stops[at < 0 ? first : at + (e.key === "ArrowDown" ? 1 : -1)];
      if (!next || (at < 0 && e.key === "ArrowUp")) return; // the page scrolls as ever
      next.focus();
    } else {
      return;
    }
    e.preventDefault();
  });

  // A scanner types faster than a person and ends with Enter. What it types counts
  // alone: in the field after something typed before, and on a page without one.
  const pause = 400; // milliseconds before it begins, at least
  const quick = 50; // milliseconds a key, at most, over all
  const least = 8; // characters
  let burst = "";
  let began = 0;
  let last = 0;
  document.addEventListener("keydown", (e) => {
    if (e.ctrlKey || e.metaKey || e.altKey || e.target.closest("input, textarea, select, dialog") && e.target !== field) return;
    if (e.key.length === 1) {
      if (e.timeStamp - last > pause) {
        burst = "";
        began = e.timeStamp;
      }
      burst += e.key;
      last = e.timeStamp;
    } else if (e.key === "Enter") {
      const scanned = burst.length >= least && e.timeStamp - began < quick * burst.length;
      if (scanned && field) {
        field.value = burst;
      } else if (scanned) {
        const counter = new URL(document.querySelector("a[data-counter]").href);
        counter.searchParams.set("q", burst);
        location.assign(counter);
        e.preventDefault();
      }
      burst = "";
    }
  }, true);

  // This browser remembers what was looked up and where stock is wanted, and tells
  // nobody. One that may remember nothing does without.
  const memory = {
    read(name) {
      try {
        return JSON.parse(localStorage.getItem("standin." + name));
      } catch (e) {
        return null;
      }
    },
    keep(name, value) {
      try {
        localStorage.setItem("standin." + name, JSON.stringify(value));
      } catch (e) {
        // it is full, or may not be used
      }
    },
  };

  const mostLookups = 8;
  const lookups = (memory.read("lookups") || []).filter((l) => l.name && l.href?.startsWith("/"));
  const lookedUp = document.querySelector("[data-lookup]");
  if (lookedUp) {
    const name = lookedUp.textContent.trim();
    memory.keep("lookups", [{ name, kind: lookedUp.dataset.sayKind, href: location.pathname + location.search }, ...lookups.filter((l) => l.name !== name)].slice(0, mostLookups));
  }
  const lately = document.getElementById("lately");
  if (lately && lookups.length) {
    const part = (name, text) => {
      const span = document.createElement("span");
      span.className = name;
      span.textContent = text;
      return span;
    };
    lately.querySelector("ul").append(...lookups.map((l) => {
      const line = document.createElement("li");
      const link = document.createElement("a");
      link.href = l.href;
      link.dataset.stop = "";
      link.append(part("number", l.name), " ", part("kind", l.kind));
      line.append(link);
      return line;
    }));
    lately.querySelector("button").addEventListener("click", () => {
      memory.keep("lookups", []);
      lately.hidden = true;
      field?.focus();
    });
    lately.hidden = false;
  }

  // Where stock is wanted: an answer is asked for anew, the first page takes the last choice.
  const place = document.getElementById("location");
  if (place) {
    const asked = new URL(location.href);
    const last = memory.read("location");
    if (last && !lookedUp && !asked.searchParams.has("location") && [...place.options].some((o) => o.value === last)) place.value = last;
    place.addEventListener("change", () => {
      memory.keep("location", place.value);
      if (!lookedUp) return field?.focus();
      asked.searchParams.set("location", place.value);
      if (!place.value) asked.searchParams.delete("location");
      location.assign(asked);
    });
  }

  // An answer is sent as its address.
  const share = document.querySelector("[data-share]");
  if (share && (navigator.share || navigator.clipboard)) {
    const text = share.textContent;
    share.hidden = false;
    share.addEventListener("click", async () => {
      try {
        if (navigator.share) return await navigator.share({ title: document.title, url: location.href });
        await navigator.clipboard.writeText(location.href);
        share.textContent = share.dataset.sayDone;
        setTimeout(() => { share.textContent = text; }, 3000);
      } catch (e) {
        // it was not sent after all
      }
    });
  }

  // A camera reads the bar code of a box where the browser can; elsewhere there is no
  // button for it.
  const camera = document.getElementById("camera");
  if (camera && "BarcodeDetector" in window && navigator.mediaDevices) {
    const view = camera.querySelector("video");
    const begin = document.getElementById("scan");
    const stop = () => {
      view.srcObject?.getTracks().forEach((track) => track.stop());
      view.srcObject = null;
    };
    begin.hidden = false;
    camera.addEventListener("close", stop);
    camera.querySelector("button").addEventListener("click", () => camera.close());
    begin.addEventListener("click", async () => {
      const detector = new BarcodeDetector();
      const said = camera.querySelector("p");
      camera.showModal();
      try {
        view.srcObject = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" } });
        await view.play();
        while (camera.open) {
          const [code] = await detector.detect(view);
          if (code?.rawValue) {
            field.value = code.rawValue;
            camera.close();
            field.form.requestSubmit();
          }
          await new Promise((next) => setTimeout(next, 100));
        }
      } catch (e) {
        if (camera.open) said.textContent = said.dataset.sayFails;
      }
    });
  }

  // While the database is away: ask again, and show the page once it is back.
  const again = document.querySelector("[data-again]");
  if (again) {
    const waiting = document.getElementById("waiting");
    waiting.textContent = "This page asks again every " + again.dataset.again + " seconds.";
    setInterval(async () => {
      try {
        const answer = await fetch(again.href);
        if (answer.status !== 503) location.reload();
      } catch (e) {
        // the program itself is away
      }
    }, again.dataset.again * 1000);
  }
})();
