/**
 * Play-along: gives every <section data-player> on the page its sound.
 *
 * `data-player="full"` has all controls, `data-player="brief"` one Hear button. The figure comes
 * from the JSON element named by data-playback, or is fetched from data-src on the first press, or
 * is given by whoever answers the section's "playback-wanted" event (the lane editor does).
 */
import { barTicksOf } from "./rounds.js";
import { withinTempo } from "./scheduler.js";
import { Lights } from "./lights.js";
import { Transport } from "./transport.js";

const TEMPO_STEP = 4;
const FIELDS = "input, select, textarea, button, summary, a[href], [contenteditable], [role=grid] *";

/** @type {WeakMap<Element, Player>} */
const players = new WeakMap();
/** @type {Player|null} the player that the space bar starts and stops */
let lastUsed = null;

/** @param {Element} section */
export function playerOf(section) {
  return players.get(section);
}

/**
 * Wire every player below `root` that is not wired yet.
 * @param {ParentNode} root
 */
export function wirePlayers(root = document) {
  const sections = [...root.querySelectorAll("[data-player]")];
  if (root instanceof Element && root.matches("[data-player]")) sections.push(root);
  for (const section of sections) {
    if (!players.has(section)) players.set(section, new Player(section));
  }
}

class Player {
  /** @param {HTMLElement} section */
  constructor(section) {
    this.section = section;
    this.isBrief = section.dataset.player === "brief";
    this.lights = new Lights();
    this.transport = new Transport(
      (event) => this.#heard(event),
      () => this.#stopped(),
    );
    /** @type {import("./scheduler.js").Playback|null} */
    this.playback = this.#embedded();
    this.settings = {
      bpm: withinTempo(Number(section.dataset.bpm || this.playback?.bpm)),
      rounds: this.isBrief ? Number(section.dataset.rounds ?? 2) || null : null,
      countIn: !this.isBrief,
    };
    this.transport.isClicking = !this.isBrief;
    this.#wire();
    this.part("body").hidden = false;
  }

  get stats() {
    return this.transport.stats;
  }

  get isPlaying() {
    return this.transport.isPlaying;
  }

  /** @param {string} name */
  part(name) {
    return this.section.querySelector(`[data-part="${name}"]`);
  }

  async toggle() {
    lastUsed = this;
    if (this.isPlaying) {
      this.transport.stop();
      return;
    }
    try {
      this.say("");
      this.playback = await this.#wanted();
    } catch {
      this.say("The figure could not be fetched. Nothing is lost: press again in a moment.");
      return;
    }
    try {
      this.#showPlaying(true);
      await this.transport.play(this.playback, this.settings);
    } catch {
      this.transport.stop();
      this.#showPlaying(false);
      this.say("This browser gives no sound here. The notation can be read and printed as usual.");
    }
  }

  /**
   * Another figure in place of the present one, heard from the next round on.
   * @param {import("./scheduler.js").Playback} playback
   */
  replace(playback) {
    this.playback = playback;
    this.transport.replace(playback);
  }

  /** @param {number} bpm */
  setTempo(bpm) {
    this.#change({ bpm: Math.round(withinTempo(bpm, this.settings.bpm)) });
    for (const name of ["tempo", "tempo-slider"]) {
      const field = this.part(name);
      if (field !== null) field.value = String(this.settings.bpm);
    }
  }

  /** @param {string} words */
  say(words) {
    this.part("status").textContent = words;
  }

