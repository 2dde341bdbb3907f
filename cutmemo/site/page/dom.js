// Small helpers for the page's elements. Text is always text: nothing is ever set as markup.

export const at = (id) => document.getElementById(id);

/** Return a new element with properties, and children (elements or text). */
export function el(tag, properties = {}, ...children) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(properties)) {
    if (name.includes("-") || name === "role") made.setAttribute(name, value);
    else made[name] = value;
  }
  made.append(...children.filter((child) => child !== "" && child != null));
  return made;
}

const LENGTH = /(≈?(?:\d+' )?\d+-\d+\/\d+"?°?)/;

/** Return a text as parts of an element: a length is never broken between two lines. */
export function whole(text) {
  return text.split(LENGTH).map((part, k) => (k % 2 ? el("span", { className: "whole" }, part) : part));
}

/** Set the text of an element, unless it has it already (a screen reader would say it again). */
export function say(id, text, wrong = false) {
  const element = at(id);
  if (element.textContent !== text) element.replaceChildren(...whole(text));
  element.classList.toggle("wrong", wrong);
}

/** Show some lines in a list, one item each. */
export function lines(list, texts) {
  const old = [...list.children].map((item) => item.textContent);
  if (old.join("\n") !== texts.join("\n")) list.replaceChildren(...texts.map((text) => el("li", {}, ...whole(text))));
}

/** Make the children of `parent` those of `items`: kept by key, so that the focus stays where it is. */
export function keyed(parent, items, key, make, fill) {
  const old = new Map([...parent.children].map((child) => [child.dataset.key, child]));
  let before = null;
  for (const item of items) {
    const name = String(key(item));
    const child = old.get(name) ?? make(item);
    child.dataset.key = name;
    old.delete(name);
    fill(child, item);
    const next = before ? before.nextSibling : parent.firstChild;
    if (child !== next) parent.insertBefore(child, next);
    before = child;
  }
  for (const child of old.values()) child.remove();
}
