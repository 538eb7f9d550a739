/**
 * The path from a scheduled event to the loudspeaker, the same live and offline.
 *
 * voice -> gain of the stroke -> bus of its limb -> master -> soft ceiling -> destination.
 * Buses are RH LH RF LF, CLICK and COUNT; muting a limb closes its bus and nothing else.
 */
import { HI_HAT_VOICES, IMPULSE, samplesOf } from "./voices.js";

export const LIMBS = Object.freeze(["RH", "LH", "RF", "LF"]);
export const BUSES = Object.freeze([...LIMBS, "CLICK", "COUNT"]);

/** Four limbs at once must not overdrive the output. */
export const MASTER_GAIN = 0.5;

/** Below this the ceiling leaves the signal untouched. */
const CEILING_KNEE = 0.8;
/** The ceiling takes signals up to this size; a power of two keeps the untouched part exact. */
const CEILING_RANGE = 4;

const SMOOTH_SECONDS = 0.008;

/** A curve that is straight up to the knee and then bends so that nothing exceeds 1. */
function ceilingCurve() {
  const curve = new Float32Array(16385);
  const room = 1 - CEILING_KNEE;
  for (let i = 0; i < curve.length; i += 1) {
    const value = ((2 * i) / (curve.length - 1) - 1) * CEILING_RANGE;
    const size = Math.abs(value);
    const bent = size <= CEILING_KNEE ? size : CEILING_KNEE + room * Math.tanh((size - CEILING_KNEE) / room);
    curve[i] = Math.sign(value) * bent;
  }
  return curve;
}

export class Sound {
  /**
   * @param {BaseAudioContext} context
   * @param {{impulse?: boolean}} options `impulse`: every voice is one short pulse, no ceiling
   */
  constructor(context, { impulse = false } = {}) {
    this.context = context;
    this.impulse = impulse;
    /** @type {Map<string, AudioBuffer>} */
    this.buffers = new Map();
    this.master = new GainNode(context, { gain: impulse ? 1 : MASTER_GAIN });
    this.loudness = 1;
    if (impulse) {
      this.master.connect(context.destination);
    } else {
      const into = new GainNode(context, { gain: 1 / CEILING_RANGE });
      const ceiling = new WaveShaperNode(context, { curve: ceilingCurve() });
      this.master.connect(into).connect(ceiling).connect(context.destination);
    }
    /** @type {Map<string, GainNode>} */
    this.buses = new Map(BUSES.map((name) => [name, new GainNode(context)]));
    for (const bus of this.buses.values()) bus.connect(this.master);
    this.ringing = [];
    this.playing = new Set();
  }

  /**
   * Make the named voices now, so that the first stroke need not wait for them.
   * @param {Iterable<string>} names
   */
  prepare(names) {
    for (const name of names) this.#bufferOf(name);
  }

  /**
   * Sound one event of the scheduler at its time.
   * @param {import("./scheduler.js").SoundEvent} event
   */
  play(event) {
    const { context } = this;
    const source = new AudioBufferSourceNode(context, { buffer: this.#bufferOf(event.surface) });
    const level = new GainNode(context, { gain: event.gain });
    source.connect(level).connect(this.buses.get(event.bus));
    source.start(Math.max(0, event.time));
    this.#choke(event, level);
    this.playing.add(source);
    source.addEventListener("ended", () => {
      this.playing.delete(source);
      level.disconnect();
    });
  }

  /** Silence everything, also what is scheduled but not yet heard. */
  silence() {
    const now = this.context.currentTime;
    this.master.gain.setTargetAtTime(0, now, SMOOTH_SECONDS);
    for (const source of this.playing) source.stop(now + 4 * SMOOTH_SECONDS);
    this.playing.clear();
    this.ringing = [];
  }

  /**
   * Open or close a bus.
   * @param {string} name
   * @param {boolean} open
   * @param {boolean} [atOnce] no smoothing: before anything sounds
   */
  setOpen(name, open, atOnce = false) {
    const { gain } = this.buses.get(name);
    if (atOnce) gain.value = open ? 1 : 0;
    else gain.setTargetAtTime(open ? 1 : 0, this.context.currentTime, SMOOTH_SECONDS);
  }

  /** @param {number} loudness 0 to 1.5, 1 as made */
  setLoudness(loudness) {
    this.loudness = loudness;
    this.master.gain.setTargetAtTime(MASTER_GAIN * loudness, this.context.currentTime, SMOOTH_SECONDS);
  }

  #bufferOf(name) {
    let buffer = this.buffers.get(name);
    if (buffer === undefined) {
      const { context } = this;
      const samples = this.impulse ? Float32Array.from(IMPULSE) : samplesOf(name, context.sampleRate);
      buffer = new AudioBuffer({ length: samples.length, sampleRate: context.sampleRate });
      buffer.copyToChannel(samples, 0);
      this.buffers.set(name, buffer);
    }
    return buffer;
  }

  /** The two hi-hat cymbals are one: whatever sounds on them ends what rang before. */
  #choke(event, level) {
    if (this.impulse || !HI_HAT_VOICES.has(event.surface)) return;
    const stays = [];
    for (const ring of this.ringing) {
      if (ring.time < event.time) ring.level.gain.setTargetAtTime(0, event.time, 0.006);
      else if (ring.time === event.time) stays.push(ring);
    }
    this.ringing = [...stays, { level, time: event.time }];
  }
}

/**
 * The voices a figure needs, with the clicks.
 * @param {import("./scheduler.js").Playback} playback
 */
export function voicesOf(playback) {
  return new Set([...playback.strokes.map((stroke) => stroke.surface), "click_high", "click_low"]);
}
