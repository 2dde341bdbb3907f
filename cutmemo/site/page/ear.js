// The microphone: opened by a tap, heard while the button is held or hands-free, and silent while the page speaks.
//
// Every frame goes into the outbox first. A page that is hidden hears nothing: it says so at once.

import { FIRST, LAST, HELD, MUTED, AT_SAW, clock } from "./link.js";
import { newStream, FRAME_SECONDS } from "./outbox.js";

const BEFORE = 3; // frames from right before the button went down: a quick word is not clipped
const BEHIND = 2; // frames after it came up
const ECHO_MS = 150; // how long a room goes on sounding
const STOOD_MS = 1000; // sound that lags so far behind the clock had stood still
// As it is: with the browser's treatment of sound on, no row came out better, quiet or at 8 dB SNR (tests/bench/site_page.py).
const SOUND = { channelCount: 1, echoCancellation: false, noiseSuppression: false, autoGainControl: false };

/** Events: "state" when hearing begins or ends; "lost" with the reason where it ends by itself. */
export class Ear extends EventTarget {
  constructor(outbox, sound, atSaw) {
    super();
    this.outbox = outbox;
    this.sound = sound; // () => AudioContext
    this.atSaw = atSaw; // () => whether only orders are taken
    this.mode = "off"; // off, held, free, hidden
    this.node = null;
    this.opening = null;
    this.before = [];
    this.behind = 0; // frames still to come of a press that ended
    this.speaking = false;
    this.quietFrom = 0;
    document.addEventListener("visibilitychange", () => { if (document.hidden) this.lose("hidden"); });
    addEventListener("pagehide", () => this.lose("hidden"));
  }

  get open() {
    return this.node !== null;
  }

  get hearing() {
    return this.mode === "held" || this.mode === "free";
  }

  /** Return when nobody holds the button, nor did a moment ago. */
  async idle() {
    while (this.mode === "held" || this.behind > 0) await new Promise((go) => this.addEventListener("state", go, { once: true }));
  }

  /** Open the microphone, if it is not; rejects where it cannot be had. */
  async start() {
    if (this.open) return;
    this.opening ??= this.#start().finally(() => { this.opening = null; });
    await this.opening;
  }

  async #start() {
    if (!navigator.mediaDevices?.getUserMedia) throw new DOMException("", "NotSupportedError");
    const context = this.sound();
    const stream = await navigator.mediaDevices.getUserMedia({ audio: SOUND });
    await context.audioWorklet.addModule("/page/worklet.js");
    await context.resume();
    const source = context.createMediaStreamSource(stream);
    const node = new AudioWorkletNode(context, "frames", { numberOfInputs: 1, numberOfOutputs: 0, channelCount: 1, channelCountMode: "explicit" });
    node.port.onmessage = ({ data }) => this.#frame(data);
    source.connect(node);
    const [track] = stream.getAudioTracks();
    track.onended = () => this.lose("taken");
    track.onmute = () => this.hearing && this.lose("taken");
    Object.assign(this, { node, source, stream, track, id: newStream(), number: 0, before: [], late: Infinity, shift: clock() - Date.now() });
  }

  /** Close the microphone. */
  close() {
    if (!this.open) return;
    this.node.port.onmessage = null;
    this.source.disconnect();
    for (const track of this.stream.getTracks()) track.stop();
    this.node = null;
  }

  /** The button went down: everything from now on is one call. */
  press() {
    if (!this.open || this.mode === "free" || !this.#room()) return false;
    if (this.behind) this.#finish(); // the press before is over
    this.held = this.before.splice(0);
    this.fresh = true;
    this.#turn("held");
    for (const frame of this.held) this.#keep(frame, HELD);
    return true;
  }

  /** The button came up. */
  release() {
    if (this.mode !== "held") return;
    this.behind = BEHIND;
    this.#turn("off");
  }

  /** Hear without the button, or no longer. */
  free(on) {
    if (on === (this.mode === "free")) return on;
    if (on && (!this.open || !this.#room())) return false;
    if (this.mode === "held" || this.behind) this.#finish();
    if (on) this.fresh = true;
    else this.#finish();
    this.#turn(on ? "free" : "off");
    return on;
  }

  /** The page begins or ends to speak: it does not hear itself. */
  speaks(on) {
    if (this.speaking && !on) this.quietFrom = clock() + ECHO_MS;
    this.speaking = on;
  }

  #room() {
    if (this.outbox.room) return true;
    this.lose("full");
    return false;
  }

  #turn(mode) {
    this.mode = mode;
    this.dispatchEvent(new Event("state"));
  }

  /** Stop hearing for a reason nobody here asked for: hidden, taken, or full. */
  lose(why) {
    const heard = this.hearing || this.behind > 0;
    if (heard) this.#finish();
    const open = this.open;
    if (why !== "full") this.close();
    if (!heard && !(open && why === "taken")) return;
    this.#turn(why === "hidden" ? "hidden" : "off");
    this.dispatchEvent(new CustomEvent("lost", { detail: why }));
  }

  #frame({ pcm, time, wall }) {
    const muted = this.speaking || clock() < this.quietFrom;
    const frame = { pcm: muted ? new ArrayBuffer(pcm.byteLength) : pcm, clock: this.#clock(time, wall), flags: muted ? MUTED : 0 };
    if (this.mode === "free") {
      if (this.#room()) this.#keep(frame, 0);
    } else if (this.mode === "held") {
      if (this.#room()) this.#keep(frame, HELD);
    } else if (this.behind > 0) {
      this.behind--;
      this.#keep(frame, HELD | (this.behind ? 0 : LAST));
      if (!this.behind) this.dispatchEvent(new Event("state"));
    } else if (!muted) {
      this.before = [...this.before, frame].slice(-BEFORE);
    } else {
      this.before = [];
    }
  }

  /** Return when a frame began that ended at `time` of the sound's own clock, `wall` of the device's (both ms). */
  #clock(time, wall) {
    const late = wall - time; // told beside the sound: a page that is slow to hear of it shifts nothing
    this.late = late - this.late > STOOD_MS ? late : Math.min(this.late, late); // the least seen is the nearest to none
    return this.late + time + this.shift - FRAME_SECONDS * 1000;
  }

  #keep(frame, flags) {
    if (this.fresh) flags |= FIRST;
    if (this.atSaw()) flags |= AT_SAW;
    this.fresh = false;
    this.at = frame.clock + FRAME_SECONDS * 1000;
    this.outbox.add({ ...frame, stream: this.id, number: this.number++, flags: frame.flags | flags });
  }

  /** End what is being heard with an empty frame. */
  #finish() {
    this.behind = 0;
    const held = this.mode === "free" ? 0 : HELD;
    if (this.fresh) return void (this.fresh = false); // nothing came yet
    this.#keep({ pcm: new ArrayBuffer(0), clock: this.at, flags: 0 }, held | LAST);
  }
}
