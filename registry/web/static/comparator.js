"use strict";
/* The page of the comparator: buttons, running display, result. The sound itself is weighed in comparator-worklet.js. */

const given = JSON.parse(document.getElementById("comparator-data").textContent);
const part = (id) => document.getElementById(id);
const SETTLING_BLOCKS = 10; // the finger on the glass, and the filters' start
const HELD_BACK = "The sound stopped while it was read: the screen went off, a call came, or the microphone was unplugged.";

let microphone = null;
let running = null; // { what, blocks, wanted, began }
let background = null;
let reading = null;
let recent = [];
let wakeLock = null;

function say(words) {
  part("status").textContent = words;
}

function refuse(refusal) {
  part("refused").hidden = false;
  part("refused-why").textContent = refusal.message;
  part("refused-do").textContent = refusal.whatToDo ?? "Load the page again.";
  say("Nothing was measured.");
}

function showButtons() {
  part("turn-on").hidden = Boolean(microphone);
  part("lasting").hidden = Boolean(running);
  part("measuring").hidden = !microphone;
  for (const id of ["background", "level", "turn-off"]) part(id).hidden = Boolean(running);
  part("cancel").hidden = !running;
  part("progress").hidden = !running;
}

async function turnOn() {
  part("refused").hidden = true;
  say("The browser asks for the microphone…");
  try {
    microphone = await Microphone.open({ worklet: part("comparator").dataset.worklet, filters: given.filters, onBlock, onLost });
    say(`The microphone is on: ${microphone.name || "no name"}. First the background: stop the track, then press.`);
    wakeLock = await navigator.wakeLock?.request("screen").catch(() => null);
  } catch (error) {
    refuse(error);
  }
  showButtons();
}

function turnOff() {
  microphone?.close();
  wakeLock?.release();
  microphone = running = background = wakeLock = null;
  part("now").textContent = "–";
  showButtons();
}

function onLost() {
  if (!microphone) return;
  const cutShort = running;
  turnOff();
  if (cutShort) refuse(new Refusal(HELD_BACK, "Turn the microphone on again and keep the page in front."));
  else say("The microphone went off. Turn it on again to measure.");
}

function begin(what) {
  part("refused").hidden = true;
  if (what === "level" && !background) {
    refuse(new Refusal("Without the background nobody can tell what the track adds to it.",
      "Stop the track, measure the background, then play the track and measure the level."));
    return;
  }
  running = { what, blocks: [], wanted: Number(part("length").value) * 10, began: performance.now() };
  if (what === "level") reading = null;
  part("result").hidden = true;
  part("progress").max = running.wanted;
  part("progress").value = 0;
  say(what === "level" ? "Reading the level. Quiet, and hold still." : "Reading the background. Quiet, and hold still.");
  showButtons();
}

function cancel() {
  running = null;
  say("Stopped. Nothing was measured.");
  showButtons();
}

function onBlock(block) {
  recent = [...recent, block].slice(-10);
  if (running) {
    running.blocks.push(block);
    if (block.peak >= given.clipped) return stopClipped();
    if (running.blocks.length >= running.wanted + SETTLING_BLOCKS) return finish();
  }
  showNow();
}

function showNow() {
  const blocks = running?.blocks.slice(SETTLING_BLOCKS) ?? [];
  const level = Levels.over(blocks.length ? blocks : recent, "a");
  const reference = chosen();
  const compared = running?.what === "level" && reference && reference.microphone === microphone.name;
  part("now").textContent = compared ? signed(level - reference.level_db) : decibel(level);
  part("now-words").textContent = compared ? `against ${Result.named(reference)}, so far` : "A-weighted, re full scale of this phone";
  if (running) part("progress").value = blocks.length;
}

function stopClipped() {
  running = null;
  refuse(new Refusal("The microphone was overdriven, so the level can't be read.",
    "Don't touch the phone; move it to a quieter spot and take the reference there too, or turn the track down."));
  showButtons();
}

