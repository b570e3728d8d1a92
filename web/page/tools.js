// Strips, distances, and what a press on the drawing does.
import { choose } from "./choosing.js";
import { holds, isSeen, places, polygons } from "./curves.js";
import { byId, element, fill } from "./dom.js";
import { Refused } from "./engine.js";
import { findingsPanel, stripsPanel, stripsSums } from "./panels.js";
import { goTo, tab } from "./shown.js";
import { now } from "./state.js";
import { counted } from "./words.js";
import { isLayerShown } from "./work.js";

let stripsAsked = 0;
export async function askStrips() {
  const place = byId("strips-sums");
  if (!place || byId("panel-strips").hidden || now.section < 0 || !now.told?.axes) return;
  const own = ++stripsAsked;
  const { direction, count } = now.strips;
  try {
    const sums = await now.engine.object({ do: "strips", index: now.section, direction, count });
    // A newer one is on its way.
    if (own === stripsAsked) stripsSums(byId("strips-sums"), count, sums);
  } catch (error) {
    if (error instanceof Refused && own === stripsAsked) fill(place, element("p", {}, error.message));
  }
}

export function showStrips() {
  stripsPanel(byId("panel-strips"), {
    section: now.current?.result?.sections[now.section],
    asked: now.strips,
    ask: (change) => {
      now.strips = { ...now.strips, ...change };
      byId("strips-count").textContent = counted(now.strips.count, "strip");
      byId("strips").setAttribute("aria-valuetext", counted(now.strips.count, "strip"));
      now.stage.ask();
      askStrips();
    },
  });
  askStrips();
}

export function distanceWords() {
  const [[x0, y0], [x1, y1]] = now.ends;
  const unit = now.current?.read?.unit?.symbol ?? "";
  const text = (value) => `${Number(value.toPrecision(9))} ${unit}`.replace("-", "−");
  const short = text(Math.hypot(x1 - x0, y1 - y0));
  return { short, long: `Distance ${short}: to the right ${text(x1 - x0)}, upwards ${text(y1 - y0)}.` };
}

export function measureDistance(isOn) {
  now.isMeasuring = isOn;
  now.ends = [];
  byId("distance").setAttribute("aria-pressed", String(isOn));
  byId("measured-distance").textContent = isOn ? "Press two points of the drawing; ends and centres nearby are taken exactly." : "";
  now.stage.ask();
}

export function addEnd(x, y) {
  if (now.ends.length === 2) now.ends = [];
  now.ends.push([x, y]);
  byId("measured-distance").textContent = now.ends.length === 2 ? distanceWords().long : `From x ${Number(x.toPrecision(9))}, y ${Number(y.toPrecision(9))}. Press the other point.`;
  now.stage.ask();
}

/// The end or centre of a curve near a place in px, or the place itself.
function nearestPlace(px, py) {
  const reach = 11 / now.stage.view.scale;
  const [x, y] = now.stage.at(px, py);
  const near = { ...withEdges(now.stage.view), left: x - reach, right: x + reach, bottom: y - reach, top: y + reach };
  let best = [reach, x, y];
  const { layers } = now.current.look;
  for (let run = 0; run < layers.count; run += 1) {
    // The centre of an arc may lie beside the box of its curve.
    const box = layers.box(run);
    const wide = Math.max(box[2] - box[0], box[3] - box[1]);
    if (!isLayerShown(layers.owner(run)) || !isSeen([box[0] - wide, box[1] - wide, box[2] + wide, box[3] + wide], near)) continue;
    places(layers, run, (a, b) => {
      const apart = Math.hypot(a - x, b - y);
      if (apart < best[0]) best = [apart, a, b];
    });
  }
  return best.slice(1);
}

export function pressed(px, py) {
  if (!now.current?.look) return;
  if (now.isMeasuring) {
    addEnd(...nearestPlace(px, py));
    return;
  }
  const mark = now.findings.findIndex(({ point }) => {
    if (!point) return false;
    const [x, y] = now.stage.px(point[0], point[1]);
    return Math.hypot(x - px, y - py) < 11;
  });
  if (mark >= 0) {
    now.finding = mark;
    tab("findings");
    findingsPanel(byId("panel-findings"), { drawing: now.current, findings: now.findings, current: now.finding, go: goTo });
    byId("panel-findings").querySelector('[aria-current="true"]')?.scrollIntoView({ block: "nearest" });
    now.stage.ask();
    return;
  }
  const [x, y] = now.stage.at(px, py);
  let best;
  now.current.result?.sections.forEach((one, k) => {
    if (!one.box || !isSeen(one.box, { left: x, right: x, bottom: y, top: y })) return;
    const size = (one.box[2] - one.box[0]) * (one.box[3] - one.box[1]);
    if (best && best.size <= size) return;
    if (holds(polygons(now.current.look.sections, now.current.look.sections.byOwner.get(k) ?? [], now.stage.view), px, py)) best = { k, size };
  });
  if (best) choose(now.current, best.k);
}

export function step(by) {
  const count = now.current?.result?.sections.length ?? 0;
  if (count > 0) choose(now.current, (now.section + by + count) % count);
}
