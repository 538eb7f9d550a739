/**
 * Figures written in the typed form, character for character as exercises/rhythm/typed_writing.py
 * writes them, so that saving a figure untouched leaves its text untouched.
 */
import { LIMBS, TICKS_PER_BEAT, gcd, lcm } from "./figure.js";
import { USUAL_SURFACE, surfaceWord } from "./surfaces.js";
import { STEPS } from "./typed.js";

const WIDEST_LINE = 78;
const BAR_LINE = " | ";
const ODD_KINDS = 3 * 5 * 7;

const LETTERS = new Map(Object.entries(STEPS).map(([letter, way]) => [way.join(" "), letter]));

/** @param {import("./figure.js").Stroke} stroke */
export function letterOf(stroke) {
  return LETTERS.get(`${stroke.loudness} ${stroke.ornament}`);
}

/**
 * @param {import("./figure.js").Figure} figure
 * @returns {string}
 */
export function writeTyped(figure) {
  const { meter } = figure;
  const lanes = lanesOf(figure);
  const cells = cellsOf(figure);
  const counts = countsOf(lanes, cells, meter.isCompound ? 12 : 8);
  const rows = lanes.map((lane, row) => cells.map((cell, place) => writeCell(lane, cell, counts[row][place])));
  const widths = cells.map((_, place) => Math.max(...rows.map((row) => row[place].length)));
  const heads = lanes.map(({ limb, surface }) => `${limb} ${surfaceWord(surface)}:`);
  const indent = Math.max(...heads.map((head) => head.length)) + 1;
  const perBar = meter.groupTicks.length;
  const lines = [`${meter} ${figure.title.trim().split(/\s+/).join(" ")}`.trimEnd()];
  for (const [first, last] of blocksOf(widths, perBar, WIDEST_LINE - indent)) {
    lines.push("");
    rows.forEach((row, index) => {
      const bars = [];
      for (let at = first; at < last; at += perBar) {
        bars.push(row.slice(at, at + perBar).map((text, i) => text.padEnd(widths[at + i])).join(" "));
      }
      lines.push((heads[index].padEnd(indent) + bars.join(BAR_LINE)).trimEnd());
    });
  }
  return `${lines.join("\n")}\n`;
}

function lanesOf(figure) {
  const lanes = [];
  for (const limb of LIMBS) {
    const bySurface = new Map();
    for (const stroke of figure.strokes) {
      if (stroke.limb !== limb) continue;
      if (!bySurface.has(stroke.surface)) bySurface.set(stroke.surface, new Map());
      bySurface.get(stroke.surface).set(stroke.tick, stroke);
    }
    for (const [surface, strokes] of bySurface) lanes.push({ limb, surface, strokes });
  }
  if (lanes.length === 0) lanes.push({ limb: "RH", surface: USUAL_SURFACE.RH, strokes: new Map() });
  return lanes;
}

/** @param {import("./figure.js").Figure} figure @returns {{start: number, length: number}[]} */
export function cellsOf({ meter, bars }) {
  const cells = [];
  for (let bar = 0, start = 0; bar < bars; bar += 1) {
    for (const length of meter.groupTicks) {
      cells.push({ start, length });
      start += length;
    }
  }
  return cells;
}

/** First the least that each lane needs in each cell, then the same where few enough will do. */
function countsOf(lanes, cells, most) {
  const table = lanes.map(({ strokes }) => cells.map((cell) => leastSteps(strokes.keys(), cell)));
  const byCell = (cell) => `${cell.start}`;
  const byKind = (cell, count) => `${cell.length} ${gcd(count, ODD_KINDS)}`;
  for (const keyOf of [byCell, byKind]) {
    const shared = new Map();
    for (const row of table) {
      row.forEach((count, place) => {
        const key = keyOf(cells[place], count);
        shared.set(key, lcm(shared.get(key) ?? 1, count));
      });
    }
    for (const row of table) {
      row.forEach((count, place) => {
        const together = shared.get(keyOf(cells[place], count));
        if (together * TICKS_PER_BEAT <= most * cells[place].length) row[place] = together;
      });
    }
  }
  return table;
}

/**
 * The fewest even steps in which a cell holds all these ticks.
 * @param {Iterable<number>} ticks
 * @param {{start: number, length: number}} cell
 */
export function leastSteps(ticks, { start, length }) {
  let steps = 1;
  for (const tick of ticks) {
    if (tick >= start && tick < start + length) steps = lcm(steps, length / gcd(length, tick - start));
  }
  return steps;
}

function writeCell({ strokes }, { start, length }, count) {
  let text = "";
  for (let place = 0; place < count; place += 1) {
    const stroke = strokes.get(start + (length / count) * place);
    text += stroke === undefined ? "." : letterOf(stroke);
  }
  return text;
}

function blocksOf(widths, perBar, room) {
  const blocks = [];
  let used = 0;
  for (let at = 0; at < widths.length; at += perBar) {
    const bar = widths.slice(at, at + perBar).reduce((sum, width) => sum + width, 0) + perBar - 1;
    const last = blocks.at(-1);
    if (last !== undefined && used + BAR_LINE.length + bar <= room) {
      last[1] = at + perBar;
      used += BAR_LINE.length + bar;
    } else {
      blocks.push([at, at + perBar]);
      used = bar;
    }
  }
  return blocks;
}
