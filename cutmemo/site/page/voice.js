// What the page says: tones and words of a read-back, one after the other, on the device that called.

const GAP_SECONDS = 0.03, PAUSE_SECONDS = 0.25;

export class Voice {
  /** `sound` gives the AudioContext; `speaks` is told when something begins and ends to sound; `silence`
   *  is waited for before: whoever holds the button is not talked over. */
  constructor(sound, speaks, silence) {
    Object.assign(this, { sound, speaks, silence });
    this.on = true;
    this.clips = new Map(); // name → promise of its sound
    this.queue = Promise.resolve();
    this.turn = 0;
    this.playing = null;
    this.said = []; // names of what sounded, the last first
  }

  #clip(name) {
    const load = async () => {
      const answer = await fetch(`/clip/${encodeURIComponent(name)}`);
      if (!answer.ok) throw new Error(`${answer.status}`);
      return this.sound().decodeAudioData(await answer.arrayBuffer());
    };
    if (!this.clips.has(name)) this.clips.set(name, load().catch(() => { this.clips.delete(name); return null; }));
    return this.clips.get(name);
  }

  /** Have the tones at hand, so that they sound without the network. */
  prepare() {
    for (const tone of ["question", "answer", "refusal", "listening", "muted"]) this.#clip(`tone-${tone}`);
  }

  /** Play a tone, then each list of words; `always` even where read-back is off. */
  play(tone, lists = [], always = false) {
    if (!this.on && !always) return;
    const turn = this.turn;
    this.queue = this.queue.then(() => this.#play(turn, tone, lists)).catch(() => {});
  }

  /** Be still at once, and leave out what was to come. */
  stop() {
    this.turn++;
    for (const source of this.playing ?? []) source.stop();
  }

  async #play(turn, tone, lists) {
    const context = this.sound();
    if (context.state !== "running") await Promise.race([context.resume(), new Promise((go) => setTimeout(go, 300))]);
    const parts = tone ? [[`tone-${tone}`]] : [];
    const sounds = await Promise.all([...parts, ...lists].map((names) => Promise.all(names.map((name) => this.#clip(name)))));
    await this.silence();
    if (turn !== this.turn || context.state !== "running") return;
    this.speaks(true);
    this.playing = [];
    let at = context.currentTime + 0.02;
    for (const list of sounds) {
      for (const buffer of list.filter(Boolean)) {
        const source = new AudioBufferSourceNode(context, { buffer });
        source.connect(context.destination);
        source.start(at);
        this.playing.push(source);
        at += buffer.duration + GAP_SECONDS;
      }
      at += PAUSE_SECONDS;
    }
    this.said.unshift({ tone, lists });
    this.said.length = Math.min(this.said.length, 20);
    const last = this.playing.at(-1);
    if (last) await new Promise((end) => { last.onended = end; });
    this.playing = null;
    this.speaks(false);
  }
}
