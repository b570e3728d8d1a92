// Drawings are opened, and measured one after the other.
import { choose, firstView, lookedAt } from "./choosing.js";
import { Curves } from "./curves.js";
import { byId, fit } from "./dom.js";
import { Ended } from "./engine.js";
import { redrawAll, soon } from "./shown.js";
import { NO_CURVES, now, say } from "./state.js";
import { counted } from "./words.js";

export function isLayerShown(layer) {
  const shown = now.current?.shownLayers?.get(layer);
  return shown ?? !now.current?.read?.layers?.[layer]?.hidden;
}

/// Adds files; `chosen` says whether they were named one by one or lie in a folder.
export function open(files, chosen, isExample = false) {
  const wanted = chosen ? files : files.filter(({ name }) => /\.dxf$/i.test(name));
  if (wanted.length === 0) {
    say(files.length === 0 ? "There is no file in it." : `None of ${counted(files.length, "file")} in the folder is a DXF drawing.`);
    return;
  }
  wanted.sort((a, b) => a.name.localeCompare(b.name, "en", { numeric: true }));
  // The example made place for the first drawing of one's own.
  const example = now.drawings.findIndex((drawing) => drawing.isExample);
  if (example >= 0) forget(now.drawings.splice(example, 1));
  const added = wanted.map(({ name, file }) => ({ id: now.nextId++, name, file, state: "waiting", isExample }));
  now.drawings.push(...added);
  choose(added[0], -1);
}

/// Lets go of drawings that are no longer in the list.
export function forget(gone) {
  for (const { id } of gone) now.engine.ask({ do: "forget", id }).catch(() => {});
  if (!gone.includes(now.current)) return;
  [now.current, now.section, now.told, now.finding, now.ends] = [undefined, -1, undefined, -1, []];
  byId("place").textContent = "";
}

export function needsWork(drawing) {
  if (drawing.state === "waiting") return true;
  if (drawing !== now.current || drawing.look?.generation === now.engine.generation) return false;
  // Lines that close nothing are looked at too; what the engine was ended with is not tried again by itself.
  return drawing.state === "done" || (drawing.state === "failed" && !drawing.isEnded && Boolean(drawing.read) && !drawing.read.refused);
}

/// Measures whatever waits, the drawing that is looked at first.
export async function work() {
  if (now.isRunning) return;
  now.isRunning = true;
  document.body.dataset.state = "working";
  byId("stop").hidden = false;
  for (;;) {
    if (now.isHeld) break;
    const next = now.current && needsWork(now.current) ? now.current : now.drawings.find(needsWork);
    if (!next) break;
    await measure(next, next === now.current);
    soon();
  }
  now.isRunning = false;
  byId("stop").hidden = true;
  byId("progress").hidden = true;
  tellProgress();
  document.body.dataset.state = "idle";
  const stopped = now.drawings.filter((drawing) => drawing.state === "stopped").length;
  const count = now.drawings.filter((drawing) => drawing.state === "done").length;
  if (now.drawings.length === 0) say("");
  else if (stopped > 0) say(`Stopped: ${counted(stopped, "drawing")} not measured. Choose one to measure it.`);
  else if (now.drawings.length === 1) say(oneMeasured(now.drawings[0]));
  else say(`${counted(count, "drawing")} measured${count < now.drawings.length ? `, ${now.drawings.length - count} not` : ""}.`);
  redrawAll();
}

function oneMeasured({ name, state, result, took }) {
  if (state !== "done") return `${fit(name)} was not measured: the reason is beside it.`;
  const count = result?.sections.filter((one) => one.measured).length ?? 0;
  const time = took < 100 ? "less than 0.1" : (took / 1000).toFixed(took < 9950 ? 1 : 0);
  return `${fit(name)}: ${counted(count, "section")} measured in ${time} s.`;
}

