// The page of the boards: every open cut on its board, drawn to scale, and what the yard has to bring.

import { at, el, lines, say, whole } from "./dom.js";
import { make } from "./figures.js";
import { t } from "./words.js";

const WIDE = 1000, HIGH = 60;
const width = new ResizeObserver(fit); // also when the page is turned to: nothing has a width before

export function draw(page) {
  const { boards } = page;
  say("boards-told", boards?.sentence ?? t("planning"));
  const drawn = JSON.stringify(boards?.sections ?? null);
  const plan = at("plan");
  width.observe(plan);
  if (plan.dataset.drawn !== drawn) {
    plan.dataset.drawn = drawn;
    plan.replaceChildren(...(boards?.sections ?? []).map(section));
    if (boards?.state === "planned" && !boards.sections.length) plan.append(el("p", {}, t("nothingOpen")));
    fit();
  }
  const yard = (boards?.yard ?? []).flatMap(({ head, lines: each, waits }) => [head, ...each, waits]).filter(Boolean);
  const all = [...yard, ...(boards?.yard_total ? [boards.yard_total] : [])];
  lines(at("yard"), boards ? (all.length ? all : [t("nothingToBuy")]) : []);
  lines(at("rack"), boards ? (boards.rack.length ? boards.rack : [t("emptyRack")]) : []);
}

function section({ head, notes, boards }) {
  const cautions = notes.map((sentence) => el("p", { className: "caution" }, t("caution", { sentence })));
  return el("div", {}, el("h2", {}, ...whole(head)), ...cautions, el("div", { className: "all" }, ...boards.map(board)));
}

function board(each) {
  const pieces = each.pieces.map((piece) => el("li", {}, ...whole(piece.text)));
  const cautions = each.cautions.map((sentence) => el("p", { className: "caution" }, t("caution", { sentence })));
  return el("section", {}, el("h3", {}, ...whole(each.title)), picture(each), el("ul", { className: "pieces" }, ...pieces), ...cautions);
}

/** Draw a board, once where several are equal: its pieces with row and length, what is left hatched; dashed what is off it already. */
function picture({ title, share, pieces }) {
  const said = pieces.map((piece) => piece.length.text).join(", ");
  const svg = make("svg", { class: "drawn", viewBox: `-2 -2 ${WIDE + 4} ${HIGH + 4}`, role: "img", "aria-label": t("boardDrawn", { name: title, pieces: said }), preserveAspectRatio: "none" });
  const begin = (pieces[0]?.start ?? 0) * WIDE, end = share * WIDE;
  if (begin) svg.append(make("rect", { x: 0, y: 0, width: begin, height: HIGH, class: "gone" }));
  svg.append(make("rect", { x: begin, y: 0, width: end - begin, height: HIGH, class: "rest" }));
  for (let x = begin + 10; x < end + HIGH; x += 14) {
    const from = Math.min(x, end), to = Math.max(x - HIGH, begin);
    svg.append(make("path", { d: `M${from} ${x - from}L${to} ${x - to}`, class: "hatch" }));
  }
  for (const piece of pieces) {
    svg.append(make("rect", { x: piece.start * WIDE, y: 0, width: (piece.end - piece.start) * WIDE, height: HIGH, class: "wood" }));
  }
  const box = el("div", { className: "board" }, svg);
  for (const piece of pieces) {
    const label = el("span", { className: "on" }, el("b", {}, piece.length.text), el("i", {}, String(piece.n)));
    label.setAttribute("aria-hidden", "true");
    label.style.left = `${piece.start * 100}%`;
    label.style.width = `${(piece.end - piece.start) * 100}%`;
    box.append(label);
  }
  return box;
}

/** Leave out what does not fit on a piece: a length that is cut off would be read as another. */
function fit() {
  for (const label of document.querySelectorAll("#plan .on")) {
    label.className = "on";
    for (const less of ["row", "bare"]) if (label.scrollWidth > label.clientWidth) label.className = `on ${less}`;
  }
}
