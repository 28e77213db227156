// Keeps a site on this phone: all of it, or the copy from before stays.
"use strict";
const Keep = {
  AT_ONCE: 4,

  // Returns the kept site; `tell(done, of)` is called as pages arrive. Throws Error with words for people.
  async site(code, tell = () => {}) {
    const began = Date.now();
    const list = await Keep.listOf(code);
    const name = `kept-${code}-${crypto.randomUUID()}`;
    try {
      const bytes = await Keep.fetchAll(list.urls, await caches.open(name), tell);
      const state = await Register.state();
      if (!state || state.person !== list.person) throw new Error("Somebody else signed in meanwhile.");
      const before = await Store.get("sites", code);
      const stale = before?.stale > began ? before.stale : 0;
      await Store.put("sites", { ...list, cache: name, bytes, stale });
      if (before) await caches.delete(before.cache);
    } catch (error) {
      await caches.delete(name);
      throw Keep.inWords(error);
    }
    await navigator.storage?.persist?.();
    return Store.get("sites", code);
  },

  async listOf(code) {
    let answer;
    try {
      answer = await fetch(`/sites/${code}/phone.json`, { cache: "no-store" });
    } catch {
      throw new Error("The register can't be reached from here.");
    }
    if (answer.redirected) throw new Error("You are signed out: sign in first.");
    if (!answer.ok) throw new Error("The register has no such site for you.");
    return answer.json();
  },

  async fetchAll(urls, cache, tell) {
    const waiting = [...urls];
    let [bytes, done] = [0, 0];
    const fetchNext = async () => {
      for (let url = waiting.shift(); url; url = waiting.shift()) {
        const size = await Keep.fetchOne(url, cache); // first: a sum that spans an await loses what others add
        bytes += size;
        done += 1;
        tell(done, urls.length);
      }
    };
    await Promise.all(Array.from({ length: Keep.AT_ONCE }, fetchNext));
    return bytes;
  },

  async fetchOne(url, cache) {
    const answer = await fetch(url, { cache: "reload", signal: AbortSignal.timeout(60000) });
    if (!answer.ok || answer.redirected) throw new Error(`${url} didn't come: ${answer.status}.`);
    const body = await answer.blob();
    await cache.put(url, new Response(body, { headers: answer.headers }));
    return body.size;
  },

  inWords(error) {
    if (error.name === "QuotaExceededError") {
      return new Error("This phone has no room for it: remove another kept site, or make room. The copy from before stays.");
    }
    if (error instanceof TypeError || error.name === "TimeoutError") {
      return new Error("The network went away. Nothing was changed: the copy from before, if there was one, stays.");
    }
    return error;
  },
};