/// Shows how far a drawing has come, as a share and in words; without them that it is not known. It is not spoken: it changes too
/// often, and what goes on is told beside it.
function tellProgress(share, words = "") {
  const progress = byId("progress");
  if (share === undefined) progress.removeAttribute("value");
  else progress.value = share;
  progress.setAttribute("aria-valuetext", words);
  byId("progress-words").textContent = words;
}

function bytesRead(loaded, size) {
  const megabytes = (bytes) => (bytes / 1e6).toFixed(size < 1e7 ? 1 : 0);
  return `${megabytes(loaded)} of ${megabytes(size)} MB read`;
}

function layersMeasured({ traced: [traced, toTrace], measured: [measured, toMeasure] }) {
  const share = (traced + measured) / (toTrace + toMeasure);
  if (traced < toTrace) return [share, `outlines of ${traced} of ${counted(toTrace, "layer")} found`];
  return [share, `${measured} of ${counted(toMeasure, "layer")} measured`];
}

/// Reads and measures a drawing; `look` where its curves are wanted too.
export async function measure(drawing, look) {
  const asked = now.options;
  drawing.state = "reading";
  drawing.why = undefined;
  drawing.isEnded = false;
  byId("progress").hidden = false;
  tellProgress();
  const many = now.drawings.length > 1 ? ` (${now.drawings.indexOf(drawing) + 1} of ${now.drawings.length})` : "";
  say(`Reading ${fit(drawing.name)}${many}`);
  soon();
  const began = performance.now();
  const curves = { generation: now.engine.generation };
  const [rows, sections] = [[], []];
  const tell = ({ step, loaded, size, progress: layers, read, numbers, runs, ...portion }) => {
    if (step === "sections") {
      rows.push(...portion.rows);
      sections.push(...portion.sections);
      return undefined;
    }
    if (step === "loaded") return tellProgress(loaded / size, bytesRead(loaded, size));
    if (step === "measured") return tellProgress(...layersMeasured(layers));
    tellProgress();
    drawing.state = "measuring";
    say(`Measuring ${fit(drawing.name)}${many}`);
    if (asked !== now.options) return undefined;
    drawing.read = read;
    if (!look || read.refused) return undefined;
    curves.layers = new Curves({ numbers, runs });
    curves.sections = NO_CURVES;
    if (drawing !== now.current) return undefined;
    drawing.look = curves;
    firstView(drawing);
    now.stage.changed();
    return soon();
  };
  try {
    const request = { do: "open", id: drawing.id, name: drawing.name, options: asked, look };
    const answer = await now.engine.ask(request, { file: drawing.file, tell, seconds: now.seconds });
    if (asked !== now.options) {
      drawing.state = "waiting";
      return;
    }
    drawing.took = performance.now() - began;
    settled(drawing, { ...answer.measured, rows, sections });
    if (look && drawing === now.current && curves.layers) {
      drawing.look = { ...curves, sections: new Curves(answer) };
    }
    if (look && drawing === now.current) await lookedAt(drawing);
  } catch (error) {
    await ended(drawing, error, asked);
  }
}

/// Takes what came of a drawing.
function settled(drawing, measured) {
  drawing.result = measured;
  drawing.state = measured.sections.some((one) => one.measured) ? "done" : "failed";
}

/// What becomes of a drawing whose measuring was ended.
async function ended(drawing, error, asked) {
  if (asked !== now.options || error.how === "again") {
    drawing.state = "waiting";
    return;
  }
  if (error.how === "stopped") {
    drawing.state = "stopped";
    drawing.why = "Stopped before it was measured.";
    return;
  }
  drawing.look = undefined;
  drawing.isEnded = true;
  if (error instanceof Ended) {
    const how = error.how === "late" ? { how: "late", seconds: now.seconds } : { how: "died", words: error.message };
    try {
      settled(drawing, await now.engine.object({ do: "failed", id: drawing.id, name: drawing.name, options: asked, ...how }));
      return;
    } catch (second) {
      error = second;
    }
  }
  drawing.state = "failed";
  drawing.why = error.message;
}
