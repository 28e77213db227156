// Forms that can be filled in without the network: what they hold becomes an entry of the queue.
"use strict";
const Forms = {
  passed: new WeakSet(),
  asking: new WeakSet(),
  SECRET: new Set(["csrfmiddlewaretoken"]),
  NEEDS_NETWORK: "This needs the network, so nothing was recorded. Readings, tasks, restore steps, findings, parts and photos can be recorded here.",

  isStored: () => document.body.dataset.stored !== undefined,

  start() {
    document.addEventListener("submit", (event) => Forms.submitted(event), true);
    document.addEventListener("click", (event) => Forms.clicked(event), true);
    document.addEventListener("htmx:sendError", ({ detail }) => Forms.lost(detail.elt));
    document.addEventListener("phone:changed", () => Forms.markAll());
    if (Forms.isStored()) Forms.emptyTimes();
    Forms.markAll();
  },

  // On a stored copy htmx has nobody to ask: links are followed as links.
  clicked(event) {
    if (Forms.isStored() && event.target.closest?.("a[hx-get]")) event.stopPropagation();
  },

  async submitted(event) {
    const form = event.target;
    if (form.getAttribute("method") !== "post" || form.dataset.signOut !== undefined || Forms.passed.delete(form)) return;
    const isEntry = form.dataset.entry !== undefined;
    if (!isEntry && !Forms.isStored()) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    if (!isEntry) return Forms.say(form, Forms.NEEDS_NETWORK);
    if (Forms.asking.has(form)) return; // pressed twice
    Forms.asking.add(form);
    await Forms.sendOrKeep(form, event.submitter);
    Forms.asking.delete(form);
  },

  async sendOrKeep(form, submitter) {
    const state = Forms.isStored() ? null : await Register.state(3000);
    if (!state || state.signedOut) return Forms.keep(form, submitter);
    Forms.passed.add(form);
    form.requestSubmit(submitter);
  },

  async keep(form, submitter) {
    if (!form.reportValidity()) return;
    const entry = Forms.entryOf(form, submitter);
    const taken = Forms.heldBy(form);
    const large = entry.fields.find(({ file }) => file && file.size > Queue.MOST_BYTES);
    if (large) return Forms.say(form, `The photo has ${(large.file.size / 2 ** 20).toFixed(1)} MB: at most 10 MB are taken.`);
    try {
      await Queue.add(entry);
    } catch (error) {
      return Forms.say(form, error.message);
    }
    if (Forms.heldBy(form) === taken) form.reset(); // else somebody typed on while it was stored
    form.querySelector(".phone-said")?.remove();
    await Forms.markAll();
    form.nextElementSibling?.scrollIntoView({ block: "nearest" });
    Queue.send();
  },

  heldBy: (form) => JSON.stringify([...new FormData(form)]),

  entryOf(form, submitter) {
    const fields = [];
    for (const [name, value] of new FormData(form, submitter)) {
      if (Forms.SECRET.has(name)) continue;
      const isFile = value instanceof File;
      if (isFile && !value.size) continue;
      fields.push({ name, ...(isFile ? { file: value } : { value }), ...Forms.described(name, form, submitter) });
    }
    const address = new URL(form.getAttribute("action") || "", location.href).pathname;
    return { address, fields, title: form.dataset.entry, page: location.pathname, at: new Date().toISOString() };
  },

  // How the field is shown again where the entry waits.
  described(name, form, submitter) {
    if (name === submitter?.name) return { fixed: true, shown: submitter.textContent.trim() };
    const control = form.elements[name];
    if (control.type === "hidden") return { hidden: true };
    const known = { label: Forms.labelOf(control, name), tick: control.type === "checkbox" };
    if (!(control instanceof HTMLSelectElement)) return known;
    const choices = [...control.options].map((each) => [each.value, each.text]);
    return { ...known, choices };
  },

  labelOf(control, name) {
    const label = control?.labels?.[0]?.cloneNode(true);
    label?.querySelectorAll(".muted, select, input").forEach((part) => part.remove());
    return label?.textContent.trim() || name;
  },

  // A time that was filled in when the copy was made is not the time of a reading made now.
  emptyTimes() {
    for (const field of document.querySelectorAll("form[data-entry] input[name=taken_at]")) {
      field.value = field.defaultValue = "";
      field.required = false;
      field.insertAdjacentText("beforebegin", "Left empty, it is the time at which you record it. ");
    }
  },

  lost(element) {
    if (element?.matches?.("a[href]")) location.href = element.href;
    else if (element?.matches?.("form[data-entry]")) {
      Forms.say(element, "The network went away while this was sent. Look whether it is recorded before you send it again.");
    }
  },

  say(form, words) {
    const said = form.querySelector(".phone-said") || document.createElement("p");
    said.className = "phone-said message";
    said.setAttribute("role", "alert");
    said.textContent = words;
    form.append(said);
    said.scrollIntoView({ block: "center" });
  },

  async markAll() {
    document.querySelectorAll(".phone-mark").forEach((mark) => mark.remove());
    for (const entry of await Queue.mine()) Forms.mark(entry);
  },

  mark(entry) {
    const mark = document.createElement("p");
    mark.className = "phone-mark";
    const word = { waiting: "Waits to be sent", refused: "Refused", conflict: "Somebody else changed it" }[entry.state];
    mark.innerHTML = "<strong></strong> <span></span> <a href=\"/phone/\">Look</a>";
    mark.querySelector("strong").textContent = `${word}:`;
    mark.querySelector("span").textContent = `${Said.inShort(entry)}, ${Said.time(entry.at)}.`;
    const form = [...document.querySelectorAll("form[data-entry]")].find((each) => Forms.made(each, entry));
    if (form) form.after(mark);
    else [...document.querySelectorAll("main a[href]")].find((each) => each.pathname === entry.page && !each.closest(".entry"))?.after(mark);
  },

  made(form, entry) {
    if (new URL(form.getAttribute("action") || "", location.href).pathname !== entry.address) return false;
    const same = ["key", "zone", "name"].map((name) => [form.querySelector(`input[type=hidden][name="${name}"]`)?.value, name]);
    return same.every(([value, name]) => value === undefined || entry.fields.some((each) => each.name === name && each.value === value));
  },
};
