// What stands beside the drawing: the chosen section, findings, layers, strips.
import { add, button, element, fill, fit, grouped, letterOf, named, unitOf } from "./dom.js";
import { counted, findingItem } from "./words.js";

const STATUS = {
  ok: "ok, no warnings.",
  warning: "measured with a warning. Read it before you use a figure.",
  failed: "not measured, for the reasons below.",
};

const UNIT_SOURCES = { header: "as the drawing says", stated: "as stated in the options", assumed: "assumed, since the drawing says none" };

/// The chosen section with its figures; `told` is what the engine says of it.
export function sectionPanel(panel, { drawing, section, told, go, isTorsionShown, showTorsion }) {
  if (!drawing) {
    fill(panel, element("p", {}, "No drawing is open."));
    return;
  }
  if (!section) {
    const { read, result } = drawing;
    fill(panel, element("h2", {}, named(drawing.name)));
    if (read?.refused || (result && result.sections.length === 0)) add(panel, [element("p", {}, "Nothing was measured.")]);
    add(panel, [element("p", {}, result ? "Choose a section in the list or on the drawing." : "Figures appear here once it is measured.")]);
    return;
  }
  fill(
    panel,
    element("h2", {}, named(section.name || drawing.name), section.label ? [" (", named(section.label), ")"] : ""),
    element("p", {}, element("strong", { class: section.status }, `Status: ${STATUS[section.status] ?? section.status}`)),
    section.layer && section.layer !== section.name ? element("p", { class: "small" }, "Layer ", named(section.layer)) : "",
  );
  if (section.findings.length > 0) {
    add(panel, [element("ul", { class: "findings" }, section.findings.map((finding, k) => findingItem(finding, { go: () => go(finding), id: `section-finding-${k}` })))]);
  }
  if (!told) return;
  const pieces = piecesTable(told.pieces);
  if (told.figures.length > 0) {
    const row = (figure) =>
      element(
        "tr",
        { "data-column": figure.key },
        element("th", { scope: "row" }, figure.words, figure.least ? element("strong", {}, " – the least") : "", lettersOf(figure)),
        element("td", { class: "n" }, grouped(figure.value)),
        element("td", { class: "unit" }, unitOf(figure.unit)),
      );
    const head = [["Figure"], ["Value", "n"], ["Unit"]];
    add(panel, [
      element("p", { class: "caution" }, told.caution, told.fieldCaution ? ` ${told.fieldCaution}` : ""),
      told.fieldCaution ? torsionSwitch(isTorsionShown, showTorsion) : "",
      element(
        "div",
        { class: "wide", role: "region", tabindex: "0", "aria-label": "Figures of the section" },
        element(
          "table",
          { class: "figures" },
          element("thead", {}, element("tr", {}, head.map(([words, kind]) => element("th", { scope: "col", class: kind }, words)))),
          element("tbody", {}, told.figures.map(row)),
        ),
      ),
      element("p", { class: "small" }, "The first letter is that of this page and the sheet; EN: that of EN 1993-1-1; US: that of the American steel manual. ", told.notes),
      pieces,
    ]);
  }
}

/// Whether the lines of torsion are drawn, and what they are.
function torsionSwitch(isShown, show) {
  const isOn = element("input", { type: "checkbox", id: "torsion-on", checked: isShown, "aria-describedby": "torsion-words", on: { change: () => show(isOn.checked) } });
  return [element("label", { class: "check", for: "torsion-on" }, isOn, "Draw the mesh and contour lines of torsion"), element("p", { class: "small", id: "torsion-words" })];
}

/// The closed outlines that a section is made of, behind a line that opens them.
function piecesTable({ count, headings, definitions, rows }) {
  if (count === 0) return "";
  // What stands above them anyway.
  const shown = headings.map((heading, k) => k).filter((k) => !["drawing", "section", "label", "status"].includes(headings[k]) && rows.some((row) => row[k] !== ""));
  const cell = (text) => (text !== "" && !Number.isNaN(Number(text)) ? element("td", { class: "n" }, grouped(text)) : element("td", {}, named(text)));
  return element(
    "details",
    {},
    element("summary", {}, counted(count, "piece")),
    element(
      "div",
      { class: "wide", role: "region", tabindex: "0", "aria-label": "Pieces of the section" },
      element(
        "table",
        { class: "pieces" },
        element("thead", {}, element("tr", {}, shown.map((k) => element("th", { scope: "col", title: definitions[k] }, headings[k])))),
        element("tbody", {}, rows.map((row) => element("tr", {}, shown.map((k) => cell(row[k]))))),
      ),
    ),
    rows.length < count ? element("p", {}, `and ${count - rows.length} more: tracearm schedule --pieces has all`) : "",
  );
}

