// The page: what it knows, what is done on it, and how its parts hang together.
//
//   ear ─ outbox ─ link ─ server          words, views and outcomes come back by the link
//   keys ─────┘                           and are drawn by work, saw, boards and more

import * as boards from "./boards.js";
import { at, el, lines, say, whole } from "./dom.js";
import { Ear } from "./ear.js";
import * as guard from "./guard.js";
import { clock, Link } from "./link.js";
import * as more from "./more.js";
import { FRAME_SECONDS, newAct, Outbox } from "./outbox.js";
import { waiting } from "./rows.js";
import * as saw from "./saw.js";
import { Voice } from "./voice.js";
import * as work from "./work.js";
import { load, t } from "./words.js";

const VIEWS = ["work", "saw", "boards"];
const LATE_SECONDS = 3; // of sound on its way are as usual
const AGAIN_MS = 3000; // from one try to fetch a newer page to the next
const SHOWN_MS = 20_000; // how long a refusal of what had waited stands among what waits

const later = (ms) => new Promise((go) => setTimeout(go, ms));

class Page {
  view = null; // what the server said last of the memo
  boards = null;
  crew = [];
  trouble = { suspects: [], reasons: [] }; // which pieces may be in trouble, and how
  shown = null; // the row that stands large at the work
  wanted = null; // the one that is to stand there, and was not told of yet
  told = { text: "", wrong: false };
  heard = "";
  byBoard = false;
  refusals = []; // of acts that had waited: {text, until}
  at = "work";
  device = "";

  constructor(outbox) {
    this.outbox = outbox;
    this.ear = new Ear(outbox, () => this.sound(), () => this.at === "saw");
    this.voice = new Voice(() => this.sound(), (on) => this.ear.speaks(on), () => this.ear.idle());
    this.link = new Link(outbox, () => ({ at: this.place(), ear: this.ear.mode }));
    this.link.addEventListener("message", ({ detail }) => this.take(detail));
    this.link.addEventListener("state", () => {
      if (this.link.state === "old") this.renewing ??= this.renew();
      this.draw();
    });
    outbox.addEventListener("changed", () => this.draw());
    outbox.addEventListener("failed", ({ detail }) => {
      this.ear.lose("full");
      this.tell(t("notKept", { why: detail }), true);
    });
    this.ear.addEventListener("state", () => { this.look(); this.draw(); });
    this.ear.addEventListener("lost", ({ detail }) => this.lost(detail));
  }

  /** The one way sound goes in and out; made by the first tap. */
  sound() {
    this.context ??= new AudioContext({ latencyHint: "interactive" });
    return this.context;
  }

  /** Return where acts are done: by board is a place of its own. */
  place() {
    return this.at === "saw" && this.byBoard ? "boards" : this.at;
  }

  look() {
    this.link.tell("look", { at: this.place(), ear: this.ear.mode });
  }

  // --- what is done here ------------------------------------------------------------------------

  /** Do something to the memo: kept here first, sent as soon as it can be. */
  act(what, facts = {}) {
    this.outbox.add({ act: { id: newAct(), do: what, at: clock(), place: this.place(), ...facts } });
  }

  /** Open the microphone, by a tap; false where it cannot be had. */
  async openEar() {
    try {
      const opening = this.ear.start();
      this.draw();
      await opening;
      this.voice.prepare();
      return true;
    } catch (error) {
      const known = { NotAllowedError: "micNotAllowed", NotFoundError: "micNotFound", NotSupportedError: "micNotSupported" };
      this.tell(t(known[error.name] ?? "micFailed", { why: error.message || error.name }), true);
      return false;
    } finally {
      this.draw();
    }
  }

  /** Sound that it listens, then listen. */
  async begin(listen) {
    this.voice.play("listening", [], true);
    await this.voice.queue;
    listen();
  }

  /** Hearing ended by itself: whoever is up a ladder has to know. */
  lost(why) {
    this.voice.play("muted", [], true);
    this.tell(t({ hidden: "lostHidden", taken: "lostTaken", full: "lostFull" }[why]), true);
  }

  /** Fetch the files of the page anew, however often that fails, and load them once they are all here. */
  async renew() {
    const worker = await navigator.serviceWorker?.getRegistration();
    navigator.serviceWorker?.addEventListener("controllerchange", async () => {
      if (this.ear.hearing) this.ear.lose("hidden"); // a page that was just loaded does not listen
      await Promise.race([this.voice.queue, later(AGAIN_MS)]);
      location.reload();
    }, { once: true });
    while (worker && !(await worker.update().then(() => true, () => false))) {
      await later(AGAIN_MS);
    }
  }

  sayAgain() {
    const [last] = this.voice.said.filter(({ lists }) => lists.length);
    if (last) this.voice.play(last.tone, last.lists, true);
    else this.tell(t("nothingSaid"), true);
  }

  tell(text, wrong = false) {
    this.told = { text, wrong };
    this.draw();
  }

  /** Ask before something is done: keys are [label, action]; an action of null changes nothing, undefined is a heading. */
  ask(question, keys) {
    const sheet = at("asks");
    at("asks-title").replaceChildren(...whole(question));
    at("asks-keys").replaceChildren(...keys.map(([label, action]) => {
      if (action === undefined) return el("h3", {}, ...whole(label));
      const key = el("button", { type: "button", className: action ? "main" : "" }, label);
      key.onclick = () => { sheet.close(); action?.(); };
      return key;
    }));
    sheet.showModal();
  }

  /** Return the length that stands large. */
  large() {
    return (this.at === "work" ? work.shownRow(this)?.length : saw.inHand(this)?.length) ?? null;
  }

  // --- what the server says -----------------------------------------------------------------------

