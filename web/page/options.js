// Options as on the command line: a form, and what a change of them changes.
import { byId, element, fill, fit, named } from "./dom.js";

/// Fields: name, words, kind, and choices or an example.
const FIELDS = [
  ["units", "Unit of all figures", "choice", [["", "mm"], ["cm", "cm"], ["m", "m"], ["in", "in"], ["ft", "ft"]]],
  ["digits", "Digits", "choice", [["", "6"], ["3", "3"], ["4", "4"], ["5", "5"], ["8", "8"], ["10", "10"], ["full", "all"]]],
  ["per", "One section is", "choice", [["", "each layer"], ["part", "each separate solid"], ["outline", "each outer outline"], ["drawing", "all layers together"]]],
  ["join", "Ends are joined within", "text", "0.01mm"],
  ["drawing_units", "Unit of the drawing", "choice", [["", "as the drawing says"], ["mm", "mm"], ["cm", "cm"], ["m", "m"], ["in", "in"], ["ft", "ft"]]],
  ["layers", "Layers measured", "names", "all; * stands for any characters"],
  ["skip", "Layers left out", "names", "such as FRAME, DIM*"],
  ["void_layers", "Layers cut out", "names", "such as HOLES*"],
  ["label_layers", "Layers with names", "names", "for solids and outlines"],
  ["density", "Density", "text", "kg/m³; steel 7850"],
  ["mass_units", "Unit of masses", "choice", [["", "kg"], ["lb", "lb"]]],
  ["thickness", "Plates, thickness", "text", "such as 20mm"],
  ["hatches", "Hatches", "choice", [["", "solid where nothing else is"], ["use", "solid"], ["ignore", "nothing"]]],
  ["widths", "Polylines with a width", "choice", [["", "centre lines"], ["solid", "solid bands"]]],
  ["space", "Space", "choice", [["", "model"], ["paper", "paper"]]],
  ["hidden", "Measure hidden layers too", "check"],
  ["common_cuts", "Shared cuts once", "check"],
  ["field", "Torsion, warping and shear", "check"],
  ["field_tolerance", "Bounds of torsion within", "text", "0.001"],
  ["poisson", "Poisson ratio", "text", "0"],
];

/// Builds the form. `changed` is called with the name and the value of an option that is another now.
export function optionsForm(options, seconds, { changed, limited }) {
  const form = element("form", { class: "pair", "aria-label": "Options", on: { submit: (event) => event.preventDefault() } });
  for (const [name, words, kind, more] of FIELDS) {
    const id = `option-${name}`;
    const label = element("label", { for: id }, words);
    const value = options[name];
    const take = (given) => changed(name, given);
    let field;
    if (kind === "choice") {
      field = element("select", { id, on: { change: () => take(field.value) } });
      for (const [given, shown] of more) field.append(element("option", { value: given, selected: given === (value ?? "") }, shown));
    } else if (kind === "check") {
      field = element("input", { id, type: "checkbox", checked: value === true, on: { change: () => take(field.checked) } });
      form.append(element("div", { class: "check" }, field, label));
      continue;
    } else {
      const text = Array.isArray(value) ? value.join(", ") : (value ?? "");
      field = element("input", { id, type: "text", placeholder: more, autocomplete: "off", spellcheck: "false", "aria-describedby": `${id}-wrong`, on: { change: () => take(kind === "names" ? listed(field.value) : field.value) } });
      field.value = text;
    }
    form.append(label, field, element("p", { class: "wrong", id: `${id}-wrong`, hidden: true }));
  }
  const limit = element("input", { id: "option-seconds", type: "number", min: "1", max: "3600", on: { change: () => limited(Math.min(Math.max(Number(limit.value) || 120, 1), 3600)) } });
  limit.value = seconds;
  form.append(element("label", { for: "option-seconds" }, "Longest time for a drawing, s"), limit);
  return form;
}

function listed(text) {
  return text.split(",").map((part) => part.trim()).filter((part) => part);
}

/// Says beside a field what is wrong with it; all others are in order.
export function tellWrong(option, words) {
  for (const [name, , kind] of FIELDS) {
    const field = byId(`option-${name}`);
    const wrong = byId(`option-${name}-wrong`);
    if (!field || !wrong || kind === "check" || kind === "choice") continue;
    const isWrong = name === option;
    wrong.hidden = !isWrong;
    wrong.textContent = isWrong ? words : "";
    if (isWrong) field.setAttribute("aria-invalid", "true");
    else field.removeAttribute("aria-invalid");
  }
}

/// Options without those that say nothing.
export function tidied(options) {
  const said = ([, value]) => value === true || (value !== false && value?.length > 0);
  return Object.fromEntries(Object.entries(options).filter(said));
}

/// A word as it is typed on a command line.
function typed(text) {
  return /^[\w./%+:-]+$/.test(text) ? text : `'${text.replaceAll("'", "'\\''")}'`;
}

/// The same as a command.
export function command(options, drawing) {
  const words = ["tracearm", "schedule", typed(fit(drawing))];
  for (const [name, value] of Object.entries(tidied(options))) {
    const option = `--${name.replaceAll("_", "-")}`;
    if (value === true) words.push(option);
    else for (const one of [value].flat()) words.push(option, typed(fit(one)));
  }
  return words.join(" ");
}

/// What changed between two measurements of a drawing, in words.
export function differences(before, after) {
  const found = [];
  const at = (result, key) => result.keys.indexOf(key);
  const [name, status] = [at(after, "section"), at(after, "status")];
  const rows = new Map(before.rows.map((row) => [row[at(before, "section")], row]));
  const seen = new Set();
  for (const row of after.rows) {
    const was = rows.get(row[name]);
    seen.add(row[name]);
    if (!was) {
      found.push([row[name], "is new"]);
      continue;
    }
    if (was[at(before, "status")] !== row[status]) found.push([row[name], `status ${was[at(before, "status")]} → ${row[status]}`]);
    after.keys.forEach((key, k) => {
      const then = before.headings.indexOf(after.headings[k]);
      if (["section", "status", "findings", "drawing", "layer", "strip_check"].includes(key) || then < 0) return;
      if (was[then] !== row[k]) found.push([row[name], `${after.headings[k]}: ${was[then] || "–"} → ${row[k] || "–"}`]);
    });
  }
  for (const section of rows.keys()) if (!seen.has(section)) found.push([section, "is gone"]);
  const isOtherUnit = before.headings.some((heading) => !after.headings.includes(heading));
  return { found, isOtherUnit };
}

/// Shows what changed; `most` lines of it.
export function showDifferences(place, { found, isOtherUnit }, most = 12) {
  const lines = found.slice(0, most).map(([section, words]) => element("li", {}, named(section || "the drawing"), ": ", fit(words)));
  const more = found.length > most ? element("li", {}, `and ${found.length - most} more changes`) : "";
  fill(
    place,
    element("h3", {}, "What the last change changed"),
    found.length === 0
      ? element("p", {}, isOtherUnit ? "Units or columns; no section and no status." : "Nothing.")
      : element("ul", {}, lines, more),
  );
}
