// Runs beside the page: what the microphone gives becomes frames of 80 ms, each with its time.
import { RATE, Resampler, to16bit } from "./resample.js";

const FRAME = 0.08 * RATE;

class Frames extends AudioWorkletProcessor {
  constructor() {
    super();
    this.resampler = new Resampler(sampleRate);
    this.frame = new Int16Array(FRAME);
    this.filled = 0;
  }

  process([[channel]]) {
    if (!channel) return true;
    for (const sample of to16bit(this.resampler.push(channel))) {
      this.frame[this.filled++] = sample;
      if (this.filled < FRAME) continue;
      const pcm = this.frame.buffer;
      this.port.postMessage({ pcm, time: currentTime * 1000, wall: Date.now() }, [pcm]);
      this.frame = new Int16Array(FRAME);
      this.filled = 0;
    }
    return true;
  }
}

registerProcessor("frames", Frames);
