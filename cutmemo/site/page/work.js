// The page at the work: the button to talk, the last call in large figures, its question, the list.

import { at, el, keyed, lines, say, whole } from "./dom.js";
import { show } from "./figures.js";
import { about, head, standing } from "./rows.js";
import { t } from "./words.js";

/** Return the row that stands large: the one that was chosen or called last, a question before another. */
export function shownRow(page) {
  const rows = page.view?.rows ?? [];
  const chosen = rows.find((row) => row.id === page.shown);
  if (chosen) return chosen;
  return rows.find((row) => row.state === "doubtful") ?? rows.reduce((last, row) => (!last || row.n > last.n ? row : last), null);
}

export function wire(page) {
  at("undo").onclick = () => page.act("undo");
  at("say-again").onclick = () => page.sayAgain();
  at("strike").onclick = () => strike(page, shownRow(page));
  at("work-hold").onclick = () => {
    const row = shownRow(page);
    if (row?.state === "open") page.act(row.held ? "release" : "hold", { row: row.id });
    else page.tell(t("noRow"), true);
  };
  at("typing").onsubmit = (event) => {
    event.preventDefault();
    const line = at("line"), text = line.value.trim();
    if (!text) return;
    const row = shownRow(page);
    page.act("say", { text, ...(row?.state === "doubtful" ? { shown: row.id } : {}) });
    line.value = "";
  };
  wireTalk(page);
}

function strike(page, row) {
  if (!row || row.state === "cut" || row.state === "struck") return page.tell(t("noRow"), true);
  const facts = { row: row.n, cut: row.text };
  page.ask(t("strikeAsks", facts), [[t("strikeYes"), () => page.act("strike", { row: row.id, seen: row.seen })], [t("no"), null]]);
}

// --- the button to talk -----------------------------------------------------------------------

function wireTalk(page) {
  const talk = at("talk"), ear = page.ear;
  let held = false;
  const down = async () => {
    held = true;
    page.voice.stop();
    if (ear.mode === "free") return;
    if (!ear.open) {
      if (!(await page.openEar())) return;
      if (!held) return; // the tap that opened it
    }
    ear.press();
  };
  const up = () => {
    held = false;
    ear.release();
  };
  talk.addEventListener("pointerdown", (event) => {
    if (event.button) return;
    talk.setPointerCapture(event.pointerId);
    down();
  });
  for (const over of ["pointerup", "pointercancel", "lostpointercapture"]) talk.addEventListener(over, up);
  talk.addEventListener("keydown", (event) => {
    if (event.key !== " " && event.key !== "Enter") return;
    event.preventDefault();
    if (!event.repeat) down();
  });
  talk.addEventListener("keyup", (event) => { if (event.key === " " || event.key === "Enter") up(); });
  talk.addEventListener("blur", up);
  talk.addEventListener("contextmenu", (event) => event.preventDefault());
  const turn = async () => {
    if (ear.mode === "free") ear.free(false);
    else if (await page.openEar()) page.begin(() => ear.free(true));
  };
  for (const id of ["hands-free", "listen"]) at(id).onclick = turn;
}

export function drawTalk(page) {
  const { ear } = page, talk = at("talk");
  const label = ear.opening ? "talkOpening" : ear.mode === "held" ? "talkHeld" : ear.mode === "free" ? "talkFree" : ear.open ? "talk" : "talkOpen";
  say("talk-label", t(label));
  at("talk-sign").textContent = ear.hearing ? "●" : ear.opening ? "◌" : "○";
  talk.classList.toggle("held", ear.hearing);
  for (const id of ["hands-free", "listen"]) at(id).setAttribute("aria-pressed", String(ear.mode === "free"));
}

// --- what is drawn ------------------------------------------------------------------------------

export function draw(page) {
  drawTalk(page);
  const row = shownRow(page), asks = row?.state === "doubtful";
  at("work").classList.toggle("asking", asks);
  say("call-head", row ? head(row) : "");
  show(at("call-figures"), row?.length, row && row.count > 1 ? `${row.count}×` : "");
  say("call-said", row ? (row.said ? t("said", { words: row.said }) : "") : t("noCall"));
  say("call-cut", asks ? "" : (row?.text ?? ""));
  say("call-by", row ? t("by", row) : "");
  say("work-hold", t(row?.held ? "release" : "hold"));
  const hint = t(asks ? "typeAnswer" : "typeHint");
  if (at("line").placeholder !== hint) at("line").placeholder = hint;
  const again = row?.spoiled.length ? [t("again", { reasons: row.spoiled.join(", ") })] : [];
  lines(at("call-cautions"), [...again, ...(row?.cautions ?? []).map((sentence) => t("caution", { sentence }))]);
  question(page, asks ? row : null);
  say("hearing", page.heard ? t("heard", { words: page.heard }) : "");
  say("work-told", page.told.text, page.told.wrong);
  list(page, row);
  say("sums", page.view?.totals ?? "");
  say("crew", page.view ? page.view.settings : "");
}

let asked; // which row, if any

function question(page, row) {
  at("question").hidden = !row;
  if (asked !== row?.id) document.querySelector("#work .scroll").scrollTop = 0; // a question that comes is seen
  asked = row?.id;
  if (!row) return;
  lines(at("question-why"), row.doubts.map((sentence) => t("asks", { sentence })));
  const waits = [...page.outbox.acts.values()].find((act) => act.row === row.id && (act.do === "answer" || act.do === "no"));
  const choices = [...row.choices, { n: 0, text: t("notRight") }];
  keyed(at("choices"), choices, ({ n }) => `${row.id} ${n}`, () => el("button", { type: "button" }), (key, { n, text }) => {
    key.replaceChildren(...(n ? [el("b", {}, String(n))] : []), el("span", {}, ...whole(text)));
    key.setAttribute("aria-pressed", String(Boolean(waits) && (n ? waits.choice === n : waits.do === "no")));
    key.onclick = () => {
      if (waits) return;
      if (n) page.act("answer", { row: row.id, choice: n, seen: row.seen });
      else page.act("no", { row: row.id, seen: row.seen });
    };
  });
}

function list(page, shown) {
  const { view } = page;
  keyed(at("rows"), view?.rows ?? [], (row) => row.id, () => {
    const parts = ["sign", "count", "length", "about"].map((name) => el("span", { className: name }));
    return el("li", {}, el("button", { type: "button" }, ...parts));
  }, (item, row) => {
    const key = item.firstChild, [sign, count, length, what] = key.children, [mark, state] = standing(row);
    sign.textContent = `${t(mark)} ${row.n}`;
    sign.classList.toggle("asks", row.state === "doubtful");
    count.textContent = t("pieces", { count: row.state === "open" ? row.left : row.count });
    length.textContent = row.length.text;
    what.textContent = [about(row), row.state === "open" && !row.held && !row.goes_on ? "" : state].filter(Boolean).join(" · ");
    if (row.state === "doubtful") what.textContent = row.doubts[0] ?? "";
    if (row.id === shown?.id) key.setAttribute("aria-current", "true");
    else key.removeAttribute("aria-current");
    key.onclick = () => { page.shown = row.id; page.draw(); };
  });
  const more = view?.more ? t("moreRows", { count: view.more }) : "";
  at("rows").dataset.more = more;
}
