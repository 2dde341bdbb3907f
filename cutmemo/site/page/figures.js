// A length in figures drawn with one pen: a fraction is as heavy as the inches it stands beside.
// They grow to the box that holds them. Heights are in hundredths of a whole figure.

const SVG = "http://www.w3.org/2000/svg";
const PEN = 11;
const GAP = 15; // between two figures
const SMALL = 0.64; // a figure of a fraction, or of how many, beside a whole one
const AIR = 8; // above and below a fraction's bar
const EDGE = 4; // so that no pen is cut off

// The pen's way, in a box 100 high; the number is the box's width.
const PENS = {
  0: [56, "M28 6C12 6 6 24 6 50S12 94 28 94 50 76 50 50 44 6 28 6Z"],
  1: [46, "M8 24L25 6V94M8 94H42"],
  2: [56, "M7 28C8 14 17 6 28 6 41 6 50 15 50 28 50 46 34 54 18 74L6 94H51"],
  3: [56, "M8 18C12 10 19 6 28 6 40 6 48 14 48 26S39 47 23 47C40 47 50 56 50 70S40 94 27 94C17 94 10 89 6 80"],
  4: [58, "M41 94V6L6 69H54"],
  5: [56, "M47 6H13L9 46C15 40 21 37 28 37 42 37 50 49 50 65S41 94 27 94C18 94 11 90 6 81"],
  6: [56, "M44 11C39 7 34 6 29 6 14 6 6 24 6 56 6 80 13 94 28 94 42 94 50 83 50 68S41 42 29 42C18 42 10 48 7 58"],
  7: [54, "M6 6H49C36 34 25 62 22 94"],
  8: [56, "M28 46C17 46 9 38 9 26S17 6 28 6 47 14 47 26 39 46 28 46C14 46 6 56 6 70S14 94 28 94 50 84 50 70 42 46 28 46Z"],
  9: [56, "M12 89C17 93 22 94 27 94 42 94 50 76 50 44 50 20 43 6 28 6 14 6 6 17 6 32S15 58 27 58C38 58 46 52 49 42"],
  "'": [16, "M8 6V30"],
  '"': [36, "M8 6V30M28 6V30"],
  "≈": [60, "M6 44C16 28 26 32 32 38S48 48 54 32M6 70C16 54 26 58 32 64S48 74 54 58"],
  "×": [52, "M8 32L44 74M44 32L8 74"],
  m: [72, "M8 94V44M8 60C10 46 36 36 36 58V94M36 58C38 46 64 36 64 58V94"],
  "?": [52, "M7 26C9 13 17 6 27 6 39 6 46 14 46 25 46 42 27 44 27 66M27 90V94"],
};

const make = (tag, attributes) => {
  const made = document.createElementNS(SVG, tag);
  for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
  return made;
};

function wide(text, scale = 1) {
  return [...text].reduce((sum, sign) => sum + (PENS[sign]?.[0] ?? 30) * scale + GAP * scale, -GAP * scale);
}

function write(to, text, x, y, scale = 1) {
  for (const sign of text) {
    const [width, way] = PENS[sign] ?? [30, ""];
    to.append(make("path", { d: way, transform: `translate(${x} ${y}) scale(${scale})`, "stroke-width": PEN / scale }));
    x += (width + GAP) * scale;
  }
  return x - GAP * scale;
}

/** Return `length` (mark, feet, whole, over, under, unit, text) as a picture named by its text. */
export function figures(length, lead = "") {
  const svg = make("svg", { role: "img", "aria-label": lead ? `${lead} ${length.text}` : length.text, class: "pen" });
  const tall = length.over ? 2 * 100 * SMALL + PEN + 2 * AIR : 100;
  const top = (tall - 100) / 2;
  let x = 0;
  const put = (text, gap = GAP) => { if (text) x = write(svg, text, x, top) + gap; };
  if (lead) x = write(svg, lead, x, top + 100 * (1 - SMALL), SMALL) + 1.5 * GAP;
  put(length.mark);
  if (length.feet) put(`${length.feet}'`, 2 * GAP);
  put(length.whole);
  if (length.over) {
    const widest = Math.max(wide(length.over, SMALL), wide(length.under, SMALL));
    x += length.whole ? 2 : 0;
    write(svg, length.over, x + (widest - wide(length.over, SMALL)) / 2, 0, SMALL);
    const bar = 100 * SMALL + AIR + PEN / 2;
    svg.append(make("path", { d: `M${x} ${bar}H${x + widest}`, "stroke-width": PEN }));
    write(svg, length.under, x + (widest - wide(length.under, SMALL)) / 2, bar + PEN / 2 + AIR, SMALL);
    x += widest + GAP;
  }
  put(length.unit === "mm" ? "mm" : length.unit);
  svg.setAttribute("viewBox", `${-PEN / 2} ${-EDGE} ${x - GAP + PEN} ${tall + 2 * EDGE}`);
  svg.style.setProperty("--tall", (tall + 2 * EDGE) / 100);
  return svg;
}

/** Show `length` in `box`, unless it stands there. */
export function show(box, length, lead = "") {
  const name = length ? `${lead} ${JSON.stringify(length)}` : "";
  if (box.dataset.shown === name) return;
  box.dataset.shown = name;
  box.replaceChildren(...(length ? [figures(length, lead)] : []));
}

export { make };
