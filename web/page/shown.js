// What is shown of all that is known.
import { giveRole, roleOf } from "./asked.js";
import { boxOfSection, choose, gather } from "./choosing.js";
import { byId, fit, keepingFocus } from "./dom.js";
import { drawingsList } from "./list.js";
import { command } from "./options.js";
import { findingsPanel, layersPanel, sectionPanel } from "./panels.js";
import { keep } from "./settings.js";
import { now } from "./state.js";
import { showTorsion, tellTorsion } from "./torsion.js";
import { isLayerShown } from "./work.js";

/// The tabs beside the drawing.
export const TABS = ["section", "findings", "layers", "strips", "options"];

let isSoon = false;
/// Draws the lists anew before long; many drawings that are measured one after the other do not wait for it each time.
export function soon() {
  if (isSoon) return;
  isSoon = true;
  setTimeout(() => {
    isSoon = false;
    redraw();
  }, now.drawings.length > 50 ? 400 : 60);
}

function redraw() {
  const list = byId("list");
  const focused = document.activeElement?.closest?.("#list button");
  const at = focused ? [...list.querySelectorAll("button")].indexOf(focused) : -1;
  drawingsList(list, { drawings: now.drawings, current: now.current, section: now.section, choose });
  if (at >= 0) list.querySelectorAll("button")[at]?.focus();
  byId("hint").hidden = now.drawings.length > 0;
  byId("empty").hidden = now.drawings.length > 0;
  byId("example").hidden = now.drawings.length > 0;
  byId("close-all").hidden = now.drawings.length === 0;
  if (!byId("schedule").hidden) now.table.draw(now.drawings);
  for (const id of ["take", "print"]) byId(id).disabled = !now.current?.result;
  for (const id of ["fit", "zoom-in", "zoom-out", "distance"]) byId(id).disabled = !now.current?.look;
  byId("zoom-to").disabled = !boxOfSection();
}

/// The chosen section with its figures.
export function showSection() {
  sectionPanel(byId("panel-section"), sectionOfPanel());
  tellTorsion();
}

function sectionOfPanel() {
  const section = now.current?.result?.sections[now.section];
  return { drawing: now.current, section, told: now.told, go: goTo, isTorsionShown: now.isTorsionShown, showTorsion };
}

export function redrawAll() {
  keepingFocus(drawAll);
}

function drawAll() {
  redraw();
  gather();
  if (now.finding >= now.findings.length) now.finding = -1;
  showSection();
  findingsPanel(byId("panel-findings"), { drawing: now.current, findings: now.findings, current: now.finding, go: goTo });
  layersPanel(byId("panel-layers"), {
    drawing: now.current,
    shown: isLayerShown,
    show: (layer, isShown) => {
      now.current.shownLayers ??= new Map();
      now.current.shownLayers.set(layer, isShown);
      now.stage.changed();
    },
    roles: roleOf,
    choose: giveRole,
  });
  const marked = now.findings.length;
  byId("tab-findings").textContent = marked > 0 ? `Findings (${marked})` : "Findings";
  const name = now.current ? `The drawing ${fit(now.current.name)}` : "No drawing";
  byId("canvas").setAttribute("aria-label", now.section >= 0 && now.current?.result ? `${name}, section ${fit(now.current.result.sections[now.section]?.name ?? "")}` : name);
  const example = byId("command");
  if (example && now.current) example.textContent = command(now.options, now.current.name);
}

/// Shows the place of a finding.
export function goTo(one, at) {
  now.finding = at ?? now.findings.findIndex((other) => other.code === one.code && other.message === one.message && String(other.point) === String(one.point));
  if (one.point) {
    const box = boxOfSection() ?? now.current?.look?.layers.bounds();
    const size = box ? Math.max(box[2] - box[0], box[3] - box[1]) : 1;
    const near = Math.max(now.stage.view.scale, (0.25 * Math.min(now.stage.view.width, now.stage.view.height)) / (0.05 * (size || 1)));
    now.stage.wish = undefined;
    now.stage.show({ x: one.point[0], y: one.point[1], scale: near });
  }
  keepingFocus(() => findingsPanel(byId("panel-findings"), { drawing: now.current, findings: now.findings, current: now.finding, go: goTo }));
  now.stage.ask();
}

export function tab(name, isFocused) {
  for (const one of TABS) {
    const isOwn = one === name;
    byId(`tab-${one}`).setAttribute("aria-selected", String(isOwn));
    byId(`tab-${one}`).tabIndex = isOwn ? 0 : -1;
    byId(`panel-${one}`).hidden = !isOwn;
  }
  if (isFocused) byId(`tab-${name}`).focus();
  keep({ tab: name });
}

export function showSchedule(isShown) {
  byId("schedule").hidden = !isShown;
  for (const id of ["drawings", "stage", "side"]) byId(id).hidden = isShown;
  byId("show-schedule").setAttribute("aria-pressed", String(isShown));
  byId("show-drawing").setAttribute("aria-pressed", String(!isShown));
  if (isShown) now.table.draw(now.drawings);
}

export function showPlace(x, y) {
  const unit = now.current?.read?.unit?.symbol ?? "";
  const digits = Math.min(9, Math.max(0, Math.ceil(Math.log10(now.stage.view.scale)) + 1));
  byId("place").textContent = now.current?.look ? `x ${x.toFixed(digits)}  y ${y.toFixed(digits)} ${unit}`.replaceAll("-", "−") : "";
}
