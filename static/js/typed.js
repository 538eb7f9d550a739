/**
 * The typed form, read: the same rules as exercises/rhythm/typed.py, which states them.
 * A test holds the two against each other over many generated figures.
 */
import { LIMBS, LIMB_WORDS, Meter, MOST_BARS, MOST_STROKES, inOrder } from "./figure.js";
import { SURFACES, USUAL_SURFACE, readSurface, surfaceWord } from "./surfaces.js";

/** A character for each way of striking: [loudness, ornament]. */
export const STEPS = Object.freeze({
  x: ["normal", "none"],
  X: ["accent", "none"],
  s: ["soft", "none"],
  g: ["ghost", "none"],
  f: ["normal", "flam"],
  F: ["accent", "flam"],
  v: ["soft", "flam"],
  w: ["ghost", "flam"],
  d: ["normal", "drag"],
  D: ["accent", "drag"],
  y: ["soft", "drag"],
  z: ["ghost", "drag"],
  b: ["normal", "buzz"],
  B: ["accent", "buzz"],
  h: ["soft", "buzz"],
  q: ["ghost", "buzz"],
});
export const RESTS = ".-";

const LONGEST_TEXT = 20_000;
const LONGEST_TITLE = 200;
const HEADER = /^(\s*)(\d{1,2}\s*\/\s*\d{1,2})(?:(\s+)([^\n]*\S))?\s*$/;
const HEAD = /^(\s*)([A-Za-z]{2})(?![A-Za-z])([^:|]*):/;
const TOKEN = /\||[^\s|:]+:?|:/g;

/** A typed figure that cannot be read; `line` and `column` count from 1, column 0 is the line. */
export class BadTypedFigure extends Error {
  /** @param {string} message @param {number} line @param {number} column */
  constructor(message, line, column = 0) {
    super(`${column ? `line ${line}, column ${column}` : `line ${line}`}: ${message}`);
    this.line = line;
    this.column = column;
  }
}

/**
 * @param {string} text
 * @returns {import("./figure.js").Figure}
 * @throws {BadTypedFigure}
 */
export function readTyped(text) {
  if ([...text].length > LONGEST_TEXT) {
    throw new BadTypedFigure(`a typed figure has at most ${LONGEST_TEXT} characters`, 1);
  }
  const lines = text.replace(/\r\n?/g, "\n").split("\n");
  const first = lines.findIndex((line) => line.trim() !== "");
  if (first < 0) throw new BadTypedFigure("there is nothing here; begin with the meter, such as 4/4", 1);
  const { meter, title } = readHeader(lines[first], first + 1);
  const reader = new Reader(meter);
  lines.slice(first + 1).forEach((line, index) => {
    if (line.trim() !== "") reader.readLine(line, first + 2 + index);
    else reader.endBlock();
  });
  reader.endBlock();
  return reader.figure(title, first + 1);
}

function readHeader(line, number) {
  const match = HEADER.exec(line);
  if (match === null) throw new BadTypedFigure("expected the meter first, such as 4/4 or 7/8", number, 1);
  const [, indent, signature, gap = "", title = ""] = match;
  const after = indent.length + signature.length + gap.length + 1;
  let meter;
  try {
    meter = Meter.parse(signature);
  } catch (bad) {
    throw new BadTypedFigure(bad.message, number, indent.length + 1);
  }
  if ([...title].length > LONGEST_TITLE) {
    throw new BadTypedFigure(`a title has at most ${LONGEST_TITLE} characters`, number, after);
  }
  if (/[\p{Cc}\p{Cs}\p{Cn}]/u.test(title)) {
    throw new BadTypedFigure("a title is one line of ordinary characters", number, after);
  }
  return { meter, title };
}

class Reader {
  /** @param {Meter} meter */
  constructor(meter) {
    this.meter = meter;
    this.bars = 0;
    this.strokes = [];
    this.places = new Map();
    this.endBlock();
  }

  readLine(line, number) {
    const { limb, surface, start } = readHead(line, number);
    const head = `${limb} ${surface}`;
    const before = this.heads.get(head);
    if (before !== undefined) {
      throw new BadTypedFigure(
        `line ${before} is already ${limb} on this surface; to go on with the next bars, leave an empty line between`,
        number,
        1,
      );
    }
    this.heads.set(head, number);
    const bars = this.#readBeats(line, number, limb, surface, start);
    if (this.blockBars && bars !== this.blockBars) {
      throw new BadTypedFigure(
        `expected as many bars as in line ${this.blockFirst} (${this.blockBars}), found ${bars}`,
        number,
        line.trimEnd().length + 1,
      );
    }
    this.blockBars = bars;
    this.blockFirst ||= number;
  }

