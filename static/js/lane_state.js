/**
 * What the lane editor holds, as values: every change gives a new state, so that undo is only a
 * list of earlier ones. No page, no sound.
 *
 * @typedef {import("./figure.js").Stroke} Stroke
 *
 * @typedef {Object} LaneState
 * @property {import("./figure.js").Meter} meter
 * @property {number} bars
 * @property {string} title
 * @property {ReadonlyMap<string, Stroke>} strokes by "limb tick"
 * @property {number[]} steps columns of each beat of each bar
 * @property {Record<string, string>} surfaces what a new stroke of each limb strikes
 */
import { LIMBS, MOST_BARS, Meter, TICKS_PER_BEAT, inOrder } from "./figure.js";
import { USUAL_SURFACE } from "./surfaces.js";
import { cellsOf, leastSteps } from "./typed_writing.js";

/** Steps to a whole beat that people may choose. */
export const STEP_CHOICES = Object.freeze([1, 2, 3, 4, 6, 8]);
/** What a press goes through; after the last comes rest again. */
const CYCLE = ["normal", "accent", "ghost"];
const USUAL_STEPS = 4;

export const keyOf = (limb, tick) => `${limb} ${tick}`;

/**
 * The columns that a beat may have: in a long beat of an odd meter more than in a whole one.
 * @param {number} length the beat's ticks
 */
export function columnChoices(length) {
  return STEP_CHOICES.map((steps) => (steps * length) / TICKS_PER_BEAT).filter(Number.isInteger);
}

/** @param {import("./figure.js").Figure} figure @returns {LaneState} */
export function stateOf(figure) {
  const surfaces = { ...USUAL_SURFACE };
  for (const limb of LIMBS) surfaces[limb] = commonest(figure.strokes, limb) ?? surfaces[limb];
  const { meter, bars, title } = figure;
  const strokes = new Map(figure.strokes.map((stroke) => [keyOf(stroke.limb, stroke.tick), stroke]));
  return { meter, bars, title, strokes, steps: usualColumns(figure), surfaces };
}

/** @param {LaneState} state @returns {import("./figure.js").Figure} */
export function figureOf({ meter, bars, title, strokes }) {
  return { meter, bars, title, strokes: inOrder([...strokes.values()]) };
}

/**
 * @param {LaneState} state
 * @param {string} limb
 * @param {number} tick
 * @param {Partial<Stroke>|null} change null takes the stroke out
 * @returns {LaneState}
 */
export function written(state, limb, tick, change) {
  const strokes = new Map(state.strokes);
  const key = keyOf(limb, tick);
  if (change === null) strokes.delete(key);
  else {
    const before = strokes.get(key) ?? fresh(state, limb, tick);
    strokes.set(key, { ...before, ...change });
  }
  return { ...state, strokes };
}

/** None, stroke, accent, ghost, none. @returns {LaneState} */
export function cycled(state, limb, tick) {
  const stroke = state.strokes.get(keyOf(limb, tick));
  if (stroke === undefined) return written(state, limb, tick, {});
  const next = CYCLE[CYCLE.indexOf(stroke.loudness) + 1];
  return written(state, limb, tick, next === undefined ? null : { loudness: next });
}

/** @returns {LaneState} this limb's strokes on its old surface move to the new one */
export function resurfaced(state, limb, surface) {
  const old = state.surfaces[limb];
  const strokes = new Map(state.strokes);
  for (const [key, stroke] of strokes) {
    if (stroke.limb === limb && stroke.surface === old) strokes.set(key, { ...stroke, surface });
  }
  return { ...state, strokes, surfaces: { ...state.surfaces, [limb]: surface } };
}

/** @returns {LaneState} */
export function cleared(state, limb) {
  const strokes = new Map([...state.strokes].filter(([, stroke]) => stroke.limb !== limb));
  return { ...state, strokes };
}

/**
 * Other steps for one beat, or for all that can have them. What falls between the new steps is
 * taken out; the caller says how many went.
 * @param {LaneState} state
 * @param {number|null} place index of the beat over all bars; null for all
 * @param {number} steps to a whole beat
 * @returns {LaneState}
 */
