/**
 * Lighting what sounds: notes in the engraving, dots in the lanes.
 *
 * A stroke lights the element whose id is the stroke's id and every element that carries it in
 * data-stroke, by the class `sounding`.
 */

/** How long a note stays lit. */
const LIT_MS = 130;

export class Lights {
  constructor() {
    /** @type {Map<Element, number>} */
    this.timers = new Map();
  }

  /** @param {string} strokeId */
  light(strokeId) {
    for (const element of elementsOf(strokeId)) {
      clearTimeout(this.timers.get(element));
      element.classList.add("sounding");
      this.timers.set(element, setTimeout(() => this.#dim(element), LIT_MS));
    }
  }

  clear() {
    for (const element of [...this.timers.keys()]) this.#dim(element);
  }

  #dim(element) {
    clearTimeout(this.timers.get(element));
    this.timers.delete(element);
    element.classList.remove("sounding");
  }
}

function elementsOf(strokeId) {
  const id = CSS.escape(strokeId);
  // Grace notes are lit with the stroke that they lead into.
  return document.querySelectorAll(`#${id}, #${id}-g1, #${id}-g2, [data-stroke="${id}"]`);
}
