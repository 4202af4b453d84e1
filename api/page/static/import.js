// Shows how an upload goes on, and keeps a form from being sent twice. Without it the
// page loads itself again, and a form that is sent twice acts once all the same.
"use strict";

(() => {
  const upload = document.getElementById("upload");
  const look = async () => {
    let wait = 1000;
    try {
      const answer = await fetch(upload.dataset.href + "&part=true", { headers: { Accept: "text/html" } });
      if (answer.ok) {
        const text = await answer.text();
        if (!text.includes("<progress")) {
          location.reload(); // it has ended: the whole page, with what can be done
          return;
        }
        const part = document.createElement("div");
        part.innerHTML = text;
        for (const name of ["h1", ".going", "progress"]) {
          const now = upload.querySelector(name);
          const next = part.querySelector(name);
          if (now && next && now.outerHTML !== next.outerHTML) {
            if (name === ".going") now.textContent = next.textContent; // so that it is read out
            else now.replaceWith(next);
          }
        }
      }
    } catch (e) {
      wait = 5000; // the service is away: ask again
    }
    setTimeout(look, wait);
  };
  if (upload && upload.hasAttribute("data-under-way")) setTimeout(look, 1000);

  document.addEventListener("submit", (e) => {
    if (e.target.dataset.sent) {
      e.preventDefault();
      return;
    }
    e.target.dataset.sent = "true";
    for (const b of e.target.querySelectorAll("button")) b.setAttribute("aria-disabled", "true");
  });
  // A page that the browser kept may be sent again.
  addEventListener("pageshow", () => {
    for (const form of document.querySelectorAll("form[data-sent]")) delete form.dataset.sent;
  });

  const zone = document.querySelector(".dropzone");
  if (zone) {
    for (const [kind, over] of [["dragover", true], ["dragleave", false], ["drop", false]]) {
      zone.addEventListener(kind, () => zone.classList.toggle("over", over));
    }
  }
})();
