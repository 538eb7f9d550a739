/**
 * A figure rendered without a loudspeaker, through the same scheduler and sound path as live.
 * Used by the tests to prove what is heard by numbers.
 */
import { LONGEST_LEAD, Scheduler } from "./scheduler.js";
import { BUSES, Sound, voicesOf } from "./sound.js";

/** Rendering begins this long before the first stroke, so that its grace strokes are there. */
export const LEAD_IN = 0.1;

/**
 * @param {import("./scheduler.js").Playback} playback
 * @param {Partial<import("./scheduler.js").Settings>} settings `rounds` must be a number
 * @param {{rate?: number, impulse?: boolean, closed?: string[], tail?: number,
 *   changes?: {after: number, settings: Object}[]}} options `closed` names the closed buses;
 *   `changes` change settings once everything up to `after` seconds has been handed out
 * @returns {Promise<{samples: Float32Array, events: import("./scheduler.js").SoundEvent[]}>}
 */
export async function renderOffline(playback, settings, options = {}) {
  const { rate = 44100, impulse = false, closed = [], tail = 1.6, changes = [] } = options;
  if (!Number.isFinite(settings.rounds)) throw new RangeError("Offline rendering needs an end.");
  const scheduler = new Scheduler(playback, settings);
  scheduler.start(LEAD_IN);
  const events = [];
  for (const change of changes) {
    events.push(...scheduler.until(LEAD_IN + change.after));
    scheduler.change(change.settings);
  }
  events.push(...scheduler.until(Infinity));
  const end = events.at(-1).time + tail + LONGEST_LEAD;
  const context = new OfflineAudioContext({ length: Math.ceil(end * rate), sampleRate: rate });
  const sound = new Sound(context, { impulse });
  for (const each of settings.row ?? [playback]) sound.prepare(voicesOf(each));
  for (const bus of BUSES) sound.setOpen(bus, !closed.includes(bus), true);
  for (const event of events) if (event.surface !== undefined) sound.play(event);
  const rendered = await context.startRendering();
  return { samples: rendered.getChannelData(0), events };
}
