// Keeps the page on the device, so that it opens again without a signal: the browser's service worker.
//
// In: requests of pages in this folder, words of those pages. Out: files as the build made them. What must hold: every
// file is the one its sum names, so that no mixture of two builds is ever kept; a newer build takes over only when no page
// of the older one is open, or when the only one asks for it; nothing outside this folder is answered, and what other
// programs of the same host keep is left alone.
//
// The build puts its name and its list of files here (crates/xtask, offline.rs). Without them nothing is kept.
"use strict";

const BUILD = "";
const FILES = {};

const HERE = self.registration.scope;
const STORE = `baylap ${HERE}`;
// So many files at a time: a weak signal is not asked for all of them at once.
const ABREAST = 4;

self.addEventListener("install", (event) => {
  if (Object.keys(FILES).length === 0) self.skipWaiting();
  event.waitUntil(fetchAll());
});

self.addEventListener("activate", (event) => {
  event.waitUntil(sweep());
});

self.addEventListener("fetch", (event) => {
  const name = event.request.method === "GET" ? nameOf(event.request.url) : null;
  if (name !== null) event.respondWith(answer(name, event.request));
});

self.addEventListener("message", (event) => {
  event.waitUntil(hear(event.data, event.source));
});

/// The file that an address means, or null for what is not ours.
function nameOf(address) {
  const url = new URL(address);
  const whole = url.origin + url.pathname;
  if (!whole.startsWith(HERE)) return null;
  const name = decodeURIComponent(whole.slice(HERE.length)) || "index.html";
  return Object.hasOwn(FILES, name) ? name : null;
}

/// Where a file is kept: by what it holds, so that builds share what they have in common.
const placeOf = (name) => `${HERE}${encodeURI(name)}?sum=${FILES[name]}`;

async function answer(name, request) {
  const store = await caches.open(STORE);
  // The browser may have thrown a file away: then it comes as if nothing were kept.
  return (await store.match(placeOf(name))) ?? fetch(request);
}

/// Fetches what is not there yet. What has come stays when the signal goes, and is not fetched again.
async function fetchAll() {
  const store = await caches.open(STORE);
  const names = Object.keys(FILES);
  const one = async () => {
    for (let name = names.pop(); name !== undefined; name = names.pop()) {
      if ((await store.match(placeOf(name))) === undefined) await fetchOne(store, name);
    }
  };
  await Promise.all(Array.from({ length: ABREAST }, one));
}

async function fetchOne(store, name) {
  const response = await fetch(HERE + encodeURI(name), { cache: "no-cache" });
  if (!response.ok) throw new Error(`${name}: ${response.status}`);
  const bytes = await response.arrayBuffer();
  if ((await sumOf(bytes)) !== FILES[name]) throw new Error(`${name} is of another build`);
  const headers = { "Content-Type": response.headers.get("Content-Type") ?? "application/octet-stream" };
  await store.put(placeOf(name), new Response(bytes, { headers }));
}

async function sumOf(bytes) {
  const sum = new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
  return Array.from(sum, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

/// Lets go of the files of builds before this one.
async function sweep() {
  const store = await caches.open(STORE);
  const ours = new Set(Object.keys(FILES).map(placeOf));
  const kept = await store.keys();
  await Promise.all(kept.filter((request) => !ours.has(request.url)).map((request) => store.delete(request)));
}

async function isWhole() {
  const store = await caches.open(STORE);
  const there = new Set((await store.keys()).map((request) => request.url));
  return BUILD !== "" && Object.keys(FILES).every((name) => there.has(placeOf(name)));
}

/// What a page says, and of what state it takes this program to be: "ask <state>" (how is it?), "serve" (the page's own
/// later requests shall be answered too), "take" (this newer build, now).
async function hear(word, page) {
  if (word === "serve") return self.clients.claim();
  if (word === "take") {
    const pages = await self.clients.matchAll({ type: "window", includeUncontrolled: true });
    return pages.length > 1 ? page.postMessage("others") : self.skipWaiting();
  }
  const [ask, state] = String(word).split(" ");
  if (ask !== "ask") return;
  // What the browser threw away is fetched again; without a signal it stays away.
  if (!(await isWhole())) await fetchAll().catch(() => {});
  page.postMessage(`${state} ${BUILD} ${(await isWhole()) ? "whole" : "part"}`);
}
