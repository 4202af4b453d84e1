// What is taken along, in the browser's database: jobs, their pages by address, the
// files these need, and the fittings that are to be sent. For pages and the worker.
"use strict";

const alongStore = (() => {
  const stores = { jobs: "key", pages: "address", files: "address", sends: "key" };

  // Services below several paths of one site keep apart.
  const open = (base) => new Promise((resolve, reject) => {
    const asked = indexedDB.open("standin bench " + base, 1);
    asked.onupgradeneeded = () => {
      for (const [name, keyPath] of Object.entries(stores)) asked.result.createObjectStore(name, { keyPath });
    };
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error);
    asked.onblocked = () => reject(new Error("the browser's database is held by another window"));
  });

  // work is done as a whole or not at all.
  const within = async (base, names, mode, work) => {
    const database = await open(base);
    try {
      return await new Promise((resolve, reject) => {
        const step = database.transaction(names, mode);
        let asked;
        step.oncomplete = () => resolve(asked && asked.result);
        step.onabort = () => reject(step.error || new Error("the browser kept nothing"));
        asked = work(step);
      });
    } finally {
      database.close();
    }
  };

  // Parameters that say what was entered on a page; the page is the same without them.
  const entered = /^(p\d+|measured|judge|none)$/;

  return {
    get: (base, name, key) => within(base, [name], "readonly", (step) => step.objectStore(name).get(key)),
    all: (base, name) => within(base, [name], "readonly", (step) => step.objectStore(name).getAll()),
    keys: (base, name) => within(base, [name], "readonly", (step) => step.objectStore(name).getAllKeys()),
    put: (base, name, value) => within(base, [name], "readwrite", (step) => step.objectStore(name).put(value)),
    drop: (base, name, key) => within(base, [name], "readwrite", (step) => step.objectStore(name).delete(key)),

    // replaceJob keeps a job with its pages in the place of what was kept of it.
    replaceJob: (base, job, pages) => within(base, ["jobs", "pages"], "readwrite", (step) => {
      const kept = step.objectStore("pages");
      kept.openCursor().onsuccess = (e) => {
        const at = e.target.result;
        if (at) {
          if (at.value.job === job.key) at.delete();
          at.continue();
          return;
        }
        for (const page of pages) kept.put(page);
        if (job.version) step.objectStore("jobs").put(job);
        else step.objectStore("jobs").delete(job.key);
      };
    }),

    // address is that of the page that shows an address.
    address: (url) => {
      const pairs = [...url.searchParams].filter(([name]) => !entered.test(name)).sort(([a, b], [c, d]) => (a + "=" + b < c + "=" + d ? -1 : 1));
      return url.pathname + "?" + new URLSearchParams(pairs);
    },
  };
})();