  endBlock() {
    this.bars += this.blockBars ?? 0;
    this.blockBars = 0;
    this.blockFirst = 0;
    this.heads = new Map();
  }

  figure(title, headerLine) {
    if (this.bars === 0) {
      throw new BadTypedFigure("expected a line such as RH hi-hat: x.x. x.x.", headerLine + 1);
    }
    if (this.strokes.length > MOST_STROKES) {
      throw new BadTypedFigure(`a figure has at most ${MOST_STROKES} strokes`, headerLine);
    }
    return { meter: this.meter, bars: this.bars, title, strokes: inOrder(this.strokes) };
  }

  #readBeats(line, number, limb, firstSurface, start) {
    const groups = this.meter.groupTicks;
    let surface = firstSurface;
    let beats = 0;
    let tick = this.meter.barTicks * this.bars;
    for (const token of line.slice(start).matchAll(TOKEN)) {
      const column = start + token.index + 1;
      const cell = token[0];
      if (cell === "|") {
        if (beats % groups.length) {
          throw new BadTypedFigure(this.#shortBar(beats, "before this bar line"), number, column);
        }
      } else if (cell.endsWith(":")) {
        surface = surfaceAt(cell.slice(0, -1), number, column);
      } else {
        const length = groups[beats % groups.length];
        this.#readCell(cell, { tick, length, limb, surface }, number, column);
        tick += length;
        beats += 1;
      }
      if (this.bars + Math.ceil(beats / groups.length) > MOST_BARS) {
        throw new BadTypedFigure(`a figure has at most ${MOST_BARS} bars`, number, column);
      }
    }
    if (beats === 0 || beats % groups.length) {
      throw new BadTypedFigure(this.#shortBar(beats, "at the end"), number, line.trimEnd().length + 1);
    }
    return beats / groups.length;
  }

  #shortBar(beats, where) {
    const whole = this.meter.groupTicks.length;
    return `expected ${whole} beats to a bar of ${this.meter}, with spaces between them; found ${beats % whole} ${where}`;
  }

  #readCell(cell, { tick, length, limb, surface }, number, column) {
    const letters = [...cell];
    if (length % letters.length) {
      throw new BadTypedFigure(
        `a beat of ${letters.length} characters cannot be counted; expected 1 to 8, and a space before the next beat`,
        number,
        column,
      );
    }
    letters.forEach((letter, place) => {
      if (RESTS.includes(letter)) return;
      if (!Object.hasOwn(STEPS, letter)) {
        const known = Object.keys(STEPS).join(" ");
        throw new BadTypedFigure(
          `'${letter}' is no stroke; expected . for a rest or one of ${known}`,
          number,
          column + place,
        );
      }
      const [loudness, ornament] = STEPS[letter];
      const stroke = { tick: tick + (length / letters.length) * place, limb, surface, loudness, ornament };
      const key = `${limb} ${stroke.tick}`;
      const before = this.places.get(key);
      if (before !== undefined && before !== number) {
        throw new BadTypedFigure(
          `the ${LIMB_WORDS[limb]} already strikes at this moment in line ${before}`,
          number,
          column + place,
        );
      }
      this.places.set(key, number);
      this.strokes.push(stroke);
    });
  }
}

function readHead(line, number) {
  const match = HEAD.exec(line);
  const column = line.length - line.trimStart().length + 1;
  if (match === null) {
    throw new BadTypedFigure(
      "expected a limb (RH, LH, RF or LF), a surface and a colon, such as RH hi-hat:",
      number,
      column,
    );
  }
  const [whole, indent, name, words] = match;
  const limb = name.toUpperCase();
  if (!LIMBS.includes(limb)) {
    throw new BadTypedFigure(`expected a limb, RH, LH, RF or LF, not ${name}`, number, column);
  }
  if (words.trim() === "") return { limb, surface: USUAL_SURFACE[limb], start: whole.length };
  const at = indent.length + name.length + words.length - words.trimStart().length + 1;
  return { limb, surface: surfaceAt(words, number, at), start: whole.length };
}

function surfaceAt(words, number, column) {
  const surface = readSurface(words);
  if (surface === undefined) {
    const every = Object.keys(SURFACES).map(surfaceWord).join(", ");
    throw new BadTypedFigure(`no surface is called '${words.trim().slice(0, 40)}'; expected ${every}`, number, column);
  }
  return surface;
}
