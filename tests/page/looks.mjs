// Every state of the page, light and dark, on screens of 360 to 2,560 px: without faults that axe-core finds at level AA, nothing wider
// than the screen, no words cut off.
import { readFileSync, readdirSync } from "node:fs";
import { createRequire } from "node:module";
import { join } from "node:path";
import { heavy } from "./reach.mjs";
import { drawingOf, fault, fresh, hold, idle, opened, set } from "./browser.mjs";

const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const WIDTHS = [360, 1280, 2560];

async function judged(tab, where) {
  const found = await tab.evaluate(async () => {
    const tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"];
    const { violations } = await window.axe.run(document, { runOnly: { type: "tag", values: tags }, iframes: false });
    return violations.flatMap(({ id, nodes }) => nodes.map((node) => `${id}: ${node.target} ${node.failureSummary}`));
  });
  for (const one of found) fault(where, one);
  const cut = await tab.evaluate(() => {
    const root = document.documentElement;
    const out = root.scrollWidth > root.clientWidth ? [`the page is ${root.scrollWidth} wide in ${root.clientWidth}`] : [];
    for (const one of document.querySelectorAll("button, label, h1, h2, h3, p, th, td, li, dialog[open]")) {
      const { overflowX, display } = getComputedStyle(one);
      if (!one.checkVisibility() || display === "inline" || one.closest(".unseen, .skip, #schedule table")) continue;
      if (one.scrollWidth > one.clientWidth + 1 && overflowX !== "auto" && one.clientWidth > 0) out.push(`cut off: ${one.tagName} ${one.id} “${one.textContent.slice(0, 50)}”`);
    }
    return out;
  });
  for (const one of cut) fault(where, one);
}

/// What the page is brought into, by name.
const STATES = {
  "one section": async (tab) => tab.click("#panel-section summary"),
  empty: async (tab) => tab.click("#close-all"),
  strips: async (tab) => {
    await tab.click("#tab-strips");
    await tab.check("#strips-on");
  },
  torsion: async (tab) => {
    await tab.click("#tab-options");
    await set(tab, "field", true);
    await tab.click("#tab-section");
    await tab.waitForFunction(() => document.querySelector("#torsion-words")?.textContent !== "");
    await tab.click("#zoom-to");
  },
  options: async (tab) => {
    await tab.click("#tab-options");
    await tab.fill("#option-density", "heavy");
    await tab.locator("#option-density").blur();
    await tab.waitForTimeout(200);
    hold("options", (await tab.getAttribute("#option-density", "aria-invalid")) === "true", "a wrong density is not told");
    await tab.fill("#option-density", "7850");
    await tab.locator("#option-density").blur();
    await idle(tab);
    await tab.selectOption("#option-per", "drawing");
    await tab.waitForTimeout(50);
    await idle(tab);
    const words = await tab.textContent("#differences");
    hold("options", words.includes("is new") && words.includes("PLATE: is gone"), `what changed is told as ${words}`);
  },
  layers: async (tab, fixtures) => {
    await opened(tab, [join(fixtures, "layer-states.dxf")]);
    await tab.click("#tab-layers");
    const row = tab.locator(".layer", { has: tab.getByText("OFF", { exact: true }) });
    hold("layers", (await row.textContent()).includes("hidden, so not measured"), await row.textContent());
    await tab.focus('select[aria-label="Use of layer SHOWN"]');
    await tab.selectOption('select[aria-label="Use of layer SHOWN"]', "skip");
    await idle(tab);
    hold("layers", (await tab.evaluate(() => document.activeElement.ariaLabel)) === "Use of layer SHOWN", "the keyboard is elsewhere after a layer was left out");
    hold("layers", (await tab.locator(".layer", { has: tab.getByText("SHOWN", { exact: true }) }).textContent()).includes("left out"), "what became of the layer is not told");
    hold("layers", (await tab.locator("#list ul button").allTextContents()).every((text) => !text.startsWith("SHOWN")), "a layer left out is measured still");
  },
  findings: async (tab, fixtures) => {
    await opened(tab, [join(fixtures, "crossing-outlines.dxf")]);
    await tab.click("#tab-findings");
    await tab.locator("#panel-findings button").first().click();
    hold("findings", await tab.evaluate(() => document.activeElement.textContent === "Show the place"), "the keyboard is elsewhere after a place was shown");
  },
  failed: async (tab, fixtures) => opened(tab, ["native-drawing.dxf", "not-a-drawing.dxf", "no-outlines.dxf", "open-edge-decides.dxf"].map((name) => join(fixtures, name))),
  "50 sections": async (tab) => {
    const plates = Array.from({ length: 50 }, (_, k) => {
      const [x, y] = [(k % 10) * 130, Math.floor(k / 10) * 90];
      return [`PLATE NUMBER ${k + 1} OF THE LARGER GIRDER`, [[x, y], [x + 100, y], [x + 100, y + 40 + k], [x + 10, y + 60], [x, y + 50]]];
    });
    await opened(tab, [{ name: "fifty plates of a girder with a rather long name.dxf", mimeType: "", buffer: drawingOf(plates) }]);
  },
  schedule: async (tab, fixtures) => {
    await opened(tab, readdirSync(fixtures).filter((name) => name.endsWith(".dxf")).slice(0, 30).map((name) => join(fixtures, name)));
    await tab.click("#show-schedule");
  },
  "long schedule": async (tab) => {
    await tab.click("#tab-options");
    await set(tab, "per", "part");
    await opened(tab, [{ name: "sieve.dxf", mimeType: "", buffer: heavy(250) }]);
    await tab.click("#show-schedule");
    await tab.click("#rows-after");
  },
  take: async (tab) => tab.click("#take"),
  about: async (tab) => tab.click("#about"),
  sheet: async (tab) => {
    await tab.click("#print");
    await tab.waitForSelector("#sheet-dialog[open]");
  },
};

