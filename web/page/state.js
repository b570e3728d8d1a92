// What the page knows at the moment, and who does the work.
import { Curves } from "./curves.js";
import { byId } from "./dom.js";
import { Engine } from "./engine.js";
import { tidied } from "./options.js";
import { kept } from "./settings.js";

/// Curves of nothing.
export const NO_CURVES = new Curves();

const settings = kept();

const keptOptions = tidied(typeof settings.options === "object" && settings.options ? settings.options : {});

/// What the page knows at the moment. The stage and the table of the schedule come when the page is there.
export const now = {
  settings,
  engine: new Engine(),
  drawings: [],
  // Options that drawings are measured with, those that are asked for and not yet looked through, and whether all waits for that.
  options: keptOptions,
  wanted: keptOptions,
  isHeld: false,
  seconds: Number(settings.seconds) || 120,
  // The drawing that is looked at, the number of its section that is chosen, and what the engine told of that.
  current: undefined,
  section: -1,
  told: undefined,
  // The findings of the drawing, and the number of the one that is shown.
  findings: [],
  finding: -1,
  strips: { on: false, direction: "upright", count: 16 },
  // The mesh and contour lines of torsion over the chosen section, with what they are in words, and whether they are wanted.
  torsion: undefined,
  isTorsionShown: true,
  isMeasuring: false,
  ends: [],
  isRunning: false,
  nextId: 1,
  sheetFiles: [],
  stage: undefined,
  table: undefined,
};

/// Says what goes on, to those who do not see the page too.
export function say(words) {
  if (byId("status").textContent !== words) byId("status").textContent = words;
}
