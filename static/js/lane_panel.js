/**
 * The panel under the lanes: how, and on what, the step at hand is struck, and how its beat is
 * divided. Everything a key can do can be done here by a thumb.
 */
import { TICKS_PER_BEAT } from "./figure.js";
import { cellWords } from "./lane_grid.js";
import { columnChoices, keyOf } from "./lane_state.js";
import { SURFACES, surfacesOf } from "./surfaces.js";
import { cellsOf } from "./typed_writing.js";

export class StrokePanel {
  /**
   * @param {HTMLElement} root the editor
   * @param {{write: (change: Object|null) => void, divide: (place: number, steps: number) => void}} on
   */
  constructor(root, on) {
    const part = (name) => root.querySelector(`[data-part="${name}"]`);
    this.words = part("stroke-words");
    this.loudness = part("loudness");
    this.ornament = part("ornament");
    this.surface = part("surface");
    this.steps = part("steps-beat");
    this.place = 0;
    const { loudness, ornament, surface, steps } = this;
    loudness.addEventListener("change", () =>
      on.write(loudness.value === "rest" ? null : { loudness: loudness.value }),
    );
    ornament.addEventListener("change", () => on.write({ ornament: ornament.value }));
    surface.addEventListener("change", () => on.write({ surface: surface.value }));
    steps.addEventListener("change", () => on.divide(this.place, Number(steps.value)));
  }

  /**
   * @param {import("./lane_state.js").LaneState} state
   * @param {{limb: string, tick: number}} at the step at hand
   */
  show(state, { limb, tick }) {
    const stroke = state.strokes.get(keyOf(limb, tick));
    const struck = stroke?.surface ?? state.surfaces[limb];
    this.words.textContent = cellWords(state, limb, tick);
    this.loudness.value = stroke?.loudness ?? "rest";
    this.ornament.value = stroke?.ornament ?? "none";
    this.ornament.disabled = stroke === undefined;
    const names = new Set([...surfacesOf(limb), struck]);
    this.surface.replaceChildren(...[...names].map((name) => new Option(SURFACES[name].spoken, name)));
    this.surface.value = struck;
    this.surface.disabled = stroke === undefined;
    this.#showSteps(state, tick);
  }

  #showSteps(state, tick) {
    const cells = cellsOf(state);
    this.place = cells.findIndex(({ start, length }) => tick >= start && tick < start + length);
    const { length } = cells[this.place];
    const present = state.steps[this.place];
    const columns = [...new Set([...columnChoices(length), present])].sort((a, b) => a - b);
    const steps = (count) => String((count * TICKS_PER_BEAT) / length);
    this.steps.replaceChildren(...columns.map((count) => new Option(String(count), steps(count))));
    this.steps.value = steps(present);
  }
}
