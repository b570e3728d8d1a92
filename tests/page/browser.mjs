// A browser with the page in it, and what the tests do there.
import { readFileSync } from "node:fs";
import { pathToFileURL } from "node:url";
import { chromium } from "playwright-core";

/// What is wrong, as it is found.
export const faults = [];

export function fault(where, what) {
  faults.push(`${where}: ${what}`);
}

/// Holds that something is so.
export function hold(where, isSo, what) {
  if (!isSo) fault(where, what);
}

export async function launched() {
  return chromium.launch({
    executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
    args: ["--no-sandbox", "--font-render-hinting=none"],
  });
}

/// The page in a window of its own, as at a first visit. `isTried` is for tests that make the console speak.
export async function fresh(browser, page, { isTried = false, scripts = [], ...options } = {}) {
  const context = await browser.newContext({ viewport: { width: 1280, height: 900 }, acceptDownloads: true, ...options });
  for (const script of scripts) await context.addInitScript(script);
  const tab = await context.newPage();
  tab.setDefaultTimeout(60_000);
  const where = page.split("/").pop();
  tab.requests = [];
  tab.on("request", (request) => {
    const url = request.url();
    if (/^(file|blob|data):/.test(url)) return;
    tab.requests.push(url);
    if (!isTried) fault(where, `a request: ${url}`);
  });
  if (!isTried) {
    tab.on("console", (message) => ["error", "warning"].includes(message.type()) && fault(where, `console: ${message.text()}`));
    tab.on("pageerror", (error) => fault(where, `error: ${error.message}`));
  }
  tab.on("dialog", async (dialog) => {
    fault(where, `a dialog: ${dialog.message()}`);
    await dialog.dismiss();
  });
  await tab.goto(pathToFileURL(page).href);
  await idle(tab);
  return tab;
}

/// Until nothing is measured.
export async function idle(tab, timeout = 120_000) {
  await tab.waitForFunction(
    () => document.body.dataset.state === "idle" && document.querySelector("#status").textContent !== "Starting",
    undefined,
    { timeout },
  );
  // Figures of the chosen section come right after.
  await tab.waitForTimeout(120);
}

/// Opens files: paths, or names with bytes.
export async function opened(tab, files, timeout) {
  await tab.setInputFiles("#files", files);
  await tab.waitForTimeout(50);
  await idle(tab, timeout);
}

/// What a button of “Save or copy” saves.
export async function taken(tab, words) {
  await tab.click("#take");
  const [download] = await Promise.all([
    tab.waitForEvent("download"),
    tab.click(`#take-choices button:text-is("${words}")`),
  ]);
  const bytes = readFileSync(await download.path());
  await tab.click("#take-dialog .close");
  return { name: download.suggestedFilename(), bytes };
}

/// Sets an option by its field.
export async function set(tab, name, value) {
  const field = tab.locator(`#option-${name}`);
  if (value === true || value === false) await field.setChecked(value);
  else if ((await field.evaluate((one) => one.tagName)) === "SELECT") await field.selectOption(value);
  else {
    await field.fill(value);
    await field.blur();
  }
  await tab.waitForTimeout(50);
  await idle(tab);
}

/// A drawing of closed polylines in millimetres, each on its layer.
export function drawingOf(outlines) {
  const lines = ["0", "SECTION", "2", "HEADER", "9", "$ACADVER", "1", "AC1027", "9", "$INSUNITS", "70", "4", "0", "ENDSEC", "0", "SECTION", "2", "ENTITIES"];
  for (const [layer, points] of outlines) {
    lines.push("0", "LWPOLYLINE", "8", layer, "90", String(points.length), "70", "1");
    for (const [x, y] of points) lines.push("10", String(x), "20", String(y));
  }
  lines.push("0", "ENDSEC", "0", "EOF", "");
  return Buffer.from(lines.join("\n"));
}
