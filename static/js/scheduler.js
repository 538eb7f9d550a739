/**
 * When each sound of a figure is due: pure timing, no clock and no audio.
 *
 * The same object serves the live player and offline rendering. Positions are whole ticks counted
 * from the start of playing, and every time is one multiplication away from an anchor, so that
 * errors never add up. A change of tempo sets a new anchor at the horizon: what has been handed
 * out keeps its time, everything later follows the new tempo.
 *
 * @typedef {Object} PlaybackStroke
 * @property {string} id
 * @property {number} tick
 * @property {"RH"|"LH"|"RF"|"LF"} limb
 * @property {string} surface
 * @property {"ghost"|"soft"|"normal"|"accent"} loudness
 * @property {"none"|"flam"|"drag"|"buzz"} ornament
 *
 * @typedef {Object} Playback
 * @property {string} title
 * @property {string} meter
 * @property {number} bars
 * @property {number} bpm
 * @property {number} ticks_per_beat
 * @property {number} length_ticks
 * @property {number[]} group_ticks
 * @property {PlaybackStroke[]} strokes
 *
 * @typedef {Object} Settings
 * @property {number} bpm beats of the meter per minute
 * @property {number|null} rounds how often to play the range; null plays until stopped
 * @property {Playback[]|null} row figures to play one after another, instead of one again and again
 * @property {number} roundsEach how often each figure of the row is played before the next
 * @property {number} from first tick of the range
 * @property {number|null} to tick after the range; null means the figure's end
 * @property {boolean} countIn whether one bar is counted first
 * @property {number} clicksPerBeat 1 to 4
 * @property {number} swing where the middle of a beat falls: 0.5 (straight) to 0.75
 *
 * @typedef {Object} SoundEvent
 * @property {"stroke"|"grace"|"click"|"count"|"beat"|"round"|"end"} kind
 * @property {number} time seconds on the caller's clock
 * @property {string} [bus] limb, CLICK or COUNT
 * @property {string} [surface]
 * @property {number} [gain]
 * @property {string} [id] stroke id
 * @property {number} [beat] index of the group within its bar
 * @property {number} [bar] index of the bar, -1 while counting in
 * @property {number} [round]
 */
import { barTicksOf, countInItems, roundItems, soundsOf } from "./rounds.js";

/** The longest time by which a sound can precede the stroke that brings it. */
export const LONGEST_LEAD = 0.07;

export const SLOWEST_BPM = 30;
export const FASTEST_BPM = 260;

/** @type {Settings} */
export const DEFAULT_SETTINGS = Object.freeze({
  bpm: 90,
  rounds: null,
  from: 0,
  to: null,
  countIn: true,
  clicksPerBeat: 1,
  swing: 0.5,
  row: null,
  roundsEach: 1,
});

/**
 * Keep a tempo within what can be played along to.
 * @param {number} bpm
 * @param {number} otherwise what to use when `bpm` is not a number
 */
export function withinTempo(bpm, otherwise = DEFAULT_SETTINGS.bpm) {
  if (!Number.isFinite(bpm)) return otherwise;
  return Math.min(FASTEST_BPM, Math.max(SLOWEST_BPM, bpm));
}

/** Hands out the sounds of a figure in order, each exactly once. */
export class Scheduler {
  /**
   * @param {Playback} playback
   * @param {Partial<Settings>} settings
   */
  constructor(playback, settings = {}) {
    this.playback = playback;
    this.settings = { ...DEFAULT_SETTINGS, bpm: playback.bpm, ...settings };
    this.barTicks = barTicksOf(playback);
    this.ended = false;
    this.round = 0;
  }

  /** Seconds that one tick lasts at the present tempo. */
  get tickSeconds() {
    return 60 / (this.settings.bpm * this.playback.ticks_per_beat);
  }

  /**
   * Begin: the count-in, or the first round, starts at `time`.
   * @param {number} time
   */
  start(time) {
    this.anchorTick = 0;
    this.anchorTime = time;
    this.horizon = time;
    this.ended = false;
    this.round = 0;
    this.roundStart = 0;
    if (this.settings.countIn) {
      this.round = -1;
      this.roundTicks = this.barTicks;
      this.items = countInItems(this.playback);
      this.next = 0;
    } else {
      this.#beginRound();
    }
  }

  /**
   * Every sound whose stroke falls before `time` and was not handed out yet. Grace strokes come
   * with the stroke they lead into, hence up to LONGEST_LEAD before it.
   * @param {number} time
   * @returns {Generator<SoundEvent>}
   */
  *until(time) {
    while (!this.ended) {
      while (this.next < this.items.length) {
        const item = this.items[this.next];
        const due = this.#timeOf(this.roundStart + item.at);
        if (due >= time) {
          this.horizon = Math.max(this.horizon, time);
          return;
        }
        this.next += 1;
        yield* soundsOf(item, due, this.round);
      }
      const end = this.#timeOf(this.roundStart + this.roundTicks);
      if (end >= time) {
        this.horizon = Math.max(this.horizon, time);
        return;
      }
      this.roundStart += this.roundTicks;
      this.round += 1;
      const { rounds } = this.settings;
      if (rounds !== null && this.round >= rounds) {
        this.ended = true;
        yield { kind: "end", time: end, round: this.round };
        return;
      }
      this.#beginRound();
    }
  }

  /**
   * Change settings while playing. Tempo, clicks and swing hold from the horizon on; a new range
   * holds from the next round.
   * @param {Partial<Settings>} changes
   */
  change(changes) {
    if (this.items === undefined) {
      Object.assign(this.settings, changes);
      return;
    }
    const tick = this.#tickAt(this.horizon);
    this.anchorTick = tick;
    this.anchorTime = this.horizon;
    const { swing, clicksPerBeat } = this.settings;
    Object.assign(this.settings, changes);
    const moved = swing !== this.settings.swing || clicksPerBeat !== this.settings.clicksPerBeat;
    if (this.round >= 0 && moved) {
      this.items = roundItems(this.playback, this.settings, this.rangeFrom, this.rangeTo);
      const later = this.items.findIndex((item) => this.roundStart + item.at >= tick);
      this.next = later < 0 ? this.items.length : later;
    }
  }

  /**
   * Play another figure from the next round on: the one being edited.
   * @param {Playback} playback
   */
  replace(playback) {
    this.replacement = playback;
  }

  /** @param {number} tick ticks since the start of playing */
  #timeOf(tick) {
    return this.anchorTime + (tick - this.anchorTick) * this.tickSeconds;
  }

  /** @param {number} time */
  #tickAt(time) {
    return this.anchorTick + (time - this.anchorTime) / this.tickSeconds;
  }

  #beginRound() {
    if (this.replacement !== undefined) {
      this.playback = this.replacement;
      this.replacement = undefined;
      this.barTicks = barTicksOf(this.playback);
    }
    const { row, roundsEach } = this.settings;
    if (row !== null) {
      this.playback = row[Math.min(row.length - 1, Math.floor(this.round / roundsEach))];
      this.barTicks = barTicksOf(this.playback);
    }
    const { from, to } = this.settings;
    const end = to === null ? this.playback.length_ticks : to;
    this.rangeFrom = Math.max(0, Math.min(from, this.playback.length_ticks - 1));
    this.rangeTo = Math.max(this.rangeFrom + 1, Math.min(end, this.playback.length_ticks));
    this.roundTicks = this.rangeTo - this.rangeFrom;
    this.items = roundItems(this.playback, this.settings, this.rangeFrom, this.rangeTo);
    this.next = 0;
  }
}
