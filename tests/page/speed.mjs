// How quick the page is with a drawing of 50 MB: node speed.mjs PAGE PROGRAM [FILE]
//
// Without FILE a drawing is written from a seed: plates with holes, rounded corners and curves on 40 layers. It tells the time from
// choosing the file until its layers are drawn and until all is measured, the program's time on one thread, what the browser's
// processes take beyond an empty page, and frames a second while the drawing moves by 30 px with every frame. Compare figures with those of the
// same machine alone; what is held are times as they are wanted where nothing else runs, times `TRACEARM_SLOW`.
import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, readdirSync, rmSync, statSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { fresh, faults, hold, idle, launched, opened, set } from "./browser.mjs";
import { heavy } from "./reach.mjs";

const slow = Number(process.env.TRACEARM_SLOW ?? 1);
const [page, program, given] = process.argv.slice(2).map((path) => resolve(path));
const folder = mkdtempSync(join(tmpdir(), "page-speed-"));
const file = given ?? join(folder, "fifty.dxf");
if (!given) writeFileSync(file, large(50_000_000));
const size = statSync(file).size;

/// Numbers from a seed.
function seeded(seed) {
  let state = seed;
  return () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return state / 2 ** 32;
  };
}

function large(bytes) {
  const random = seeded(20);
  const parts = ["  0\nSECTION\n  2\nHEADER\n  9\n$ACADVER\n  1\nAC1027\n  9\n$INSUNITS\n 70\n4\n  0\nENDSEC\n  0\nSECTION\n  2\nENTITIES\n"];
  let length = parts[0].length;
  const number = (value) => value.toFixed(9);
  for (let k = 0; length < bytes; k += 1) {
    const layer = `PLATES OF FRAME ${k % 40}`;
    const [x, y] = [(k % 220) * 400 + 20 * random(), Math.floor(k / 220) * 300 + 20 * random()];
    const [w, h, r] = [200 + 150 * random(), 120 + 100 * random(), 8 + 10 * random()];
    const entity = (kind, pairs) => `  0\n${kind}\n  5\n${(length + k).toString(16).toUpperCase()}\n100\nAcDbEntity\n  8\n${layer}\n${pairs.map(([code, value]) => `${String(code).padStart(3)}\n${number(value)}\n`).join("")}`;
    const line = (x0, y0, x1, y1) => entity("LINE", [[10, x0], [20, y0], [30, 0], [11, x1], [21, y1], [31, 0]]);
    const arc = (cx, cy, from, to) => entity("ARC", [[10, cx], [20, cy], [30, 0], [40, r], [50, from], [51, to]]);
    const plate = [
      line(x + r, y, x + w - r, y), arc(x + w - r, y + r, 270, 0), line(x + w, y + r, x + w, y + h - r), arc(x + w - r, y + h - r, 0, 90),
      line(x + w - r, y + h, x + r, y + h), arc(x + r, y + h - r, 90, 180), line(x, y + h - r, x, y + r), arc(x + r, y + r, 180, 270),
    ];
    for (let hole = 0; hole < 6; hole += 1) plate.push(entity("CIRCLE", [[10, x + 30 + ((w - 60) * hole) / 5], [20, y + h / 2], [30, 0], [40, 4 + 3 * random()]]));
    const text = plate.join("");
    parts.push(text);
    length += text.length;
  }
  parts.push("  0\nENDSEC\n  0\nEOF\n");
  return parts.join("");
}

/// Bytes that the browser's processes take, without what they share.
function memory() {
  let sum = 0;
  for (const id of readdirSync("/proc").filter((name) => /^\d+$/.test(name))) {
    try {
      if (!readFileSync(`/proc/${id}/cmdline`, "utf8").includes("--type=renderer")) continue;
      const status = readFileSync(`/proc/${id}/status`, "utf8");
      sum += Number(/RssAnon:\s+(\d+)/.exec(status)[1]) * 1024;
    } catch {
      // It has ended.
    }
  }
  return sum;
}

const began = process.hrtime.bigint();
try {
  execFileSync(program, ["schedule", file, "--jobs", "1", "--format", "csv"], { stdio: ["ignore", "ignore", "ignore"] });
} catch {
  // Layers may fail.
}
const native = Number(process.hrtime.bigint() - began) / 1e9;

