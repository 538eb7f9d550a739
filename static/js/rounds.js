/**
 * What sounds in one round of a figure: strokes with their grace strokes, clicks, and the bar that
 * is counted in. Positions are ticks from the round's start.
 *
 * @typedef {import("./scheduler.js").Playback} Playback
 * @typedef {import("./scheduler.js").Settings} Settings
 *
 * @typedef {Object} Item
 * @property {number} at ticks from the round's start
 * @property {"stroke"|"click"|"count"|"beat"|"round"} kind
 */

/** Gain for each loudness; about 9 dB from a ghost to a soft stroke, 4 dB and 3 dB above that. */
export const GAINS = Object.freeze({ ghost: 0.16, soft: 0.44, normal: 0.7, accent: 1.0 });

/**
 * How far ahead of its stroke each grace stroke sounds, in seconds. Fixed times, not fractions of
 * the beat: a flam is as tight in a ballad as at speed. Values by ear and common practice.
 */
export const GRACE_LEADS = Object.freeze({
  none: Object.freeze([]),
  flam: Object.freeze([0.028]),
  drag: Object.freeze([0.07, 0.035]),
  buzz: Object.freeze([]),
});

/** How a buzzed stick goes on after its stroke: seconds later, and gain relative to the stroke. */
export const BOUNCES = Object.freeze({
  none: Object.freeze([]),
  flam: Object.freeze([]),
  drag: Object.freeze([]),
  buzz: Object.freeze([[0.034, 0.5], [0.066, 0.36], [0.096, 0.26], [0.124, 0.18], [0.15, 0.12]]),
});

/** Grace strokes are struck from low: their gain relative to the stroke they lead into. */
export const GRACE_GAIN = 0.4;

const CLICK_GAINS = Object.freeze({ bar: 1.0, group: 0.65, part: 0.3 });

/**
 * The length of one bar.
 * @param {Playback} playback
 */
export function barTicksOf(playback) {
  return playback.group_ticks.reduce((sum, ticks) => sum + ticks, 0);
}

/**
 * Move a position within its beat so that the beat's middle falls at `swing`.
 * @param {number} tick
 * @param {number} beatTicks
 * @param {number} swing 0.5 leaves everything where it is
 */
export function swung(tick, beatTicks, swing) {
  if (swing === 0.5) return tick;
  const start = Math.floor(tick / beatTicks) * beatTicks;
  const part = (tick - start) / beatTicks;
  const moved = part < 0.5 ? part * 2 * swing : swing + (part - 0.5) * 2 * (1 - swing);
  return start + moved * beatTicks;
}

/**
 * The clicks of one bar.
 * @param {number[]} groups lengths in ticks
 * @param {number} beatTicks
 * @param {number} perBeat
 * @returns {{tick: number, rank: "bar"|"group"|"part"}[]}
 */
export function clicksOfBar(groups, beatTicks, perBeat) {
  const step = beatTicks / perBeat;
  const clicks = [];
  let start = 0;
  for (const length of groups) {
    for (let at = 0; at < length; at += step) {
      const rank = at > 0 ? "part" : start > 0 ? "group" : "bar";
      clicks.push({ tick: start + at, rank });
    }
    start += length;
  }
  return clicks;
}

/**
 * The clicks of the bar before the first. Unequal groups cannot be counted by themselves, so
 * such bars are counted in half beats.
 * @param {Playback} playback
 * @returns {Item[]}
 */
export function countInItems(playback) {
  const { group_ticks: groups, ticks_per_beat: beat } = playback;
  const even = groups.every((ticks) => ticks === groups[0]);
  const items = [];
  let group = -1;
  for (const { tick, rank } of clicksOfBar(groups, beat, even ? 1 : 2)) {
    if (rank !== "part") {
      group += 1;
      items.push({ at: tick, kind: "beat", beat: group, bar: -1 });
    }
    items.push({ at: tick, kind: "count", bus: "COUNT", surface: clickVoice(rank), gain: CLICK_GAINS[rank] });
  }
  return items;
}

/**
 * @param {Playback} playback
 * @param {Settings} settings
 * @param {number} from first tick of the range
 * @param {number} to tick after the range
 * @returns {Item[]} in the order in which they sound
 */
export function roundItems(playback, settings, from, to) {
  const barTicks = barTicksOf(playback);
  const beat = playback.ticks_per_beat;
  const clicks = clicksOfBar(playback.group_ticks, beat, settings.clicksPerBeat);
  const items = [{ at: 0, order: 0, kind: "round" }];
  const place = (tick) => {
    const bar = Math.floor(tick / barTicks) * barTicks;
    return bar + swung(tick - bar, beat, settings.swing) - from;
  };
  for (let bar = Math.floor(from / barTicks); bar * barTicks < to; bar += 1) {
    let group = -1;
    for (const { tick, rank } of clicks) {
      const at = bar * barTicks + tick;
      if (rank !== "part") group += 1;
      if (at < from || at >= to) continue;
      if (rank !== "part") items.push({ at: place(at), order: 1, kind: "beat", beat: group, bar });
      const gain = CLICK_GAINS[rank];
      items.push({ at: place(at), order: 2, kind: "click", bus: "CLICK", surface: clickVoice(rank), gain });
    }
  }
  for (const stroke of playback.strokes) {
    if (stroke.tick < from || stroke.tick >= to) continue;
    items.push({ at: place(stroke.tick), order: 3, kind: "stroke", stroke });
  }
  return items.sort((a, b) => a.at - b.at || a.order - b.order);
}

/** @param {"bar"|"group"|"part"} rank */
function clickVoice(rank) {
  return rank === "bar" ? "click_high" : "click_low";
}

/**
 * The events of one item: a stroke brings its grace strokes.
 * @param {Item} item
 * @param {number} time
 * @param {number} round
 * @returns {Generator<import("./scheduler.js").SoundEvent>}
 */
export function* soundsOf(item, time, round) {
  if (item.kind !== "stroke") {
    const { at, order, ...rest } = item;
    yield { ...rest, time, round };
    return;
  }
  const { id, limb, surface, loudness, ornament } = item.stroke;
  const gain = GAINS[loudness];
  for (const lead of GRACE_LEADS[ornament]) {
    yield { kind: "grace", time: time - lead, bus: limb, surface, gain: gain * GRACE_GAIN, id, round };
  }
  yield { kind: "stroke", time, bus: limb, surface, gain, id, round };
  for (const [lag, share] of BOUNCES[ornament]) {
    yield { kind: "grace", time: time + lag, bus: limb, surface, gain: gain * share, id, round };
  }
}
