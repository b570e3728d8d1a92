// Puts the page together: node web/build.mjs ENGINE_WASM OUTPUT_HTML
//
// ENGINE_WASM is what `web/engine` builds for wasm32-unknown-unknown. The modules of `web/page` become one script, in the order in which they
// need each other, style and script get their hashes in the page's policy, the engine and the example drawing stand in it
// as text. The page may have three megabytes.
import { createHash } from "node:crypto";
import { readFileSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { gzipSync } from "node:zlib";

const LARGEST = 3_000_000;
const EXAMPLE = "gantry-end-plate.dxf";

const here = dirname(fileURLToPath(import.meta.url));
const [engine, output] = process.argv.slice(2);
if (output === undefined) {
  console.error("usage: node web/build.mjs ENGINE_WASM OUTPUT_HTML");
  process.exit(2);
}

const engineBytes = readFileSync(engine);
const module = new WebAssembly.Module(engineBytes);
const imports = WebAssembly.Module.imports(module);
if (imports.length > 0) throw new Error(`the engine imports ${imports.map(({ module, name }) => `${module}.${name}`).join(", ")}`);

/// What the engine answers to a request, as text.
function answered(request) {
  const { memory, input, answer, output, output_length: length } = new WebAssembly.Instance(module, {}).exports;
  const head = new TextEncoder().encode(JSON.stringify(request));
  // Room for it may be new memory.
  const place = input(head.length);
  new Uint8Array(memory.buffer, place, head.length).set(head);
  if (answer(head.length) !== 0) throw new Error(`the engine does not answer ${JSON.stringify(request)}`);
  return new TextDecoder().decode(new Uint8Array(memory.buffer, output(), length()));
}

const page = (name) => readFileSync(join(here, "page", name), "utf8");

/// The modules that `name` needs and itself, each once, those first that others need.
function modules(name, found = new Map()) {
  if (found.has(name)) return found;
  found.set(name, undefined);
  const text = page(name);
  const imports = [...text.matchAll(/^import \{[^}]*\} from "\.\/(\w+\.js)";$/gm)].map(([, other]) => other);
  if (/^import (?!\{[^}]*\} from "\.\/\w+\.js";$)/m.test(text) || /\bimport\(|\bexport (default|\*|\{)/.test(text)) {
    throw new Error(`${name}: modules import names from each other, and nothing else`);
  }
  for (const other of imports) if (other !== "built.js") modules(other, found);
  found.delete(name);
  const own = text.replaceAll(/^import \{[^}]*\} from "\.\/\w+\.js";\n/gm, "").replaceAll(/^export /gm, "");
  return found.set(name, own);
}

/// Names that a module has at its outside: no two modules may have the same.
function names(text) {
  return [...text.matchAll(/^(?:async )?(?:const|let|function\*?|class) (\w+)/gm)].map(([, name]) => name);
}

/// Comments that have a line to themselves, and the spaces before it, say nothing to a browser.
const plain = (script) => script.replaceAll(/^\s*\/\/.*\n/gm, "").replaceAll(/^\s+/gm, "");

const version = /^version = "(.*)"$/m.exec(readFileSync(join(here, "..", "Cargo.toml"), "utf8"))[1];
const built = `
const VERSION = ${JSON.stringify(version)};
const CAUTION = ${JSON.stringify(answered({ do: "caution" }))};
const EXAMPLE_NAME = ${JSON.stringify(EXAMPLE)};
const ENGINE_OF_PAGE = () => document.getElementById("engine").textContent;
const EXAMPLE_OF_PAGE = () => document.getElementById("sample").textContent;
const WORKER_TEXT = ${JSON.stringify(plain(page("worker.js")))};
`;
const parts = [["built.js", built], ...modules("main.js")];
const owners = new Map();
for (const [module, text] of parts) {
  for (const name of names(text)) {
    if (owners.has(name)) throw new Error(`${name} is a name of ${owners.get(name)} and of ${module}`);
    owners.set(name, module);
  }
}
const script = `"use strict";\n(() => {${plain(parts.map(([, text]) => text).join("\n"))}})();\n`;
if (script.includes("</script") || script.includes("<!--")) throw new Error("the script would end its element");
const style = page("style.css");
const hash = (text) => `'sha256-${createHash("sha256").update(text).digest("base64")}'`;
const policy = [
  "default-src 'none'",
  `script-src ${hash(script)} 'wasm-unsafe-eval'`,
  `style-src ${hash(style)}`,
  "img-src blob: data:",
  "worker-src blob:",
  "base-uri 'none'",
  "form-action 'none'",
].join("; ");
const values = {
  POLICY: policy,
  STYLE: style,
  SCRIPT: script,
  ENGINE: gzipSync(engineBytes, { level: 9 }).toString("base64"),
  EXAMPLE: readFileSync(join(here, "..", "fixtures", EXAMPLE)).toString("base64"),
};
const html = page("index.html").replaceAll(/(?<=[">])(POLICY|STYLE|SCRIPT|ENGINE|EXAMPLE)(?=["<])/g, (_, name) => values[name]);
writeFileSync(output, html);
console.log(`${output}: ${html.length} bytes, of which the engine has ${values.ENGINE.length}`);
if (Buffer.byteLength(html) > LARGEST) {
  console.error(`the page may have ${LARGEST} bytes`);
  process.exit(1);
}