export async function looks(browser, page, fixtures, pictures) {
  for (const scheme of ["light", "dark"]) {
    for (const [name, bring] of Object.entries(STATES)) {
      const tab = await fresh(browser, page, { colorScheme: scheme, reducedMotion: scheme === "dark" ? "reduce" : "no-preference" });
      await tab.evaluate(axe);
      await bring(tab, fixtures);
      for (const width of WIDTHS) {
        await tab.setViewportSize({ width, height: width === 360 ? 740 : 900 });
        await tab.waitForTimeout(150);
        await judged(tab, `${name}, ${scheme}, ${width}`);
        if (pictures) await tab.screenshot({ path: join(pictures, `${name.replaceAll(" ", "-")}-${scheme}-${width}.png`), fullPage: width === 360 });
      }
      await tab.context().close();
    }
  }
  // What is wrong would be found.
  const wrong = await fresh(browser, page);
  await wrong.evaluate(axe);
  await wrong.evaluate(() => {
    document.querySelector("#side").append(document.createElement("img"), document.createElement("button"));
    document.querySelector("#list .drawing").style.color = "#bbb";
  });
  const found = await wrong.evaluate(async () => (await window.axe.run(document, { iframes: false })).violations.map(({ id }) => id));
  hold("axe", ["image-alt", "button-name", "color-contrast"].every((id) => found.includes(id)), `it finds ${found.join(", ")} alone`);
  await wrong.context().close();
  // On paper without the sheet there are the drawing and its figures, and the caution.
  const tab = await fresh(browser, page);
  await tab.emulateMedia({ media: "print" });
  hold("print", (await tab.isVisible("#canvas")) && (await tab.isVisible("#panel-section table")) && (await tab.isVisible("#caution")), "drawing, figures or caution are not printed");
  hold("print", !(await tab.isVisible("#open")), "buttons are printed");
  if (pictures) await tab.screenshot({ path: join(pictures, "print.png"), fullPage: true });
  const pdf = await tab.pdf();
  hold("print", pdf.length > 20_000, `the print has ${pdf.length} bytes`);
  await tab.context().close();
}
