/**
 * Small building blocks for drum sounds: decaying tones, metal and noise, summed into samples.
 *
 * Everything is plain arithmetic over Float32Array with seeded noise, so that a voice is the same
 * on every device and in every test. The filter is the two-pole section of R. Bristow-Johnson's
 * "Cookbook formulae for audio equalizer biquad filter coefficients" (W3C note, 2021).
 *
 * @typedef {Object} Layer
 * @property {"tone"|"metal"|"noise"} kind
 * @property {number} gain
 * @property {number} decay seconds until the layer has fallen to 1/1000
 * @property {number} [attack] seconds to rise
 * @property {number} [delay] seconds before it begins
 * @property {number} [from] tone: frequency at the start, Hz
 * @property {number} [to] tone: frequency it settles at, Hz
 * @property {number} [glide] tone: seconds in which two thirds of the glide happen
 * @property {number[]} [partials] metal: frequencies, Hz
 * @property {number} [low] corner below which a layer is cut, Hz
 * @property {number} [high] corner above which a layer is cut, Hz
 */

/**
 * Repeatable numbers in [-1, 1): a 32-bit xorshift (G. Marsaglia, "Xorshift RNGs", 2003).
 * @param {number} seed
 */
export function noiseFrom(seed) {
  let state = seed >>> 0 || 1;
  return () => {
    state ^= state << 13;
    state ^= state >>> 17;
    state ^= state << 5;
    state >>>= 0;
    return state / 0x80000000 - 1;
  };
}

/**
 * Sum layers into one voice whose largest sample is `peak`.
 * @param {Layer[]} layers
 * @param {{rate: number, seconds: number, peak: number, seed: number}} shape
 * @returns {Float32Array}
 */
export function voiceSamples(layers, { rate, seconds, peak, seed }) {
  const samples = new Float32Array(Math.ceil(seconds * rate));
  layers.forEach((layer, index) => addLayer(samples, layer, rate, noiseFrom(seed + index * 7919)));
  fadeOut(samples, Math.ceil(0.01 * rate));
  let loudest = 0;
  for (const sample of samples) loudest = Math.max(loudest, Math.abs(sample));
  if (loudest > 0) for (let i = 0; i < samples.length; i += 1) samples[i] *= peak / loudest;
  return samples;
}

function addLayer(samples, layer, rate, noise) {
  const first = Math.round((layer.delay ?? 0) * rate);
  const count = Math.min(samples.length - first, Math.ceil(layer.decay * rate));
  const raw = sourceOf(layer, count, rate, noise);
  if (layer.low) filter(raw, "low", layer.low, rate);
  if (layer.high) filter(raw, "high", layer.high, rate);
  const fall = Math.pow(0.001, 1 / (layer.decay * rate));
  const rise = Math.max(1, (layer.attack ?? 0.0005) * rate);
  let envelope = layer.gain;
  for (let i = 0; i < count; i += 1) {
    samples[first + i] += raw[i] * envelope * Math.min(1, i / rise);
    envelope *= fall;
  }
}

function sourceOf(layer, count, rate, noise) {
  const raw = new Float32Array(Math.max(0, count));
  if (layer.kind === "noise") {
    for (let i = 0; i < count; i += 1) raw[i] = noise();
  } else if (layer.kind === "tone") {
    const glide = Math.max(1, (layer.glide ?? 0.02) * rate);
    let phase = 0;
    for (let i = 0; i < count; i += 1) {
      raw[i] = Math.sin(phase);
      const frequency = layer.to + (layer.from - layer.to) * Math.exp(-i / glide);
      phase += (2 * Math.PI * frequency) / rate;
    }
  } else {
    for (const partial of layer.partials) addPartial(raw, partial, rate, noise());
  }
  return raw;
}

/** Each partial trembles a little, as a bell of bronze does; its phase is random but repeatable. */
function addPartial(raw, frequency, rate, random) {
  if (frequency > rate * 0.45) return;
  const step = (2 * Math.PI * frequency) / rate;
  const tremble = (2 * Math.PI * (3 + 4 * Math.abs(random))) / rate;
  const start = Math.PI * random;
  for (let i = 0; i < raw.length; i += 1) {
    raw[i] += Math.sin(start + step * i) * (1 + 0.25 * Math.sin(tremble * i));
  }
}

/** @param {"low"|"high"} cuts which side the filter cuts away */
function filter(samples, cuts, corner, rate) {
  const angle = (2 * Math.PI * Math.min(corner, rate * 0.45)) / rate;
  const cosine = Math.cos(angle);
  const alpha = Math.sin(angle) / Math.SQRT2;
  const edge = cuts === "low" ? 1 + cosine : 1 - cosine;
  const b0 = edge / 2 / (1 + alpha);
  const b1 = ((cuts === "low" ? -edge : edge) / (1 + alpha));
  const a1 = (-2 * cosine) / (1 + alpha);
  const a2 = (1 - alpha) / (1 + alpha);
  let x1 = 0;
  let x2 = 0;
  let y1 = 0;
  let y2 = 0;
  for (let i = 0; i < samples.length; i += 1) {
    const x = samples[i];
    const y = b0 * x + b1 * x1 + b0 * x2 - a1 * y1 - a2 * y2;
    x2 = x1;
    x1 = x;
    y2 = y1;
    y1 = y;
    samples[i] = y;
  }
}

function fadeOut(samples, count) {
  const first = Math.max(0, samples.length - count);
  for (let i = first; i < samples.length; i += 1) samples[i] *= (samples.length - 1 - i) / count;
}