/// The letters of a figure on this page and in the codes, below its words.
function lettersOf({ letter, european, american }) {
  const all = [["", letter], ["EN ", european], ["US ", american]].filter(([, one]) => one);
  if (all.length === 0) return "";
  return element("div", { class: "letters" }, all.map(([whose, one]) => element("span", {}, whose, letterOf(one))));
}

/// All findings of a drawing.
export function findingsPanel(panel, { drawing, findings, current, go }) {
  fill(panel, element("h2", {}, "Findings"));
  if (!drawing) return add(panel, [element("p", {}, "No drawing is open.")]);
  if (findings.length === 0) return add(panel, [element("p", {}, drawing.result ? "No findings." : "The drawing is not measured yet.")]);
  const most = 400;
  const items = findings.slice(0, most).map((finding, k) => findingItem(finding, { about: finding.about, go: () => go(finding, k), isCurrent: k === current, id: `finding-${k}` }));
  return add(panel, [
    element("p", {}, `${counted(findings.length, "finding")}; those with a place are marked on the drawing: squares are failures, triangles warnings, circles notes.`),
    element("ul", { class: "findings" }, items),
    findings.length > most ? element("p", {}, `and ${findings.length - most} more, in the schedule`) : "",
  ]);
}

/// Layers with their states and switches.
export function layersPanel(panel, { drawing, shown, roles, show, choose }) {
  fill(panel, element("h2", {}, "Layers"));
  const layers = drawing?.read?.layers;
  if (!layers) return add(panel, [element("p", {}, "No drawing is open.")]);
  const most = 300;
  const of = (layer, index) => {
    const states = [layer.off && "off", layer.frozen && "frozen", layer.locked && "locked", !layer.plotted && "not plotted"].filter(Boolean);
    const outcome = { skip: "left out", void: "cut out" }[roles(layer.name)] ?? outcomeOf(drawing, layer);
    const isShown = element("input", { type: "checkbox", id: `layer-${index}-shown`, checked: shown(index), on: { change: () => show(index, isShown.checked) } });
    const role = element("select", { id: `layer-${index}-role`, "aria-label": `Use of layer ${fit(layer.name)}`, on: { change: () => choose(layer.name, role.value) } });
    for (const [value, words] of [["", "measured"], ["skip", "left out"], ["void", "cut out as voids"]]) {
      role.append(element("option", { value, selected: roles(layer.name) === value }, words));
    }
    return element(
      "div",
      { class: "layer" },
      element("div", {}, element("strong", {}, named(layer.name)), " ", element("span", { class: "small" }, [counted(layer.entities, "entity", "entities"), ...states, outcome].filter(Boolean).join(", "))),
      element("div", { class: "bar" }, element("label", { class: "check", for: `layer-${index}-shown` }, isShown, "shown"), role),
    );
  };
  const passed = drawing.read.passedOver ?? [];
  add(panel, [
    layers.slice(0, most).map(of),
    layers.length > most ? element("p", {}, `and ${layers.length - most} more layers`) : "",
    element("h3", {}, "The drawing"),
    element("p", {}, `DXF ${fit(drawing.read.version)}, ${drawing.read.form}; ${counted(drawing.read.entities, "entity", "entities")}; unit: ${drawing.read.unit.name}, ${UNIT_SOURCES[drawing.read.unit.source] ?? ""}.`),
    passed.length > 0 ? element("h3", {}, "Not read") : "",
    passed.length > 0
      ? element("ul", {}, passed.slice(0, 100).map((one) => element("li", {}, `${one.count} ${fit(one.kind)}`, one.layer === null ? "" : [" on ", named(one.layer)], `: ${fit(one.reason)}`)))
      : "",
  ]);
}

/// What came of a layer.
function outcomeOf({ result, read }, layer) {
  if (!result) return "";
  const sections = result.sections.filter((section) => section.layer === layer.name || section.layer.split("+").includes(layer.name));
  if (sections.some((section) => section.measured)) return sections.length > 1 ? `measured: ${sections.length} sections` : "measured";
  if (sections.length > 0) return "not measured: see the findings";
  if (layer.entities === 0) return "";
  return layer.hidden && read ? "hidden, so not measured" : "no outline";
}

