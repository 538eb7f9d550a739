/**
 * What can be struck, in the words and letters of exercises/rhythm/surfaces.py and typed_words.py.
 * A test holds the two against each other.
 *
 * @typedef {Object} SurfaceFacts
 * @property {string} spoken in words
 * @property {string} short fits under a dot in the lanes
 * @property {boolean} byFoot only a pedal reaches it
 */

const surface = (spoken, short, byFoot = false) => Object.freeze({ spoken, short, byFoot });

/** @type {Readonly<Record<string, SurfaceFacts>>} */
export const SURFACES = Object.freeze({
  bass_drum: surface("bass drum", "bass", true),
  snare: surface("snare", "snare"),
  cross_stick: surface("cross-stick", "cross"),
  rim_shot: surface("rim shot", "rim"),
  high_tom: surface("high tom", "high"),
  mid_tom: surface("mid tom", "mid"),
  floor_tom: surface("floor tom", "floor"),
  hi_hat: surface("hi-hat", "hat"),
  hi_hat_half_open: surface("half-open hi-hat", "half"),
  hi_hat_open: surface("open hi-hat", "open"),
  hi_hat_foot: surface("hi-hat foot", "foot", true),
  hi_hat_splash: surface("hi-hat foot splash", "f.spl.", true),
  ride: surface("ride", "ride"),
  ride_bell: surface("ride bell", "bell"),
  crash: surface("crash", "crash"),
  splash: surface("splash", "splash"),
  china: surface("china", "china"),
  cowbell: surface("cowbell", "cow"),
  pad: surface("practice pad", "pad"),
});

/** What a limb strikes when nothing else is said. */
export const USUAL_SURFACE = Object.freeze({
  RH: "hi_hat",
  LH: "snare",
  RF: "bass_drum",
  LF: "hi_hat_foot",
});

const SHORT_WORDS = {
  bass: "bass_drum",
  hat: "hi_hat",
  openhat: "hi_hat_open",
  foot: "hi_hat_foot",
  bell: "ride_bell",
};

const letters = (words) => words.toLowerCase().replace(/[ \-_\t]/g, "");

const BY_LETTERS = new Map([
  ...Object.entries(SHORT_WORDS),
  ...Object.entries(SURFACES).map(([name, { spoken }]) => [letters(spoken), name]),
  ...Object.keys(SURFACES).map((name) => [letters(name), name]),
]);

/** @param {string} words @returns {string|undefined} the surface that is named */
export function readSurface(words) {
  return BY_LETTERS.get(letters(words));
}

/** @param {string} name @returns {string} the one word that the typed form has for it */
export function surfaceWord(name) {
  return name.replaceAll("_", "-");
}

/** @param {string} limb @returns {string[]} the surfaces this limb can reach */
export function surfacesOf(limb) {
  const isFoot = limb.endsWith("F");
  return Object.keys(SURFACES).filter((name) => SURFACES[name].byFoot === isFoot);
}
