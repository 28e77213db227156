// What this phone keeps: sites that were chosen, entries that wait, a few facts. Used by the pages and by the worker.
"use strict";
const Store = (() => {
  const NAME = "evenkeel";
  const TABLES = { entries: { keyPath: "order", autoIncrement: true }, sites: { keyPath: "code" }, facts: {} };
  let opened = null;

  const promised = (request) => new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });

  const open = () => {
    opened ||= new Promise((resolve, reject) => {
      const request = indexedDB.open(NAME, 1);
      request.onupgradeneeded = () => {
        for (const [name, options] of Object.entries(TABLES)) request.result.createObjectStore(name, options);
      };
      request.onsuccess = () => {
        // Somebody signs out in another tab: let go, so that it can be deleted.
        request.result.onversionchange = () => { request.result.close(); opened = null; };
        request.result.onclose = () => { opened = null; };
        resolve(request.result);
      };
      request.onerror = () => { opened = null; reject(request.error); };
    });
    return opened;
  };

  // Resolves when it is on the disk, not before.
  const write = async (table, work) => {
    const transaction = (await open()).transaction(table, "readwrite", { durability: "strict" });
    const request = work(transaction.objectStore(table));
    await new Promise((resolve, reject) => {
      transaction.oncomplete = resolve;
      transaction.onerror = () => reject(transaction.error);
      transaction.onabort = () => reject(transaction.error);
    });
    return request.result;
  };

  const read = async (table, work) => promised(work((await open()).transaction(table).objectStore(table)));

  const exists = async () => !indexedDB.databases || (await indexedDB.databases()).some(({ name }) => name === NAME);

  return {
    all: (table) => read(table, (rows) => rows.getAll()),
    get: (table, key) => read(table, (rows) => rows.get(key)),
    put: (table, row, key) => write(table, (rows) => (key === undefined ? rows.put(row) : rows.put(row, key))),
    remove: (table, key) => write(table, (rows) => rows.delete(key)),
    exists,

    // The copies of whoever is signed in; nobody else's are looked at.
    async sites() {
      const person = await this.get("facts", "person");
      return person ? (await this.all("sites")).filter((site) => site.person === person) : [];
    },

    // The newest stored copy of an address: { response, madeAt }, or null.
    async copyOf(url, options) {
      if (!await exists()) return null;
      const sites = (await this.sites()).sort((one, other) => (one.made_at < other.made_at ? 1 : -1));
      for (const { cache, made_at: madeAt } of sites) {
        if (!await caches.has(cache)) continue;
        const response = await (await caches.open(cache)).match(url, { ignoreVary: true, ...options });
        if (response) return { response, madeAt };
      }
      return null;
    },

    async forgetSite(code) {
      const site = await this.get("sites", code);
      await this.remove("sites", code);
      if (site) await caches.delete(site.cache);
    },

    // Copies go; entries stay until whoever made them signs in again.
    async forgetCopies() {
      for (const name of await caches.keys()) if (name.startsWith("kept-")) await caches.delete(name);
      if (!await exists()) return;
      for (const { code } of await this.all("sites")) await this.remove("sites", code);
      await this.remove("facts", "person");
    },

    async forgetAll() {
      for (const name of await caches.keys()) if (name.startsWith("kept-")) await caches.delete(name);
      if (opened) (await opened).close();
      opened = null;
      await promised(indexedDB.deleteDatabase(NAME));
    },
  };
})();
