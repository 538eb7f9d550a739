/**
 * Figures in the browser: meters, limbs and the words for a place, as exercises/rhythm has them.
 * Everything is counted in whole ticks, so nothing is ever rounded.
 *
 * @typedef {Object} Stroke
 * @property {number} tick from the figure's start
 * @property {"RH"|"LH"|"RF"|"LF"} limb
 * @property {string} surface
 * @property {"ghost"|"soft"|"normal"|"accent"} loudness
 * @property {"none"|"flam"|"drag"|"buzz"} ornament
 *
 * @typedef {Object} Figure
 * @property {Meter} meter
 * @property {number} bars
 * @property {string} title
 * @property {Stroke[]} strokes by tick, then in the order of LIMBS
 */

export const TICKS_PER_BEAT = 840;
export const MOST_BARS = 8;
export const MOST_STROKES = 1024;
export const LIMBS = Object.freeze(["RH", "LH", "RF", "LF"]);
export const LIMB_WORDS = Object.freeze({
  RH: "right hand",
  LH: "left hand",
  RF: "right foot",
  LF: "left foot",
});

const UNITS = [2, 4, 8, 16];
const MOST_COUNTS = 32;

/** A time signature; in compound meters three units are one beat. */
export class Meter {
  /** @param {number} count @param {number} unit */
  constructor(count, unit) {
    if (count < 1 || count > MOST_COUNTS) {
      throw new RangeError(`a bar has 1 to ${MOST_COUNTS} counts, not ${count}`);
    }
    if (!UNITS.includes(unit)) {
      throw new RangeError(`a count is a half, quarter, eighth or sixteenth, not 1/${unit}`);
    }
    this.count = count;
    this.unit = unit;
    this.isCompound = unit >= 8 && count % 3 === 0 && count > 3;
    const beatQuarters = this.isCompound ? 12 / unit : unit === 2 ? 2 : 1;
    /** The note value of the lower number, in ticks: what is counted aloud. */
    this.unitTicks = Math.round((TICKS_PER_BEAT * 4) / unit / beatQuarters);
    this.barTicks = this.unitTicks * count;
    /** The groups that beams and counting follow, in ticks; in odd meters the last is long. */
    this.groupTicks = groupsOf(this.barTicks);
  }

  /**
   * @param {string} text such as "7/8"
   * @throws {RangeError} when it is no meter
   */
  static parse(text) {
    const match = /^\s*(\d{1,2})\s*\/\s*(\d{1,2})\s*$/.exec(text);
    if (match === null) throw new RangeError(`a meter looks like 4/4 or 7/8, not ${text.slice(0, 20)}`);
    return new Meter(Number(match[1]), Number(match[2]));
  }

  toString() {
    return `${this.count}/${this.unit}`;
  }
}

function groupsOf(barTicks) {
  const beats = Math.floor(barTicks / TICKS_PER_BEAT);
  const rest = barTicks - beats * TICKS_PER_BEAT;
  if (rest === 0) return Array(beats).fill(TICKS_PER_BEAT);
  if (beats === 0) return [rest];
  return [...Array(beats - 1).fill(TICKS_PER_BEAT), TICKS_PER_BEAT + rest];
}

/** @param {Stroke[]} strokes @returns {Stroke[]} in the order that figures keep */
export function inOrder(strokes) {
  return [...strokes].sort((a, b) => a.tick - b.tick || LIMBS.indexOf(a.limb) - LIMBS.indexOf(b.limb));
}

/**
 * What is said at a place: "3", "e", "&", "let".
 * @param {Meter} meter
 * @param {number} tick
 */
export function syllable(meter, tick) {
  const { count, within } = position(meter, tick);
  return within === 0 ? String(count) : partName(meter.unitTicks, within, "ta");
}

/**
 * A place in words: "beat 3 a", "bar 2, beat 1 and".
 * @param {Meter} meter
 * @param {number} tick
 * @param {number} bars the bar is named when there are several
 */
export function placeWords(meter, tick, bars) {
  const { bar, count, within } = position(meter, tick);
  const name = meter.unitTicks === TICKS_PER_BEAT ? "beat" : "count";
  let place = `${name} ${count}`;
  if (within > 0) {
    const part = partName(meter.unitTicks, within, "");
    place += part ? ` ${part === "&" ? "and" : part}` : ` and ${fraction(within, meter.unitTicks)}`;
  }
  return bars > 1 ? `bar ${bar}, ${place}` : place;
}

function position(meter, tick) {
  const bar = Math.floor(tick / meter.barTicks);
  const inBar = tick - bar * meter.barTicks;
  const count = Math.floor(inBar / meter.unitTicks);
  return { bar: bar + 1, count: count + 1, within: inBar - count * meter.unitTicks };
}

function partName(unit, within, otherwise) {
  if (within * 4 === unit) return "e";
  if (within * 2 === unit) return "&";
  if (within * 4 === unit * 3) return "a";
  if (within * 3 === unit) return "trip";
  if (within * 3 === unit * 2) return "let";
  return otherwise;
}

function fraction(part, whole) {
  const shared = gcd(part, whole);
  return `${part / shared}/${whole / shared}`;
}

/** @param {number} a @param {number} b */
export function gcd(a, b) {
  return b === 0 ? a : gcd(b, a % b);
}

/** @param {number} a @param {number} b */
export function lcm(a, b) {
  return (a / gcd(a, b)) * b;
}
