// Sound of any rate becomes sound of 16 kHz: a low-pass (Kaiser-windowed sinc, polyphase), then the rate goes down.
//
// What is below 7 kHz stays (within 0.5 dB), what is above 9 kHz is gone (60 dB down). The window's
// width and shape follow Kaiser's formulas (J. F. Kaiser, "Nonrecursive digital filter design using
// the I0-sinh window function", 1974).

export const RATE = 16000;
const DOWN_DB = 70;
const EDGE_HERTZ = 2000; // from where everything passes to where nothing does

/** Modified Bessel function of the first kind, order 0 (its series). */
function bessel(x) {
  let sum = 1, term = 1;
  for (let k = 1; term > sum * 1e-12; k++) sum += term *= (x / (2 * k)) ** 2;
  return sum;
}

const divisor = (a, b) => (b ? divisor(b, a % b) : a);

/** Takes pieces of sound at `rate` samples a second, gives what of it is due at 16 kHz. */
export class Resampler {
  constructor(rate) {
    if (!(rate >= 8000 && rate <= 384000)) throw new RangeError(`rate ${rate}`);
    const common = divisor(RATE, Math.round(rate));
    this.up = RATE / common; // phases of the filter
    this.down = Math.round(rate) / common; // input samples × phases from one output to the next
    const cutoff = Math.min(RATE, rate) / 2;
    const beta = 0.1102 * (DOWN_DB - 8.7);
    const half = Math.ceil(((DOWN_DB - 8) / (2.285 * 2 * Math.PI * (EDGE_HERTZ / rate))) / 2);
    this.taps = 2 * half;
    const shape = bessel(beta);
    this.phases = Array.from({ length: this.up }, (_, phase) => {
      const weights = new Float32Array(this.taps);
      let sum = 0;
      for (let k = 0; k < this.taps; k++) {
        const t = k - half + 1 - phase / this.up; // input samples from the output's time
        const x = (2 * cutoff * t) / rate;
        const inside = Math.max(0, 1 - (t / half) ** 2);
        const window = bessel(beta * Math.sqrt(inside)) / shape;
        weights[k] = (x === 0 ? 1 : Math.sin(Math.PI * x) / (Math.PI * x)) * window;
        sum += weights[k];
      }
      return weights.map((weight) => weight / sum);
    });
    this.kept = new Float32Array(this.taps - 1); // what the next output still looks back on
    this.at = 0; // of the next output, in phases behind the first new sample
  }

  /** Return the samples at 16 kHz that follow from `samples`, joined without a seam. */
  push(samples) {
    const all = new Float32Array(this.kept.length + samples.length);
    all.set(this.kept);
    all.set(samples, this.kept.length);
    const out = new Float32Array(Math.max(0, Math.ceil((samples.length * this.up - this.at) / this.down)));
    for (let n = 0; n < out.length; n++) {
      const begin = Math.floor(this.at / this.up), weights = this.phases[this.at % this.up];
      let sum = 0;
      for (let k = 0; k < this.taps; k++) sum += weights[k] * all[begin + k];
      out[n] = sum;
      this.at += this.down;
    }
    this.at -= samples.length * this.up;
    this.kept = all.slice(all.length - this.kept.length);
    return out;
  }
}

/** Return samples from -1 to 1 as 16-bit numbers. */
export function to16bit(samples) {
  return Int16Array.from(samples, (x) => Math.round(Math.max(-1, Math.min(1, x)) * 32767));
}
