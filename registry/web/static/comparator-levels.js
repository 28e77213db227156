"use strict";
/* The comparator's arithmetic: plain values in and out. Every rule and figure comes from registry/engineering; the tests
   hold the two together. */

const Levels = {
  /** Level of a mean square, re full scale. */
  decibels: (meanSquare) => 10 * Math.log10(meanSquare),

  /** Level over some blocks; `curve` is "a" or "c". */
  over(blocks, curve) {
    const frames = blocks.reduce((sum, block) => sum + block.frames, 0);
    return Levels.decibels(blocks.reduce((sum, block) => sum + block[curve], 0) / frames);
  },

  /** Levels of whole seconds, from blocks of a tenth. */
  seconds(blocks) {
    const found = [];
    for (let i = 0; i + 10 <= blocks.length; i += 10) found.push(Levels.over(blocks.slice(i, i + 10), "a"));
    return found;
  },

  /** Standard deviation of single values (JCGM 100:2008, 4.2.2). */
  deviation(values) {
    const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
    return Math.sqrt(values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / (values.length - 1));
  },

  /** What a stretch of blocks says: both levels, how much single seconds wobble, and what that leaves of doubt. */
  summary(blocks, { repeat_db: usual }) {
    const seconds = Levels.seconds(blocks);
    const wobble = Levels.deviation(seconds);
    return {
      a_db: Levels.over(blocks, "a"),
      c_db: Levels.over(blocks, "c"),
      seconds: seconds.length,
      lowest_db: Math.min(...seconds),
      highest_db: Math.max(...seconds),
      // The usual spread of whole readings holds the wobble of a steady track already.
      repeat_db: Math.max(wobble / Math.sqrt(seconds.length), usual),
    };
  },

  /** A level without its background, and by how much random errors grow; null where the background is too near. */
  withoutBackground(level, background, { limit_db: limit, none_from_db: noneFrom }) {
    const difference = level - background;
    if (!(difference >= limit)) return null;
    if (difference >= noneFrom) return { level_db: level, growth: 1 };
    const share = 10 ** (-difference / 10);
    return { level_db: level + Levels.decibels(1 - share), growth: Math.sqrt(1 + share * share) / (1 - share) };
  },

  /** Expanded uncertainty of the difference of two readings by one microphone: its own error cancels. */
  guard(now, then, { handling_db: handling, k }) {
    return k * Math.hypot(now.repeat_db, then.repeat_db, handling * now.growth, handling * then.growth);
  },

  /** Within needs the whole uncertainty inside the tolerance, out all of it outside (JCGM 106:2012, 8.3). */
  verdict(change, tolerance, guard) {
    if (Math.abs(change) > tolerance + guard) return "out";
    return Math.abs(change) <= tolerance - guard ? "within" : "undecided";
  },
};
