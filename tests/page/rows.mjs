// The page's files against the command's, of the same drawings with the same options.
import { execFileSync } from "node:child_process";
import { mkdtempSync, readdirSync, readFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { extname, join } from "node:path";
import { inflateRawSync } from "node:zlib";
import { fault, fresh, hold, idle, opened, set, taken } from "./browser.mjs";

/// One more or less in the last of six digits, as a share of the figure.
const LAST_DIGIT = 1.01e-5;

/// Options as the page's fields and as arguments.
const OPTIONS = [
  [[], []],
  [[["units", "cm"], ["per", "part"], ["density", "7850"], ["digits", "8"]], ["--units", "cm", "--per", "part", "--density", "7850", "--digits", "8"]],
  [[["per", "outline"], ["thickness", "20mm"], ["density", "490lb/ft3"], ["mass_units", "lb"], ["common_cuts", true]], ["--per", "outline", "--thickness", "20mm", "--density", "490lb/ft3", "--mass-units", "lb", "--common-cuts"]],
  [[["per", "drawing"], ["join", "0.5mm"], ["hatches", "use"], ["hidden", true]], ["--per", "drawing", "--join", "0.5mm", "--hatches", "use", "--hidden"]],
  [[["void_layers", "*HOLE*, VOID*"], ["skip", "FRAME*"], ["widths", "solid"], ["units", "in"]], ["--void-layers", "*HOLE*", "--void-layers", "VOID*", "--skip", "FRAME*", "--widths", "solid", "--units", "in"]],
  [[["drawing_units", "in"], ["space", "paper"]], ["--drawing-units", "in", "--space", "paper"]],
];

/// Sheets that name another of two places, with the reason.
const OTHER_PLACE = new Map([["block-array.dxf", "two fibres are equally far from an axis, and the last bit of a sine chooses"]]);

/// What the program writes to standard output, whatever its exit code.
export function byProgram(program, folder, args) {
  try {
    return execFileSync(program, args, { cwd: folder, stdio: ["ignore", "pipe", "ignore"], maxBuffer: 1 << 28 });
  } catch (error) {
    return error.stdout;
  }
}

/// The rows of a CSV, in cells.
export function rowsOf(text) {
  const rows = [[]];
  for (const [, quoted, plain, end] of text.matchAll(/(?:"((?:[^"]|"")*)"|([^",\n]*))(,|\n|$)/g)) {
    rows.at(-1).push(quoted === undefined ? plain : quoted.replaceAll('""', '"'));
    if (end === "\n") rows.push([]);
  }
  return rows.filter((row) => row.length > 1);
}

/// Compares two schedules cell for cell; how many cells there were, and how many of them were rounded the other way.
function compared(where, own, expected) {
  if (own.equals(expected)) return { cells: rowsOf(own.toString()).flat().length, rounded: 0 };
  const [here, there] = [rowsOf(own.toString()), rowsOf(expected.toString())];
  hold(where, here.length === there.length, `${here.length} rows on the page, ${there.length} by the program`);
  const check = there[0]?.indexOf("strip_check");
  let [cells, rounded] = [0, 0];
  there.forEach((row, k) =>
    row.forEach((cell, at) => {
      const mine = here[k]?.[at];
      cells += 1;
      // What rounding leaves differs with the machine's sines.
      if (mine === cell || (at === check && k > 0 && Number(mine) < 1e-8 && Number(cell) < 1e-8)) return;
      const isNumber = cell !== "" && mine !== "" && Math.abs(Number(mine) - Number(cell)) <= LAST_DIGIT * Math.abs(Number(cell));
      if (isNumber || isRounded(mine, cell)) rounded += 1;
      else fault(where, `row ${k}, ${there[0][at]}: “${mine}” on the page, “${cell}” by the program`);
    }),
  );
  return { cells, rounded };
}

/// Two texts that differ in nothing but last digits of their figures.
function isRounded(mine, other) {
  const figures = /\d+(?:\.\d+)?(?:e-?\d+)?/g;
  if (mine === undefined || mine.replace(figures, "#") !== other.replace(figures, "#")) return false;
  const [a, b] = [mine.match(figures) ?? [], other.match(figures) ?? []];
  return a.every((figure, k) => Math.abs(figure - b[k]) <= LAST_DIGIT * Math.abs(b[k]));
}

function withoutFigures(bytes) {
  return bytes.toString().replaceAll(/\d+(?:\.\d+)?(?:e-?\d+)?/g, "#");
}

/// A file without what rounding leaves, which differs with the machine's sines: `strip_check`, and how many digits of it a workbook shows.
function settled(bytes) {
  return bytes
    .toString()
    .replaceAll(/"strip_check":[\d.e-]+/g, '"strip_check":0')
    .replaceAll(/<v>0\.0{8,}\d+<\/v>/g, "<v>0</v>")
    .replaceAll(/formatCode="0(\.0+)?E\+00"/g, 'formatCode="0E+00"');
}

