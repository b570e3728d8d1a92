// Holds the library as WebAssembly against the program: node run.mjs MODULE MODULE_WITH_PAGES PROGRAM FOLDER
//
// MODULE is what this folder's package builds, MODULE_WITH_PAGES what it builds with its feature `pages`, PROGRAM tracearm as it
// is built for this machine, FOLDER one of drawings. The modules must import nothing, be no larger than they may, and give the program's schedule of each drawing: every cell byte for
// byte, but for the words of `findings`, in which the program names its own options, and for `strip_check`, which is what
// rounding leaves and so differs with the machine's sines. A figure that lies halfway between two that can be written may be
// rounded the other way for the same reason; these are counted, and must be very few.
import { execFileSync } from "node:child_process";
import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";

/// Bytes of the module, and of that with pages, as `wasm-opt` leaves them.
const LARGEST = 1_260_000;
const LARGEST_WITH_PAGES = 1_500_000;

/// One more or less in the last of six digits, as a share of the figure.
const LAST_DIGIT = 1.01e-5;

const [modulePath, pagesPath, program, folder] = process.argv.slice(2);
if (folder === undefined) {
    console.error("usage: node run.mjs MODULE MODULE_WITH_PAGES PROGRAM FOLDER");
    process.exit(2);
}

const failures = [];

/// The module in a file.
function loaded(path, largest) {
    const bytes = readFileSync(path);
    console.log(`${path}: ${bytes.length} bytes`);
    if (bytes.length > largest) {
        failures.push(`${path} has ${bytes.length} bytes; ${largest} are wanted at most`);
    }
    const module = new WebAssembly.Module(bytes);
    const imports = WebAssembly.Module.imports(module).map(({ module, name }) => `${module}.${name}`);
    if (imports.length > 0) {
        console.error(`${path} imports ${imports.join(", ")}`);
        process.exit(1);
    }
    return module;
}

const plain = loaded(modulePath, LARGEST);
const withPages = loaded(pagesPath, LARGEST_WITH_PAGES);

/// What a fresh instance writes of a drawing: whether it is an error, and its bytes.
function written(module, name, drawing, wanted) {
    const { exports } = new WebAssembly.Instance(module, {});
    const ownName = new TextEncoder().encode(name);
    const place = exports.input(ownName.length + drawing.length);
    const room = new Uint8Array(exports.memory.buffer, place, ownName.length + drawing.length);
    room.set(ownName);
    room.set(drawing, ownName.length);
    const failed = exports.measure(ownName.length, wanted) !== 0;
    const output = new Uint8Array(exports.memory.buffer, exports.output(), exports.output_length());
    return { failed, output: Buffer.from(output) };
}

/// What the program writes of a drawing, whatever its exit code; empty where there is no schedule.
function byProgram(path) {
    try {
        return execFileSync(program, ["schedule", path, "--format", "csv"], { stdio: ["ignore", "pipe", "ignore"] });
    } catch (error) {
        return error.stdout;
    }
}

/// The rows of a CSV, in cells.
function rowsOf(text) {
    const rows = [[]];
    for (const [, quoted, plain, end] of text.matchAll(/(?:"((?:[^"]|"")*)"|([^",\n]*))(,|\n|$)/g)) {
        rows.at(-1).push(quoted === undefined ? plain : quoted.replaceAll('""', '"'));
        if (end === "\n") {
            rows.push([]);
        }
    }
    return rows;
}

/// What of a CSV is the same whoever writes it.
function comparable(bytes) {
    const [headings, ...rows] = rowsOf(bytes.toString());
    const is_left_out = headings.map((heading) => heading === "findings" || heading === "strip_check");
    return [headings, ...rows].map((row) => row.map((cell, at) => (is_left_out[at] ? "" : cell)));
}

let [compared, cells, rounded] = [0, 0, 0];
for (const name of readdirSync(folder).filter((name) => name.endsWith(".dxf")).sort()) {
    const path = join(folder, name);
    const drawing = readFileSync(path);
    const csv = written(plain, path, drawing, 0);
    if (csv.failed) {
        // The program says so too, in a row.
        console.log(`${name}: ${csv.output}`);
        continue;
    }
    const [own, expected] = [comparable(csv.output), comparable(byProgram(path))];
    if (own.length === 2) {
        // Where nothing can be measured the program has a row that says so, and the library none.
        const status = expected[0].indexOf("status");
        if (expected.length !== 3 || expected[1][status] !== "failed") {
            failures.push(`${name}: nothing is measured here, but by the program`);
        }
        continue;
    }
    for (let row = 0; row < Math.max(own.length, expected.length); row += 1) {
        const [here, there] = [own[row] ?? [], expected[row] ?? []];
        for (let at = 0; at < Math.max(here.length, there.length); at += 1) {
            cells += 1;
            if (here[at] === there[at]) {
                continue;
            }
            console.log(`${name}, row ${row}, ${own[0][at]}: ${here[at]} here, ${there[at]} by the program`);
            if (Math.abs(here[at] - there[at]) <= LAST_DIGIT * Math.abs(there[at])) {
                rounded += 1;
            } else {
                failures.push(`${name}, row ${row}: ${own[0][at]} is another one`);
            }
        }
    }
    compared += 1;
    if (!written(withPages, path, drawing, 0).output.equals(csv.output)) {
        failures.push(`${name}: another schedule with pages`);
    }
    const without = written(plain, path, drawing, 1);
    if (!without.failed || !without.output.toString().includes("feature json")) {
        failures.push(`${name}: JSON that is not built in is not told`);
    }
    // JSON has the cells of the CSV.
    const json = written(withPages, path, drawing, 1);
    const sections = json.failed ? [] : JSON.parse(json.output.toString()).sections;
    if (sections.length !== own.length - 2) {
        failures.push(`${name}: ${sections.length} sections in JSON, ${own.length - 2} rows in CSV`);
    }
    const sheet = written(withPages, path, drawing, 2);
    if (sheet.failed || !sheet.output.toString().endsWith("</html>\n")) {
        failures.push(`${name}: the sheet is no whole page`);
    }
}
console.log(`${compared} schedules of ${cells} cells compared, ${rounded} rounded the other way`);
if (rounded > cells / 2000) {
    failures.push(`${rounded} figures of ${cells} were rounded the other way`);
}
if (compared < 100) {
    failures.push(`only ${compared} schedules were compared`);
}
for (const failure of failures) {
    console.error(failure);
}
process.exit(failures.length > 0 ? 1 : 0);
