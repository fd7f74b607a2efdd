// The sound of the replay, off until wanted: noise as loud and as bright as the current is large.

import { byId } from "./dom.js";

/** Loudest share of full scale, and the band's middle from no current to the peak [Hz]. */
const LOUDEST = 0.22;
const MUFFLED = 140;
const CLEAR = 1900;

/** How fast it follows, and after what time without news it falls silent [s]. */
const FOLLOWS = 0.02;
const QUIET = 0.12;

export class Sound {
  constructor() {
    this.button = byId("sound");
    this.button.addEventListener("click", () => this.turn(!this.on));
  }

  turn(on) {
    this.on = on;
    this.button.setAttribute("aria-pressed", on);
    if (on) this.start();
    else this.context?.suspend();
  }

  start() {
    if (this.context) return this.context.resume();
    const context = (this.context = new AudioContext());
    const buffer = context.createBuffer(1, context.sampleRate, context.sampleRate);
    const samples = buffer.getChannelData(0);
    for (let k = 0; k < samples.length; k++) samples[k] = 2 * Math.random() - 1;
    const noise = new AudioBufferSourceNode(context, { buffer, loop: true });
    this.band = new BiquadFilterNode(context, { type: "bandpass", Q: 0.8, frequency: MUFFLED });
    this.gain = new GainNode(context, { gain: 0 });
    noise.connect(this.band).connect(this.gain).connect(context.destination);
    noise.start();
  }

  /** The current as a share of its peak, while the replay plays. */
  at(share) {
    if (!this.on || !this.context) return;
    const now = this.context.currentTime;
    const level = Math.min(1, Math.max(0, share));
    this.band.frequency.setTargetAtTime(MUFFLED + (CLEAR - MUFFLED) * level, now, FOLLOWS);
    this.gain.gain.cancelScheduledValues(now);
    this.gain.gain.setTargetAtTime(LOUDEST * level, now, FOLLOWS);
    this.gain.gain.setTargetAtTime(0, now + QUIET, FOLLOWS);
  }
}
