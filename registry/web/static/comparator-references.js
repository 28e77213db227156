"use strict";
/* References that this browser keeps, by place and baseline. Nothing is overwritten: the newest counts until another is
   chosen. */

const References = {
  prefix: (place) => `evenkeel/comparator/${place}/`,

  /** All of a place, the one that counts first: the highest baseline, then the newest. */
  all(place) {
    try {
      const keys = Object.keys(localStorage).filter((key) => key.startsWith(References.prefix(place)));
      const found = keys.flatMap((key) => JSON.parse(localStorage.getItem(key)));
      return found.sort((one, other) => other.baseline - one.baseline || other.taken_at.localeCompare(one.taken_at));
    } catch {
      return []; // storage is switched off, or somebody else wrote under these names
    }
  },

  /** Keep one beside those before it; says whether the browser took it. `baseline` 0: before the first, or none. */
  keep(place, baseline, reading) {
    const key = `${References.prefix(place)}${baseline}`;
    try {
      const before = JSON.parse(localStorage.getItem(key)) ?? [];
      localStorage.setItem(key, JSON.stringify([...before, { ...reading, baseline }]));
      return true;
    } catch {
      return false;
    }
  },

  /** "12 March 2026"; with the clock where a day may hold several. */
  day: (reference) => new Date(reference.taken_at).toLocaleDateString("en-GB", { dateStyle: "long" }),
  dayAndTime: (reference) =>
    new Date(reference.taken_at).toLocaleString("en-GB", { dateStyle: "long", timeStyle: "short" }),
};