  #change(changes) {
    Object.assign(this.settings, changes);
    this.transport.change(changes);
  }

  #embedded() {
    const { playback } = this.section.dataset;
    const element = playback ? document.getElementById(playback) : null;
    return element === null ? null : JSON.parse(element.textContent);
  }

  async #wanted() {
    const wanted = new CustomEvent("playback-wanted", { bubbles: true, detail: { playback: null, bpm: null } });
    this.section.dispatchEvent(wanted);
    if (wanted.detail.bpm !== null) this.settings.bpm = withinTempo(wanted.detail.bpm);
    if (wanted.detail.playback !== null) return wanted.detail.playback;
    if (this.playback !== null) return this.playback;
    const answer = await fetch(this.section.dataset.src, { headers: { Accept: "application/json" } });
    if (!answer.ok) throw new Error(`The server answered ${answer.status}.`);
    const playback = await answer.json();
    if (!this.section.dataset.bpm) this.settings.bpm = withinTempo(playback.bpm);
    return playback;
  }

  #wire() {
    this.part("play").addEventListener("click", () => this.toggle());
    if (this.isBrief) return;
    lastUsed ??= this;
    this.#showBeats();
    this.#wireTempo();
    this.#wireLimbs();
    this.#wireRange();
    this.#onToggle("loop", (on) => this.#change({ rounds: on ? null : 1 }));
    this.#onToggle("count-in", (on) => this.#change({ countIn: on }));
    this.#onToggle("click", (on) => {
      this.transport.isClicking = on;
      this.transport.balance();
    });
    this.part("clicks").addEventListener("change", (event) =>
      this.#change({ clicksPerBeat: Number(event.target.value) }),
    );
    this.part("swing").addEventListener("change", (event) => this.#change({ swing: Number(event.target.value) }));
    this.part("loudness").addEventListener("input", (event) => {
      this.transport.loudness = Number(event.target.value) / 100;
      this.transport.balance();
    });
  }

  #wireTempo() {
    this.setTempo(this.settings.bpm);
    this.part("tempo-slider").addEventListener("input", (event) => this.setTempo(Number(event.target.value)));
    this.part("tempo").addEventListener("change", (event) => this.setTempo(event.target.valueAsNumber));
    this.part("slower").addEventListener("click", () => this.setTempo(this.settings.bpm - TEMPO_STEP));
    this.part("faster").addEventListener("click", () => this.setTempo(this.settings.bpm + TEMPO_STEP));
  }

  #wireLimbs() {
    const used = new Set(this.playback.strokes.map((stroke) => stroke.limb));
    const wire = (button, limbs) => {
      const { limb } = button.dataset;
      button.disabled = !used.has(limb);
      button.addEventListener("click", () => {
        const on = button.getAttribute("aria-pressed") !== "true";
        button.setAttribute("aria-pressed", String(on));
        if (on) limbs.add(limb);
        else limbs.delete(limb);
        this.transport.balance();
        this.#showHeard();
      });
    };
    for (const button of this.section.querySelectorAll("[data-part=mute]")) wire(button, this.transport.silenced);
    for (const button of this.section.querySelectorAll("[data-part=solo]")) wire(button, this.transport.alone);
  }

  #wireRange() {
    const first = this.part("from-bar");
    const last = this.part("to-bar");
    if (first === null || last === null) return;
    for (let bar = 1; bar <= this.playback.bars; bar += 1) {
      first.add(new Option(String(bar), String(bar)));
      last.add(new Option(String(bar), String(bar)));
    }
    last.value = String(this.playback.bars);
    const choose = (chosen) => {
      if (Number(first.value) > Number(last.value)) (chosen === first ? last : first).value = chosen.value;
      const bar = barTicksOf(this.playback);
      this.#change({ from: (Number(first.value) - 1) * bar, to: Number(last.value) * bar });
    };
    first.addEventListener("change", () => choose(first));
    last.addEventListener("change", () => choose(last));
  }

  #onToggle(name, change) {
    const button = this.part(name);
    button.addEventListener("click", () => {
      const on = button.getAttribute("aria-pressed") !== "true";
      button.setAttribute("aria-pressed", String(on));
      change(on);
    });
  }

  #showBeats() {
    const { group_ticks: groups, ticks_per_beat: beat } = this.playback;
    const marks = groups.map((ticks, index) => {
      const mark = document.createElement("span");
      mark.className = "player-beat";
      mark.textContent = String(index + 1);
      mark.style.setProperty("--share", String(ticks / beat));
      return mark;
    });
    this.part("beats").replaceChildren(...marks);
  }

  #showHeard() {
    for (const cell of this.section.querySelectorAll("[data-limb-cell]")) {
      cell.classList.toggle("is-silent", !this.transport.isHeard(cell.dataset.limbCell));
    }
  }

  #showPlaying(isPlaying) {
    this.section.classList.toggle("is-playing", isPlaying);
    const button = this.part("play");
    button.querySelector("[data-part=play-word]").textContent = isPlaying ? "Stop" : button.dataset.word;
  }

  /** @param {import("./scheduler.js").SoundEvent} event */
  #heard(event) {
    if (!this.section.isConnected) {
      this.transport.stop();
      return;
    }
    if (event.kind === "stroke" && this.transport.isHeard(event.bus)) this.lights.light(event.id);
    if (event.kind === "beat" && !this.isBrief) this.#pulse(event);
  }

  #pulse(event) {
    const beats = this.part("beats");
    beats.classList.toggle("is-counting", event.bar < 0);
    [...beats.children].forEach((mark, index) => mark.classList.toggle("is-now", index === event.beat));
    this.part("where").textContent =
      event.bar < 0 ? "counting in" : `bar ${event.bar + 1}, time ${event.round + 1}`;
  }

  #stopped() {
    this.lights.clear();
    this.#showPlaying(false);
    if (this.isBrief) return;
    for (const mark of this.part("beats").children) mark.classList.remove("is-now");
    this.part("where").textContent = "";
  }
}

document.addEventListener("keydown", (event) => {
  if (event.code !== "Space" || event.repeat || event.ctrlKey || event.altKey || event.metaKey) return;
  if (event.target instanceof Element && event.target.closest(FIELDS)) return;
  if (lastUsed === null || !lastUsed.section.isConnected) return;
  event.preventDefault();
  lastUsed.toggle();
});

document.addEventListener("htmx:load", (event) => wirePlayers(event.detail.elt));
wirePlayers();
