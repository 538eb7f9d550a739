/**
 * One synthesised voice for every surface of the kit, and the clicks.
 *
 * Tuned for phone speakers, which give little below 300 Hz: the drums carry a stick or beater
 * sound and overtones above it, so that a bass drum can be heard as well as felt.
 */
import { voiceSamples } from "./synthesis.js";

/** Inharmonic partials of a struck plate, relative to the lowest: by ear. */
const BRONZE = [1, 1.34, 1.67, 2.09, 2.56, 3.11, 3.89, 4.43, 5.17, 6.03];

/** @param {number} lowest Hz */
const bronze = (lowest) => BRONZE.map((ratio) => lowest * ratio);

const tone = (from, to, decay, gain, more = {}) => ({ kind: "tone", from, to, decay, gain, ...more });
const noise = (low, high, decay, gain, more = {}) => ({ kind: "noise", low, high, decay, gain, ...more });
const metal = (lowest, low, decay, gain, more = {}) => ({
  kind: "metal",
  partials: bronze(lowest),
  low,
  decay,
  gain,
  ...more,
});

/** @param {number} pitch Hz */
const tom = (pitch, seconds) => ({
  seconds,
  peak: 0.8,
  layers: [
    tone(pitch * 1.35, pitch, seconds, 1, { glide: 0.05 }),
    tone(pitch * 2.1, pitch * 1.59, seconds * 0.5, 0.4, { glide: 0.03 }),
    tone(pitch * 4.2, pitch * 3.5, seconds * 0.3, 0.55, { glide: 0.02 }),
    noise(700, 5000, 0.05, 0.9),
  ],
});

const hat = (seconds, peak, sizzle = 0.5) => ({
  seconds,
  peak,
  layers: [metal(1830, 6500, seconds, 0.16), noise(6800, 14000, seconds * 0.9, sizzle), noise(2500, 9000, 0.012, 0.35)],
});

const wash = (seconds, peak, lowest, low) => ({
  seconds,
  peak,
  layers: [
    metal(lowest, low, seconds, 0.12),
    noise(low, 13000, seconds * 0.8, 0.55, { attack: 0.004 }),
    noise(1500, 7000, 0.03, 0.5),
  ],
});

/** @type {Record<string, {seconds: number, peak: number, layers: import("./synthesis.js").Layer[]}>} */
const RECIPES = {
  bass_drum: {
    seconds: 0.34,
    peak: 0.95,
    layers: [
      tone(150, 52, 0.34, 1, { glide: 0.03 }),
      tone(330, 105, 0.16, 0.5, { glide: 0.025 }),
      tone(760, 410, 0.1, 0.75, { glide: 0.012 }),
      noise(1200, 4500, 0.03, 1.1),
    ],
  },
  snare: {
    seconds: 0.26,
    peak: 0.8,
    layers: [
      tone(260, 186, 0.14, 0.75, { glide: 0.015 }),
      tone(420, 331, 0.09, 0.4, { glide: 0.015 }),
      noise(1700, 9500, 0.24, 0.75),
      noise(600, 5000, 0.014, 0.6),
    ],
  },
  cross_stick: {
    seconds: 0.12,
    peak: 0.62,
    layers: [tone(1750, 1680, 0.05, 1), tone(820, 790, 0.07, 0.55), noise(1800, 7000, 0.012, 0.6)],
  },
  rim_shot: {
    seconds: 0.28,
    peak: 0.95,
    layers: [
      tone(330, 205, 0.16, 0.8, { glide: 0.015 }),
      tone(1150, 1080, 0.06, 0.7),
      noise(1500, 10000, 0.24, 0.7),
      noise(2500, 9000, 0.012, 0.9),
    ],
  },
  high_tom: tom(190, 0.42),
  mid_tom: tom(142, 0.5),
  floor_tom: tom(96, 0.62),
  hi_hat: hat(0.075, 0.42),
  hi_hat_half_open: hat(0.28, 0.46),
  hi_hat_open: hat(0.7, 0.48),
  hi_hat_foot: hat(0.055, 0.34, 0.35),
  hi_hat_splash: hat(0.5, 0.36, 0.4),
  ride: {
    seconds: 0.9,
    peak: 0.42,
    layers: [metal(1240, 2600, 0.9, 0.1), noise(5200, 12000, 0.5, 0.16), tone(3320, 3300, 0.08, 0.4), noise(3500, 9500, 0.014, 0.6)],
  },
  ride_bell: {
    seconds: 0.9,
    peak: 0.5,
    layers: [tone(1568, 1560, 0.85, 0.5), tone(2637, 2630, 0.6, 0.4), tone(4190, 4180, 0.3, 0.2), metal(1560, 3000, 0.4, 0.04), noise(4000, 9500, 0.01, 0.4)],
  },
  crash: wash(1.5, 0.62, 880, 2200),
  splash: wash(0.55, 0.55, 1450, 3600),
  china: {
    seconds: 1.0,
    peak: 0.6,
    layers: [metal(610, 1500, 1.0, 0.16), noise(1800, 9000, 0.7, 0.6, { attack: 0.008 }), noise(900, 5000, 0.03, 0.5)],
  },
  cowbell: {
    seconds: 0.3,
    peak: 0.6,
    layers: [tone(587, 585, 0.28, 0.7), tone(872, 870, 0.24, 0.6), tone(1755, 1750, 0.1, 0.25), noise(2500, 8000, 0.008, 0.4)],
  },
  pad: {
    seconds: 0.1,
    peak: 0.6,
    layers: [tone(520, 430, 0.06, 0.8), tone(1240, 1180, 0.03, 0.35), noise(1200, 6000, 0.012, 0.6)],
  },
  click_high: { seconds: 0.05, peak: 0.5, layers: [tone(1976, 1976, 0.05, 1), tone(3952, 3952, 0.02, 0.3)] },
  click_low: { seconds: 0.05, peak: 0.5, layers: [tone(1319, 1319, 0.05, 1), tone(2638, 2638, 0.02, 0.3)] },
};

/** Names of all voices: every surface, `click_high` and `click_low`. */
export const VOICE_NAMES = Object.freeze(Object.keys(RECIPES));

/** Surfaces whose ringing ends when another of the hi-hat's surfaces sounds. */
export const HI_HAT_VOICES = Object.freeze(new Set(VOICE_NAMES.filter((name) => name.startsWith("hi_hat"))));

/**
 * The samples of one voice.
 * @param {string} name
 * @param {number} rate samples per second
 * @throws {RangeError} when there is no such voice
 */
export function samplesOf(name, rate) {
  const recipe = RECIPES[name];
  if (recipe === undefined) throw new RangeError(`There is no voice named ${name}.`);
  const seed = [...name].reduce((sum, letter) => (sum * 31 + letter.charCodeAt(0)) >>> 0, 17);
  return voiceSamples(recipe.layers, { rate, seconds: recipe.seconds, peak: recipe.peak, seed });
}

/** A voice that only marks its beginning: for measuring onsets. */
export const IMPULSE = Object.freeze([1, 1]);