/** Take what was read, unless samples are missing or there was no sound at all. */
function finish() {
  const { what, blocks, began } = running;
  running = null;
  showButtons();
  const used = blocks.slice(SETTLING_BLOCKS);
  const late = performance.now() - began > 100 * blocks.length + 2000;
  if (late) return refuse(new Refusal(HELD_BACK, "Close other pages and measure again."));
  if (used.every((block) => block.peak === 0)) {
    return refuse(new Refusal("The microphone gives perfect silence: it is switched off somewhere.",
      "Look for the phone's microphone switch or privacy setting, then measure again."));
  }
  const summary = Levels.summary(used, given.uncertainty);
  return what === "background" ? tookBackground(summary) : tookLevel(summary);
}

function tookBackground(summary) {
  background = summary;
  say(`The background is ${decibel(summary.a_db)} re full scale. Now play the track, then measure the level.`);
}

function tookLevel(summary) {
  const without = Levels.withoutBackground(summary.a_db, background.a_db, given.background);
  if (!without) return refuseNear(summary.a_db - background.a_db);
  const bass = Levels.withoutBackground(summary.c_db, background.c_db, given.background);
  reading = {
    ...summary,
    taken_at: new Date().toISOString(),
    level_db: without.level_db,
    growth: without.growth,
    repeat_db: summary.repeat_db * without.growth,
    bass_db: bass ? bass.level_db : null,
    background_db: background.a_db,
    microphone: microphone.name,
    rate_hz: microphone.rate,
  };
  say(showResult());
  return part("result").scrollIntoView();
}

function refuseNear(difference) {
  const limit = `${given.background.limit_db} dB are needed`;
  const why = difference > 0
    ? `The level is only ${decibel(difference)} above the background; ${limit}.`
    : `The level is no louder than the background; ${limit}.`;
  refuse(new Refusal(why, "Switch off what makes noise, close doors or come when it is quiet; then measure both again."));
}

/* References */

const chosen = () => References.all(given.place)[Number(part("reference").value)];

function showReferences() {
  const all = References.all(given.place);
  part("reference").replaceChildren(...all.map((reference, index) => {
    const words = reference.baseline ? `Baseline ${reference.baseline}, ` : "";
    return new Option(`${words}${References.dayAndTime(reference)}`, index);
  }));
  part("with").hidden = !all.length;
  part("no-reference").hidden = Boolean(all.length);
  showNote();
  part("older").hidden = !all.length || !given.baseline || all[0].baseline === given.baseline;
}

function showNote() {
  const reference = chosen();
  part("lay").textContent = reference?.note ? `The phone lay: ${reference.note}.` : "";
}

function keep() {
  const note = part("note").value.trim();
  if (!References.keep(given.place, given.baseline, { ...reading, note })) {
    refuse(new Refusal("This browser keeps nothing, so the reference is lost when the page closes.",
      "Leave private browsing or let this site keep data, then measure and keep again."));
    return;
  }
  showReferences();
  showResult();
  say("Kept in this browser. It is not in the register, and no other phone has it.");
}

function showResult() {
  if (!reading) return "";
  const reference = chosen();
  const found = Result.of(reading, reference, given);
  part("result").hidden = false;
  part("keeping").hidden = reference?.taken_at === reading.taken_at;
  const verdict = found.verdict && part("verdicts").content.querySelector(`.drift-${found.verdict}`).cloneNode(true);
  part("verdict").replaceChildren(...(verdict ? [verdict, ": "] : []));
  part("difference").textContent = found.says;
  part("facts").replaceChildren(...found.facts.flatMap((pair) => pair.map((words, index) => {
    const element = document.createElement(index ? "dd" : "dt");
    element.textContent = words;
    return element;
  })));
  return found.says;
}

const ACTIONS = {
  "turn-on": turnOn,
  "turn-off": turnOff,
  background: () => begin("background"),
  level: () => begin("level"),
  cancel,
  keep,
};
for (const [id, action] of Object.entries(ACTIONS)) part(id).addEventListener("click", action);
part("reference").addEventListener("change", () => {
  showNote();
  showResult();
});
document.addEventListener("visibilitychange", () => document.hidden && running && onLost());
window.addEventListener("pagehide", turnOff);
part("comparator").hidden = false;
// Fetched now, so that it is at hand where the microphone is turned on without a network.
fetch(part("comparator").dataset.worklet).catch(() => null);
showReferences();
showButtons();
say("The microphone is off.");
