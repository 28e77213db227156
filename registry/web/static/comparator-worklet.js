"use strict";
/* Runs beside the page, in the browser's audio thread: weighs what the microphone hears and passes on sums of squares
   ten times a second. No sample leaves this file. */

const BLOCK_S = 0.1;

/** Second-order sections (rows b0, b1, b2, 1, a1, a2) run one after the other, started from rest. */
class Weighting {
  constructor(sections) {
    this.sections = sections;
    this.held = sections.map(() => new Float64Array(2));
  }

  next(sample) {
    let value = sample;
    for (let i = 0; i < this.sections.length; i += 1) {
      const section = this.sections[i];
      const held = this.held[i];
      const out = section[0] * value + held[0];
      held[0] = section[1] * value - section[4] * out + held[1];
      held[1] = section[2] * value - section[5] * out;
      value = out;
    }
    return value;
  }
}

/** Sums of squares over one block. */
class Block {
  constructor() {
    Object.assign(this, { frames: 0, a: 0, c: 0, peak: 0 });
  }

  add(sample, a, c) {
    this.frames += 1;
    this.a += a * a;
    this.c += c * c;
    this.peak = Math.max(this.peak, Math.abs(sample));
  }
}

// The tests load this file into a page, where there is nothing to register with.
if (typeof registerProcessor === "function") {
  registerProcessor("level-meter", class extends AudioWorkletProcessor {
    constructor({ processorOptions: { A, C } }) {
      super();
      this.a = new Weighting(A);
      this.c = new Weighting(C);
      this.block = new Block();
    }

    process([microphone]) {
      for (const sample of microphone[0] ?? []) {
        this.block.add(sample, this.a.next(sample), this.c.next(sample));
        if (this.block.frames >= BLOCK_S * sampleRate) {
          this.port.postMessage({ ...this.block });
          this.block = new Block();
        }
      }
      return true;
    }
  });
}
