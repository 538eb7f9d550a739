/**
 * The limb-lane editor: four lanes over the textarea that holds a figure's typed form.
 *
 * The textarea stays the form's field and the only thing that is sent; the editor reads it, and
 * writes it after every change. Each change also dispatches a bubbling "figure-changed" event from
 * the textarea, whose detail has `typed` (the text) and `isReadable`, so that a preview can follow:
 *   hx-trigger="figure-changed from:closest form delay:400ms"
 */
import { LIMBS, LIMB_WORDS, TICKS_PER_BEAT } from "./figure.js";
import { playbackOf } from "./editor_playback.js";
import { LaneGrid, cellWords } from "./lane_grid.js";
import { StrokePanel } from "./lane_panel.js";
import {
  History,
  STEP_CHOICES,
  cleared,
  cycled,
  divided,
  figureOf,
  lengthened,
  metered,
  resurfaced,
  stateOf,
  written,
} from "./lane_state.js";
import { playerOf, wirePlayers } from "./player.js";
import { SURFACES, surfacesOf } from "./surfaces.js";
import { RESTS, STEPS, readTyped } from "./typed.js";
import { cellsOf, writeTyped } from "./typed_writing.js";

const NEW_FIGURE = "4/4\n\nRH hi-hat: .... .... .... ....\n";

/** @param {ParentNode} root */
export function wireEditors(root = document) {
  const editors = [...root.querySelectorAll("[data-lane-editor]")];
  if (root instanceof Element && root.matches("[data-lane-editor]")) editors.push(root);
  for (const each of editors) {
    if (each.dataset.wired) continue;
    each.dataset.wired = "yes";
    new LaneEditor(each);
  }
}

class LaneEditor {
  /** @param {HTMLElement} root */
  constructor(root) {
    this.root = root;
    this.field = root.querySelector("textarea");
    this.hasRead = false;
    this.isUnreadable = false;
    this.grid = new LaneGrid(this.part("grid"), {
      press: (limb, tick) => this.#change(cycled(this.state, limb, tick), cellOf(limb, tick)),
      key: (event, limb, tick) => this.#key(event, limb, tick),
      moved: () => this.panel.show(this.state, this.grid),
    });
    this.#wireLanes();
    this.panel = new StrokePanel(root, {
      write: (change) => {
        const { limb, tick } = this.grid;
        this.#change(written(this.state, limb, tick, change), cellOf(limb, tick));
      },
      divide: (place, steps) => this.#divide(place, steps),
    });
    this.#wireShape();
    this.part("undo").addEventListener("click", () => this.#undo());
    this.part("redo").addEventListener("click", () => this.#redo());
    this.field.addEventListener("input", () => this.#read(true));
    this.field.form?.addEventListener("reset", () => setTimeout(() => this.#read(true)));
    this.part("body").hidden = false;
    this.#read(false);
    this.#wirePlayer();
  }

  get state() {
    return this.history.now;
  }

  /** @param {string} name */
  part(name) {
    return this.root.querySelector(`[data-part="${name}"]`);
  }

  /** Take over what the textarea says, where it can be read. */
  #read(isEdit) {
    let figure;
    try {
      figure = readTyped(this.field.value.trim() === "" ? NEW_FIGURE : this.field.value);
    } catch (bad) {
      this.#sayUnreadable(bad.message);
      this.history ??= new History(stateOf(readTyped(NEW_FIGURE)));
      this.#draw();
      if (isEdit) this.#tell(false);
      return;
    }
    this.hasRead = true;
    this.#sayUnreadable("");
    if (this.history === undefined || !isEdit) this.history = new History(stateOf(figure));
    else this.history.push(stateOf(figure));
    this.#draw();
    if (isEdit) this.#tell(true);
  }

  /**
   * @param {import("./lane_state.js").LaneState} state
   * @param {string|((state: Object) => string)} words what happened, for the live region
   */
  #change(state, words) {
    if (this.isUnreadable) {
      this.#draw();
      this.#announce("Nothing was changed: the typed form cannot be read yet.");
      return;
    }
    const lost = this.state.strokes.size - state.strokes.size;
    this.history.push(state);
    this.#write();
    this.#announce(typeof words === "function" ? words(state, lost) : words);
  }

  #write() {
    this.field.value = writeTyped(figureOf(this.state));
    this.#sayUnreadable("");
    this.#draw();
    this.#tell(true);
  }

  #draw() {
    this.grid.draw(this.state);
    this.#showLanes();
    this.#showShape();
    this.panel.show(this.state, this.grid);
    this.part("undo").disabled = this.isUnreadable ? !this.hasRead : this.history.past.length === 0;
    this.part("redo").disabled = this.history.future.length === 0;
  }

  #tell(isReadable) {
    const player = this.player && playerOf(this.player);
    if (isReadable && player?.isPlaying) player.replace(playbackOf(figureOf(this.state), this.#bpm()));
    const detail = { typed: this.field.value, isReadable };
    this.field.dispatchEvent(new CustomEvent("figure-changed", { bubbles: true, detail }));
  }

  #announce(words) {
    this.part("live").textContent = words;
  }

  #sayUnreadable(reason) {
    this.isUnreadable = reason !== "";
    const note = this.part("unreadable");
    note.hidden = !this.isUnreadable;
    const back = this.hasRead ? "Undo goes back to the figure that the lanes still show." : "";
    note.textContent = reason && `The typed form cannot be read yet: ${reason}. It is kept as it stands. ${back}`;
    this.part("grid").setAttribute("aria-disabled", String(this.isUnreadable));
  }

