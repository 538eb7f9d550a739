/**
 * The four lanes on the page: a grid that is one stop of the Tab key, wrapped over as many lines
 * as the width needs. It draws a state and reports presses and keys; it changes nothing itself.
 */
import { LIMBS, LIMB_WORDS, placeWords, syllable } from "./figure.js";
import { SURFACES } from "./surfaces.js";
import { draftId } from "./editor_playback.js";
import { keyOf } from "./lane_state.js";
import { cellsOf } from "./typed_writing.js";

const SVG = "http://www.w3.org/2000/svg";
const SMALLEST_CELL = 44;
const HEAD_WIDTH = 46;
/** One outline per limb, about 9 units from the middle to the edge. */
const OUTLINES = Object.freeze({
  RH: "M0-9A9 9 0 1 1 0 9 9 9 0 1 1 0-9Z",
  LH: "M-8-8H8V8H-8Z",
  RF: "M0-9.5 9.5 7.5H-9.5Z",
  LF: "M0-10.5 10.5 0 0 10.5-10.5 0Z",
});
const SIZES = Object.freeze({ accent: 1.35, normal: 1, soft: 0.72, ghost: 0.95 });

/**
 * @typedef {Object} Column
 * @property {number} tick
 * @property {number} place index of the beat over all bars
 * @property {boolean} opensBeat
 * @property {boolean} opensBar
 */

/** @param {import("./lane_state.js").LaneState} state @returns {Column[]} */
export function columnsOf(state) {
  return cellsOf(state).flatMap(({ start, length }, place) =>
    Array.from({ length: state.steps[place] }, (_, step) => ({
      tick: start + (length / state.steps[place]) * step,
      place,
      opensBeat: step === 0,
      opensBar: step === 0 && start % state.meter.barTicks === 0,
    })),
  );
}

/**
 * Cut columns into lines of at most `most`, between bars or beats where that is possible, and in
 * lines of even length where a bar does not fit into one.
 * @param {Column[]} columns
 * @param {number} most
 * @returns {Column[][]}
 */
export function linesOf(columns, most) {
  const bars = [];
  for (const column of columns) {
    if (column.opensBar) bars.push([]);
    const beats = bars.at(-1);
    if (column.opensBeat) beats.push([]);
    beats.at(-1).push(column);
  }
  const lines = [];
  for (const beats of bars) {
    const last = lines.at(-1);
    const width = beats.flat().length;
    if (last !== undefined && last.whole && last.columns.length + width <= most) last.columns.push(...beats.flat());
    else if (width <= most) lines.push({ columns: beats.flat(), whole: true });
    else lines.push(...evenly(beats, most).map((part) => ({ columns: part, whole: false })));
  }
  return lines.map((line) => line.columns);
}

function evenly(beats, most) {
  const parts = beats.flatMap((beat) => {
    const count = Math.ceil(beat.length / most);
    const size = Math.ceil(beat.length / count);
    return Array.from({ length: count }, (_, i) => beat.slice(i * size, (i + 1) * size));
  });
  for (let count = Math.ceil(parts.flat().length / most); count < parts.length; count += 1) {
    const size = Math.ceil(parts.length / count);
    const lines = Array.from({ length: count }, (_, i) => parts.slice(i * size, (i + 1) * size).flat());
    const kept = lines.filter((line) => line.length > 0);
    if (kept.every((line) => line.length <= most)) return kept;
  }
  return parts;
}

/**
 * One step in words: "right hand, beat 2 and, ride, accent".
 * @param {import("./lane_state.js").LaneState} state
 */
export function cellWords(state, limb, tick) {
  const place = placeWords(state.meter, tick, state.bars);
  const stroke = state.strokes.get(keyOf(limb, tick));
  if (stroke === undefined) return `${LIMB_WORDS[limb]}, ${place}, rest`;
  const ways = [stroke.loudness, stroke.ornament].filter((way) => way !== "normal" && way !== "none");
  return [LIMB_WORDS[limb], place, SURFACES[stroke.surface].spoken, ...ways].join(", ");
}

