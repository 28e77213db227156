// The line on every page: what is stored, how old it is, what waits. Starts everything else.
"use strict";
const Phone = {
  EVERY: 30000, // ms between two tries while something waits
  sent: 0,
  can: Boolean(window.isSecureContext && navigator.serviceWorker && window.caches && window.indexedDB && navigator.locks),

  async start() {
    if (!Phone.can) return;
    navigator.serviceWorker.register("/service-worker.js", { updateViaCache: "none" }).catch(() => null);
    await Phone.meet();
    Forms.start();
    for (const name of ["phone:changed", "phone:kept"]) document.addEventListener(name, () => Phone.tell());
    document.addEventListener("phone:taken", ({ detail }) => Phone.refresh(detail));
    navigator.serviceWorker.addEventListener("message", () => document.dispatchEvent(new Event("phone:kept")));
    window.addEventListener("online", () => Queue.send());
    window.addEventListener("offline", () => Phone.tell());
    document.addEventListener("visibilitychange", () => { if (!document.hidden) Queue.send(); });
    setInterval(() => Queue.send(), Phone.EVERY);
    Phone.offerKeeping();
    await Phone.tell();
    await Queue.send();
    if (!Forms.isStored()) await Phone.freshen();
  },

  // Copies belong to one person: whoever is signed in now, by word of the register.
  async meet() {
    if (Forms.isStored()) return;
    const before = await Store.get("facts", "person");
    if (before && before !== Queue.person()) await Store.forgetCopies();
    await Store.put("facts", Queue.person(), "person");
    await Store.remove("facts", "signed-out");
  },

  // What was sent is not on the stored copies yet; made anew, the next entry doesn't meet its own as somebody else's.
  async refresh(taken) {
    Phone.sent += taken.length;
    await Phone.tell();
    const pages = new Set(taken.map(({ entry }) => entry.page));
    for (const site of await Store.sites()) {
      if (site.urls.some((url) => pages.has(url))) await Store.put("sites", { ...site, stale: Date.now() });
    }
    await Phone.freshen();
  },

  // The worker fetches them: it outlives the page that somebody leaves.
  async freshen() {
    if ((await Store.sites()).some(({ stale }) => stale)) navigator.serviceWorker.controller?.postMessage("freshen");
  },

  async tell() {
    const line = document.getElementById("phone-line");
    const [entries, others, sites, signedOut, ahead] = await Promise.all([
      Queue.mine(), Queue.othersCount(), Store.sites(), Store.get("facts", "signed-out"), Store.get("facts", "ahead"),
    ]);
    const count = (state) => entries.filter((entry) => entry.state === state).length;
    const [waiting, refused, conflicts] = [count("waiting"), count("refused"), count("conflict")];
    const urgent = [];
    if (Forms.isStored()) urgent.push(`Stored copy of ${Said.time(document.body.dataset.stored)}.`);
    else if (!navigator.onLine) urgent.push("No network.");
    if (waiting) urgent.push(`${Said.count(waiting, "entry waits", "entries wait")} to be sent.`);
    if (refused) urgent.push(`${Said.count(refused, "entry was", "entries were")} refused.`);
    if (conflicts) urgent.push(`${Said.count(conflicts, "entry meets", "entries meet")} a change by somebody else.`);
    if (others) urgent.push(`${Said.count(others, "entry", "entries")} of another person ${others === 1 ? "waits" : "wait"} here: only they can see and send ${others === 1 ? "it" : "them"}.`);
    if (signedOut && waiting) urgent.push("You are signed out: sign in, and they are sent.");
    if (Math.abs(ahead) > 120) urgent.push(`This phone's clock is ${Said.count(Math.round(Math.abs(ahead) / 60), "minute")} ${ahead > 0 ? "ahead of" : "behind"} the register's: set it.`);
    const oldest = sites.map(({ made_at: at }) => at).sort()[0];
    const kept = sites.length ? `${Said.count(sites.length, "site is", "sites are")} kept on this phone, the oldest copy of ${Said.time(oldest)}.` : "";
    const sent = Phone.sent ? `${Said.count(Phone.sent, "entry was", "entries were")} sent and recorded.` : "";
    Phone.show(line, urgent, [sent, kept].filter(Boolean));
  },

  show(line, urgent, calm) {
    const words = [...urgent, ...(urgent.length ? [] : calm)].join(" ");
    line.hidden = !words;
    line.classList.toggle("urgent", urgent.length > 0);
    const said = line.querySelector("[role=status]");
    if (said.textContent !== words) said.textContent = words;
  },

  async offerKeeping() {
    const kept = new Map((await Store.sites()).map((site) => [site.code, site]));
    for (const button of document.querySelectorAll("button[data-keep]")) {
      button.hidden = false;
      if (kept.has(button.dataset.keep)) button.textContent = "Refresh the copy on this phone";
      button.addEventListener("click", () => Phone.keep(button));
    }
  },

  async keep(button) {
    const said = document.getElementById(button.getAttribute("aria-describedby"));
    said.hidden = false;
    button.disabled = true;
    try {
      const site = await Keep.site(button.dataset.keep, (done, of) => { said.textContent = `${done} of ${of} fetched`; });
      said.textContent = `Kept on this phone: ${site.urls.length} pages and parts, ${Said.size(site.bytes)}, as of ${Said.time(site.made_at)}.`;
    } catch (error) {
      said.textContent = `Not kept. ${error.message}`;
    }
    button.disabled = false;
    document.dispatchEvent(new Event("phone:kept"));
  },
};
Phone.start();
