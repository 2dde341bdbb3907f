// What a row of the memo says in the list, and what waits for it on this device.

import { t } from "./words.js";

/** Return the sign and the word for the state of a row. */
export function standing(row) {
  if (row.state === "doubtful") return ["signAsks", "asks"];
  if (row.state === "cut") return ["signCut", t("stateCut")];
  if (row.state === "struck") return ["signStruck", t("stateStruck")];
  if (row.held) return ["signHeld", t("stateHeld")];
  if (row.goes_on) return ["signGoesOn", t("stateGoesOn")];
  return [row.spoiled.length ? "signAgain" : "signOpen", t("stateOpen")];
}

/** Return the head of a row, as the terminal has it. */
export function head(row) {
  const [sign, state] = standing(row);
  const words = row.state === "doubtful" ? t("rowAsks", { row: row.n }) : t("rowIs", { row: row.n, state });
  return `${t(sign)} ${words}`;
}

/** Return the rows as they are once what waits on this device is done; the rows themselves stay as they are. */
export function foreseen(rows, acts) {
  const left = new Map(rows.map((row) => [row.id, row.left])), away = new Set(), last = [];
  for (const act of acts) {
    if (act.do === "clear") left.set(act.row, left.get(act.row) - 1);
    if (act.do === "clear all") left.set(act.row, 0);
    if (act.do === "hold" || act.do === "strike" || act.do === "no") away.add(act.row);
    if (act.do === "skip") last.push(act.row);
  }
  const open = rows.filter((row) => row.state === "open" && !row.held && !row.goes_on && !away.has(row.id) && left.get(row.id) > 0);
  const order = (row) => last.lastIndexOf(row.id);
  return open.map((row) => ({ ...row, left: left.get(row.id) })).sort((a, b) => order(a) - order(b));
}

/** Return how many pieces of a row are left, in words. */
export function left(row) {
  return row.count > 1 ? t("left", { left: row.left, count: row.count }) : t("leftOne");
}

/** Return what a piece is, in few words. */
export function about(row) {
  return [row.what, row.ends, row.place && t("forPlace", { place: row.place })].filter(Boolean).join(" · ");
}

const VERBS = {
  clear: "cut", "clear all": "cutAll", undo: "undo", redo: "redo", strike: "strike", no: "notRight", "put back": "putBack",
  hold: "hold", release: "release", skip: "skip", trouble: "trouble", order: "order",
};

/** Return an act that waits, in words. */
export function waiting(act, rows) {
  const row = rows.find((each) => each.id === act.row)?.n;
  if (act.do === "say") return t("waitSay", { text: act.text });
  if (act.do === "answer") return t("waitAnswer", { choice: act.choice, row });
  const verb = t(VERBS[act.do]);
  return row ? t("waitRow", { verb, row }) : verb;
}
