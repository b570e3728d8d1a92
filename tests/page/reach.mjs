// Keys, mouse and touch.
import { readdirSync } from "node:fs";
import { join } from "node:path";
import { drawingOf, fault, fresh, hold, idle, opened } from "./browser.mjs";

/// All that can be pressed is reached by the tabulator key, and seen when it is.
export async function keyboard(browser, page) {
  const tab = await fresh(browser, page);
  for (const panel of ["section", "findings", "layers", "strips", "options"]) {
    await tab.click(`#tab-${panel}`);
    await tab.evaluate(() => document.activeElement.blur());
    const wanted = await tab.evaluate(() => {
      const all = [...document.querySelectorAll("button, select, input, [tabindex], a[href]")];
      // Of tabs and of ways that exclude each other one is in the order, the others are reached by arrows.
      const can = (one) => one.checkVisibility() && !one.disabled && one.tabIndex >= 0 && !(one.type === "radio" && !one.checked);
      all.filter(can).forEach((one, k) => (one.dataset.reach = String(k)));
      return all.filter(can).length;
    });
    const reached = new Set();
    let faint = "";
    for (let k = 0; k < wanted + 5; k += 1) {
      await tab.keyboard.press("Tab");
      const now = await tab.evaluate(() => {
        const one = document.activeElement;
        const { outlineStyle, outlineWidth } = getComputedStyle(one);
        return { reach: one.dataset.reach, name: one.id || one.textContent.slice(0, 40), isSeen: outlineStyle !== "none" && Number.parseFloat(outlineWidth) >= 2 };
      });
      if (now.reach !== undefined) reached.add(now.reach);
      if (now.reach !== undefined && !now.isSeen) faint = now.name;
    }
    const missed = await tab.evaluate((reached) => {
      const all = [...document.querySelectorAll("[data-reach]")].filter((one) => !reached.includes(one.dataset.reach));
      const names = all.map((one) => one.id || one.textContent.slice(0, 40));
      document.querySelectorAll("[data-reach]").forEach((one) => delete one.dataset.reach);
      return names;
    }, [...reached]);
    hold(`keyboard, ${panel}`, missed.length === 0 && wanted > 15, `of ${wanted} not reached: ${missed.join(", ")}`);
    hold(`keyboard, ${panel}`, faint === "", `focus is not seen on ${faint}`);
  }
  // Tabs by arrows.
  await tab.focus("#tab-options");
  await tab.keyboard.press("ArrowRight");
  hold("keyboard", (await tab.getAttribute("#tab-section", "aria-selected")) === "true", "arrows do not go round the tabs");
  // A section, the view and a distance by keys alone.
  await tab.focus("#canvas");
  const place = () => tab.textContent("#place");
  const before = await place();
  await tab.keyboard.press("ArrowRight");
  const after = await place();
  hold("keyboard", before !== after, "arrows do not move the drawing");
  await tab.keyboard.press("]");
  await idle(tab);
  hold("keyboard", (await tab.textContent("#panel-section h2")) === "PLATE", "brackets do not choose the next section");
  hold("keyboard", (await tab.getAttribute("#canvas", "aria-label")).includes("section PLATE"), "the chosen section is not told");
  await tab.keyboard.press("d");
  await tab.keyboard.press("ArrowRight");
  await tab.keyboard.press("d");
  const words = await tab.textContent("#measured-distance");
  const first = /Distance ([\d.]+) mm: to the right ([\d.]+) mm, upwards 0 mm/.exec(words);
  hold("keyboard", first && first[1] === first[2] && Number(first[1]) > 0, `the distance is told as ${words}`);
  await tab.keyboard.press("Escape");
  hold("keyboard", (await tab.getAttribute("#distance", "aria-pressed")) === "false", "Escape does not end measuring");
  // Dialogs give the focus back.
  await tab.focus("#take");
  await tab.keyboard.press("Enter");
  await tab.keyboard.press("Escape");
  hold("keyboard", await tab.evaluate(() => document.activeElement.id === "take"), "a dialog keeps the focus");
  await tab.context().close();
}