export class LaneGrid {
  /**
   * @param {HTMLElement} root the element with role grid
   * @param {{press: (limb: string, tick: number) => void,
   *   key: (event: KeyboardEvent, limb: string, tick: number) => void,
   *   moved: (limb: string, tick: number) => void}} on
   */
  constructor(root, on) {
    this.root = root;
    this.on = on;
    this.limb = "RH";
    this.tick = 0;
    this.most = 0;
    root.addEventListener("click", (event) => this.#clicked(event));
    root.addEventListener("keydown", (event) => this.#keyed(event));
    root.addEventListener("focusin", (event) => this.#focused(event));
    new ResizeObserver(() => this.#fit()).observe(root);
  }

  /** @param {import("./lane_state.js").LaneState} state */
  draw(state) {
    const hadFocus = this.root.contains(document.activeElement);
    this.state = state;
    this.columns = columnsOf(state);
    this.tick = nearest(this.columns, this.tick);
    this.most ||= this.#mostColumns();
    const lines = linesOf(this.columns, this.most);
    this.root.style.setProperty("--columns", String(Math.max(...lines.map((line) => line.length))));
    this.root.setAttribute("aria-colcount", String(this.columns.length + 1));
    this.root.replaceChildren(...lines.map((line) => this.#line(line)));
    this.#rove(hadFocus);
  }

  /** Move to another step. @param {string} limb @param {number} tick @param {boolean} focus */
  moveTo(limb, tick, focus = true) {
    this.limb = limb;
    this.tick = tick;
    this.#rove(focus);
    this.on.moved(limb, tick);
  }

  /** One step on in the same lane, staying on the last. */
  advance() {
    const at = this.columns.findIndex((column) => column.tick === this.tick);
    this.moveTo(this.limb, this.columns[Math.min(at + 1, this.columns.length - 1)].tick);
  }

  #mostColumns() {
    const width = this.root.clientWidth || 600;
    return Math.max(2, Math.floor((width - HEAD_WIDTH) / SMALLEST_CELL));
  }

  #fit() {
    const most = this.#mostColumns();
    if (most === this.most || this.state === undefined) return;
    this.most = most;
    this.draw(this.state);
  }

  #line(columns) {
    const group = element("div", { role: "rowgroup", class: "lanes-line" });
    for (const limb of LIMBS) group.append(this.#lane(limb, columns));
    const counts = element("div", { class: "lanes-counts", "aria-hidden": "true" });
    counts.append(element("span", { class: "lanes-head" }));
    for (const column of columns) {
      const count = element("span", { class: column.opensBeat ? "lanes-count is-beat" : "lanes-count" });
      count.textContent = syllable(this.state.meter, column.tick);
      counts.append(count);
    }
    group.append(counts);
    return group;
  }

  #lane(limb, columns) {
    const row = element("div", { role: "row", class: `lanes-lane limb-${limb.toLowerCase()}` });
    const head = element("div", { role: "rowheader", class: "lanes-head", "aria-label": LIMB_WORDS[limb] });
    head.textContent = limb;
    row.append(head);
    for (const column of columns) row.append(this.#cell(limb, column));
    return row;
  }

  #cell(limb, column) {
    const { tick } = column;
    const stroke = this.state.strokes.get(keyOf(limb, tick));
    const opens = column.opensBar ? " opens-bar" : column.opensBeat ? " opens-beat" : "";
    const cell = element("div", {
      role: "gridcell",
      class: `lanes-cell${opens}`,
      tabindex: "-1",
      "data-limb": limb,
      "data-tick": String(tick),
      "aria-colindex": String(this.columns.indexOf(column) + 2),
      "aria-label": cellWords(this.state, limb, tick),
    });
    if (stroke !== undefined) {
      cell.dataset.stroke = draftId(limb, tick);
      cell.append(drawing(stroke));
      if (stroke.surface !== this.state.surfaces[limb]) {
        const word = element("span", { class: "lanes-surface" });
        word.textContent = SURFACES[stroke.surface].short;
        cell.append(word);
      }
    }
    return cell;
  }

  #clicked(event) {
    const cell = event.target.closest("[role=gridcell]");
    if (cell === null) return;
    this.moveTo(cell.dataset.limb, Number(cell.dataset.tick));
    this.on.press(this.limb, this.tick);
  }

  #focused(event) {
    const cell = event.target.closest("[role=gridcell]");
    if (cell === null || (cell.dataset.limb === this.limb && Number(cell.dataset.tick) === this.tick)) return;
    this.moveTo(cell.dataset.limb, Number(cell.dataset.tick), false);
  }

  #keyed(event) {
    if (event.altKey || event.metaKey) return;
    const at = this.columns.findIndex((column) => column.tick === this.tick);
    const lane = LIMBS.indexOf(this.limb);
    const last = this.columns.length - 1;
    const to = {
      ArrowLeft: () => [lane, at - 1],
      ArrowRight: () => [lane, at + 1],
      ArrowUp: () => [lane - 1, at],
      ArrowDown: () => [lane + 1, at],
      Home: () => [event.ctrlKey ? 0 : lane, 0],
      End: () => [event.ctrlKey ? 3 : lane, last],
    }[event.key]?.();
    if (to === undefined) {
      this.on.key(event, this.limb, this.tick);
      return;
    }
    event.preventDefault();
    const [row, column] = to;
    if (row < 0 || row > 3 || column < 0 || column > last) return;
    this.moveTo(LIMBS[row], this.columns[column].tick);
  }

  #rove(focus) {
    const stops = this.root.querySelectorAll("[tabindex='0']");
    for (const each of stops) each.tabIndex = -1;
    const cell = this.root.querySelector(`[data-limb="${this.limb}"][data-tick="${this.tick}"]`);
    if (cell === null) return;
    cell.tabIndex = 0;
    if (focus) cell.focus({ preventScroll: false });
  }
}

function nearest(columns, tick) {
  return columns.reduce((best, { tick: each }) => (each <= tick ? each : best), columns[0].tick);
}

function drawing({ limb, loudness, ornament }) {
  const picture = document.createElementNS(SVG, "svg");
  picture.setAttribute("viewBox", "-22 -22 44 44");
  picture.setAttribute("aria-hidden", "true");
  const graces = { none: 0, flam: 1, drag: 2, buzz: 0 }[ornament];
  for (let grace = 0; grace < graces; grace += 1) {
    picture.append(outline(limb, "lanes-grace", `translate(-16 ${grace * 9 - 10}) scale(0.36)`));
  }
  picture.append(outline(limb, `lanes-stroke is-${loudness}`, `scale(${SIZES[loudness]})`));
  if (ornament === "buzz") {
    const z = document.createElementNS(SVG, "path");
    z.setAttribute("d", "M9 -18H19L9 -8H19");
    z.setAttribute("class", "lanes-buzz");
    picture.append(z);
  }
  return picture;
}

function outline(limb, name, transform) {
  const path = document.createElementNS(SVG, "path");
  path.setAttribute("d", OUTLINES[limb]);
  path.setAttribute("class", name);
  path.setAttribute("transform", transform);
  return path;
}

/** @param {string} tag @param {Record<string, string>} attributes */
export function element(tag, attributes) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
  return made;
}