const browser = await launched();
const tab = await fresh(browser, page);
const empty = memory();
let peak = 0;
const watch = setInterval(() => (peak = Math.max(peak, memory() - empty)), 100);
await tab.evaluate(() => {
  const input = document.querySelector("#files");
  input.addEventListener("change", () => {
    window.began = performance.now();
    const canvas = document.querySelector("#canvas");
    const before = canvas.dataset.drawn;
    window.drawn = new Promise((resolve) => {
      const look = () => {
        const isDrawn = document.querySelector("#place").textContent !== "" && !document.querySelector("#fit").disabled && canvas.dataset.drawn !== before;
        if (isDrawn) resolve(performance.now() - window.began);
        else requestAnimationFrame(look);
      };
      requestAnimationFrame(look);
    });
  });
});
await tab.setInputFiles("#files", [file]);
await tab.waitForTimeout(50);
await idle(tab, 300_000);
const drawn = (await tab.evaluate(() => window.drawn)) / 1000;
const words = await tab.textContent("#status");
const measured = Number(/in ([\d.]+) s/.exec(words)?.[1]);
clearInterval(watch);

/// Frames a second while the drawing moves.
async function frames(tab) {
  return tab.evaluate(
    () =>
      new Promise((resolve) => {
        const canvas = document.querySelector("#canvas");
        const times = [];
        const step = (now) => {
          times.push(now);
          if (times.length > 180) {
            const gaps = times.slice(1).map((time, k) => time - times[k]).sort((a, b) => a - b);
            resolve({ mean: (1000 * gaps.length) / (times.at(-1) - times[0]), worst: gaps.at(-3) });
            return;
          }
          const key = times.length % 60 < 30 ? "ArrowRight" : "ArrowLeft";
          canvas.dispatchEvent(new KeyboardEvent("keydown", { key, bubbles: true }));
          requestAnimationFrame(step);
        };
        requestAnimationFrame(step);
      }),
  );
}
const all = await frames(tab);
await tab.click("#zoom-to");
for (let k = 0; k < 6; k += 1) await tab.click("#zoom-in");
await tab.waitForTimeout(500);
const near = await frames(tab);
console.log(`drawing: ${(size / 1e6).toFixed(1)} MB; ${words}`);
console.log(`drawn after ${drawn.toFixed(2)} s, measured after ${measured.toFixed(1)} s; the program: ${native.toFixed(2)} s on one thread`);
console.log(`memory beyond an empty page: ${(peak / 1e6).toFixed(0)} MB, ${(peak / size).toFixed(1)} of the drawing`);
console.log(`moving all of it: ${all.mean.toFixed(0)} frames a second (the slowest but two ${all.worst.toFixed(0)} ms), near: ${near.mean.toFixed(0)} (${near.worst.toFixed(0)} ms)`);
hold("speed", drawn <= 3 * slow, `drawn after ${drawn} s`);
hold("speed", all.mean >= 50 / slow && near.mean >= 50 / slow, `${all.mean} and ${near.mean} frames a second`);
hold("speed", peak <= 4 * size * slow, `${peak} bytes of memory`);

// A schedule of many sections: no task of the page lasts long while it comes, is shown, sorted and searched.
const LONGEST = 200;
await tab.context().close();
const long = await fresh(browser, page);
await long.click("#tab-options");
await set(long, "per", "part");
await long.evaluate(() => {
  window.tasks = [];
  new PerformanceObserver((list) => window.tasks.push(...list.getEntries().map(({ duration }) => duration))).observe({ type: "longtask" });
});
const longest = async () => {
  await long.waitForTimeout(400);
  return Math.max(0, ...(await long.evaluate(() => window.tasks.splice(0))));
};
await opened(long, [{ name: "sieve.dxf", mimeType: "", buffer: heavy(23_000) }], 300_000);
const busy = { opened: await longest() };
await long.click("#show-schedule");
busy.shown = await longest();
for (const heading of ["area_mm2", "section"]) {
  await long.locator("#table thead button", { hasText: new RegExp(`^${heading}$`) }).click();
  busy[`sorted by ${heading}`] = await longest();
}
await long.fill("#filter-words", "#77");
busy.searched = await longest();
console.log(`23,000 sections: the longest task in ms: ${Object.entries(busy).map(([what, time]) => `${what} ${time.toFixed(0)}`).join(", ")}`);
for (const [what, time] of Object.entries(busy)) hold("23,000 sections", time <= LONGEST * slow, `${what}: ${time} ms`);
await browser.close();
rmSync(folder, { recursive: true });
for (const one of faults) console.error(one);
process.exit(faults.length > 0 ? 1 : 0);