/// The parts of a workbook one after the other, unpacked, as its own list at the end has them (APPNOTE.TXT of the ZIP format).
function unpacked(bytes) {
  const end = bytes.lastIndexOf(Buffer.from("PK\x05\x06"));
  const parts = [];
  let at = bytes.readUInt32LE(end + 16);
  for (let count = bytes.readUInt16LE(end + 10); count > 0; count -= 1) {
    const [packed, name, extra, comment] = [bytes.readUInt32LE(at + 20), ...[28, 30, 32].map((place) => bytes.readUInt16LE(at + place))];
    const [method, own] = [bytes.readUInt16LE(at + 10), bytes.readUInt32LE(at + 42)];
    const from = own + 30 + bytes.readUInt16LE(own + 26) + bytes.readUInt16LE(own + 28);
    const data = bytes.subarray(from, from + packed);
    parts.push(bytes.subarray(at + 46, at + 46 + name), method === 8 ? inflateRawSync(data) : data);
    at += 46 + name + extra + comment;
  }
  return Buffer.concat(parts);
}

function drawingsIn(folder) {
  return readdirSync(folder).filter((name) => /\.dxf$/i.test(name)).sort();
}

/// Every drawing of a folder in one schedule, with several sets of options.
export async function schedules(browser, page, program, folder, sets = OPTIONS.length) {
  const tab = await fresh(browser, page);
  const names = drawingsIn(folder);
  await opened(tab, names.map((name) => join(folder, name)), 600_000);
  await tab.click("#tab-options");
  let [cells, rounded] = [0, 0];
  for (const [fields, args] of OPTIONS.slice(0, sets)) {
    await tab.click('#panel-options button:text-is("Reset options")');
    await tab.waitForTimeout(50);
    await idle(tab, 600_000);
    for (const [name, value] of fields) await set(tab, name, value);
    const own = (await taken(tab, "One schedule as CSV")).bytes;
    // In the order of the page.
    const order = [...new Set(rowsOf(own.toString()).slice(1).map(([drawing]) => drawing))];
    hold("schedules", order.length === names.length, `${order.length} of ${names.length} drawings have rows`);
    const expected = byProgram(program, folder, ["schedule", ...order, "--format", "csv", ...args]);
    const of = compared(`schedule ${args.join(" ") || "without options"}`, own, expected);
    [cells, rounded] = [cells + of.cells, rounded + of.rounded];
  }
  console.log(`${names.length} drawings with ${sets} sets of options: ${cells} cells as the program's, ${rounded} of them rounded the other way`);
  hold("schedules", rounded <= cells / 2000, `${rounded} figures of ${cells} were rounded the other way`);
  hold("schedules", cells > names.length * 20, `only ${cells} cells were compared`);
  await tab.context().close();
}

/// JSON, workbooks, sheets, marked drawings and pictures of some drawings.
export async function files(browser, page, program, folder, every) {
  const tab = await fresh(browser, page);
  const out = mkdtempSync(join(tmpdir(), "page-"));
  const date = new Date();
  const today = [date.getFullYear(), String(date.getMonth() + 1).padStart(2, "0"), String(date.getDate()).padStart(2, "0")].join("-");
  let [same, near] = [0, 0];
  const alike = (where, own, expected) => {
    if (own.equals(expected)) same += 1;
    else if (isRounded(settled(own), settled(expected))) near += 1;
    else fault(where, "not what the program writes");
  };
  for (const name of drawingsIn(folder).filter((_, k) => k % every === 0)) {
    await opened(tab, [join(folder, name)]);
    if (await tab.locator("#tab-section").isDisabled()) continue;
    await tab.click("#tab-section");
    const json = byProgram(program, folder, ["schedule", name, "--format", "json"]);
    if (json.length > 0) alike(`${name} as JSON`, (await taken(tab, "Schedule as JSON")).bytes, json);
    if (json.length > 0) {
      byProgram(program, folder, ["schedule", name, "-o", join(out, `${name}.xlsx`)]);
      const [own, expected] = [(await taken(tab, "Schedule as a workbook")).bytes, readFileSync(join(out, `${name}.xlsx`))];
      alike(`${name} as a workbook`, ...(own.equals(expected) ? [own, expected] : [unpacked(own), unpacked(expected)]));
    }
    const sections = await tab.locator("#list ul button bdi:first-child").allTextContents();
    const statuses = await tab.locator("#list ul button .state:last-child").allTextContents();
    if (sections.length === 0 || statuses.every((status) => status === "failed")) continue;
    byProgram(program, folder, ["mark", name, "-o", join(out, name), "--overwrite", "--date", today]);
    const marked = await taken(tab, "Marked drawing");
    hold(`${name} marked`, marked.name === `${name.slice(0, -extname(name).length)}-marked.dxf`, `saved as ${marked.name}`);
    alike(`${name} marked`, marked.bytes, readFileSync(join(out, name)));
    const sheet = `${name.slice(0, -extname(name).length)}.html`;
    byProgram(program, folder, ["sheet", name, "-o", join(out, sheet), "--date", today]);
    await tab.click("#print");
    await tab.waitForSelector("#sheet-dialog[open]");
    const [download] = await Promise.all([tab.waitForEvent("download"), tab.click("#sheet-save")]);
    const [own, expected] = [readFileSync(await download.path()), readFileSync(join(out, sheet))];
    if (!OTHER_PLACE.has(name) || own.equals(expected)) alike(`${name} as a sheet`, own, expected);
    else hold(`${name} as a sheet`, withoutFigures(own) === withoutFigures(expected), "not what the program writes");
    const style = await tab.evaluate(() => {
      const within = document.querySelector("#sheet-frame").contentDocument;
      return { heading: within.querySelector("h1")?.textContent, size: within.defaultView.getComputedStyle(within.querySelector("h1")).fontSize };
    });
    hold(`${name} as a sheet`, style.heading === `Section properties: ${name}` && Number.parseFloat(style.size) > 20, `shown as ${JSON.stringify(style)}`);
    await tab.click("#sheet-dialog .close");
    const at = statuses.findIndex((status) => status !== "failed");
    await tab.locator("#list ul button").nth(at).click();
    await tab.waitForSelector("#panel-section table");
    const once = sections.filter((section) => section.toLowerCase() === sections[at].toLowerCase()).length === 1;
    if (once) {
      byProgram(program, folder, ["sheet", name, "-o", join(out, "picture.svg"), "--date", today, "--section", sections[at]]);
      alike(`${name} as a picture`, (await taken(tab, "Picture as SVG")).bytes, readFileSync(join(out, "picture.svg")));
    }
    const png = (await taken(tab, "Picture as PNG")).bytes;
    hold(`${name} in pixels`, png.subarray(1, 4).toString() === "PNG" && png.length > 2000, `${png.length} bytes`);
  }
  console.log(`JSON, workbooks, sheets, marked drawings and pictures: ${same} the program's to the byte, ${near} but for last digits`);
  hold("files", same > 80 && near <= same / 4, `${same} the same, ${near} but for last digits`);
  await tab.context().close();
}

