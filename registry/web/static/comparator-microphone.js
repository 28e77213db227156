"use strict";
/* The microphone, or a refusal that says what to do. */

const PROCESSING = {
  autoGainControl: "automatic gain",
  echoCancellation: "echo cancellation",
  noiseSuppression: "noise suppression",
};
const LOWEST_RATE = 44100;
const OTHER_BROWSER = "Open this page in another browser on this phone, or read the level with a sound level meter.";

/** Why nothing can be measured, and what to do about it. */
class Refusal extends Error {
  constructor(why, whatToDo) {
    super(why);
    this.whatToDo = whatToDo;
  }
}

const MICROPHONE_ERRORS = {
  NotAllowedError: [
    "The browser was told not to give this page the microphone.",
    "Allow the microphone for this site (the sign beside the address, or the phone's settings), then try again.",
  ],
  NotFoundError: ["There is no microphone.", "Plug one in, or open this page on a phone."],
  NotReadableError: ["The microphone can't be read.", "Close what else uses it, a call for instance, then try again."],
};

const Microphone = {
  /** Refuse what can be told before anybody is asked for a permission. */
  refuseBrowser() {
    if (!window.isSecureContext) {
      throw new Refusal("This page came without HTTPS, so the browser gives no microphone.",
        "Open the register by its https address.");
    }
    if (!navigator.mediaDevices?.getUserMedia || !window.AudioWorkletNode) {
      throw new Refusal("This browser can't measure.", OTHER_BROWSER);
    }
    const known = navigator.mediaDevices.getSupportedConstraints();
    const unknown = Object.keys(PROCESSING).filter((name) => !known[name]);
    if (unknown.length) Microphone.refuseProcessing(unknown, "This browser has no switch for");
  },

  refuseProcessing(names, why) {
    const words = names.map((name) => PROCESSING[name]).join(", ");
    throw new Refusal(`${why} ${words}, which would change the level while it is read.`, OTHER_BROWSER);
  },

  async stream() {
    const off = Object.fromEntries(Object.keys(PROCESSING).map((name) => [name, false]));
    try {
      return await navigator.mediaDevices.getUserMedia({ audio: { ...off, channelCount: 1 } });
    } catch (error) {
      const words = MICROPHONE_ERRORS[error.name] ?? [`The microphone doesn't start (${error.name}).`, OTHER_BROWSER];
      throw new Refusal(...words);
    }
  },

  /** Refuse a microphone that is not left alone: false is the only answer that means off. */
  refuseTrack(track) {
    const settings = track.getSettings();
    const on = Object.keys(PROCESSING).filter((name) => settings[name] !== false);
    if (on.length) Microphone.refuseProcessing(on, "The browser doesn't say that it switched off");
    if (settings.sampleRate < LOWEST_RATE) Microphone.refuseRate(settings.sampleRate);
  },

  refuseRate(rate) {
    throw new Refusal(`The sound comes at ${rate} samples a second; there is no filter for that here.`,
      "Use the phone's own microphone, not a headset by radio; else another browser or phone.");
  },

  /** Open it: `onBlock` gets sums of squares ten times a second, `onLost` is called when the sound ends or stops. */
  async open({ worklet, filters, onBlock, onLost }) {
    Microphone.refuseBrowser();
    const stream = await Microphone.stream();
    const [track] = stream.getAudioTracks();
    const context = new AudioContext();
    const close = () => {
      track.stop();
      if (context.state !== "closed") context.close();
    };
    try {
      Microphone.refuseTrack(track);
      if (!filters[context.sampleRate]) Microphone.refuseRate(context.sampleRate);
      await context.audioWorklet.addModule(worklet);
      await context.resume();
      const meter = new AudioWorkletNode(context, "level-meter", { processorOptions: filters[context.sampleRate] });
      meter.port.onmessage = ({ data }) => onBlock(data);
      // Browsers run only what is heard; the meter's output is silence.
      context.createMediaStreamSource(stream).connect(meter).connect(context.destination);
    } catch (error) {
      close();
      throw error;
    }
    for (const event of ["ended", "mute"]) track.addEventListener(event, onLost);
    return { name: track.label, rate: context.sampleRate, close };
  },
};