export function divided(state, place, steps) {
  const cells = cellsOf(state);
  const chosen = state.steps.map((before, index) => {
    const columns = (steps * cells[index].length) / TICKS_PER_BEAT;
    return (place === null || place === index) && Number.isInteger(columns) ? columns : before;
  });
  const strokes = new Map(
    [...state.strokes].filter(([, { tick }]) => {
      const index = cells.findIndex(({ start, length }) => tick >= start && tick < start + length);
      if (chosen[index] === state.steps[index]) return true;
      return (tick - cells[index].start) % (cells[index].length / chosen[index]) === 0;
    }),
  );
  return { ...state, strokes, steps: chosen };
}

/**
 * Another meter: each bar keeps what still lies inside it.
 * @param {LaneState} state
 * @param {string} signature
 * @returns {LaneState}
 */
export function metered(state, signature) {
  const meter = Meter.parse(signature);
  // The written note values stay: an eighth in 6/8 is an eighth in 4/4.
  const factor = (TICKS_PER_BEAT / meter.unitTicks / meter.unit) * ((state.meter.unitTicks * state.meter.unit) / TICKS_PER_BEAT);
  const strokes = [];
  for (const stroke of state.strokes.values()) {
    const bar = Math.floor(stroke.tick / state.meter.barTicks);
    const within = (stroke.tick - bar * state.meter.barTicks) / factor;
    if (Number.isInteger(within) && within < meter.barTicks) {
      strokes.push({ ...stroke, tick: bar * meter.barTicks + within });
    }
  }
  return restepped({ ...state, meter }, strokes);
}

/** @param {LaneState} state @param {number} bars @returns {LaneState} */
export function lengthened(state, bars) {
  const count = Math.min(MOST_BARS, Math.max(1, bars));
  const perBar = state.meter.groupTicks.length;
  const last = state.steps.slice(-perBar);
  const steps = Array.from({ length: count * perBar }, (_, i) => state.steps[i] ?? last[i % perBar]);
  const end = count * state.meter.barTicks;
  const strokes = new Map([...state.strokes].filter(([, { tick }]) => tick < end));
  return { ...state, bars: count, steps, strokes };
}

function restepped(state, strokes) {
  const figure = { meter: state.meter, bars: state.bars, title: state.title, strokes };
  return {
    ...state,
    strokes: new Map(strokes.map((stroke) => [keyOf(stroke.limb, stroke.tick), stroke])),
    steps: usualColumns(figure),
  };
}

function fresh(state, limb, tick) {
  return { tick, limb, surface: state.surfaces[limb], loudness: "normal", ornament: "none" };
}

function commonest(strokes, limb) {
  const counts = new Map();
  for (const stroke of strokes) {
    if (stroke.limb === limb) counts.set(stroke.surface, (counts.get(stroke.surface) ?? 0) + 1);
  }
  return [...counts].sort((a, b) => b[1] - a[1])[0]?.[0];
}

/**
 * Columns for a figure as read: what its strokes need, and the same in beats that need less.
 */
function usualColumns(figure) {
  const ticks = figure.strokes.map((stroke) => stroke.tick);
  const cells = cellsOf(figure);
  const needs = cells.map((cell) => leastSteps(ticks, cell));
  return cells.map((cell, place) => {
    const alike = needs.filter((need, i) => cells[i].length === cell.length && [1, 2, 4, 8].includes(need));
    const base = ticks.length === 0 ? USUAL_STEPS : Math.max(2, ...alike);
    const choices = columnChoices(cell.length);
    const even = choices.find((choice) => choice >= (base * cell.length) / TICKS_PER_BEAT) ?? choices[0];
    if (even % needs[place] === 0) return even;
    return choices.find((choice) => choice % needs[place] === 0) ?? needs[place];
  });
}

/** Undo and redo over states. */
export class History {
  /** @param {LaneState} state */
  constructor(state) {
    this.past = [];
    this.future = [];
    this.now = state;
  }

  /** @param {LaneState} state */
  push(state) {
    this.past.push(this.now);
    if (this.past.length > 200) this.past.shift();
    this.future = [];
    this.now = state;
  }

  /** @returns {boolean} whether there was something to go back to */
  undo() {
    return this.#step(this.past, this.future);
  }

  /** @returns {boolean} */
  redo() {
    return this.#step(this.future, this.past);
  }

  #step(from, to) {
    if (from.length === 0) return false;
    to.push(this.now);
    this.now = from.pop();
    return true;
  }
}
