// What the page still owes the server: frames of sound and acts, in order, kept until they are answered.
//
// They are on disk before they are sent, so that a closed page or a flat battery loses nothing. Each
// item carries the page that made it; a page takes over what pages that are gone have left.

export const FRAME_SECONDS = 0.08;
export const KEEP_SECONDS = 32 * 60; // so at least 30 minutes of sound

const NAME = "cutmemo", STORE = "kept", LAST = 2;
const EVER = []; // behind every number and text in the order of keys

const random = (bytes) =>
  [...crypto.getRandomValues(new Uint8Array(bytes))].map((byte) => byte.toString(16).padStart(2, "0")).join("");
export const newStream = () => random(8);
export const newAct = () => random(16);

const done = (request) => new Promise((well, ill) => {
  request.onsuccess = () => well(request.result);
  request.onerror = () => ill(request.error);
});

function database() {
  const request = indexedDB.open(NAME, 1);
  request.onupgradeneeded = () => {
    const store = request.result.createObjectStore(STORE, { keyPath: "key" });
    store.createIndex("order", ["page", "key"]);
    store.createIndex("sound", ["page", "stream", "number", "flags"]);
    store.createIndex("act", "act.id");
  };
  return done(request);
}

/** Hold the lock `name` for as long as the page lives; false where another page holds it. */
function hold(name) {
  return new Promise((answer) => {
    navigator.locks.request(name, { ifAvailable: true }, (lock) => {
      answer(lock !== null);
      return lock === null ? undefined : new Promise(() => {});
    });
  });
}

/** Call `visit` with each cursor of a request. */
function each(request, visit) {
  return new Promise((well, ill) => {
    request.onerror = () => ill(request.error);
    request.onsuccess = () => {
      if (!request.result) return well();
      visit(request.result);
      request.result.continue();
    };
  });
}

export class Outbox extends EventTarget {
  /** Open what is kept. Rejects where the browser keeps nothing (a private window). */
  static async open() {
    const box = new Outbox();
    box.page = random(8);
    await hold(`page-${box.page}`);
    box.pages = [box.page]; // whose items this page sends; its own last
    box.frames = 0; // kept of them
    box.acts = new Map(); // id → act, in order
    box.holes = new Set(); // streams of which a frame could not be kept
    box.last = Promise.resolve();
    box.key = 0;
    box.base = await database();
    await box.adopt();
    box.safe = Boolean(await navigator.storage?.persist?.().catch(() => false));
    return box;
  }

  #store(mode) {
    return this.base.transaction(STORE, mode).objectStore(STORE);
  }

  /** Take over what pages kept that are no longer there; return whether there was any. */
  async adopt() {
    const found = new Set();
    await each(this.#store("readonly").index("order").openKeyCursor(), (cursor) => found.add(cursor.key[0]));
    const before = this.pages.length;
    for (const page of found) {
      if (this.pages.includes(page) || !(await hold(`page-${page}`))) continue;
      this.pages.splice(-1, 0, page);
      for (const { act } of await this.behind(page, 0, Infinity, "acts")) this.acts.set(act.id, act);
      await this.#frames(page, () => this.frames++);
    }
    if (this.pages.length > before) this.#changed();
    return this.pages.length > before;
  }

  #frames(page, visit) {
    const range = IDBKeyRange.bound([page], [page, EVER]);
    return each(this.#store("readonly").index("sound").openKeyCursor(range), (cursor) => visit(...cursor.key.slice(1)));
  }

  /** Seconds of sound that nobody has taken yet. */
  get seconds() {
    return this.frames * FRAME_SECONDS;
  }

  /** Whether more sound is kept. */
  get room() {
    return this.seconds < KEEP_SECONDS;
  }

  /** Keep a frame {stream, number, flags, clock, pcm} or an {act}, behind all that was kept before. */
  add(item) {
    if (item.act) this.acts.set(item.act.id, item.act);
    else this.frames++;
    this.key = Math.max(this.key + 1, Date.now() * 1024);
    const kept = { ...item, page: this.page, key: this.key };
    this.last = this.last.then(() => done(this.#store("readwrite").add(kept))).then(
      () => { this.dispatchEvent(new Event("added")); },
      (error) => this.#failed(item, error),
    );
    this.#changed();
    return this.last;
  }

  /** Note that something is not kept, the disk being full perhaps: whoever said it has to say it again. */
  #failed(item, error) {
    if (item.act) this.acts.delete(item.act.id);
    else {
      this.frames--;
      this.holes.add(item.stream);
    }
    this.dispatchEvent(new CustomEvent("failed", { detail: String(error) }));
  }

  /** Return at most `most` of the items of `page` behind `key`, in order. */
  async behind(page, key, most, kind = "all") {
    await this.last;
    const range = IDBKeyRange.bound([page, key], [page, EVER], true);
    if (kind === "all") return done(this.#store("readonly").index("order").getAll(range, most));
    const found = [];
    await each(this.#store("readonly").index("act").openCursor(), ({ value }) => {
      if (value.page === page) found.push(value);
    });
    return found.sort((a, b) => a.key - b.key);
  }

  /** Return the streams of which frames are kept, those of other pages first: id, next, upto, whether it is over. */
  async streams() {
    await this.last;
    const found = new Map();
    for (const page of this.pages) {
      await this.#frames(page, (id, number, flags) => {
        const next = found.get(id)?.next ?? number;
        found.set(id, { id, page, next, upto: number, over: Boolean(flags & LAST), mine: page === this.page });
      });
    }
    return [...found.values()];
  }

  /** Return the key of a kept frame; null where it is not kept. */
  async keyOf(stream, number) {
    for (const page of this.pages) {
      const range = IDBKeyRange.bound([page, stream, number], [page, stream, number, EVER]);
      const key = await done(this.#store("readonly").index("sound").getKey(range));
      if (key !== undefined) return { page, key };
    }
    return null;
  }

  /** Forget the frames of `stream` up to `upto`: what came of them is on the server's disk. */
  async taken(stream, upto) {
    await this.last;
    for (const page of this.pages) {
      const range = IDBKeyRange.bound([page, stream], [page, stream, upto, EVER]);
      await each(this.#store("readwrite").index("sound").openCursor(range), (cursor) => {
        this.frames--;
        cursor.delete();
      });
    }
    this.#changed();
  }

  /** Forget an act that was answered. */
  async answered(id) {
    await this.last;
    this.acts.delete(id);
    await each(this.#store("readwrite").index("act").openCursor(IDBKeyRange.only(id)), (cursor) => cursor.delete());
    this.#changed();
  }

  #changed() {
    this.dispatchEvent(new Event("changed"));
  }
}
