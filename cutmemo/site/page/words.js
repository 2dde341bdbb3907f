// The words of the page, as the server has them: none stand in the code.

let words = {};

/** Fetch the words and put them where the page names them. */
export async function load() {
  words = await (await fetch("/words.json")).json();
  for (const element of document.querySelectorAll("[data-label]")) element.textContent = t(element.dataset.label);
  for (const element of document.querySelectorAll("[data-name]")) element.setAttribute("aria-label", t(element.dataset.name));
}

/** Return the words called `name`, with facts put in. */
export function t(name, facts = {}) {
  if (!(name in words)) throw new Error(`no words: ${name}`);
  return words[name].replace(/\{(\w+)\}/g, (_, fact) => String(facts[fact] ?? ""));
}