/// Sums by strips beside the exact figures.
export function stripsPanel(panel, { section, asked, ask }) {
  const count = element("output", { id: "strips-count", for: "strips" }, counted(asked.count, "strip"));
  const slider = element("input", {
    type: "range", id: "strips", min: "2", max: "10", step: "0.05", "aria-describedby": "strips-count",
    on: { input: () => ask({ count: countOf(slider.value) }) },
  });
  slider.value = Math.log2(asked.count);
  slider.setAttribute("aria-valuetext", counted(asked.count, "strip"));
  const way = (value, words) => {
    const id = `strips-${value}`;
    const radio = element("input", { type: "radio", name: "strips-way", id, value, checked: asked.direction === value, on: { change: () => ask({ direction: value }) } });
    return element("label", { class: "check", for: id }, radio, words);
  };
  const isOn = element("input", { type: "checkbox", id: "strips-on", checked: asked.on, on: { change: () => ask({ on: isOn.checked }) } });
  fill(
    panel,
    element("h2", {}, "By strips, as by hand"),
    element("p", {}, "The section is cut into strips of equal width; each counts as a rectangle as long as the solid is in its middle. The more strips, the closer their sums come to the exact figures."),
    element("label", { class: "check", for: "strips-on" }, isOn, "Draw strips on the section"),
    element("div", { class: "bar", role: "radiogroup", "aria-label": "Direction of the strips" }, way("upright", "upright"), way("flat", "flat")),
    element("p", {}, element("label", { for: "strips" }, "Number of strips, 4 to 1,024: "), count),
    slider,
    element("div", { id: "strips-sums", role: "status" }, section ? "" : element("p", {}, "Choose a section first.")),
  );
}

/// 4 to 1,024, in even steps of the slider.
function countOf(position) {
  return Math.round(2 ** Number(position));
}

/// The sums as the engine gives them.
export function stripsSums(place, count, sums) {
  if (!sums) return fill(place);
  const share = (value) => {
    const percent = 100 * value;
    const size = Math.abs(percent);
    return size === 0 ? "0 %" : `${percent < 0 ? "−" : "+"}${size < 1e-4 ? size.toExponential(1).replace("-", "−") : size.toPrecision(2)} %`;
  };
  const row = (line) =>
    element(
      "tr",
      {},
      element("th", { scope: "row" }, line.words, " ", letterOf(line.letter)),
      element("td", { class: "n" }, grouped(line.strips)),
      element("td", { class: "n" }, grouped(line.exact)),
      element("td", { class: "unit" }, unitOf([sums.unit, line.power])),
      element("td", { class: "n" }, share(line.difference)),
    );
  return fill(
    place,
    element(
      "div",
      { class: "wide" },
      element(
        "table",
        {},
        element("caption", {}, counted(count, "strip")),
        element("thead", {}, element("tr", {}, ["Sum", "Strips", "Exact", "Unit", "Difference"].map((words, k) => element("th", { scope: "col", class: [1, 2, 4].includes(k) ? "n" : undefined }, words)))),
        element("tbody", {}, sums.lines.map(row)),
      ),
    ),
    element("p", { class: "small" }, "Difference: as a share of the figure; of a place, as a share of the size of the section."),
  );
}

/// Buttons that take something along.
export function takePanel(place, { drawing, section, drawings, take }) {
  const choice = (what, words, isThere) => button(words, () => take(what), { disabled: !isThere });
  const hasRows = Boolean(drawing?.result);
  fill(
    place,
    element("h3", {}, "Of ", drawing ? named(drawing.name) : "the drawing"),
    element("div", { class: "bar" }, choice("csv", "Schedule as CSV", hasRows), choice("json", "Schedule as JSON", hasRows), choice("xlsx", "Schedule as a workbook", hasRows), choice("sheet", "Calculation sheet", hasRows), choice("mark", "Marked drawing", hasRows)),
    element("h3", {}, "Of ", section ? named(section.name || drawing.name) : "the section"),
    element("div", { class: "bar" }, choice("svg", "Picture as SVG", section?.measured), choice("png", "Picture as PNG", section?.measured), choice("section-sheet", "Sheet of this section", Boolean(section?.measured))),
    element("h3", {}, `Of all drawings (${drawings})`),
    element("div", { class: "bar" }, choice("all-csv", "One schedule as CSV", drawings > 0), choice("all-json", "One schedule as JSON", drawings > 0), choice("all-xlsx", "One schedule as a workbook", drawings > 0)),
    element("p", { class: "small" }, "Each is byte for byte what the command tracearm writes of the same drawing with the same options; sines of this browser may round a last digit, and the strip check, otherwise."),
  );
}
