/** The figure in the lane editor as the player takes it, saved or not. */
import { TICKS_PER_BEAT } from "./figure.js";

/** What the ids of an unsaved figure's strokes begin with. */
export const DRAFT_PREFIX = "draft";

/** @param {string} limb @param {number} tick */
export function draftId(limb, tick) {
  return `${DRAFT_PREFIX}-${limb}-${tick}`;
}

/**
 * @param {import("./figure.js").Figure} figure
 * @param {number} bpm
 * @returns {import("./scheduler.js").Playback}
 */
export function playbackOf(figure, bpm) {
  return {
    title: figure.title,
    meter: String(figure.meter),
    bars: figure.bars,
    bpm,
    ticks_per_beat: TICKS_PER_BEAT,
    length_ticks: figure.meter.barTicks * figure.bars,
    group_ticks: [...figure.meter.groupTicks],
    strokes: figure.strokes.map((stroke) => ({ id: draftId(stroke.limb, stroke.tick), ...stroke })),
  };
}
