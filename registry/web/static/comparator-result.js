"use strict";
/* What a reading says beside a reference, in words: plain values in and out. */

const decibel = (value) => `${value.toFixed(1).replace("-", "−")} dB`;
const signed = (value) => (value > 0 ? "+" : "") + decibel(value);

const Result = {
  /** A verdict or none, a sentence, and pairs of word and value. `reference` may be missing. */
  of(reading, reference, given) {
    const own = Result.ownFacts(reading);
    if (!reference) {
      return { says: "The level is read, but this phone holds no reference to compare it with.", facts: own };
    }
    if (reference.taken_at === reading.taken_at) return { says: `This is now ${Result.named(reference)}.`, facts: own };
    if (reference.microphone !== reading.microphone) return { says: Result.otherMicrophone(reference), facts: own };
    const change = reading.level_db - reference.level_db;
    const guard = Levels.guard(reading, reference, given.uncertainty);
    return {
      verdict: Levels.verdict(change, given.tolerance_db, guard),
      says: `${Result.amount(change)} ${Result.named(reference)}.`,
      facts: [...Result.comparedFacts(reading, reference, given, change, guard), ...own],
    };
  },

  /** "this phone's reading at baseline 2 (12 March 2026)" */
  named(reference) {
    const at = reference.baseline ? `at baseline ${reference.baseline}` : "kept as reference";
    return `this phone's reading ${at} (${References.day(reference)})`;
  },

  amount(change) {
    const size = decibel(Math.abs(change));
    if (size === decibel(0)) return "As loud as";
    return `${size} ${change < 0 ? "below" : "above"}`;
  },

  otherMicrophone: (reference) =>
    `Not compared: the reference was read with another microphone (${reference.microphone || "no name"}). ` +
    "Use that one, or take a new reference when all is as agreed.",

  ownFacts(reading) {
    const taken = reading.growth > 1 ? `${decibel(reading.a_db - reading.level_db)} taken off for it` : "nothing to take off";
    return [
      ["Level now", `${decibel(reading.level_db)} re full scale, a figure of this phone only`],
      ["Single seconds", `${decibel(reading.lowest_db)} to ${decibel(reading.highest_db)}, ${reading.seconds} of them`],
      ["Background", `${decibel(reading.a_db - reading.background_db)} below; ${taken}`],
    ];
  },

  comparedFacts(reading, reference, given, change, guard) {
    const agreed = given.tolerance_agreed ? "" : " (common practice, none is agreed)";
    const rows = [
      ["A-weighted", `${signed(change)}, give or take ${decibel(guard)}`],
      ["Tolerance", `± ${decibel(given.tolerance_db)}${agreed}`],
      ["C-weighted", Result.bass(reading, reference, change, guard)],
    ];
    if (given.baseline_level_db !== null && reference.baseline === given.baseline) {
      const about = decibel(given.baseline_level_db + change);
      rows.push(["In the register", `${decibel(given.baseline_level_db)}(A) at baseline ${given.baseline}; about ${about}(A) now`]);
    }
    return rows;
  },

  /** A and C differ by what happens in the bass. */
  bass(reading, reference, change, guard) {
    if (reading.bass_db === null || reference.bass_db === null) return "not known, the background is too near";
    const bass = reading.bass_db - reference.bass_db;
    return `${signed(bass)}; the bass ${Math.abs(bass - change) > guard ? "changed otherwise than the rest" : "went along"}`;
  },
};
