// The drawing that is looked at, its view, and the section that is chosen.
import { byId, keepingFocus } from "./dom.js";
import { Ended } from "./engine.js";
import { differences, showDifferences } from "./options.js";
import { keep } from "./settings.js";
import { redrawAll, showSection } from "./shown.js";
import { now, say } from "./state.js";
import { askStrips } from "./tools.js";
import { askTorsion } from "./torsion.js";
import { isLayerShown, needsWork, work } from "./work.js";

/// Shows what came of the drawing that is looked at.
export async function lookedAt(drawing) {
  if (drawing.before && drawing.result) {
    const place = byId("differences");
    if (place) showDifferences(place, differences(drawing.before, drawing.result));
  }
  drawing.before = undefined;
  const { sections } = drawing.result;
  const wanted = drawing.wanted;
  drawing.wanted = undefined;
  if (wanted !== undefined) now.section = sections.findIndex((one) => one.name === wanted);
  if (now.section >= sections.length) now.section = -1;
  if (now.section < 0 && sections.length > 0) now.section = Math.max(0, sections.findIndex((one) => one.measured));
  firstView(drawing);
  now.stage.changed();
  await chosen();
}

/// Shows all of a drawing at first, or what was seen of it last.
export function firstView(drawing) {
  if (drawing.isViewed) return;
  const view = now.settings.view;
  drawing.isViewed = true;
  if (view && view.name === drawing.name && view.size === drawing.file.size && Number.isFinite(view.scale)) {
    now.stage.wish = undefined;
    now.stage.show(view);
  } else {
    fitAll();
  }
}

let viewTimer;
export function keepView({ x, y, scale }) {
  clearTimeout(viewTimer);
  const { name, file, isViewed } = now.current;
  if (!isViewed) return;
  viewTimer = setTimeout(() => keep({ view: { name, size: file.size, x, y, scale } }), 400);
}

export function fitAll() {
  const look = now.current?.look;
  const box = look?.layers.bounds((layer) => isLayerShown(layer)) ?? look?.layers.bounds() ?? look?.sections?.bounds();
  if (box) now.stage.fit(box);
}

export function boxOfSection() {
  const one = now.current?.result?.sections[now.section];
  if (!one) return undefined;
  if (one.box) return one.box;
  const layers = now.current.read?.layers ?? [];
  return now.current.look?.layers.bounds((layer) => layers[layer]?.name === one.layer);
}

/// Looks at a drawing, and at a section of it.
export function choose(drawing, at) {
  const isOther = drawing !== now.current;
  if (isOther) {
    if (now.current) now.current.look = undefined;
    now.current = drawing;
    now.finding = -1;
    now.ends = [];
    drawing.isViewed = false;
    byId("differences")?.replaceChildren();
  }
  if (drawing.state === "stopped") drawing.state = "waiting";
  now.section = at;
  now.told = undefined;
  if (isOther) now.stage.changed();
  else now.stage.recoloured();
  redrawAll();
  if (needsWork(drawing)) {
    if (at >= 0) drawing.wanted = drawing.result?.sections[at]?.name;
    work();
  } else if (isOther || at >= 0) {
    chosen();
  } else {
    redrawAll();
    now.stage.ask();
  }
}

/// Asks for the figures of the chosen section and shows them.
export async function chosen() {
  now.told = undefined;
  now.torsion = undefined;
  gather();
  const [drawing, at] = [now.current, now.section];
  redrawAll();
  now.stage.ask();
  if (at < 0 || drawing?.look?.generation !== now.engine.generation) return;
  try {
    const answer = await now.engine.object({ do: "section", index: at });
    if (drawing !== now.current || at !== now.section) return;
    now.told = answer;
    keepingFocus(showSection);
    now.stage.ask();
    askStrips();
    askTorsion();
  } catch (error) {
    if (!(error instanceof Ended)) say(error.message);
  }
}

/// All findings of the drawing that is looked at, each once, with what it is about.
export function gather() {
  now.findings = [];
  if (!now.current) return;
  const seen = new Set();
  const take = (list, about) => {
    for (const one of list ?? []) {
      const key = JSON.stringify([one.code, one.message, one.where, about ?? one.layer ?? ""]);
      if (!seen.has(key)) now.findings.push({ ...one, about: about ?? one.layer ?? "" });
      seen.add(key);
    }
  };
  const { read, result } = now.current;
  for (const one of result?.sections ?? []) take(one.findings, one.name);
  for (const message of result?.messages ?? []) if (message.measured && !message.routine) take(message.findings, message.section ?? "");
  take(result?.unmatched);
  take(read?.refused && !result ? [read.refused] : []);
  take(read?.findings?.filter((one) => one.severity !== "note" || one.point));
  const weight = { failure: 0, warning: 1, note: 2 };
  now.findings.sort((a, b) => weight[a.severity] - weight[b.severity]);
}
