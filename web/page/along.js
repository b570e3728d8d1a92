// What can be taken along.
import { byId, fit } from "./dom.js";
import { takePanel } from "./panels.js";
import { now, say } from "./state.js";
import { layOut, pixels, save, stem } from "./take.js";
import { measure } from "./work.js";

function today() {
  const now = new Date();
  const two = (value) => String(value).padStart(2, "0");
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
}

/// The schedule of drawings; those whose rows went with an engine that ended are measured once more.
async function schedule(of, format) {
  for (let round = 0; round < 3; round += 1) {
    const answer = await now.engine.ask({ do: "schedule", ids: of.map((drawing) => drawing.id), format });
    if (!answer.isObject) return answer.output;
    const { missing } = JSON.parse(new TextDecoder().decode(answer.output));
    for (const id of missing) await measure(of.find((drawing) => drawing.id === id), false);
  }
  throw new Error("the schedule cannot be written: open the drawings again");
}

/// The sheet, and the edges of its longest outlines for a file beside it, where it has such.
async function sheet(of, appendix) {
  const request = { do: "sheet", name: now.current.name, options: now.options, date: today(), section: of ?? "", appendix };
  const answer = await now.engine.bytes(request, { file: now.current.file, seconds: now.seconds });
  return JSON.parse(new TextDecoder().decode(answer));
}

async function openSheet(of) {
  const drawing = now.current;
  if (!drawing?.result) return;
  say(`The sheet of ${fit(drawing.name)} is written`);
  const name = `${stem(drawing.name)}${of ? ` ${of}` : ""}`;
  const appendix = `${name}-edges.csv`;
  const { page, edges } = await sheet(of, appendix);
  now.sheetFiles = [[`${name}.html`, page, "text/html"]];
  if (edges !== null) now.sheetFiles.push([appendix, edges, "text/csv"]);
  byId("take-dialog").close();
  byId("sheet-dialog").showModal();
  layOut(page);
  say("");
}

/// What a schedule can be written as: the ending of its file, and its type.
const TYPES = { csv: "text/csv", json: "application/json", xlsx: "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet" };

async function saveSchedule(name, of, format) {
  save(`${name}.${format}`, await schedule(of, format), TYPES[format]);
}

const TAKES = {
  ...Object.fromEntries(Object.keys(TYPES).flatMap((format) => [
    [format, () => saveSchedule(stem(now.current.name), [now.current], format)],
    [`all-${format}`, () => saveSchedule("schedule", measured(), format)],
  ])),
  svg: async () => save(`${nameOfSection()}.svg`, await now.engine.bytes({ do: "picture", index: now.section, date: today() }), "image/svg+xml"),
  png: async () => save(`${nameOfSection()}.png`, await pixels(await now.engine.bytes({ do: "picture", index: now.section, date: today() })), "image/png"),
  mark: async () => save(`${stem(now.current.name)}-marked.dxf`, await now.engine.bytes({ do: "mark", date: today() }), "image/vnd.dxf"),
  sheet: () => openSheet(),
  "section-sheet": () => openSheet(now.current.result.sections[now.section].name),
};

export function measured() {
  return now.drawings.filter((drawing) => drawing.result);
}

function nameOfSection() {
  return `${stem(now.current.name)} ${now.current.result.sections[now.section]?.name ?? ""}`.trim();
}

export async function take(what) {
  try {
    await TAKES[what]();
  } catch (error) {
    say(error.message);
  }
}

export function openTake() {
  takePanel(byId("take-choices"), { drawing: now.current, section: now.current?.result?.sections[now.section], drawings: measured().length, take });
  byId("take-dialog").showModal();
}