/// Figures that stand beside the drawing are those of the schedule.
export async function figures(browser, page, program, folder) {
  const tab = await fresh(browser, page);
  await opened(tab, [join(folder, "gantry-end-plate.dxf")]);
  await tab.locator("#list ul button", { hasText: "PLATE" }).click();
  await tab.waitForSelector("#panel-section tr[data-column]");
  const shown = await tab.locator("#panel-section tr[data-column]").evaluateAll((rows) =>
    rows.map((row) => [row.dataset.column, row.querySelector("td").textContent.replace("−", "-")]),
  );
  const [head, ...rows] = rowsOf(byProgram(program, folder, ["schedule", "gantry-end-plate.dxf", "--format", "csv"]).toString());
  const row = rows.find((cells) => cells[head.indexOf("section")] === "PLATE");
  let known = 0;
  for (const [column, value] of shown) {
    const at = head.findIndex((heading) => heading === column || heading.startsWith(`${column}_mm`) || heading === `${column}_deg`);
    if (at < 0 || column === "strip_check") continue;
    known += 1;
    hold("figures", row[at] === value, `${column}: ${value} on the page, ${row[at]} in the schedule`);
  }
  hold("figures", known >= 30, `only ${known} figures are shown`);
  // Torsion and shear on request.
  await tab.click("#tab-options");
  await set(tab, "field", true);
  const own = (await taken(tab, "Schedule as CSV")).bytes;
  const asked = byProgram(program, folder, ["schedule", "gantry-end-plate.dxf", "--format", "csv", "--field"]);
  compared("torsion and shear", own, asked);
  hold("torsion and shear", own.toString().includes("torsion_constant_mm4"), "there is no torsion constant");
  await tab.click("#tab-section");
  await tab.waitForSelector('tr[data-column="torsion_constant"]');
  hold("torsion and shear", (await tab.textContent("#panel-section .caution")).includes("elastic theory"), "the caution for torsion is not there");
  const letters = await tab.locator('tr[data-column="second_moment_x"] .letters').textContent();
  hold("figures", letters === "IxEN IyUS Ix", `letters of the second moment: ${letters}`);
  // Pieces as the command lists them.
  await tab.click("#panel-section summary");
  const pieces = await tab.locator(".pieces tbody tr").count();
  hold("pieces", pieces === 9 && (await tab.textContent("#panel-section summary")) === "9 pieces", `${pieces} pieces of a plate with eight holes`);
  // Strips: 4 of a plate are coarse, 1,024 are near.
  await tab.click("#tab-strips");
  const apart = async (position) => {
    await tab.fill("#strips", position);
    await tab.waitForTimeout(250);
    const cells = await tab.locator("#strips-sums tbody tr").last().locator("td").allTextContents();
    return Number(cells[0].replaceAll(/[^\d.e-]/g, "")) / Number(cells[1].replaceAll(/[^\d.e-]/g, "")) - 1;
  };
  const [coarse, fine] = [Math.abs(await apart("2")), Math.abs(await apart("10"))];
  hold("strips", coarse > 1e-3 && fine < 1e-3 && fine < coarse / 20, `second moments are off by ${coarse} with 4 strips and by ${fine} with 1,024`);
  await tab.context().close();
}
