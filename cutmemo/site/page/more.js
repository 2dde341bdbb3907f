// The sheet of what is needed now and then: looks, read-back, guard, the crew's devices, letting a phone in.

import { at, lines, say } from "./dom.js";
import { make } from "./figures.js";
import { inHand } from "./saw.js";
import { t } from "./words.js";

const LOOK = "cutmemo.look", VOICE = "cutmemo.voice";
const EARS = { off: "deviceOff", held: "deviceHeld", free: "deviceFree", hidden: "deviceHidden" };

export function wire(page) {
  const sheet = at("more");
  at("more-key").onclick = () => { draw(page); sheet.showModal(); };
  const setLook = (look) => {
    document.documentElement.dataset.look = look;
    document.querySelector("meta[name=theme-color]").content = look === "sun" ? "#ffffff" : "#000000";
    localStorage.setItem(LOOK, look);
  };
  setLook(localStorage.getItem(LOOK) ?? "dark");
  at("look").onclick = () => setLook(document.documentElement.dataset.look === "sun" ? "dark" : "sun");
  page.voice.on = localStorage.getItem(VOICE) !== "off";
  at("voice").onclick = () => {
    page.voice.on = !page.voice.on;
    localStorage.setItem(VOICE, page.voice.on ? "on" : "off");
    page.tell(t(page.voice.on ? "voiceOn" : "voiceOff"));
    draw(page);
  };
  for (const [id, what] of [["redo", "redo"], ["put-back", "put back"], ["order", "order"]]) {
    at(id).onclick = () => { sheet.close(); page.act(what); };
  }
  at("cut-all").onclick = () => { sheet.close(); cutAll(page); };
  at("invite").onclick = invite;
  say("cautions", t("cautions"));
}

/** Clear all that is left of the row in hand, once that was asked. */
function cutAll(page) {
  const row = inHand({ ...page, byBoard: false })?.row;
  if (!row) return page.tell(t("nothingToCut"), true);
  const facts = { row: row.n, cut: row.text, left: row.left };
  page.ask(t("allAsks", facts), [[t("allYes", facts), () => page.act("clear all", { row: row.id, seen: row.seen })], [t("no"), null]]);
}

/** Ask the server for a way in for one more device, and show it. */
async function invite() {
  const answer = await fetch("/invite", { method: "POST" }).catch(() => null);
  if (answer?.status === 404) return say("invite-how", t("aloneHere")); // served without doors
  if (!answer?.ok) return say("invite-how", t("apart"));
  const { url, code, qr } = await answer.json();
  say("invite-how", t("inviteHow", { url, code }));
  const side = qr.length + 8;
  const svg = make("svg", { viewBox: `-4 -4 ${side} ${side}`, role: "img", "aria-label": t("qr"), class: "qr" });
  svg.append(make("rect", { x: -4, y: -4, width: side, height: side, fill: "#fff" }));
  const way = qr.flatMap((row, y) => row.map((dark, x) => (dark ? `M${x} ${y}h1v1h-1z` : ""))).join("");
  svg.append(make("path", { d: way, fill: "#000" }));
  at("invite-code").replaceChildren(svg);
}

export function draw(page) {
  at("voice").setAttribute("aria-pressed", String(page.voice.on));
  lines(at("devices"), page.crew.map(({ name, ear, here }) => t(here ? EARS[ear] : "deviceAway", { name })));
  say("kept", t(page.outbox.safe ? "keptSafe" : "keptUnsafe"));
}