  take(message) {
    switch (message.t) {
      case "welcome":
        this.device = message.device.name;
        for (const [id, { kind, sentence }] of Object.entries(message.done)) this.answered(id, kind, sentence);
        break;
      case "view":
        this.view = { ...message, rows: this.rowsOf(message) };
        this.turnTo();
        break;
      case "boards": this.boards = message; break;
      case "trouble": this.trouble = message; break;
      case "crew": this.crew = message.devices; more.draw(this); break;
      case "words": this.heard = message.text; break;
      case "stuck": this.tell(t("wrong", message), true); break;
      case "outcome": this.outcome(message); break;
      case "done":
        this.outcome({ ...message, kind: message.happened === "asked" ? "asks" : "row" });
        break;
      case "refused":
        this.answered(message.id, "refused", message.sentence);
        this.voice.play(message.tone ?? "refusal");
        break;
    }
    this.draw();
  }

  /** Return all rows of a view: one that is as it was comes by its id alone. */
  rowsOf({ rows }) {
    const known = new Map(this.view?.rows.map((row) => [row.id, row]));
    return rows.map((row) => known.get(row) ?? row);
  }

  answered(id, kind, sentence) {
    if (kind === "done") return this.tell(t("good", { sentence }));
    this.tell(t("wrong", { sentence }), true);
    this.refusals.push({ text: sentence, until: clock() + SHOWN_MS });
    setTimeout(() => this.draw(), SHOWN_MS + 100);
  }

  outcome({ kind, sentence, rows, tone, clips, question, heard }) {
    this.heard = kind === "refused" ? (heard ?? "") : "";
    const sign = { row: "good", asks: "asks", refused: "wrong" }[kind];
    if (sign && sentence) this.told = { text: t(sign, { sentence }), wrong: kind === "refused" };
    if (kind !== "noise") this.wanted = question ?? rows?.[0] ?? this.wanted;
    this.turnTo();
    if (tone || clips?.length) this.voice.play(tone, clips);
  }

  /** Turn to the row that was called last, once it is there to be shown. */
  turnTo() {
    if (!this.view?.rows.some((row) => row.id === this.wanted)) return;
    this.shown = this.wanted;
    this.wanted = null;
  }

  // --- what is drawn ------------------------------------------------------------------------------

  draw() {
    this.drawing ??= requestAnimationFrame(() => { this.drawing = null; this.redraw(); });
  }

  redraw() {
    this.drawHead();
    if (this.at === "work") work.draw(this);
    else work.drawTalk(this);
    if (this.at === "saw") saw.draw(this);
    if (this.at === "boards") boards.draw(this);
    guard.draw(this);
    const rows = this.view?.rows ?? [];
    this.refusals = this.refusals.filter(({ until }) => until > clock());
    const waits = this.link.answers ? [] : [...this.outbox.acts.values()].map((act) => t("waits", { what: waiting(act, rows) }));
    waits.push(...this.refusals.map(({ text }) => t("wrong", { sentence: text })));
    for (const id of ["work-waiting", "saw-waiting"]) lines(at(id), waits);
  }

  drawHead() {
    const { ear, link, outbox } = this;
    const modes = { off: "earOff", held: "earHeld", free: "earFree", hidden: "earHidden" };
    say("ear", t(ear.opening ? "earOpening" : ear.hearing && this.at === "saw" ? "earOrders" : modes[ear.mode]));
    at("ear").classList.toggle("live", ear.hearing);
    const seconds = Math.round(outbox.seconds), count = outbox.acts.size;
    const behind = ear.open ? link.behind(ear.id, ear.number - 1) * FRAME_SECONDS : 0;
    const unsent = seconds && count ? "notSentBoth" : seconds ? "notSent" : count ? "notSentActs" : "apart";
    const late = behind > LATE_SECONDS ? "sending" : "connected";
    say("sending", t(link.answers ? late : unsent, { seconds: link.answers ? Math.round(behind) : seconds, count }));
    at("sending").classList.toggle("late", !link.answers);
    say("where", [this.view?.memo, this.device].filter(Boolean).join(" · "));
    const deaf = this.crew.filter(({ name, ear: hears, here }) => here && hears === "hidden" && name !== this.device);
    say("unhearing", deaf.map(({ name }) => t("deviceHidden", { name })).join(" · "));
    lines(at("marks"), this.view?.marks ?? []);
    const notice = { out: ["out", "join", "/enter"], old: ["old", "loadAnew", "/"] }[link.state] ?? (link.moved && ["moved", "openThere", link.moved]);
    at("notice").hidden = !notice;
    if (notice && at("notice").dataset.of !== notice[0]) {
      at("notice").dataset.of = notice[0];
      at("notice").replaceChildren(`${t(notice[0])} `, el("a", { href: notice[2] }, t(notice[1])));
    }
  }

  go() {
    const name = location.hash.slice(1);
    this.at = VIEWS.includes(name) ? name : "work";
    for (const view of VIEWS) at(view).hidden = view !== this.at;
    document.documentElement.dataset.view = this.at;
    for (const link of document.querySelectorAll("nav a")) {
      if (link.hash === `#${this.at}`) link.setAttribute("aria-current", "page");
      else link.removeAttribute("aria-current");
    }
    document.title = t(this.at);
    this.look();
    this.draw();
  }
}

async function main() {
  await load();
  const outbox = await Outbox.open().catch((error) => {
    at("notice").hidden = false;
    at("notice").textContent = t("noKeeping");
    throw error;
  });
  const page = new Page(outbox);
  work.wire(page);
  saw.wire(page);
  guard.wire(page);
  more.wire(page);
  addEventListener("hashchange", () => page.go());
  addEventListener("resize", () => page.draw());
  page.go();
  page.link.connect();
  await guard.stayAwake();
  await navigator.serviceWorker?.register("/sw.js").catch(() => null);
}

await main();
