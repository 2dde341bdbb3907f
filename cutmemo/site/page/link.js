// The one connection to the server: says hello, sends what is kept, in order, and hands on what comes.
//
// Whatever breaks, everything kept is sent again from where the server says it stands.

const VERSION = 1, HEADER = 24, BATCH = 32, WINDOW = 200, FULL = 200_000;
const PING_MS = 2000, QUIET_MS = 3500, SILENT_MS = 6000;
const WAITS_MS = [300, 700, 1500, 3000], SLOW_MS = { 4429: 5000, 4503: 3000, 1007: 30000, 1008: 30000 };
const GONE_MS = 20_000, ELSEWHERE = "cutmemo.elsewhere"; // from when on the site is looked for at its other addresses
export const FIRST = 1, LAST = 2, HELD = 4, MUTED = 8, AT_SAW = 16;

/** Return a frame as it travels. */
export function packed({ stream, number, flags, clock, pcm }) {
  const out = new DataView(new ArrayBuffer(HEADER + pcm.byteLength));
  out.setUint8(0, VERSION);
  out.setUint8(1, flags);
  out.setBigUint64(4, BigInt(`0x${stream}`), true);
  out.setUint32(12, number, true);
  out.setFloat64(16, clock, true);
  new Uint8Array(out.buffer, HEADER).set(new Uint8Array(pcm));
  return out.buffer;
}

export const clock = () => performance.timeOrigin + performance.now();

/** Events: "state" when it comes up, goes down, or the server refuses; "message" with each message. */
export class Link extends EventTarget {
  constructor(outbox, look) {
    super();
    this.outbox = outbox;
    this.look = look; // () => {at, ear}, what the server is told of this page
    this.state = "off"; // off, on, out (not joined), old (another version)
    this.tries = 0;
    this.sent = new Map(); // page → key of the item that was sent last
    this.far = new Map(); // stream → number that was sent last, number that was heard
    this.pumping = false;
    this.lastOn = clock();
    this.moved = ""; // where the site is now, where that is not where this page is from
    outbox.addEventListener("added", () => this.#pump());
    addEventListener("online", () => this.state === "off" && this.connect());
    addEventListener("offline", () => this.on && this.#closed(1006)); // where the device knows it, nobody waits
    addEventListener("pagehide", () => this.tell("look", this.look()));
  }

  get on() {
    return this.state === "on";
  }

  /** Whether the server answers: a network that is gone says nothing of it. */
  get answers() {
    return this.on && clock() - this.heard < QUIET_MS;
  }

  /** Return how many frames of `stream` up to `number` the server has not heard yet. */
  behind(stream, number) {
    return this.far.has(stream) ? number - this.far.get(stream).heard : 0;
  }

  connect() {
    clearTimeout(this.again);
    this.socket?.close();
    const { url, protocols, origin } = this.#door();
    const socket = new WebSocket(url, protocols);
    this.socket = socket;
    this.origin = origin;
    this.greeted = false;
    socket.binaryType = "arraybuffer";
    socket.onopen = () => this.#hello(socket);
    socket.onmessage = ({ data }) => { if (socket === this.socket) this.#message(JSON.parse(data)); };
    socket.onclose = ({ code }) => { if (socket === this.socket) this.#closed(code); };
    this.heard = clock();
    clearInterval(this.watch);
    this.watch = setInterval(() => this.#watch(), PING_MS);
  }

  /** Return where to knock: at this page's own site; where that is gone and something is owed, at its other addresses in turn. */
  #door() {
    const protocol = `cutmemo.${VERSION}`;
    const own = { url: `${location.protocol === "https:" ? "wss" : "ws"}://${location.host}/live`, protocols: [protocol], origin: "" };
    const owes = this.outbox.frames > 0 || this.outbox.acts.size > 0;
    const { sockets, key } = JSON.parse(localStorage.getItem(ELSEWHERE)) ?? { sockets: [] };
    if (!owes || !sockets.length || clock() - this.lastOn < GONE_MS) return own;
    const others = sockets.map((url) => ({ url, protocols: [protocol, `cutmemo.key.${key}`], origin: `https://${new URL(url).host}` }));
    return [own, ...others][this.tries % (others.length + 1)];
  }

  #watch() {
    if (clock() - this.heard > SILENT_MS) this.#closed(1006);
    else this.tell("ping", { clock: clock() });
    this.#pump();
    this.dispatchEvent(new Event("state"));
  }

  #closed(code) {
    const socket = this.socket;
    this.socket = null;
    socket?.close();
    clearInterval(this.watch);
    if (this.state === "out" || this.state === "old") return;
    if (code === 4401) return this.refuse("out");
    this.#turn("off");
    const wait = SLOW_MS[code] ?? WAITS_MS[Math.min(this.tries++, WAITS_MS.length - 1)];
    this.again = setTimeout(() => this.connect(), wait);
    this.#joined();
  }

  /** Ask whether this device is still let in: a socket does not say why it was refused. */
  async #joined() {
    const answer = await fetch("/who", { cache: "no-store" }).catch(() => null);
    if (answer?.status === 401) this.refuse("out");
  }

  /** Stop, for a reason that trying again does not mend. */
  refuse(state) {
    clearTimeout(this.again);
    this.#turn(state);
    this.socket?.close();
  }

  #turn(state) {
    if (this.on) this.lastOn = clock();
    this.state = state;
    this.dispatchEvent(new Event("state"));
  }

