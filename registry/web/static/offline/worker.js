// The worker between the pages and the network: the network first, the stored copy when it fails or is slow.
// VERSION, SHELL and SCRIPTS are put in front of this by the register.
"use strict";
importScripts(...SCRIPTS);

const SHELL_CACHE = `shell-${VERSION}`;
const NOT_KEPT = SHELL[0];
const PATIENCE = 4000; // ms: in a basement a request more often hangs than fails
const GIVEN_UP = 30000; // ms: for so long little is expected of a network that failed
const LITTLE = 1000; // ms
const UNREACHABLE = new Set([502, 503, 504]);
let badUntil = 0;

self.addEventListener("install", (event) => {
  // Without cookies: these pages are the same for everybody and hold nothing of anybody.
  const shell = SHELL.map((url) => new Request(url, { credentials: "omit", cache: "reload" }));
  event.waitUntil(caches.open(SHELL_CACHE).then((cache) => cache.addAll(shell)).then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => {
  event.waitUntil((async () => {
    for (const name of await caches.keys()) {
      if (name.startsWith("shell-") && name !== SHELL_CACHE) await caches.delete(name);
    }
    await self.clients.claim();
  })());
});

self.addEventListener("fetch", (event) => {
  const { request } = event;
  if (request.method !== "GET" || new URL(request.url).origin !== self.location.origin) return;
  if (request.mode === "navigate") event.respondWith(page(request));
  else if (isPart(request)) event.respondWith(part(request));
});

self.addEventListener("message", (event) => {
  if (event.data === "freshen") event.waitUntil(freshen());
});

// Copies that lack what was sent since they were made.
async function freshen() {
  await navigator.locks.request("evenkeel-freshen", { ifAvailable: true }, async (lock) => {
    if (!lock) return;
    for (const { code, stale } of await Store.sites()) if (stale) await Keep.site(code).catch(() => null);
  });
  for (const client of await self.clients.matchAll()) client.postMessage("kept");
}

// Scripts, styles and pictures; what pages fetch by themselves is asked of the network only.
const isPart = ({ destination, cache, headers }) => cache !== "reload" && cache !== "no-store" && !headers.has("HX-Request")
  && (/^(script|style|image|font|manifest|audioworklet)$/.test(destination) || destination === "");

const inTime = (coming) => new Promise((resolve, reject) => {
  setTimeout(() => reject(new Error("too slow")), Date.now() < badUntil ? LITTLE : PATIENCE);
  coming.then(resolve, reject);
});

async function page(request) {
  const copy = await kept(request.url, { ignoreSearch: true });
  try {
    const coming = fetch(request);
    const response = await (copy ? inTime(coming) : coming);
    if (copy && UNREACHABLE.has(response.status)) return stored(copy);
    badUntil = 0;
    return response;
  } catch {
    badUntil = Date.now() + GIVEN_UP;
    return copy ? stored(copy) : notKept();
  }
}

async function part(request) {
  const copy = (await kept(request.url)) || (await shell(request.url));
  if (copy && Date.now() < badUntil) return copy.response;
  try {
    return await (copy ? inTime(fetch(request)) : fetch(request));
  } catch {
    badUntil = Date.now() + GIVEN_UP;
    return copy ? copy.response : Response.error();
  }
}

const kept = (url, options) => Store.copyOf(url, options).catch(() => null);

async function shell(url) {
  const response = await (await caches.open(SHELL_CACHE)).match(url, { ignoreVary: true });
  return response ? { response } : null;
}

async function notKept() {
  const found = await shell(NOT_KEPT);
  return found ? found.response : Response.error();
}

// The page itself has to know that it is a copy, and of when.
async function stored({ response, madeAt }) {
  if (!/^text\/html/.test(response.headers.get("Content-Type") || "")) return response;
  const headers = new Headers(response.headers);
  for (const name of ["Content-Encoding", "Content-Length"]) headers.delete(name);
  const text = await response.text();
  return new Response(text.replace("<body", `<body data-stored="${madeAt}"`), { status: 200, headers });
}