/// The view in drawing coordinates, from what is told under the pointer.
async function pointAt(tab, x, y) {
  await tab.mouse.move(x, y);
  await tab.waitForTimeout(60);
  const [, px, py] = /x (\S+)\s+y (\S+)/.exec((await tab.textContent("#place")).replaceAll("−", "-"));
  return [Number(px), Number(py)];
}

/// Mouse, wheel and touch move the drawing as they should, and a press chooses.
export async function hands(browser, page, fixtures) {
  const tab = await fresh(browser, page);
  const box = await tab.locator("#canvas").boundingBox();
  const [mx, my] = [box.x + box.width / 2, box.y + box.height / 2];
  const near = (a, b, size) => Math.hypot(a[0] - b[0], a[1] - b[1]) < size;
  const was = await pointAt(tab, mx, my);
  // What lies under the pointer stays there.
  await tab.mouse.wheel(0, -400);
  hold("wheel", near(await pointAt(tab, mx, my), was, 1), "zooming moves what is under the pointer");
  await tab.mouse.down();
  await tab.mouse.move(mx + 120, my - 60, { steps: 6 });
  await tab.mouse.up();
  hold("drag", near(await pointAt(tab, mx + 120, my - 60), was, 1.5), "dragging does not take the drawing along");
  await tab.click("#fit");
  // A press on the plate at the left, off its holes, chooses it.
  await tab.click("#list ul li:nth-child(3) button");
  await idle(tab);
  const target = [240, 300];
  const [left, top] = [await pointAt(tab, box.x + 5, box.y + 5), await pointAt(tab, box.x + box.width - 5, box.y + box.height - 5)];
  const px = box.x + 5 + ((target[0] - left[0]) / (top[0] - left[0])) * (box.width - 10);
  const py = box.y + 5 + ((target[1] - left[1]) / (top[1] - left[1])) * (box.height - 10);
  await tab.mouse.click(px, py);
  await idle(tab);
  hold("press", (await tab.textContent("#panel-section h2")) === "PLATE", `a press on the plate chooses ${await tab.textContent("#panel-section h2")}`);
  // Ends nearby are taken as they are drawn: the gusset's lower edge is 200 long, less what its loose lines slip by.
  await tab.click("#distance");
  const at = (x, y) => [box.x + 5 + ((x - left[0]) / (top[0] - left[0])) * (box.width - 10), box.y + 5 + ((y - left[1]) / (top[1] - left[1])) * (box.height - 10)];
  for (const [x, y] of [[560, 80], [760, 80]]) {
    const [dx, dy] = at(x, y);
    await tab.mouse.click(dx + 3, dy - 3);
  }
  const words = await tab.textContent("#measured-distance");
  hold("distance", /^Distance 200(\.00\d+)? mm: to the right 200(\.00\d+)? mm, upwards 0 mm/.test(words), words);
  await tab.context().close();

  // A finding leads to its place and back.
  const crossing = await fresh(browser, page);
  await opened(crossing, [join(fixtures, "crossing-outlines.dxf")]);
  await crossing.click("#tab-findings");
  await crossing.locator("#panel-findings button").first().click();
  await crossing.waitForTimeout(300);
  const told = /at ([\d.-]+),([\d.-]+)\)/.exec(await crossing.locator("#panel-findings li").first().textContent());
  await crossing.mouse.move(5, 5);
  const there = await crossing.locator("#canvas").boundingBox();
  const [fx, fy] = [there.x + there.width / 2, there.y + there.height / 2];
  const point = await pointAt(crossing, fx, fy);
  hold("findings", near(point, [Number(told[1]), Number(told[2])], 1), `the place ${told[0]} is shown at ${point}`);
  await crossing.click("#tab-section");
  await crossing.mouse.click(fx, fy);
  await crossing.waitForTimeout(200);
  hold("findings", await crossing.isVisible('#panel-findings [aria-current="true"]'), "a mark does not lead back to its finding");
  await crossing.context().close();

  // Two fingers.
  const phone = await fresh(browser, page, { viewport: { width: 360, height: 740 }, hasTouch: true, isMobile: true });
  await phone.locator("#canvas").scrollIntoViewIfNeeded();
  const own = await phone.locator("#canvas").boundingBox();
  const [cx, cy] = [own.x + own.width / 2, own.y + 150];
  const digits = async () => (/\.(\d+)/.exec(await phone.textContent("#place")) ?? ["", ""])[1].length;
  const session = await phone.context().newCDPSession(phone);
  const touch = (type, apart) =>
    session.send("Input.dispatchTouchEvent", { type, touchPoints: apart === undefined ? [] : [{ x: cx - apart, y: cy, id: 1 }, { x: cx + apart, y: cy, id: 2 }] });
  const first = await digits();
  await touch("touchStart", 10);
  for (const apart of [20, 40, 80, 120, 140]) await touch("touchMove", apart);
  await touch("touchEnd");
  await phone.waitForTimeout(100);
  if ((await digits()) <= first) fault("pinch", "two fingers do not zoom");
  await phone.context().close();
}

