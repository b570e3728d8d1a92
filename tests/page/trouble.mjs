// Files that are no drawings, damaged ones, very many, one that takes too long: each costs itself alone, with a clear message.
import { mkdtempSync, openSync, readdirSync, closeSync, ftruncateSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { drawingOf, fresh, hold, idle, opened, set, taken } from "./browser.mjs";
import { heavy } from "./reach.mjs";
import { rowsOf } from "./rows.mjs";

const PLATE = [["PLATE", [[0, 0], [90, 0], [90, 40], [0, 40]]]];

/// What the list says of each drawing.
async function said(tab) {
  const items = await tab.locator("#list > li").evaluateAll((all) => all.map((one) => [one.querySelector("bdi").textContent, one.querySelector(".state").textContent, one.querySelector(".why")?.textContent ?? ""]));
  return new Map(items.map(([name, state, why]) => [name, { state, why }]));
}

export async function trouble(browser, page, fixtures) {
  const tab = await fresh(browser, page);
  const folder = mkdtempSync(join(tmpdir(), "page-"));
  const huge = join(folder, "huge.dxf");
  const file = openSync(huge, "w");
  ftruncateSync(file, 2 * 1024 ** 3);
  closeSync(file);
  const noise = Buffer.from(Array.from({ length: 5000 }, (_, k) => (k * 7919) % 251));
  const paths = { "empty.dxf": Buffer.alloc(0), "letter.txt": Buffer.from("Dear Sirs,\nplease find enclosed\n"), "noise.dxf": noise, "good.dxf": drawingOf(PLATE) };
  for (const [name, bytes] of Object.entries(paths)) writeFileSync(join(folder, name), bytes);
  const names = readdirSync(folder).map((name) => join(folder, name));
  await opened(tab, [...names, join(fixtures, "native-drawing.dxf"), join(fixtures, "truncated.dxf")]);
  const list = await said(tab);
  hold("trouble", list.get("good.dxf")?.state === "1 ok", `the good drawing: ${JSON.stringify(list.get("good.dxf"))}`);
  for (const [name, words] of [["empty.dxf", "empty"], ["letter.txt", "no DXF"], ["noise.dxf", ""], ["huge.dxf", "larger than 1 GB"], ["native-drawing.dxf", "DWG"]]) {
    const told = list.get(name);
    hold("trouble", told?.state === "not measured" && told.why.includes(words) && told.why.length > 8, `${name} is told as ${JSON.stringify(told)}`);
  }
  // What could be read is drawn, though nothing on it closes; and again after another was looked at.
  await opened(tab, [join(fixtures, "no-outlines.dxf")]);
  for (const name of ["no-outlines", "good", "no-outlines"]) {
    await tab.locator("#list .drawing", { hasText: name }).click();
    await idle(tab);
    hold("trouble", await tab.isEnabled("#fit"), `${name} is not drawn`);
  }
  const rows = rowsOf((await taken(tab, "One schedule as CSV")).bytes.toString());
  hold("trouble", rows.length >= 8, `the schedule has ${rows.length} rows`);
  await tab.context().close();

  // A file that changes while it is read.
  const changing = await fresh(browser, page);
  const place = join(folder, "changing.dxf");
  writeFileSync(place, drawingOf(PLATE));
  await changing.setInputFiles("#files", [place]);
  await idle(changing);
  writeFileSync(place, Buffer.concat([drawingOf(PLATE), Buffer.from("\n")]));
  await changing.click("#tab-options");
  await set(changing, "units", "cm");
  const told = (await said(changing)).get("changing.dxf");
  hold("a file that changes", told.state === "not measured" && told.why.includes("changed or went away"), JSON.stringify(told));
  await changing.context().close();

  // One that takes too long, and one behind it.
  const late = await fresh(browser, page);
  await late.click("#tab-options");
  await late.fill("#option-seconds", "1");
  await late.locator("#option-seconds").blur();
  // Many times the limit on the fastest machine.
  const slow = { name: "a slow.dxf", mimeType: "", buffer: heavy(400_000) };
  const quick = { name: "b quick.dxf", mimeType: "", buffer: drawingOf(PLATE) };
  await opened(late, [slow, quick]);
  const both = await said(late);
  hold("time limit", both.get("a slow.dxf").state === "not measured" && both.get("a slow.dxf").why.includes("1 s"), JSON.stringify(both.get("a slow.dxf")));
  hold("time limit", both.get("b quick.dxf").state === "1 ok", JSON.stringify(both.get("b quick.dxf")));
  const late_rows = rowsOf((await taken(late, "One schedule as CSV")).bytes.toString());
  hold("time limit", late_rows.length === 3 && late_rows[1].includes("failed"), `the schedule has ${JSON.stringify(late_rows.map((row) => row.slice(0, 4)))}`);
  // Stopped by hand, and measured after all.
  await late.fill("#option-seconds", "600");
  await late.locator("#option-seconds").blur();
  await late.click('#panel-options button:text-is("Reset options")');
  await late.waitForSelector("#stop:visible");
  await late.click("#stop");
  await idle(late);
  const stopped = await said(late);
  hold("stop", [...stopped.values()].some(({ state }) => state === "stopped"), JSON.stringify([...stopped]));
  await late.locator("#list .drawing", { hasText: "quick" }).click();
  await idle(late);
  hold("stop", (await said(late)).get("b quick.dxf").state === "1 ok", "a drawing that was stopped is not measured when it is chosen");
  await late.context().close();

  // One that the engine fails in: it says so, the others go on, and their rows are there though the engine is a new one.
  const breaking = `const Own = Worker;
    window.Worker = class extends Own {
      postMessage(data) {
        if (data.request?.do !== "open" || data.request.name !== "b trap.dxf") return super.postMessage(data);
        setTimeout(() => this.onmessage({ data: { ticket: data.ticket, fault: "unreachable" } }), 20);
      }
    };`;
  const broken = await fresh(browser, page, { scripts: [breaking] });
  const plates = ["a.dxf", "b trap.dxf", "c.dxf"].map((name) => ({ name, mimeType: "", buffer: drawingOf(PLATE) }));
  await opened(broken, plates);
  const three = await said(broken);
  hold("a trap", three.get("a.dxf").state === "1 ok" && three.get("c.dxf").state === "1 ok", JSON.stringify([...three]));
  hold("a trap", three.get("b trap.dxf").state === "not measured" && three.get("b trap.dxf").why.includes("unreachable"), JSON.stringify(three.get("b trap.dxf")));
  const four = rowsOf((await taken(broken, "One schedule as CSV")).bytes.toString());
  hold("a trap", four.map((row) => row[0]).join() === "drawing,a.dxf,b trap.dxf,c.dxf", `rows of ${four.map((row) => row[0])}`);
  await broken.locator("#list ul button").first().click();
  await idle(broken);
  await broken.waitForSelector('#panel-section tr[data-column="area"]');
  await broken.context().close();

  // Several options changed one right after the other all hold, and what was being measured with the old ones is given up.
  const hasty = await fresh(browser, page);
  await opened(hasty, [{ name: "sieve.dxf", mimeType: "", buffer: heavy(80_000) }]);
  const began = Date.now();
  await hasty.click("#tab-options");
  await hasty.evaluate(() => {
    for (const [id, value] of [["option-units", "cm"], ["option-digits", "4"], ["option-mass_units", "lb"], ["option-density", "7850"]]) {
      const field = document.getElementById(id);
      field.value = value;
      field.dispatchEvent(new Event("change"));
    }
  });
  await hasty.waitForTimeout(100);
  await idle(hasty);
  await hasty.click("#tab-section");
  await hasty.waitForSelector('#panel-section tr[data-column="mass_per_length"]');
  const units = await hasty.locator('#panel-section tr[data-column="mass_per_length"] .unit').textContent();
  const area = await hasty.locator('#panel-section tr[data-column="area"]').textContent();
  hold("hasty", units === "lb/ft" && area.includes("cm2"), `after four changes ${area} and ${units}`);
  console.log(`four options changed at once: ${((Date.now() - began) / 1000).toFixed(1)} s`);
  await hasty.context().close();
  rmSync(folder, { recursive: true });
}

/// A thousand files at once, and the page answers all the while.
export async function many(browser, page) {
  const tab = await fresh(browser, page);
  const bytes = (k) => (k % 97 === 13 ? Buffer.from("no drawing") : drawingOf([[`PLATE ${k}`, [[0, 0], [90 + k, 0], [90, 40], [0, 40]]]]));
  const files = Array.from({ length: 1000 }, (_, k) => ({ name: `part ${k}.dxf`, mimeType: "", buffer: bytes(k) }));
  await tab.evaluate(() => {
    window.longest = 0;
    let last = performance.now();
    const beat = () => {
      const now = performance.now();
      window.longest = Math.max(window.longest, now - last);
      last = now;
      window.beating = requestAnimationFrame(beat);
    };
    beat();
  });
  const began = Date.now();
  await opened(tab, files, 300_000);
  const longest = await tab.evaluate(() => window.longest);
  console.log(`1,000 files in ${((Date.now() - began) / 1000).toFixed(1)} s; the page was busy for ${longest.toFixed(0)} ms at most`);
  hold("many", longest < 3000, `the page did not answer for ${longest.toFixed(0)} ms`);
  hold("many", (await tab.textContent("#status")) === "989 drawings measured, 11 not.", await tab.textContent("#status"));
  const rows = rowsOf((await taken(tab, "One schedule as CSV")).bytes.toString());
  hold("many", rows.length === 1001, `${rows.length} rows`);
  await tab.click("#show-schedule");
  await tab.selectOption("#filter-status", "failed");
  hold("many", (await tab.textContent("#filter-count")) === "11 of 1,000 rows", await tab.textContent("#filter-count"));
  await tab.selectOption("#filter-status", "");
  await tab.fill("#filter-words", "PLATE 55");
  hold("many", (await tab.textContent("#filter-count")) === "11 of 1,000 rows", await tab.textContent("#filter-count"));
  await tab.locator("#table thead button", { hasText: "area_mm2" }).click();
  await tab.locator("#table thead button", { hasText: "area_mm2" }).click();
  const first = await tab.locator("#table tbody tr").first().textContent();
  hold("many", first.includes("PLATE 559"), `sorted by area, falling, the first is ${first.slice(0, 60)}`);
  hold("many", (await tab.locator('#table th[aria-sort="descending"]').count()) === 1, "the order is not told");
  await tab.locator("#table tbody button").first().click();
  await idle(tab);
  hold("many", (await tab.textContent("#panel-section h2")) === "PLATE 559", "a row does not lead to its section");
  await tab.context().close();
}
