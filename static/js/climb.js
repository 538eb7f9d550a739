/**
 * Hear the steps of a ladder back to back: one and the next, or all of them, without a gap.
 *
 * The steps are the items of [data-rungs], each with a brief player whose figure stands in the page;
 * the presses are [data-climb] (all of them) and [data-climb-from] (a step's place, from 0).
 */
import { Lights } from "./lights.js";
import { Transport } from "./transport.js";

const NOW = "climb-now";

class Climb {
  /** @param {HTMLElement} panel */
  constructor(panel) {
    this.panel = panel;
    this.rungs = [...document.querySelectorAll("[data-rungs] > li")];
    this.lights = new Lights();
    this.transport = new Transport(
      (event) => this.#heard(event),
      () => this.#stopped(),
    );
    this.pressed = null;
    this.first = 0;
    this.#wire(panel.querySelector("[data-climb]"), 0, this.rungs.length);
    for (const rung of this.rungs) {
      const press = rung.querySelector("[data-climb-from]");
      if (press !== null) this.#wire(press, Number(press.dataset.climbFrom), 2);
    }
    panel.hidden = this.rungs.length < 2;
  }

  get isPlaying() {
    return this.transport.isPlaying;
  }

  get roundsEach() {
    return Number(this.panel.querySelector("[data-part=rounds-each]").value);
  }

  /** @param {HTMLButtonElement} press @param {number} first @param {number} count */
  #wire(press, first, count) {
    press.hidden = false;
    press.dataset.word = press.textContent;
    press.addEventListener("click", () => this.#toggle(press, first, count));
  }

  async #toggle(press, first, count) {
    if (this.isPlaying && this.pressed === press) {
      this.transport.stop();
      return;
    }
    const row = this.rungs.slice(first, first + count).map(playbackIn);
    const { roundsEach } = this;
    this.transport.stop();
    this.pressed = press;
    this.first = first;
    this.each = roundsEach;
    press.textContent = "Stop";
    const bpm = Number(this.panel.querySelector("[data-part=climb-tempo]").value) || row[0].bpm;
    try {
      await this.transport.play(row[0], { bpm, row, roundsEach, rounds: row.length * roundsEach });
    } catch {
      this.#stopped();
      this.#say("This browser gives no sound here. The steps can be read and printed as usual.");
    }
  }

  /** @param {import("./scheduler.js").SoundEvent} event */
  #heard(event) {
    if (!this.panel.isConnected) {
      this.transport.stop();
      return;
    }
    if (event.kind === "stroke") this.lights.light(event.id);
    if (event.kind !== "beat" || event.round < 0) return;
    const place = this.first + Math.floor(event.round / this.each);
    this.rungs.forEach((rung, index) => rung.classList.toggle(NOW, index === place));
    this.#say(`step ${place + 1} of ${this.rungs.length}`);
  }

  #stopped() {
    this.lights.clear();
    if (this.pressed !== null) this.pressed.textContent = this.pressed.dataset.word;
    this.pressed = null;
    for (const rung of this.rungs) rung.classList.remove(NOW);
    this.#say("");
  }

  #say(words) {
    this.panel.querySelector("[data-part=climb-status]").textContent = words;
  }
}

/** @param {Element} rung */
function playbackIn(rung) {
  const { playback } = rung.querySelector("[data-player]").dataset;
  return JSON.parse(document.getElementById(playback).textContent);
}

/** @type {WeakSet<Element>} */
const wired = new WeakSet();

/** @param {ParentNode} root */
function wire(root) {
  const panels = [...root.querySelectorAll("[data-climb-panel]")];
  for (const panel of panels) {
    if (wired.has(panel)) continue;
    wired.add(panel);
    new Climb(panel);
  }
  for (const slider of root.querySelectorAll("[data-shows-value]")) {
    const shown = root.querySelector(`output[for="${slider.id}"]`);
    if (shown !== null) slider.addEventListener("input", () => (shown.textContent = slider.value));
  }
}

document.addEventListener("htmx:load", (event) => wire(event.detail.elt.parentNode ?? document));
wire(document);