  #undo() {
    if (!this.isUnreadable && !this.history.undo()) return;
    this.#write();
    this.#announce("The last change was taken back.");
  }

  #redo() {
    if (!this.history.redo()) return;
    this.#write();
    this.#announce("The change was made again.");
  }

  #key(event, limb, tick) {
    if (event.ctrlKey) {
      const key = event.key.toLowerCase();
      if (key !== "z" && key !== "y") return;
      event.preventDefault();
      if (key === "z" && !event.shiftKey) this.#undo();
      else this.#redo();
      return;
    }
    if (event.key === " " || event.key === "Enter") {
      event.preventDefault();
      this.#change(cycled(this.state, limb, tick), cellOf(limb, tick));
    } else if (event.key === "Delete" || event.key === "Backspace") {
      event.preventDefault();
      this.#change(written(this.state, limb, tick, null), cellOf(limb, tick));
    } else if (event.key.length === 1 && (Object.hasOwn(STEPS, event.key) || RESTS.includes(event.key))) {
      event.preventDefault();
      const [loudness, ornament] = STEPS[event.key] ?? [];
      const change = loudness === undefined ? null : { loudness, ornament };
      this.#change(written(this.state, limb, tick, change), cellOf(limb, tick));
      this.grid.advance();
    }
  }

  #wireLanes() {
    for (const limb of LIMBS) {
      const select = this.#lanePart("lane-surface", limb);
      for (const name of surfacesOf(limb)) select.add(new Option(SURFACES[name].spoken, name));
      select.addEventListener("change", () =>
        this.#change(
          resurfaced(this.state, limb, select.value),
          `The ${LIMB_WORDS[limb]} plays the ${SURFACES[select.value].spoken}.`,
        ),
      );
      this.#lanePart("lane-clear", limb).addEventListener("click", () =>
        this.#change(cleared(this.state, limb), `The ${LIMB_WORDS[limb]}'s lane is empty. Undo brings it back.`),
      );
    }
  }

  #lanePart(name, limb) {
    return this.root.querySelector(`[data-part="${name}"][data-limb="${limb}"]`);
  }

  #showLanes() {
    for (const limb of LIMBS) {
      const select = this.#lanePart("lane-surface", limb);
      const surface = this.state.surfaces[limb];
      // A figure made elsewhere may have a hand on a foot's surface: show it, offer it here only.
      if (![...select.options].some((option) => option.value === surface)) {
        select.add(new Option(SURFACES[surface].spoken, surface));
      }
      select.value = surface;
      const isEmpty = ![...this.state.strokes.values()].some((stroke) => stroke.limb === limb);
      this.#lanePart("lane-clear", limb).disabled = isEmpty;
    }
  }

  #wireShape() {
    const meter = this.part("meter");
    meter.addEventListener("change", () =>
      this.#change(metered(this.state, meter.value), (state, lost) => `The meter is ${state.meter}.${taken(lost)}`),
    );
    const bars = this.part("bars");
    bars.addEventListener("change", () =>
      this.#change(lengthened(this.state, Number(bars.value)), (state, lost) => `${state.bars === 1 ? "1 bar" : `${state.bars} bars`}.${taken(lost)}`),
    );
    const all = this.part("steps-all");
    for (const steps of STEP_CHOICES) all.add(new Option(String(steps), String(steps)));
    all.addEventListener("change", () => this.#divide(null, Number(all.value)));
  }

  #divide(place, steps) {
    const where = place === null ? "Every beat" : "This beat";
    this.#change(divided(this.state, place, steps), (_, lost) => `${where} has other steps.${taken(lost)}`);
  }

  #showShape() {
    const { meter, bars, steps } = this.state;
    const select = this.part("meter");
    const signature = String(meter);
    if (![...select.options].some((option) => option.value === signature)) {
      select.add(new Option(signature, signature));
    }
    select.value = signature;
    this.part("bars").value = String(bars);
    const cells = cellsOf(this.state);
    const perBeat = new Set(steps.map((columns, place) => (columns * TICKS_PER_BEAT) / cells[place].length));
    this.part("steps-all").value = perBeat.size === 1 ? String([...perBeat][0]) : "";
  }

  #bpm() {
    return this.part("bpm")?.valueAsNumber || 90;
  }

  #wirePlayer() {
    this.player = this.root.querySelector("[data-player]");
    if (this.player === null) return;
    wirePlayers(this.root);
    this.player.addEventListener("playback-wanted", (event) => {
      event.detail.bpm = this.#bpm();
      event.detail.playback = playbackOf(figureOf(this.state), this.#bpm());
    });
    this.part("bpm")?.addEventListener("change", () => playerOf(this.player).setTempo(this.#bpm()));
  }
}

const cellOf = (limb, tick) => (state) => `${cellWords(state, limb, tick)}.`;

function taken(lost) {
  if (lost <= 0) return "";
  return ` ${lost === 1 ? "One stroke" : `${lost} strokes`} did not fit and went out. Undo brings them back.`;
}

document.addEventListener("htmx:load", (event) => wireEditors(event.detail.elt));
wireEditors();
