// The page "On this phone": kept sites, entries that wait, and what can be done about each.
"use strict";
const PhonePage = {
  VERSION: document.getElementById("phone-page").dataset.version,
  part: (id) => document.getElementById(id),

  async start() {
    if (!Phone.can) {
      PhonePage.part("phone-cannot").hidden = false;
      return;
    }
    PhonePage.part("phone-page").hidden = false;
    PhonePage.part("send-now").addEventListener("click", () => PhonePage.sendNow());
    PhonePage.part("remove-all").addEventListener("click", () => PhonePage.removeAll());
    for (const name of ["phone:changed", "phone:kept"]) document.addEventListener(name, () => PhonePage.show());
    await PhonePage.show();
  },

  async show() {
    // What somebody is typing stays.
    if (document.querySelector(".entry-edit:not([hidden])")) return;
    const [entries, sites] = await Promise.all([Queue.mine(), Store.sites()]);
    PhonePage.part("entries").replaceChildren(...entries.map((entry) => EntryRow.made(entry)));
    PhonePage.part("no-entries").hidden = entries.length > 0;
    PhonePage.part("send-now").hidden = !entries.some(({ state }) => state === "waiting");
    PhonePage.part("kept").replaceChildren(...sites.map((site) => PhonePage.siteRow(site)));
    PhonePage.part("none-kept").hidden = sites.length > 0;
    PhonePage.part("room").textContent = await PhonePage.room();
  },

  siteRow(site) {
    const row = PhonePage.part("site-row").content.firstElementChild.cloneNode(true);
    const link = row.querySelector("a");
    [link.textContent, link.href] = [site.name, `/sites/${site.code}/`];
    const old = site.version === PhonePage.VERSION ? "" : " Made by an earlier version of the program: refresh it.";
    row.querySelector("[data-about]").textContent = `As of ${Said.time(site.made_at)}, ${Said.age(site.made_at)}, ${site.urls.length} pages and parts, ${Said.size(site.bytes)}.${old}`;
    const said = row.querySelector("[role=status]");
    row.querySelector("[data-refresh]").addEventListener("click", async ({ target }) => {
      target.disabled = true;
      try {
        await Keep.site(site.code, (done, of) => { said.textContent = `${done} of ${of} fetched`; });
        document.dispatchEvent(new Event("phone:kept"));
      } catch (error) {
        said.textContent = `Not refreshed. ${error.message}`;
        target.disabled = false;
      }
    });
    row.querySelector("[data-remove]").addEventListener("click", async () => {
      await Store.forgetSite(site.code);
      document.dispatchEvent(new Event("phone:kept"));
    });
    return row;
  },

  async room() {
    const estimate = await navigator.storage?.estimate?.();
    return estimate?.quota ? `${Said.size(estimate.usage)} used of ${Said.size(estimate.quota)} that this browser gives.` : "";
  },

  async sendNow() {
    const said = PhonePage.part("sent");
    said.textContent = "Sending…";
    await Queue.send();
    const waiting = (await Queue.mine()).filter(({ state }) => state === "waiting").length;
    said.textContent = waiting ? `${Said.count(waiting, "entry waits", "entries wait")} still: the register can't be reached, or you are signed out.` : "Nothing waits any more.";
  },

  async removeAll() {
    const entries = (await Store.all("entries")).length;
    const lost = entries ? ` ${Said.count(entries, "entry", "entries")} that nobody sent will be lost for good.` : "";
    if (!window.confirm(`Remove all kept sites from this phone?${lost}`)) return;
    await Store.forgetAll();
    await Phone.meet();
    document.dispatchEvent(new Event("phone:kept"));
  },
};

