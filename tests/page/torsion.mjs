// The mesh and contour lines of torsion on the drawing.
import { readFileSync } from "node:fs";
import { fresh, hold, idle, opened, set } from "./browser.mjs";

/// An ellipse off the origin, turned, with these half axes.
const [CX, CY, A, B, TURN] = [3000, -1400, 100, 64, 0.4];

function ellipse() {
  const [ux, uy] = [A * Math.cos(TURN), A * Math.sin(TURN)];
  const pairs = [[0, "SECTION"], [2, "HEADER"], [9, "$INSUNITS"], [70, 4], [0, "ENDSEC"], [0, "SECTION"], [2, "ENTITIES"], [0, "ELLIPSE"], [8, "SHAFT"], [10, CX], [20, CY], [11, ux], [21, uy], [40, B / A], [41, 0], [42, 2 * Math.PI], [0, "ENDSEC"], [0, "EOF"]];
  return { name: "shaft.dxf", mimeType: "", buffer: Buffer.from(pairs.flat().join("\n") + "\n") };
}

/// The view in drawing coordinates, as it is told under the pointer.
async function placeAt(tab, x, y) {
  await tab.mouse.move(x, y);
  await tab.waitForTimeout(60);
  return /x (\S+)\s+y (\S+)/.exec((await tab.textContent("#place")).replaceAll("−", "-")).slice(1).map(Number);
}

/// Colours of the canvas along a line between two points of the drawing.
async function colours(tab, from, to, count) {
  const box = await tab.locator("#canvas").boundingBox();
  const [left, top] = [await placeAt(tab, box.x + 4, box.y + 4), await placeAt(tab, box.x + box.width - 4, box.y + box.height - 4)];
  const scale = (box.width - 8) / (top[0] - left[0]);
  const px = ([x, y]) => [4 + (x - left[0]) * scale, 4 + (left[1] - y) * scale];
  return tab.evaluate(([[ax, ay], [bx, by], count]) => {
    const canvas = document.querySelector("#canvas");
    const ratio = canvas.width / canvas.clientWidth;
    const copy = Object.assign(document.createElement("canvas"), { width: canvas.width, height: canvas.height }).getContext("2d", { willReadFrequently: true });
    copy.drawImage(canvas, 0, 0);
    const { data } = copy.getImageData(0, 0, canvas.width, canvas.height);
    return Array.from({ length: count + 1 }, (_, k) => {
      const [x, y] = [ax + ((bx - ax) * k) / count, ay + ((by - ay) * k) / count].map((value) => Math.floor(value * ratio));
      return [...data.subarray(4 * (y * canvas.width + x), 4 * (y * canvas.width + x) + 3)];
    });
  }, [px(from), px(to), count]);
}

/// Contour lines of an ellipse lie where theory has them, can be switched off by keys, and are named as on the sheet.
export async function torsion(browser, page) {
  const tab = await fresh(browser, page);
  await opened(tab, [ellipse()]);
  hold("torsion", (await tab.locator("#torsion-on").count()) === 0, "there is a switch for lines that were not asked for");
  await tab.click("#tab-options");
  await set(tab, "field", true);
  await tab.click("#tab-section");
  await tab.waitForFunction(() => document.querySelector("#torsion-words")?.textContent !== "");
  await tab.waitForTimeout(400);
  // The stress function of an ellipse is its largest value times 1 − (ξ/a)² − (η/b)² (Saint-Venant, 1855): on the way from the middle to the
  // edge it has k tenths of it at √(1 − k/10) of the way.
  const along = async (parameter) => {
    const [xi, eta] = [A * Math.cos(parameter), B * Math.sin(parameter)];
    const edge = [CX + xi * Math.cos(TURN) - eta * Math.sin(TURN), CY + xi * Math.sin(TURN) + eta * Math.cos(TURN)];
    const count = 900;
    const seen = await colours(tab, [CX, CY], edge, count);
    const isLine = seen.map(([red, , blue]) => blue - red > 45);
    const places = [];
    for (let k = Math.ceil(0.26 * count); k < 0.985 * count; k += 1) {
      if (!isLine[k]) continue;
      let end = k;
      while (isLine[end + 1]) end += 1;
      places.push((k + end) / 2 / count);
      k = end;
    }
    return places;
  };
  const expected = Array.from({ length: 9 }, (_, k) => Math.sqrt(1 - (9 - k) / 10));
  for (const parameter of [0.6, 2.3, 3.9]) {
    const places = await along(parameter);
    const isThere = places.length === 9 && places.every((place, k) => Math.abs(place - expected[k]) < 0.006);
    hold("torsion", isThere, `contour lines at ${places.map((place) => place.toFixed(3))}, by theory at ${expected.map((place) => place.toFixed(3))}`);
  }
  const grey = async () => {
    const seen = await colours(tab, [CX - 40, CY + 20], [CX + 70, CY - 10], 2000);
    return seen.filter(([red, , blue]) => red < 203 && red > 120 && blue - red < 25).length;
  };
  const withMesh = await grey();
  // What the lines are is said as on the sheet.
  const words = await tab.textContent("#torsion-words");
  await tab.click("#print");
  await tab.waitForSelector("#sheet-dialog[open]");
  const [download] = await Promise.all([tab.waitForEvent("download"), tab.click("#sheet-save")]);
  const sheet = readFileSync(await download.path()).toString().replaceAll(/(<[^>]*>|\s)+/g, " ");
  await tab.click("#sheet-dialog .close");
  for (const part of words.replace("On the drawing: ", "").replace(/\.$/, "").split("; ")) hold("torsion", sheet.includes(part), `not on the sheet: ${part}`);
  hold("torsion", /; mesh of [1-9]\d* triangles\.$/.test(words), words);
  // By keys.
  await tab.focus("#torsion-on");
  await tab.keyboard.press("Space");
  await tab.waitForTimeout(400);
  hold("torsion", (await along(0.6)).length === 0, "contour lines are there after they were switched off");
  const without = await grey();
  hold("torsion", withMesh > without + 40, `${withMesh} grey places with the mesh, ${without} without`);
  hold("torsion", (await tab.textContent("#torsion-words")) === "" && (await tab.evaluate(() => document.activeElement.id)) === "torsion-on", "lines that are off are described, or the keyboard is elsewhere");
  await tab.keyboard.press("Space");
  await tab.waitForTimeout(400);
  hold("torsion", (await along(0.6)).length === 9, "contour lines do not come back");
  // Other options take them away.
  await tab.click("#tab-options");
  await set(tab, "field", false);
  await tab.click("#tab-section");
  await tab.waitForTimeout(400);
  hold("torsion", (await along(0.6)).length === 0 && (await tab.locator("#torsion-on").count()) === 0, "lines of what is no longer asked for");
  await idle(tab);
  await tab.context().close();
}