  /** Send a message that need not be kept. */
  tell(t, facts) {
    if (this.greeted && this.socket?.readyState === WebSocket.OPEN) this.socket.send(JSON.stringify({ t, ...facts }));
  }

  async #hello(socket) {
    await this.outbox.adopt();
    const streams = (await this.outbox.streams()).slice(0, 64);
    const acts = [...this.outbox.acts.keys()].slice(0, 500);
    if (socket !== this.socket) return;
    this.greeted = true; // nothing comes before the greeting
    const greeting = { v: VERSION, clock: clock(), page: "", by_id: true, streams: streams.map(({ id, next }) => ({ id, next })), acts };
    this.tell("hello", { ...greeting, ...this.look() });
  }

  async #message(message) {
    this.heard = clock();
    switch (message.t) {
      case "welcome": await this.#welcome(message); break;
      case "fed": case "ack": this.#heardUpto(message); break;
      case "resend": await this.#resend(message); break;
      case "reload": this.refuse("old"); break;
      case "gone": this.refuse("out"); break;
    }
    if (message.t === "ack") await this.outbox.taken(message.stream, message.upto);
    if (message.t === "done" || message.t === "refused") await this.outbox.answered(message.id);
    this.dispatchEvent(new CustomEvent("message", { detail: message }));
    if (message.t === "fed" || message.t === "ack") this.#pump();
  }

  async #welcome({ acked, done, elsewhere }) {
    if (elsewhere !== undefined) localStorage.setItem(ELSEWHERE, JSON.stringify(elsewhere));
    this.moved = this.origin;
    for (const [stream, upto] of Object.entries(acked)) await this.outbox.taken(stream, upto);
    for (const id of Object.keys(done)) await this.outbox.answered(id);
    this.sent.clear();
    this.far.clear();
    this.tries = 0;
    this.#turn("on");
    this.#pump();
  }

  #heardUpto({ stream, upto }) {
    const far = this.far.get(stream) ?? { sent: upto, heard: upto };
    this.far.set(stream, { ...far, heard: Math.max(far.heard, upto) });
  }

  async #resend({ stream, from }) {
    const found = await this.outbox.keyOf(stream, from);
    if (found) this.sent.set(found.page, found.key - 0.5);
    else if (this.outbox.holes.has(stream)) return this.#giveUp(stream, from);
    this.far.set(stream, { sent: from - 1, heard: from - 1 });
    this.#pump();
  }

  /** Go on behind a frame that could not be kept, which was told when it happened. */
  async #giveUp(stream, from) {
    this.tell("end", { stream, upto: from - 1 });
    await this.outbox.taken(stream, Number.MAX_SAFE_INTEGER);
    this.#pump();
  }

  /** Send what was not sent on this connection, page by page, until there is no more or the server lags behind. */
  async #pump() {
    if (!this.on || this.pumping) return;
    this.pumping = true;
    const socket = this.socket;
    try {
      for (const page of [...this.outbox.pages]) {
        while (socket === this.socket && this.on) {
          const items = await this.outbox.behind(page, this.sent.get(page) ?? 0, BATCH);
          if (socket !== this.socket || !items.length) break;
          if (!items.every((item) => this.#send(socket, item))) return;
        }
        if (page !== this.outbox.page) await this.#end(socket, page);
      }
    } finally {
      this.pumping = false;
      this.dispatchEvent(new Event("state"));
    }
    const rest = await this.outbox.behind(this.outbox.page, this.sent.get(this.outbox.page) ?? 0, 1);
    if (rest.length || socket !== this.socket) this.#pump();
  }

  /** Send one item; false where the server has to hear what it has first. */
  #send(socket, item) {
    if (socket !== this.socket || socket.bufferedAmount > FULL) return false;
    if (item.act) {
      socket.send(JSON.stringify({ t: "act", ...item.act }));
    } else {
      const far = this.far.get(item.stream) ?? { sent: item.number - 1, heard: item.number - 1 };
      if (item.number - far.heard > WINDOW) return false;
      socket.send(packed(item));
      this.far.set(item.stream, { ...far, sent: item.number });
    }
    this.sent.set(item.page, item.key);
    return true;
  }

  /** Say of the streams of a page that is gone that no more comes. */
  async #end(socket, page) {
    for (const { id, upto, over, page: of } of await this.outbox.streams()) {
      if (of === page && !over && socket === this.socket) this.tell("end", { stream: id, upto });
    }
  }
}
