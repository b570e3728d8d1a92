// What nobody may do with the page: connect anywhere, run a script that is not its own, make markup of a drawing's words.
import { readFileSync } from "node:fs";
import { createServer } from "node:http";
import { drawingOf, fault, fresh, hold, idle, opened } from "./browser.mjs";

/// Each tries to break the policy; the browser must tell of a violation of this directive, or refuse.
const ATTEMPTS = {
  "a request": ["connect-src", () => fetch("http://127.0.0.1:8197/").catch(() => {})],
  "a socket": ["connect-src", () => new WebSocket("ws://127.0.0.1:8197/")],
  "a beacon": ["connect-src", () => navigator.sendBeacon("http://127.0.0.1:8197/", "x")],
  "an event source": ["connect-src", () => new EventSource("http://127.0.0.1:8197/")],
  "a picture": ["img-src", () => Object.assign(new Image(), { src: "http://127.0.0.1:8197/x.png" })],
  "a script from elsewhere": ["script-src-elem", () => document.head.append(Object.assign(document.createElement("script"), { src: "http://127.0.0.1:8197/x.js" }))],
  "a script within": ["script-src-elem", () => document.head.append(Object.assign(document.createElement("script"), { textContent: "window.broken = true" }))],
  "a handler": ["script-src-attr", () => {
    document.body.insertAdjacentHTML("beforeend", '<p onclick="window.broken = true" id="trap"></p>');
    document.getElementById("trap").click();
  }],
  "text as a script": ["script-src", () => { try { new Function("window.broken = true")(); } catch { /* refused */ } }],
  "a style within": ["style-src-elem", () => document.head.append(Object.assign(document.createElement("style"), { textContent: "body{display:none}" }))],
  "a style from elsewhere": ["style-src-elem", () => document.head.append(Object.assign(document.createElement("link"), { rel: "stylesheet", href: "http://127.0.0.1:8197/x.css" }))],
  "a font": ["font-src", () => new FontFace("x", "url(http://127.0.0.1:8197/x.woff)").load().catch(() => {})],
  "a page within": ["frame-src", () => document.body.append(Object.assign(document.createElement("iframe"), { src: "http://127.0.0.1:8197/" }))],
  "an object": ["object-src", () => document.body.append(Object.assign(document.createElement("object"), { data: "http://127.0.0.1:8197/x" }))],
  "a film": ["media-src", () => Object.assign(document.createElement("video"), { src: "http://127.0.0.1:8197/x.mp4" }).load()],
  "a worker from a text": ["worker-src", () => { try { new Worker("data:text/javascript,postMessage(1)"); } catch { /* refused */ } }],
  "another base": ["base-uri", () => document.head.append(Object.assign(document.createElement("base"), { href: "http://127.0.0.1:8197/" }))],
  "a form that is sent": ["form-action", () => { const form = Object.assign(document.createElement("form"), { action: "http://127.0.0.1:8197/" }); document.body.append(form); form.submit(); }],
};

