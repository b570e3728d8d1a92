// Elements of the page. What comes from a drawing goes in as text alone, through `element` and `named`; nothing here takes markup.

/// The element of the page with this id.
export function byId(id) {
  return document.getElementById(id);
}

/// An element with attributes, listeners under `on`, and children: elements, or anything else as text.
export function element(tag, attributes, ...children) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes ?? {})) {
    if (name === "on") {
      for (const [event, listener] of Object.entries(value)) made.addEventListener(event, listener);
    } else if (value === true) {
      made.setAttribute(name, "");
    } else if (value !== false && value !== undefined && value !== null) {
      made.setAttribute(name, value);
    }
  }
  add(made, children);
  return made;
}

/// Adds children; of nothing nothing.
export function add(parent, children) {
  for (const child of children.flat()) {
    if (child !== undefined && child !== null && child !== false) parent.append(child);
  }
}

/// Puts children in place of those that are there.
export function fill(parent, ...children) {
  parent.replaceChildren();
  add(parent, children);
}

/// Draws something anew, after which the keyboard is where it was.
export function keepingFocus(draw) {
  const { id } = document.activeElement ?? {};
  draw();
  if (id && document.activeElement?.id !== id) byId(id)?.focus();
}

/// A text of a drawing without letters that would change the direction of what stands behind it, or that show nothing.
export function fit(text) {
  return String(text).replace(/[\u0000-\u0008\u000b-\u001f\u007f-\u009f\u202a-\u202e\u2066-\u2069\ufffe\uffff]/g, "\ufffd");
}

/// A name of a drawing, a layer or a section, which cannot turn the text around it.
export function named(text) {
  return element("bdi", {}, fit(text));
}

/// A button that does something.
export function button(words, press, attributes) {
  return element("button", { type: "button", on: { click: press }, ...attributes }, words);
}

/// A number as text with its digits in groups of three and the sign of minus; copied, it is one number still.
export function grouped(text) {
  const [, sign, whole, rest] = /^(-?)(\d*)(.*)$/s.exec(text);
  const pieces = [sign === "-" ? "−" : ""];
  if (whole.length <= 4) return [...pieces, whole, rest];
  const first = ((whole.length - 1) % 3) + 1;
  pieces.push(whole.slice(0, first));
  for (let at = first; at < whole.length; at += 3) pieces.push(element("span", { class: "g" }, whole.slice(at, at + 3)));
  return [...pieces, rest];
}

/// A unit with its power.
export function unitOf(unit) {
  if (!unit) return [];
  const [symbol, power] = unit;
  return power === 1 ? [symbol] : [symbol, element("sup", {}, String(power))];
}

/// A letter with what stands below it.
export function letterOf(letter) {
  if (!letter) return ["–"];
  const [name, below] = letter;
  return below ? [element("i", {}, name), element("sub", {}, below)] : [element("i", {}, name)];
}