// One entry: what it holds, what became of it, and how it goes on.
const EntryRow = {
  made(entry) {
    const row = document.getElementById("entry-row").content.firstElementChild.cloneNode(true);
    const at = (name) => row.querySelector(`[data-${name}]`);
    at("title").textContent = Said.inShort(entry);
    at("when").textContent = `Made ${Said.time(entry.at)}.`;
    at("page").href = entry.page;
    at("state").textContent = { waiting: "Waits to be sent.", refused: "Refused.", conflict: "Somebody else changed the same thing." }[entry.state];
    at("why").textContent = (entry.state === "refused" && entry.answer?.why) || "";
    at("problems").replaceChildren(...EntryRow.problems(entry));
    at("changes").replaceChildren(...EntryRow.changes(entry));
    EntryRow.preview(row, entry);
    at("theirs").hidden = at("mine").hidden = entry.state !== "conflict";
    at("edit").hidden = entry.state !== "refused";
    at("theirs").addEventListener("click", () => Queue.discard(entry));
    at("mine").addEventListener("click", () => Queue.writeAnew(entry).then(() => Queue.send()));
    at("discard").addEventListener("click", () => {
      if (window.confirm(`Discard for good: ${Said.inShort(entry)}?`)) Queue.discard(entry);
    });
    at("edit").addEventListener("click", () => EntryRow.edit(row, entry));
    return row;
  },

  problems: ({ answer, fields }) => Object.entries(answer?.problems || {}).map(([name, said]) => {
    const label = fields.find((field) => field.name === name)?.label;
    return EntryRow.item(`${label ? `${label}: ` : ""}${said.join(" ")}`);
  }),

  changes: (entry) => (entry.answer?.changes || []).flatMap(({ label, old, new: now, by, at }) => [
    EntryRow.item(`Theirs: ${label} ${old ? `${old} → ` : ""}${now} (${by}, ${Said.time(at)})`),
  ]).concat(entry.answer?.changes?.length ? [EntryRow.item(`Yours: ${Said.inShort(entry)} (${Said.time(entry.at)})`)] : []),

  item(words) {
    const item = document.createElement("li");
    item.textContent = words;
    return item;
  },

  preview(row, { fields }) {
    const file = fields.find((field) => field.file)?.file;
    const image = row.querySelector("img");
    image.hidden = !file;
    if (!file) return;
    image.src = URL.createObjectURL(file);
    image.addEventListener("load", () => URL.revokeObjectURL(image.src), { once: true });
  },

  edit(row, entry) {
    const form = row.querySelector(".entry-edit");
    const shown = entry.fields.filter(({ hidden, fixed, file }) => !hidden && !fixed && !file);
    form.querySelector("[data-fields]").replaceChildren(...shown.map((field) => EntryRow.field(field.label, EntryRow.control(field))));
    const time = form.elements.at;
    time.value = new Date(Date.parse(entry.at) - new Date().getTimezoneOffset() * 60000).toISOString().slice(0, 19);
    form.hidden = false;
    form.querySelector("input, select, textarea").focus();
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      form.hidden = true;
      const values = new Map(shown.map((field, number) => [field, form.querySelectorAll("[data-fields] .field > :last-child")[number]]));
      const fields = entry.fields.filter((field) => !(field.tick && values.get(field)?.checked === false))
        .map((field) => (values.has(field) && !field.tick ? { ...field, value: values.get(field).value } : field));
      Queue.edit({ ...entry, fields, at: new Date(time.value).toISOString() }).then(() => Queue.send());
    }, { once: true });
  },

  field(words, control) {
    const field = document.createElement("div");
    field.className = "field";
    const label = document.createElement("label");
    label.textContent = words;
    control.id = `edit-${crypto.randomUUID()}`;
    label.htmlFor = control.id;
    field.append(label, control);
    return field;
  },

  control({ value, choices, tick }) {
    if (choices) {
      const control = document.createElement("select");
      control.append(...choices.map(([each, words]) => new Option(words, each, false, each === value)));
      return control;
    }
    const control = document.createElement(value?.length > 60 ? "textarea" : "input");
    if (tick) Object.assign(control, { type: "checkbox", checked: true });
    else control.value = value;
    return control;
  },
};
PhonePage.start();
