// Entries that were made on this phone: kept until the register says what became of them, sent in order, each once.
"use strict";
const Queue = {
  ADDRESS: "/phone/entries/",
  PATIENCE: 120000, // ms: a photo over a thin line
  MOST_BYTES: 10 * 1024 * 1024,

  person: () => Number(document.body.dataset.person) || 0,

  async mine() {
    return (await Store.all("entries")).filter((entry) => entry.person === Queue.person());
  },

  async othersCount() {
    return (await Store.all("entries")).filter((entry) => entry.person !== Queue.person()).length;
  },

  async add(entry) {
    const row = { ...entry, key: crypto.randomUUID(), person: Queue.person(), state: "waiting" };
    delete row.order;
    try {
      return await Store.put("entries", row);
    } catch (error) {
      if (error?.name !== "QuotaExceededError") throw error;
      throw new Error("This phone has no room for it, so it is NOT kept. Write it on paper, or make room and try again.");
    }
  },

  async edit(entry) {
    await Store.put("entries", { ...entry, state: "waiting", answer: null });
    Queue.changed();
  },

  async discard(entry) {
    await Store.remove("entries", entry.order);
    Queue.changed();
  },

  // Somebody else was faster: mine becomes a new entry that has seen theirs.
  async writeAnew(entry) {
    const fields = entry.fields.map((each) => (Queue.isVersion(each) ? { ...each, value: entry.answer.version } : each));
    await Queue.add({ ...entry, fields, answer: null });
    await Queue.discard(entry);
  },

  isVersion: ({ name }) => name === "version" || name === "seen",
  changed: () => document.dispatchEvent(new Event("phone:changed")),

  // Sends what waits, in order. One tab sends at a time.
  async send() {
    await navigator.locks.request("evenkeel-send", { ifAvailable: true }, async (lock) => {
      if (lock) await Queue.sendAll();
    });
    Queue.changed();
  },

  async sendAll() {
    if (!(await Queue.mine()).some(({ state }) => state === "waiting")) return;
    const state = await Register.state();
    if (!state) return;
    if (state.signedOut) {
      await Store.forgetCopies();
      await Store.put("facts", true, "signed-out");
      return;
    }
    await Store.remove("facts", "signed-out");
    if (state.person !== Queue.person()) return;
    const taken = [];
    for (let entry = await Queue.next(); entry; entry = await Queue.next()) {
      const answer = await Queue.sendOne(entry, state.csrf);
      if (!answer) break;
      if (await Queue.settle(entry, answer)) taken.push({ entry, answer });
      Queue.changed();
    }
    if (taken.length) document.dispatchEvent(new CustomEvent("phone:taken", { detail: taken }));
  },

  async next() {
    return (await Queue.mine()).find(({ state }) => state === "waiting");
  },

  // The register's answer; null when it can't be had now and the entry goes on waiting.
  async sendOne(entry, csrf) {
    const body = new FormData();
    const fields = entry.fields.filter(({ file }) => !file).map(({ name, value }) => [name, value]);
    const { key, person, address, at } = entry;
    body.append("entry", JSON.stringify({ key, person, address, at, fields }));
    for (const { name, file } of entry.fields) if (file) body.append(name, file, file.name || "photo.jpg");
    try {
      const answer = await fetch(Queue.ADDRESS, {
        method: "POST", body, headers: { "X-CSRFToken": csrf }, redirect: "manual", cache: "no-store",
        signal: AbortSignal.timeout(Queue.PATIENCE),
      });
      return /json/.test(answer.headers.get("Content-Type") || "") ? await answer.json() : null;
    } catch {
      return null;
    }
  },

  // Notes an answer; returns whether the entry is in the register now.
  async settle(entry, answer) {
    if (!/accepted$/.test(answer.answer)) {
      await Store.put("entries", { ...entry, state: answer.answer, answer });
      return false;
    }
    await Store.remove("entries", entry.order);
    if (answer.version) await Queue.moveOn(entry, answer.version);
    return true;
  },

  // A later entry of the same form was made on the same copy: it has seen this one.
  async moveOn(entry, version) {
    const was = entry.fields.find(Queue.isVersion)?.value;
    for (const later of (await Queue.mine()).filter((each) => Queue.isOfSameForm(each, entry))) {
      const fields = later.fields.map((each) => (Queue.isVersion(each) && each.value === was ? { ...each, value: version } : each));
      await Store.put("entries", { ...later, fields });
    }
  },

  isOfSameForm: (one, other) => one.address === other.address && Queue.keyOf(one) === Queue.keyOf(other),
  keyOf: ({ fields }) => fields.find(({ name }) => name === "key")?.value,
};
