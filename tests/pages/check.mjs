// Sheets in a real browser: node check.mjs FOLDER [--pictures FOLDER]
//
// Every page of the folder is validated as HTML, and opened at the widths of A4 and Letter paper (as it is printed), of a
// telephone and of a wide screen, light and dark: nothing may run out of the page, results are read without moving them
// sideways, text must stand out from its ground
// (WCAG 2.2, 1.4.3: at least 4.5:1), pictures must have a title and a description, and no request may leave the page.
//
// Each is printed to PDF on both papers, and its text is taken out again (pdftotext of poppler-utils): every page has its
// number, no number is broken, no heading stands last on its page, each sum stands once, and no text is smaller than 7.5 pt.
import { execFileSync } from "node:child_process";
import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync } from "node:fs";
import { availableParallelism, tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { createRequire } from "node:module";
import { HtmlValidate } from "html-validate";
import puppeteer from "puppeteer-core";

const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const folder = resolve(process.argv[2] ?? ".");
const at = process.argv.indexOf("--pictures");
const pictures = at > 0 ? resolve(process.argv[at + 1]) : undefined;
if (pictures) mkdirSync(pictures, { recursive: true });

// CSS pixels at 96 to the inch; paper less the margins of 12 mm that the sheet's style asks for.
const printed = (millimetres) => Math.floor(((millimetres - 24) / 25.4) * 96);
const views = [
  { name: "A4", width: printed(210), media: "print", scheme: "light" },
  { name: "Letter", width: printed(215.9), media: "print", scheme: "light" },
  { name: "360", width: 360, media: "screen", scheme: "light" },
  { name: "400", width: 400, media: "screen", scheme: "light" },
  { name: "400-dark", width: 400, media: "screen", scheme: "dark" },
  { name: "1600", width: 1600, media: "screen", scheme: "light" },
  { name: "1600-dark", width: 1600, media: "screen", scheme: "dark" },
];

// Sheets of which there are many, by the beginning of their names, are looked at in these views alone.
const many = /^(fixture|real|hundred)-/;
const fewViews = ["A4", "360"];

const validator = new HtmlValidate({
  extends: ["html-validate:standard"],
  rules: {
    // How the file is written, not what it says.
    "no-inline-style": "off",
    "long-title": "off",
    "no-trailing-whitespace": "off",
    "attribute-boolean-style": "off",
    "void-style": "off",
  },
});

const scratch = mkdtempSync(join(tmpdir(), "pages-"));

let printedPages = 0;

// What is wrong with a page as it is printed.
function onPaper(pdf, said) {
  const out = [];
  const text = execFileSync("pdftotext", ["-layout", pdf, "-"], { encoding: "utf8", maxBuffer: 1 << 28 });
  const pages = text.split("\f").slice(0, -1);
  let sums = 0;
  pages.forEach((page, k) => {
    const lines = page.split("\n").map((line) => line.trim()).filter((line) => line);
    if (!page.includes(`Sheet ${k + 1} of ${pages.length}`)) out.push(`page ${k + 1} has no number`);
    // The last line is that of the number.
    const last = lines.at(-2) ?? "";
    if (said.headings.includes(last)) out.push(`page ${k + 1} ends with the heading “${last}”`);
    sums += lines.filter((line) => /^(Sum|exact)\b/.test(line)).length;
  });
  if (sums !== said.sums) out.push(`${said.sums} sums are printed ${sums} times`);
  const most = said.short ? said.sections + Math.ceil(said.sections / 10) + 1 : Infinity;
  if (pages.length > most) out.push(`${said.sections} sections in short form take ${pages.length} pages`);
  // More than six pieces, each followed through both sides of four equal-area axes, may take a page more on Letter, which is
  // 18 mm lower than A4.
  const mostInFull = said.isLetter && said.pieces > 6 ? 4 : 3;
  if (!said.short && said.edges.length === 1 && said.edges[0] <= 12 && !said.strips && pages.length > mostInFull) {
    out.push(`a section of ${said.edges[0]} edges takes ${pages.length} pages in full form`);
  }
  printedPages += pages.length;
  return out;
}

// Looks at a sheet; what is wrong with it.
async function look(browser, file) {
  const faults = [];
  const path = join(folder, file);
  const fault = (view, what) => faults.push(`${file}, ${view}: ${what}`);
  const report = await validator.validateFile(path);
  for (const message of report.results.flatMap((result) => result.messages)) {
    if (message.severity === 2) fault("HTML", `line ${message.line}: ${message.message} (${message.ruleId})`);
  }
  const page = await browser.newPage();
  await page.setRequestInterception(true);
  page.on("request", (request) => {
    const own = request.url().startsWith("file:") || request.url().startsWith("data:");
    if (!own) fault("network", request.url());
    own ? request.continue() : request.abort();
  });
  page.on("dialog", async (dialog) => {
    fault("script", `a dialog: ${dialog.message()}`);
    await dialog.dismiss();
  });
  for (const view of views.filter((view) => !many.test(file) || fewViews.includes(view.name))) {
    await page.setViewport({ width: view.width, height: 1100 });
    // Each of the two sets back the other: paper is light whatever the screen is.
    if (view.media === "print") await page.emulateMediaType("print");
    else await page.emulateMediaFeatures([{ name: "prefers-color-scheme", value: view.scheme }]);
    await page.goto(pathToFileURL(path).href);
    // What is not on screen is laid out too.
    await page.addStyleTag({ content: "article{content-visibility:visible!important}" });
    const found = await page.evaluate((isPaper) => {
      const out = [];
      const root = document.documentElement;
      if (root.scrollWidth > root.clientWidth) {
        out.push(`the page is ${root.scrollWidth} wide in ${root.clientWidth}`);
      }
      for (const table of document.querySelectorAll(".results")) {
        const box = table.closest(".wide");
        if (box.scrollWidth > box.clientWidth + 1) {
          out.push(`results are ${box.scrollWidth} wide in ${box.clientWidth}`);
        }
      }
      if (isPaper) {
        for (const box of document.querySelectorAll(".wide")) {
          if (box.scrollWidth > box.clientWidth + 1) {
            out.push(`“${box.getAttribute("aria-label")}” is ${box.scrollWidth} wide in ${box.clientWidth}`);
          }
        }
        // 7.5 pt are 10 px; letters in pictures are as large as their picture is drawn, indices as their letters.
        const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
        const small = new Set();
        while (walker.nextNode()) {
          const holder = walker.currentNode.parentElement;
          if (!walker.currentNode.data.trim() || holder.closest("sub, sup, math, title, desc, style")) continue;
          const svg = holder.closest("svg");
          const scale = svg ? svg.getBoundingClientRect().width / svg.viewBox.baseVal.width : 1;
          const size = parseFloat(getComputedStyle(holder).fontSize) * scale;
          if (size < 9.95) small.add(`${size.toFixed(1)} px: ${walker.currentNode.data.trim().slice(0, 30)}`);
        }
        [...small].slice(0, 3).forEach((what) => out.push(`text of ${what}`));
        for (const cell of document.querySelectorAll(".n, .results td")) {
          const range = document.createRange();
          range.selectNodeContents(cell);
          const lines = new Set([...range.getClientRects()].filter((r) => r.width > 0).map((r) => Math.round(r.bottom / 8)));
          if (cell.matches("td") && lines.size > 2) out.push(`a number is broken: ${cell.textContent}`);
        }
      }
      for (const svg of document.querySelectorAll("svg:not([aria-hidden=true])")) {
        const named = ["title", "desc"].every((name) => svg.querySelector(`:scope > ${name}`)?.textContent.trim());
        if (!named || svg.getAttribute("role") !== "img") out.push("a picture without title, description or role");
      }
      if (document.querySelectorAll("script, iframe, object, embed, link, base, form").length > 0) {
        out.push("an element that the sheet does not write");
      }
      const ids = [...document.querySelectorAll("[id]")].map((element) => element.id);
      if (new Set(ids).size < ids.length) out.push("an id stands twice");
      return out;
    }, view.media === "print");
    found.forEach((what) => fault(view.name, what));
    if (many.test(file)) continue;
    await page.evaluate(axe);
    const judged = await page.evaluate(() => window.axe.run(document, { runOnly: ["wcag2a", "wcag2aa"] }));
    for (const violation of judged.violations) {
      const nodes = violation.nodes.slice(0, 3).map((node) => `${node.target} (${node.any[0]?.message ?? ""})`);
      fault(view.name, `${violation.id}: ${violation.help}: ${nodes.join("; ")}`);
    }
    if (pictures) {
      const name = `${file.replace(/\.html$/, "")}-${view.name}.png`;
      await page.screenshot({ path: join(pictures, name), fullPage: true });
    }
  }
  await page.emulateMediaType("print");
  await page.goto(pathToFileURL(path).href);
  const said = await page.evaluate(() => ({
    headings: [...document.querySelectorAll("h2, h3, h4, caption")].map((element) => element.innerText.trim()),
    // What is for teaching may not be printed.
    sums: [...document.querySelectorAll("tfoot tr, tr.sum")].filter((row) => row.offsetParent !== null).length,
    sections: document.querySelectorAll("article").length,
    short: document.querySelectorAll(".halves").length > 0,
    edges: [...document.querySelectorAll("article[data-edges]")].map((article) => Number(article.dataset.edges)),
    pieces: document.querySelectorAll("table.areas tbody tr").length,
    strips: document.body.innerText.includes("For teaching: more and more strips"),
  }));
  for (const format of ["A4", "Letter"]) {
    const pdf = join(pictures ?? scratch, `${file.replace(/\.html$/, "")}-${format}.pdf`);
    await page.pdf({ path: pdf, format, preferCSSPageSize: false });
    onPaper(pdf, { ...said, isLetter: format === "Letter" }).forEach((what) => fault(format, what));
  }
  await page.close();
  return faults;
}

const files = readdirSync(folder).filter((name) => name.endsWith(".html")).sort();
const faults = files.length === 0 ? [`${folder}: no pages`] : [];
const found = new Map();
const waiting = [...files];
// A browser lays out one page at a time: as many of them as there are processors.
await Promise.all(Array.from({ length: Math.min(availableParallelism(), 4) }, async () => {
  const browser = await puppeteer.launch({
    executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
    args: ["--no-sandbox", "--disable-gpu", "--font-render-hinting=none"],
  });
  for (let file = waiting.shift(); file; file = waiting.shift()) found.set(file, await look(browser, file));
  await browser.close();
}));
files.forEach((file) => faults.push(...found.get(file)));
rmSync(scratch, { recursive: true });
console.log(`${files.length} sheets in ${views.length} views, ${printedPages} printed pages: ${faults.length} faults`);
faults.slice(0, 60).forEach((fault) => console.log(fault));
process.exit(faults.length > 0 ? 1 : 0);
