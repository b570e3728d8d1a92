// How far a drawing has come is told while it is measured, and a long schedule is shown a part at a time.
import { drawingOf, fresh, hold, idle, opened, set } from "./browser.mjs";
import { heavy } from "./reach.mjs";

/// Circles on layers, in fields that lie apart from each other or within each other.
export function layered(layers, circles, areApart) {
  const lines = ["0", "SECTION", "2", "ENTITIES"];
  const side = Math.ceil(Math.sqrt(circles));
  for (let layer = 0; layer < layers; layer += 1) {
    const from = areApart ? layer * side * 12 : 0;
    for (let k = 0; k < circles; k += 1) {
      lines.push("0", "CIRCLE", "8", `SIEVE ${layer}`, "10", String(from + (k % side) * 10), "20", String(Math.floor(k / side) * 10), "40", areApart ? "4" : String(4 - 0.1 * layer));
    }
  }
  lines.push("0", "ENDSEC", "0", "EOF", "");
  return Buffer.from(lines.join("\n"));
}

/// The words of progress are true, go on and end.
export async function progress(browser, page) {
  for (const areApart of [true, false]) {
    const where = `progress, layers ${areApart ? "apart" : "over each other"}`;
    const tab = await fresh(browser, page);
    await tab.evaluate(() => {
      window.told = [];
      window.spoken = [];
      const words = document.querySelector("#progress-words");
      const bar = document.querySelector("#progress");
      const note = () => window.told.push([words.textContent, bar.getAttribute("aria-valuetext"), bar.hasAttribute("value") ? bar.value : undefined]);
      new MutationObserver(note).observe(words, { childList: true, characterData: true, subtree: true });
      const status = document.querySelector("#status");
      new MutationObserver(() => window.spoken.push(status.textContent)).observe(status, { childList: true, characterData: true, subtree: true });
    });
    await opened(tab, [{ name: "layers.dxf", mimeType: "", buffer: layered(24, areApart ? 6000 : 1500, areApart) }], 300_000);
    const told = await tab.evaluate(() => window.told);
    const count = (pattern) => {
      const seen = told.map(([words, , share]) => [pattern.exec(words), share]).filter(([found]) => found);
      const [numbers, shares] = [seen.map(([found]) => Number(found[1])), seen.map(([, share]) => share)];
      const grows = (list) => list.every((one, k) => k === 0 || one >= list[k - 1]);
      hold(where, grows(numbers) && grows(shares), `${pattern} goes back: ${numbers}`);
      hold(where, seen.every(([found, share]) => Number(found[1]) <= Number(found[2]) && share > 0 && share <= 1), `${pattern}: ${numbers} with ${shares}`);
      return new Set(numbers).size;
    };
    count(/^([\d.]+) of ([\d.]+) MB read$/);
    const [traced, measured] = [count(/^outlines of (\d+) of (24) layers found$/), count(/^(\d+) of (24) layers measured$/)];
    hold(where, measured >= 3, `layers are told ${measured} times`);
    hold(where, areApart ? traced === 0 : traced >= 1, `outlines are told ${traced} times`);
    const known = /^$|MB read$|layers found$|layers measured$/;
    hold(where, told.every(([words, valueText]) => known.test(words) && words === valueText), "the bar and the words beside it tell different things");
    hold(where, told.at(-1)?.[0] === "" && (await tab.isHidden("#progress")), "the words stay when all is measured");
    // Whoever listens is told what goes on, and not each layer.
    const spoken = await tab.evaluate(() => window.spoken);
    hold(where, spoken.length <= 6, `${spoken.length} words are spoken: ${spoken}`);
    await tab.context().close();
  }
}

/// A schedule of many rows, a part at a time.
export async function rows(browser, page) {
  const tab = await fresh(browser, page);
  await tab.click("#tab-options");
  await set(tab, "per", "part");
  await opened(tab, [{ name: "sieve.dxf", mimeType: "", buffer: heavy(1250) }, { name: "plate.dxf", mimeType: "", buffer: drawingOf([["PLATE", [[0, 0], [90, 0], [90, 40], [0, 40]]]]) }]);
  await tab.click("#show-schedule");
  const shown = async () => ({
    rows: await tab.locator("#table tbody tr").count(),
    words: await tab.textContent("#rows-shown"),
    first: await tab.locator("#table tbody tr button").first().textContent(),
    last: await tab.locator("#table tbody tr button").last().textContent(),
    focus: await tab.evaluate(() => document.activeElement.id),
  });
  const is = async (words, wanted) => {
    const own = await shown();
    const wrong = Object.entries(wanted).filter(([key, value]) => own[key] !== value);
    hold("rows", wrong.length === 0, `${words}: ${JSON.stringify(own)}`);
  };
  await is("at first", { rows: 100, words: "Rows 1 to 100", first: "PLATE#1", last: "SIEVE#99" });
  hold("rows", await tab.isDisabled("#rows-before"), "there are rows before the first");
  await tab.focus("#rows-after");
  await tab.keyboard.press("Enter");
  await is("after", { rows: 100, words: "Rows 101 to 200", first: "SIEVE#100", focus: "rows-after" });
  for (let k = 0; k < 11; k += 1) await tab.keyboard.press("Enter");
  await is("the last", { rows: 51, words: "Rows 1,201 to 1,251", last: "SIEVE#1250", focus: "rows-before" });
  hold("rows", await tab.isDisabled("#rows-after"), "there are rows after the last");
  // Sorted and filtered are all of them, and the first are shown.
  await tab.locator("#table thead button", { hasText: "area_mm2" }).click();
  await is("by area", { words: "Rows 1 to 100" });
  await tab.locator("#table thead button", { hasText: "area_mm2" }).click();
  await is("by area, falling", { first: "PLATE#1", rows: 100 });
  await tab.fill("#filter-words", "SIEVE#77");
  await is("filtered", { rows: 11 });
  hold("rows", await tab.isHidden("#rows-turn"), "eleven rows are turned over");
  await tab.fill("#filter-words", "");
  await tab.click("#rows-after");
  await tab.locator("#table tbody button").nth(3).click();
  await idle(tab);
  hold("rows", /^SIEVE#\d+$/.test(await tab.textContent("#panel-section h2")), "a row does not lead to its section");
  await tab.context().close();
}
