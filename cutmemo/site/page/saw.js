// The page at the saw: one length as large as the window, the piece, what comes next, large keys.

import { at, el, lines, say } from "./dom.js";
import { make, show } from "./figures.js";
import { foreseen, left } from "./rows.js";
import { t } from "./words.js";

const TWICE_MS = 400; // a second touch so soon is the same touch

/** Return what to cut now: {row, seen, length, …}, or null. */
export function inHand(page) {
  if (!page.view) return null;
  return page.byBoard ? onBoard(page) : inOrder(page);
}

function inOrder({ view, outbox }) {
  const [row, ...rest] = foreseen(view.rows, outbox.acts.values());
  if (!row) return null;
  const saw = view.saw?.row === row.id ? view.saw : null;
  const next = rest.slice(0, 2).map((each) => t("then", { cut: each.text }));
  const facts = saw ? [left(row), ...saw.facts.filter((fact) => fact !== saw.left)] : [left(row), row.what].filter(Boolean);
  const alerts = [...(row.spoiled.length ? [t("again", { reasons: row.spoiled.join(", ") })] : []), ...row.cautions.map((sentence) => t("caution", { sentence }))];
  return {
    row, length: row.length, facts, place: row.place, next,
    ends: saw?.ends ?? row.ends, alerts: saw?.alerts ?? alerts, stop: row.left === view.rows.find((each) => each.id === row.id).left ? (saw?.stop_block ?? "") : "",
    board: saw?.board ?? "", piece: saw?.piece ?? null, waits: view.waiting, note: saw ? "" : t("sawnAway"),
  };
}

function onBoard({ view, boards, outbox }) {
  const next = boards?.next, row = view.rows.find((each) => each.id === next?.row);
  if (!row) return null;
  const clears = [...outbox.acts.values()].some((act) => act.do === "clear" && act.row === row.id);
  if (clears) return null; // the plan has to follow first
  const on = boards.sections[next.section].boards[next.board];
  const following = on.pieces.slice(next.piece + 1, next.piece + 3).map((piece) => t("then", { cut: piece.text }));
  return {
    row: { ...row, seen: on.pieces[next.piece].seen }, length: next.length, facts: [left(row), row.what].filter(Boolean), place: row.place,
    ends: row.ends, alerts: next.cautions.map((sentence) => t("caution", { sentence })), stop: view.saw?.row === row.id ? view.saw.stop_block : "",
    board: next.text, piece: view.saw?.row === row.id ? view.saw.piece : null, next: following, waits: view.waiting, note: "",
  };
}

export function wire(page) {
  const once = (action) => {
    let last = -TWICE_MS;
    return (event) => {
      if (event.timeStamp - last < TWICE_MS) return;
      last = event.timeStamp;
      action();
    };
  };
  const withRow = (action) => () => {
    const now = inHand(page);
    if (now) action(now.row);
    else page.tell(t(page.byBoard ? "notPlanned" : "nothingToCut"), true);
  };
  at("cut").onclick = once(withRow((row) => page.act("clear", { row: row.id, seen: row.seen })));
  at("saw-undo").onclick = once(() => page.act("undo"));
  at("skip").onclick = once(withRow((row) => page.act("skip", { row: row.id })));
  at("hold").onclick = once(withRow((row) => page.act("hold", { row: row.id })));
  at("trouble").onclick = () => trouble(page);
  at("by-board").onclick = () => {
    page.byBoard = !page.byBoard;
    page.look();
    page.draw();
  };
}

/** Ask what is wrong, and with which piece: the server tells which may be meant. */
function trouble(page) {
  const { suspects, reasons } = page.trouble;
  if (!suspects.length) return page.tell(t("noPiece"), true);
  const keys = suspects.flatMap(({ row, was_cut, head }) => [
    [head, undefined],
    ...reasons.map(([reason, label]) => [label, () => page.act("trouble", { reason, row, was_cut })]),
  ]);
  page.ask(t("trouble"), [...keys, [t("noTrouble"), null]]);
}

export function draw(page) {
  const now = inHand(page);
  at("by-board").setAttribute("aria-pressed", String(page.byBoard));
  say("saw-stop", now?.stop ?? "");
  show(at("saw-figures"), now?.length);
  say("saw-place", now?.place ? t("forPlace", now) : "");
  const nothing = !page.view ? "" : page.byBoard ? t(page.boards?.state === "planned" && !page.boards.next ? "nothingToCut" : "notPlanned") : t("nothingToCut");
  say("saw-facts", now ? now.facts.join(" · ") : nothing);
  lines(at("saw-alerts"), now?.alerts ?? []);
  piece(at("saw-piece"), now?.piece);
  say("saw-ends", now?.piece ? "" : (now?.ends ?? ""));
  say("saw-board", now?.board ?? "");
  lines(at("saw-then"), now?.next ?? []);
  say("saw-waits", [now?.waits ?? page.view?.waiting, now?.note].filter(Boolean).join(" · "));
  say("saw-told", page.told.text, page.told.wrong);
}

/** Draw a piece from its face, the ends named below it; an end that nobody named a point of is dashed. */
function piece(box, drawn) {
  const name = JSON.stringify(drawn ?? null);
  if (box.dataset.drawn === name) return;
  box.dataset.drawn = name;
  if (!drawn) return box.replaceChildren();
  const { wide, high, polygon, left: one, right: other, unknown } = drawn;
  const label = t("pieceDrawn", { left: one, right: other });
  const svg = make("svg", { viewBox: `-4 -4 ${wide + 8} ${high + 8}`, role: "img", "aria-label": label, preserveAspectRatio: "xMinYMid meet" });
  svg.append(make("polygon", { points: polygon.map((point) => point.join(",")).join(" "), class: unknown.length ? "wood unsure" : "wood" }));
  box.replaceChildren(svg, el("p", { className: "two" }, el("span", {}, one), el("span", {}, other)));
}

