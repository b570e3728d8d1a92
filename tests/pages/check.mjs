// Sheets in a real browser: node check.mjs FOLDER [--pictures FOLDER]
//
// Every page of the folder is validated as HTML, and opened at the widths of A4 and Letter paper (as it is printed), of a
// telephone and of a wide screen, light and dark: nothing may run out of the page, text must stand out from its ground
// (WCAG 2.2, 1.4.3: at least 4.5:1), pictures must have a title and a description, and no request may leave the page.
import { mkdirSync, readdirSync, readFileSync } from "node:fs";
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
  { name: "400", width: 400, media: "screen", scheme: "light" },
  { name: "400-dark", width: 400, media: "screen", scheme: "dark" },
  { name: "1600", width: 1600, media: "screen", scheme: "light" },
  { name: "1600-dark", width: 1600, media: "screen", scheme: "dark" },
];

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

const faults = [];
const browser = await puppeteer.launch({
  executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
  args: ["--no-sandbox", "--disable-gpu", "--font-render-hinting=none"],
});
const files = readdirSync(folder).filter((name) => name.endsWith(".html")).sort();
if (files.length === 0) faults.push(`${folder}: no pages`);
for (const file of files) {
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
  for (const view of views) {
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
      if (isPaper) {
        for (const box of document.querySelectorAll(".wide")) {
          if (box.scrollWidth > box.clientWidth + 1) {
            out.push(`“${box.getAttribute("aria-label")}” is ${box.scrollWidth} wide in ${box.clientWidth}`);
          }
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
  if (pictures) {
    for (const format of ["A4", "Letter"]) {
      await page.pdf({ path: join(pictures, `${file.replace(/\.html$/, "")}-${format}.pdf`), format, preferCSSPageSize: false });
    }
  }
  await page.close();
}
await browser.close();
console.log(`${files.length} pages in ${views.length} views: ${faults.length} faults`);
faults.slice(0, 60).forEach((fault) => console.log(fault));
process.exit(faults.length > 0 ? 1 : 0);
