// The page in Firefox: node firefox.mjs PAGE FIXTURES
//
// FIREFOX names the browser, /usr/bin/firefox-esr where it is not set. The example opens, drawings are measured, a section has its
// figures, a schedule, a workbook and a marked drawing are saved, torsion has its lines, the sheet is laid out; the console says nothing and nothing is asked of any server.
import { mkdtempSync, readFileSync, readdirSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { pathToFileURL } from "node:url";
import puppeteer from "puppeteer-core";

const [page, fixtures] = process.argv.slice(2).map((path) => resolve(path));
if (fixtures === undefined) {
  console.error("usage: node firefox.mjs PAGE FIXTURES");
  process.exit(2);
}
const faults = [];
const hold = (what, isSo, found) => isSo || faults.push(`${what}: ${found}`);
const folder = mkdtempSync(join(tmpdir(), "page-firefox-"));
const TYPES = "text/csv,image/vnd.dxf,application/vnd.openxmlformats-officedocument.spreadsheetml.sheet";
const browser = await puppeteer.launch({
  browser: "firefox",
  executablePath: process.env.FIREFOX ?? "/usr/bin/firefox-esr",
  headless: true,
  extraPrefsFirefox: { "browser.download.dir": folder, "browser.download.folderList": 2, "browser.helperApps.neverAsk.saveToDisk": TYPES },
});
const tab = await browser.newPage();
tab.on("console", (message) => ["error", "warn"].includes(message.type()) && faults.push(`console: ${message.text()}`));
tab.on("pageerror", (error) => faults.push(`error: ${error.message}`));
tab.on("request", (request) => /^(file|blob|data|about):/.test(request.url()) || faults.push(`a request: ${request.url()}`));
const text = (place) => tab.$eval(place, (one) => one.textContent);
/// Until something is so in the page. The page's policy lets no text become a script, so the driver's own way of waiting is none.
const until = async (isSo, ...args) => {
  for (let wait = 0; wait < 600; wait += 1) {
    if (await tab.evaluate(isSo, ...args)) return;
    await new Promise((done) => setTimeout(done, 100));
  }
  throw new Error(`waited in vain for ${isSo}`);
};
const idle = () => until(() => document.body.dataset.state === "idle" && !["", "Starting"].includes(document.querySelector("#status").textContent));
const there = (place) => until((selector) => document.querySelector(selector) !== null, place);
const press = (place) => tab.$eval(place, (one) => one.click());

await tab.goto(pathToFileURL(page).href);
await idle();
hold("the example", (await text("#status")).includes("3 sections measured"), await text("#status"));
await there('#panel-section tr[data-column="area"]');
hold("figures", (await text('#panel-section tr[data-column="area"] td')) === "20395.4", await text('#panel-section tr[data-column="area"] td'));

const names = ["crossing-outlines.dxf", "jib-bracket.dxf", "native-drawing.dxf", "spline-circle.dxf"];
const input = await tab.$("#files");
await input.uploadFile(...names.map((name) => join(fixtures, name)));
await until(() => document.querySelectorAll("#list > li").length === 4);
await idle();
hold("several drawings", (await text("#status")) === "3 drawings measured, 1 not.", await text("#status"));
// Something is drawn.
const colours = await tab.$eval("#canvas", (canvas) => new Set(canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height).data).size);
hold("the drawing", colours > 5, `${colours} shades`);

await press("#take");
/// What a button of “Save or copy” saves, as text of one byte a letter.
const saved = async (words, ending) => {
  await tab.evaluate((own) => [...document.querySelectorAll("#take-choices button")].find((one) => one.textContent === own).click(), words);
  for (let wait = 0; wait < 100; wait += 1) {
    await new Promise((done) => setTimeout(done, 100));
    const name = readdirSync(folder).find((name) => name.endsWith(ending));
    const bytes = name ? readFileSync(join(folder, name), "latin1") : "";
    if (bytes !== "") return bytes;
  }
  return "";
};
const rows = (await saved("One schedule as CSV", ".csv")).trim().split("\n");
hold("the schedule", rows.length >= 6 && rows[0].startsWith("drawing,section,layer,status,"), `${rows.length} rows`);
const workbook = await saved("One schedule as a workbook", ".xlsx");
hold("the workbook", workbook.startsWith("PK\x03\x04") && workbook.includes("xl/worksheets/sheet1.xml"), `${workbook.length} bytes`);
const marked = await saved("Marked drawing", "-marked.dxf");
hold("the marked drawing", marked.includes("MARK-CENTROID") && marked.trimEnd().endsWith("EOF"), `${marked.length} bytes`);
await press("#take-dialog .close");

// Torsion with its lines.
await tab.$eval("#option-field", (one) => one.click());
await until(() => (document.querySelector("#torsion-words")?.textContent ?? "") !== "");
hold("torsion", /contour lines of the stress function .*; mesh of \d+ triangles\.$/.test(await text("#torsion-words")), await text("#torsion-words"));
await idle();

await press("#print");
await there("#sheet-dialog[open]");
const sheet = await tab.$eval("#sheet-frame", (frame) => {
  const within = frame.contentDocument;
  return { heading: within.querySelector("h1")?.textContent, size: frame.contentWindow.getComputedStyle(within.querySelector("h1")).fontSize };
});
hold("the sheet", sheet.heading === "Section properties: crossing-outlines.dxf" && Number.parseFloat(sheet.size) > 20, JSON.stringify(sheet));
await browser.close();
rmSync(folder, { recursive: true });
for (const fault of faults) console.error(fault);
console.log(`Firefox: ${faults.length} faults`);
process.exit(faults.length > 0 ? 1 : 0);
