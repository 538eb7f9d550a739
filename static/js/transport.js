/**
 * Playing live: fills the audio clock a little ahead of what is heard, and lights what sounds.
 *
 * The look-ahead is longer than any pause that a busy page should make, so that a page blocked for
 * 150 ms still has every hit in the audio thread's hands in time. One figure sounds at a time.
 */
import { LONGEST_LEAD, Scheduler } from "./scheduler.js";
import { LIMBS, Sound, voicesOf } from "./sound.js";

/** Seconds of sound that are handed over ahead of time. */
export const LOOK_AHEAD = 0.2;
const TICK_MS = 25;
const START_DELAY = 0.08;
/** A hit that is later than this (a sleeping laptop, a frozen tab) is left out, not piled up. */
const TOO_LATE = 0.06;

let shared;
/** @type {Transport|null} */
let playing = null;

/** The page's one audio context and one ticking worker, made on the first press. */
function audio() {
  if (shared === undefined) {
    const context = new AudioContext({ latencyHint: "interactive" });
    const worker = new Worker(new URL("./tick_worker.js", import.meta.url));
    worker.addEventListener("message", () => playing?.fill());
    shared = { context, worker, sound: new Sound(context) };
  }
  return shared;
}

export class Transport {
  /**
   * @param {(event: import("./scheduler.js").SoundEvent) => void} onHeard called when an event is heard
   * @param {() => void} onStopped called once whenever playing has stopped, whoever stopped it
   */
  constructor(onHeard, onStopped) {
    this.onHeard = onHeard;
    this.onStopped = onStopped;
    this.silenced = new Set();
    this.alone = new Set();
    this.isClicking = true;
    this.loudness = 1;
    this.turn = 0;
    this.stats = { scheduled: 0, late: 0, leftOut: 0, leastLead: Infinity };
  }

  get isPlaying() {
    return playing === this;
  }

  /**
   * @param {import("./scheduler.js").Playback} playback
   * @param {Partial<import("./scheduler.js").Settings>} settings
   * @throws {DOMException|Error} when the browser has no sound to give
   */
  async play(playback, settings) {
    playing?.stop();
    const { context, worker, sound } = audio();
    playing = this;
    this.turn += 1;
    const { turn } = this;
    await context.resume();
    if (playing !== this || turn !== this.turn) return;
    for (const each of settings.row ?? [playback]) sound.prepare(voicesOf(each));
    this.scheduler = new Scheduler(playback, settings);
    this.waiting = [];
    this.stats = { scheduled: 0, late: 0, leftOut: 0, leastLead: Infinity };
    this.balance(true);
    this.scheduler.start(context.currentTime + START_DELAY + LONGEST_LEAD);
    worker.postMessage({ every: TICK_MS });
    this.fill();
    this.frame = requestAnimationFrame(() => this.#show());
  }

  stop() {
    if (playing !== this) return;
    playing = null;
    const { sound, worker } = audio();
    worker.postMessage({ every: 0 });
    sound.silence();
    cancelAnimationFrame(this.frame);
    this.scheduler = undefined;
    this.waiting = [];
    this.onStopped();
  }

  /** @param {Partial<import("./scheduler.js").Settings>} changes */
  change(changes) {
    if (this.isPlaying) this.scheduler?.change(changes);
  }

  /** @param {import("./scheduler.js").Playback} playback taken up with the next round */
  replace(playback) {
    if (!this.isPlaying || this.scheduler === undefined) return;
    audio().sound.prepare(voicesOf(playback));
    this.scheduler.replace(playback);
  }

  /**
   * Bring mutes, solos, the click and the loudness to the sound.
   * @param {boolean} atOnce before anything sounds
   */
  balance(atOnce = false) {
    if (!this.isPlaying) return;
    const { sound } = audio();
    for (const limb of LIMBS) sound.setOpen(limb, this.isHeard(limb), atOnce);
    sound.setOpen("CLICK", this.isClicking, atOnce);
    sound.setLoudness(this.loudness);
  }

  /** @param {string} limb */
  isHeard(limb) {
    return this.alone.size > 0 ? this.alone.has(limb) : !this.silenced.has(limb);
  }

  /** Hand over everything that is due within the look-ahead. */
  fill() {
    if (this.scheduler === undefined) return;
    const { context, sound } = audio();
    for (const event of this.scheduler.until(context.currentTime + LOOK_AHEAD + LONGEST_LEAD)) {
      if (event.surface !== undefined) this.#sound(event, context, sound);
      if (event.kind !== "grace") this.waiting.push(event);
    }
  }

  #sound(event, context, sound) {
    const lead = event.time - context.currentTime;
    if (lead < -TOO_LATE) {
      this.stats.leftOut += 1;
      return;
    }
    this.stats.scheduled += 1;
    if (lead < 0) this.stats.late += 1;
    this.stats.leastLead = Math.min(this.stats.leastLead, lead);
    sound.play(event);
  }

  #show() {
    const { context } = audio();
    const heard = context.currentTime - (context.outputLatency || context.baseLatency || 0);
    while (this.waiting.length > 0 && this.waiting[0].time <= heard) {
      const event = this.waiting.shift();
      if (event.kind === "end") {
        this.stop();
        return;
      }
      this.onHeard(event);
    }
    this.frame = requestAnimationFrame(() => this.#show());
  }
}
