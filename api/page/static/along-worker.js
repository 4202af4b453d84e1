// Answers for the bench while the server does not: with the pages that were taken
// along, which say that they are copies. The server is always asked first. A line
// before this, which the server adds, loads along-store.js.
"use strict";

const base = new URL(self.registration.scope).pathname.replace(/\/bench$/, "");
const patience = 6000; // milliseconds that the server has for a page that was taken along
const away = [502, 503, 504]; // what is answered for a server, or without its database

addEventListener("install", () => skipWaiting());
addEventListener("activate", (e) => e.waitUntil(clients.claim()));

addEventListener("fetch", (e) => {
  const url = new URL(e.request.url);
  if (e.request.method !== "GET" || url.origin !== location.origin) return;
  if (e.request.mode === "navigate") e.respondWith(page(e.request, url));
  else if (url.pathname.startsWith(base + "/static/")) e.respondWith(file(e.request, url));
});

const page = async (request, url) => {
  const asked = fetch(request);
  const answer = await Promise.race([asked.catch(() => null), new Promise((resolve) => setTimeout(resolve, patience, null))]);
  if (answer && !away.includes(answer.status)) return answer;
  const copy = await kept("pages", alongStore.address(url));
  if (copy) return new Response(copy.text, { headers: { "Content-Type": "text/html; charset=utf-8", "Content-Security-Policy": copy.policy } });
  if (answer) return answer;
  const late = await asked.catch(() => null);
  if (late) return late;
  if (await kept("pages", base + "/bench/along?")) return Response.redirect(base + "/bench/along?none=1");
  return Response.error();
};

// file: the address of a file changes with it, so that the one kept is the one asked for.
const file = async (request, url) => {
  const copy = await kept("files", url.pathname + url.search);
  return copy ? new Response(copy.body, { headers: { "Content-Type": copy.type } }) : fetch(request);
};

// kept is what is in the browser's database; nothing where that cannot be read.
const kept = (name, key) => alongStore.get(base, name, key).catch(() => undefined);
