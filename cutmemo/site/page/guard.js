// Keeps the screen on while the page is up, and touches off while the device hangs in a holster.

import { at, say } from "./dom.js";
import { show } from "./figures.js";
import { t } from "./words.js";

const HOLD_MS = 800;

/** Keep the screen from going dark, now and whenever the page is shown again. */
export async function stayAwake() {
  let lock = null;
  const ask = async () => {
    if (document.hidden || (lock && !lock.released)) return;
    lock = await navigator.wakeLock?.request("screen").catch(() => null) ?? null;
    say("awake", t(lock ? "awake" : "asleep"));
  };
  document.addEventListener("visibilitychange", ask);
  document.addEventListener("pointerdown", ask, { passive: true });
  await ask();
}

/** Cover the page until its key is held for a moment. */
export function wire(page) {
  const shield = at("shield"), unlock = at("unlock"), covered = [document.querySelector("header"), document.querySelector("main")];
  let since = null, timer = null;
  const open = () => {
    stop();
    shield.hidden = true;
    for (const part of covered) part.inert = false;
    page.draw();
    at("more-key").focus();
  };
  const stop = () => {
    cancelAnimationFrame(timer);
    since = null;
    unlock.style.setProperty("--held", "0%");
  };
  const grow = (now) => {
    since ??= now;
    unlock.style.setProperty("--held", `${Math.min(100, ((now - since) / HOLD_MS) * 100)}%`);
    if (now - since >= HOLD_MS) open();
    else timer = requestAnimationFrame(grow);
  };
  const start = () => { if (since === null) timer = requestAnimationFrame(grow); };
  at("guard").onclick = () => {
    at("more").close();
    shield.hidden = false;
    for (const part of covered) part.inert = true;
    unlock.focus();
    draw(page);
  };
  unlock.addEventListener("pointerdown", (event) => { unlock.setPointerCapture(event.pointerId); start(); });
  for (const over of ["pointerup", "pointercancel", "blur", "keyup"]) unlock.addEventListener(over, stop);
  unlock.addEventListener("keydown", (event) => {
    if (event.key !== " " && event.key !== "Enter") return;
    event.preventDefault();
    if (!event.repeat) start();
  });
  unlock.addEventListener("click", (event) => { if (event.detail === 0 && !event.pointerType) open(); }); // a screen reader's
  unlock.addEventListener("contextmenu", (event) => event.preventDefault());
}

/** Show the length in hand on the cover. */
export function draw(page) {
  if (!at("shield").hidden) show(at("shield-figures"), page.large());
}