/// Folders and dropped files are opened, the last view comes back, and the sheet is printed.
export async function doors(browser, page, fixtures) {
  const tab = await fresh(browser, page);
  await tab.setInputFiles("#folder", fixtures);
  await tab.waitForTimeout(100);
  await idle(tab);
  const names = await tab.locator("#list .drawing bdi").allTextContents();
  const files = readdirSync(fixtures, { recursive: true }).filter((name) => /\.dxf$/i.test(name));
  hold("a folder", names.length === files.length && names.includes("fixtures/mangled/discs-by-the-thousand.dxf") && !names.some((name) => name.endsWith(".md")), `${names.length} drawings of ${files.length} in the folder`);
  await tab.click("#close-all");

  // Dropped.
  const bytes = drawingOf([["DROPPED PLATE", [[0, 0], [90, 0], [90, 40], [0, 40]]]]).toString("base64");
  await tab.evaluate((text) => {
    const transfer = new DataTransfer();
    const letters = Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0));
    transfer.items.add(new File([letters], "dropped.dxf"));
    for (const type of ["dragenter", "dragover"]) document.body.dispatchEvent(new DragEvent(type, { bubbles: true, cancelable: true, dataTransfer: transfer }));
    window.wasShown = !document.querySelector("#drop").hidden;
    document.body.dispatchEvent(new DragEvent("drop", { bubbles: true, cancelable: true, dataTransfer: transfer }));
  }, bytes);
  await tab.waitForTimeout(100);
  await idle(tab);
  hold("dropping", await tab.evaluate(() => window.wasShown && document.querySelector("#drop").hidden), "it is not shown where files can be dropped");
  hold("dropping", (await tab.textContent("#panel-section h2")) === "DROPPED PLATE", await tab.textContent("#panel-section"));

  // The sheet is what is printed, by its button and by keys.
  await tab.keyboard.press("Control+p");
  await tab.waitForSelector("#sheet-dialog[open]");
  await tab.evaluate(() => (document.querySelector("#sheet-frame").contentWindow.print = () => (window.printed = document.querySelector("#sheet-frame").contentDocument.body.textContent)));
  await tab.click("#sheet-print");
  hold("printing", (await tab.evaluate(() => window.printed)).includes("DROPPED PLATE"), "the sheet is not printed");
  await tab.click("#sheet-dialog .close");

  // The view of a drawing comes back with it.
  const plate = join(fixtures, "gantry-end-plate.dxf");
  await opened(tab, [plate]);
  await tab.click("#zoom-to");
  for (let k = 0; k < 3; k += 1) await tab.click("#zoom-in");
  await tab.waitForTimeout(600);
  const was = await tab.textContent("#place");
  await tab.reload();
  await idle(tab);
  await opened(tab, [plate]);
  hold("the last view", (await tab.textContent("#place")) === was, `${was} became ${await tab.textContent("#place")}`);
  await tab.context().close();
}

/// A drawing that takes a while, with all its circles on one layer.
export function heavy(count) {
  const lines = ["0", "SECTION", "2", "ENTITIES"];
  const side = Math.ceil(Math.sqrt(count));
  for (let k = 0; k < count; k += 1) {
    lines.push("0", "CIRCLE", "8", "SIEVE", "10", String((k % side) * 10), "20", String(Math.floor(k / side) * 10), "40", "4");
  }
  lines.push("0", "ENDSEC", "0", "EOF", "");
  return Buffer.from(lines.join("\n"));
}

export { drawingOf };
