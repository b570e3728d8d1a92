// The page in a browser: node check.mjs PAGE PROGRAM FIXTURES [DRAWINGS] [--pictures FOLDER]
//
// PAGE is what web/build.mjs has put together, PROGRAM tracearm built of the same source, FIXTURES the folder of fixtures, DRAWINGS one
// of real drawings. The page's files are the program's, nothing is asked of any server, its policy withstands what is tried, names
// of layers stay text, everything is reached by keyboard and told to those who don't see it, and bad files cost themselves alone.
import { mkdirSync } from "node:fs";
import { resolve } from "node:path";
import { faults, launched } from "./browser.mjs";
import { progress, rows } from "./far.mjs";
import { looks } from "./looks.mjs";
import { files, figures, schedules } from "./rows.mjs";
import { hostile, policy, served, storage } from "./safety.mjs";
import { doors, hands, keyboard } from "./reach.mjs";
import { torsion } from "./torsion.mjs";
import { many, trouble } from "./trouble.mjs";

const args = process.argv.slice(2);
const at = args.indexOf("--pictures");
const pictures = at >= 0 ? resolve(args.splice(at, 2)[1]) : undefined;
const [page, program, fixtures, drawings] = args.map((path) => resolve(path));
if (fixtures === undefined) {
  console.error("usage: node check.mjs PAGE PROGRAM FIXTURES [DRAWINGS] [--pictures FOLDER]");
  process.exit(2);
}
if (pictures) mkdirSync(pictures, { recursive: true });

const only = process.env.PAGE_TESTS?.split(",");
const browser = await launched();
const tests = {
  figures: () => figures(browser, page, program, fixtures),
  torsion: () => torsion(browser, page),
  schedules: () => schedules(browser, page, program, fixtures),
  drawings: () => drawings && schedules(browser, page, program, drawings, 1),
  files: () => files(browser, page, program, fixtures, 4),
  policy: () => policy(browser, page),
  served: () => served(browser, page),
  hostile: () => hostile(browser, page),
  storage: () => storage(browser, page),
  keyboard: () => keyboard(browser, page),
  hands: () => hands(browser, page, fixtures),
  doors: () => doors(browser, page, fixtures),
  trouble: () => trouble(browser, page, fixtures),
  many: () => many(browser, page),
  progress: () => progress(browser, page),
  rows: () => rows(browser, page),
  looks: () => looks(browser, page, fixtures, pictures),
};
for (const [name, test] of Object.entries(tests)) {
  if (only && !only.includes(name)) continue;
  const began = Date.now();
  try {
    await test();
  } catch (error) {
    faults.push(`${name}: ${error.stack}`);
  }
  console.log(`${name}: ${((Date.now() - began) / 1000).toFixed(1)} s, ${faults.length} faults so far`);
}
await browser.close();
for (const one of faults) console.error(one);
process.exit(faults.length > 0 ? 1 : 0);
