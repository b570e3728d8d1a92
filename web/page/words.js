// Words of the page that stand in several places.
import { element, fit, named } from "./dom.js";

/// How severe a finding is, in words.
export const SEVERITY = { note: "Note", warning: "Warning", failure: "Failure" };

/// The fields of the page by the options of the command that findings name.
const FIELDS_OF_OPTIONS = {
  "--per drawing": "“One section is” set to all layers together",
  "--per outline": "“One section is” set to each outer outline",
  "--per part": "“One section is” set to each separate solid",
  "--per": "“One section is”",
  "--join": "“Ends are joined within”",
  "--void-layers": "“Layers cut out”",
  "--skip": "“Layers left out”",
  "--layers": "“Layers measured”",
  "--hidden": "“Measure hidden layers too”",
  "--hatches use": "“Hatches” set to solid",
  "--hatches ignore": "“Hatches” set to nothing",
  "--hatches": "“Hatches”",
  "--widths solid": "“Polylines with a width” set to solid bands",
  "--widths": "“Polylines with a width”",
  "--drawing-units": "“Unit of the drawing”",
  "--common-cuts": "“Shared cuts once”",
  "--field-tolerance": "“Bounds of torsion within”",
  "--field": "“Torsion, warping and shear”",
  "--time-limit": "“Longest time for a drawing”",
};

/// Advice of the command with the names of the page's fields.
export function advice(text) {
  return Object.entries(FIELDS_OF_OPTIONS)
    .sort(([a], [b]) => b.length - a.length)
    .reduce((words, [option, field]) => words.replaceAll(option, field), text);
}

/// A finding as an item of a list; `go` where it has a place that can be gone to.
export function findingItem(finding, { about, go, isCurrent, id }) {
  const hint = advice(finding.option);
  return element(
    "li",
    { class: `is-${finding.severity}`, "aria-current": isCurrent ? "true" : undefined },
    element("strong", { class: finding.severity === "failure" ? "failed" : finding.severity === "warning" ? "warning" : undefined }, `${SEVERITY[finding.severity]}: `),
    about ? [named(about), ": "] : "",
    element("bdi", {}, fit(finding.message)),
    finding.where ? [" (", element("bdi", {}, fit(finding.where)), ")"] : "",
    hint ? element("p", { class: "small" }, "What to try: ", element("bdi", {}, fit(hint))) : "",
    go && finding.point ? element("p", {}, element("button", { type: "button", id, on: { click: go } }, "Show the place")) : "",
  );
}

/// What a status is called.
export const STATES = {
  waiting: "waiting",
  reading: "reading",
  measuring: "measuring",
  stopped: "stopped",
};

/// So many of something.
export function counted(count, one, several = `${one}s`) {
  return `${count.toLocaleString("en")} ${count === 1 ? one : several}`;
}