/// The policy, by trying to break it.
export async function policy(browser, page) {
  // Whatever goes out arrives here.
  const arrived = [];
  const server = createServer((request, response) => {
    arrived.push(request.url);
    response.end("x");
  });
  await new Promise((resolve) => server.listen(8197, "127.0.0.1", resolve));
  const tab = await fresh(browser, page, { isTried: true });
  const written = await tab.getAttribute('meta[http-equiv="Content-Security-Policy"]', "content");
  hold("policy", written.startsWith("default-src 'none'; ") && !/unsafe-inline|unsafe-eval'(?<!wasm-unsafe-eval')|https?:|\*/.test(written.replaceAll(/'sha256-[^']*'/g, "")), written);
  hold("policy", !written.includes("connect-src"), "it lets something connect");
  for (const [what, [directive, attempt]] of Object.entries(ATTEMPTS)) {
    const told = await tab.evaluate(
      async ([text, directive]) => {
        const told = [];
        const listen = (event) => told.push(event.effectiveDirective);
        document.addEventListener("securitypolicyviolation", listen);
        // Beside what the test itself does, which the browser lets through.
        setTimeout(() => window[`try_${text}`](), 0);
        for (let wait = 0; wait < 40 && !told.includes(directive); wait += 1) await new Promise((resolve) => setTimeout(resolve, 50));
        document.removeEventListener("securitypolicyviolation", listen);
        return told;
      },
      [await named(tab, what, attempt), directive],
    );
    hold("policy", told.includes(directive), `${what} is not refused: the browser told of ${told.join(", ") || "nothing"}`);
  }
  hold("policy", (await tab.evaluate(() => window.broken)) === undefined, "a script that is not the page's was run");
  // The worker is bound by it too.
  const inWorker = await tab.evaluate(
    () =>
      new Promise((resolve) => {
        const text = 'fetch("http://127.0.0.1:8197/").then(() => postMessage("sent"), (error) => postMessage("refused"));';
        const worker = new Worker(URL.createObjectURL(new Blob([text])));
        worker.onmessage = ({ data }) => resolve(data);
      }),
  );
  hold("policy", inWorker === "refused", `a worker's request was ${inWorker}`);
  hold("policy", arrived.length === 0, `requests went out: ${arrived.join(", ")}`);
  await tab.context().close();
  // The server would have seen them.
  await fetch("http://127.0.0.1:8197/seen");
  hold("policy", arrived.includes("/seen"), "the server of this test sees nothing");
  await new Promise((resolve) => server.close(resolve));
}

/// Gives the window a function, and its name.
async function named(tab, what, attempt) {
  const name = what.replaceAll(" ", "_");
  await tab.evaluate(`window["try_${name}"] = ${attempt.toString()}`);
  return name;
}

const SQUARE = [[0, 0], [40, 0], [40, 30], [0, 30]];
const moved = (k) => SQUARE.map(([x, y]) => [x + 60 * k, y]);

const HOSTILE = [
  '<img src=x onerror="alert(1)">',
  "<script>alert(2)</script>",
  '"><svg onload=alert(3)>',
  "=HYPERLINK(\"http://127.0.0.1:8197/\",\"x\")",
  "@SUM(1+1)*cmd|' /C calc'!A0",
  "\u202egnp.exe",
  "{{7*7}}${7*7}",
  "&lt;b&gt;bold",
  "__proto__",
  "javascript:alert(4)",
];

/// Names that would be markup, formulas or turned text stay text, and the page has the elements of one with tame names.
export async function hostile(browser, page) {
  const shapes = [];
  for (const names of [HOSTILE, HOSTILE.map((_, k) => `LAYER ${k}`)]) {
    const tab = await fresh(browser, page);
    const bytes = drawingOf(names.map((name, k) => [name, moved(k)]));
    const file = names === HOSTILE ? '<img src=x onerror=alert(5)> "&.dxf' : "tame names of some length.dxf";
    await opened(tab, [{ name: file, mimeType: "", buffer: bytes }]);
    const shape = {};
    await tab.click("#tab-section");
    await tab.waitForSelector("#panel-section details");
    for (const name of ["section", "findings", "layers", "strips"]) {
      await tab.click(`#tab-${name}`);
      if (name === "strips") await tab.waitForSelector("#strips-sums table");
      shape[name] = await counts(tab, `#panel-${name}`);
    }
    shape.list = await counts(tab, "#list");
    await tab.click("#tab-layers");
    const layers = await tab.locator("#panel-layers strong bdi").allTextContents();
    const wanted = names.map((name) => name.replaceAll("\u202e", "\ufffd"));
    hold("hostile names", wanted.every((name) => layers.includes(name)), `layers are shown as ${JSON.stringify(layers)}`);
    await tab.click("#show-schedule");
    shape.table = await counts(tab, "#table");
    await tab.click("#show-drawing");
    await tab.click("#print");
    await tab.waitForSelector("#sheet-dialog[open]");
    shape.sheet = await tab.evaluate(() => {
      const all = [...document.querySelector("#sheet-frame").contentDocument.querySelectorAll("*")];
      return all.filter((one) => ["IMG", "SCRIPT", "IFRAME"].includes(one.tagName) || [...one.attributes].some(({ name }) => name.startsWith("on"))).length;
    });
    const active = await tab.evaluate(() => [...document.querySelectorAll("img, object, embed, base, body script:not([type]) ~ script, [onload], [onerror]")].length);
    hold("hostile names", active === 0 && shape.sheet === 0, `${active} elements of markup on the page, ${shape.sheet} on the sheet`);
    shapes.push(shape);
    await tab.context().close();
  }
  const [own, tame] = shapes.map((shape) => JSON.stringify(shape));
  hold("hostile names", own === tame, `the page has other elements than with tame names:\n${own}\n${tame}`);
}

/// How many elements of each kind stand in a place.
function counts(tab, place) {
  return tab.locator(place).evaluate((one) => {
    const found = {};
    for (const { tagName } of one.querySelectorAll("*")) found[tagName] = (found[tagName] ?? 0) + 1;
    return Object.fromEntries(Object.entries(found).sort());
  });
}

/// From a web server it asks for nothing but itself.
export async function served(browser, page) {
  const asked = [];
  const server = createServer((request, response) => {
    asked.push(request.url);
    response.setHeader("content-type", "text/html; charset=utf-8");
    response.end(readFileSync(page));
  });
  await new Promise((resolve) => server.listen(8198, "127.0.0.1", resolve));
  const context = await browser.newContext();
  const tab = await context.newPage();
  tab.on("console", (message) => fault("served", message.text()));
  await tab.goto("http://127.0.0.1:8198/tools/tracearm.html");
  await idle(tab);
  hold("served", (await tab.textContent("#status")).includes("3 sections measured"), await tab.textContent("#status"));
  hold("served", asked.filter((url) => url !== "/favicon.ico").length === 1, `it asked for ${asked.join(", ")}`);
  await context.close();
  await new Promise((resolve) => server.close(resolve));
}

/// Settings stay, a browser that refuses to keep them is no trouble, and nothing of a drawing is kept.
export async function storage(browser, page) {
  const refusing = 'Object.defineProperty(window, "localStorage", { get() { throw new DOMException("no", "SecurityError"); } });';
  const tab = await fresh(browser, page, { scripts: [refusing] });
  hold("storage refused", (await tab.textContent("#status")).includes("3 sections measured"), await tab.textContent("#status"));
  await tab.click("#tab-options");
  await tab.selectOption("#option-units", "cm");
  await idle(tab);
  await tab.click("#tab-section");
  hold("storage refused", (await tab.textContent("#panel-section")).includes("cm"), "options have no effect");
  await tab.context().close();

  const full = 'Storage.prototype.setItem = () => { throw new DOMException("full", "QuotaExceededError"); };';
  const filled = await fresh(browser, page, { scripts: [full, 'localStorage.getItem = () => "[not json";'] });
  hold("storage full", (await filled.textContent("#status")).includes("3 sections measured"), await filled.textContent("#status"));
  await filled.context().close();

  const kept = await fresh(browser, page);
  await kept.click("#tab-options");
  await kept.selectOption("#option-units", "in");
  await idle(kept);
  await opened(kept, [{ name: "secret of the shop.dxf", mimeType: "", buffer: drawingOf([["HIDDEN NAME", SQUARE]]) }]);
  await kept.reload();
  await idle(kept);
  hold("storage", (await kept.inputValue("#option-units")) === "in", "the unit is forgotten");
  hold("storage", (await kept.getAttribute("#tab-options", "aria-selected")) === "true", "the tab is forgotten");
  hold("storage", (await kept.locator("#list li").count()) === 0, "a drawing was kept, or the example came back");
  hold("storage", await kept.isVisible("#example"), "there is no way to the example");
  const text = await kept.evaluate(() => JSON.stringify(localStorage));
  hold("storage", !text.includes("HIDDEN NAME"), `kept: ${text}`);
  const databases = await kept.evaluate(async () => [(await indexedDB.databases()).length, document.cookie.length, sessionStorage.length]);
  hold("storage", databases.every((count) => count === 0), `other things are kept: ${databases}`);
  if (text.length > 2000) fault("storage", `${text.length} letters are kept`);
  await kept.context().close();
}
