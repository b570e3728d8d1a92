// Reads and measures in a thread of its own. It is given the engine once, and then one request after the other; each has a
// ticket, under which its answer goes back. A request may come with a file, which is read piece by piece.
let engine;

/// Pieces in which a file is read.
const PIECE = 1 << 20;
/// Ms between two words of how far it has come.
const BETWEEN = 60;
/// Sections that are handed over at once.
const PORTION = 500;
/// A page cannot hold more of a drawing.
const LARGEST = 1_000_000_000;

function fresh(module) {
  engine = new WebAssembly.Instance(module, {}).exports;
}

/// Asks the engine. The object goes first, `bytes` behind it are there already.
function ask(request, bytes) {
  const head = new TextEncoder().encode(JSON.stringify(request));
  const length = bytes?.length ?? 0;
  const place = engine.input(head.length + length);
  if (place === 0) throw new Error("there is no memory for a drawing of this size here");
  const room = new Uint8Array(engine.memory.buffer, place, head.length + length);
  room.set(head);
  if (bytes) room.set(bytes, head.length);
  return answered(head.length);
}

function answered(head) {
  const failed = engine.answer(head) !== 0;
  const output = new Uint8Array(engine.memory.buffer, engine.output(), engine.output_length()).slice();
  const numbers = new Float64Array(engine.memory.buffer, engine.numbers(), engine.numbers_length()).slice();
  const runs = new Float64Array(engine.memory.buffer, engine.runs(), engine.runs_length()).slice();
  engine.input(0);
  return { failed, output, numbers, runs };
}

/// Reads a file straight into the engine's input behind the request, so that its bytes stand in memory once.
async function askWithFile(request, file, tell) {
  if (file.size > LARGEST) {
    return ask({ ...request, unreadable: "it is larger than 1 GB, which a page cannot hold: measure it with the command" });
  }
  const head = new TextEncoder().encode(JSON.stringify(request));
  const place = engine.input(head.length + file.size);
  if (place === 0) {
    return ask({ ...request, unreadable: "there is no memory for a drawing of this size here: measure it with the command" });
  }
  const size = file.size;
  new Uint8Array(engine.memory.buffer, place, head.length).set(head);
  const pieces = piecesOf(file);
  let told = performance.now();
  for (let from = 0; from < size; ) {
    const bytes = await pieces(from, Math.min(from + PIECE, size));
    if (!bytes?.length) {
      return ask({ ...request, unreadable: "it changed or went away while it was read: open it again" });
    }
    new Uint8Array(engine.memory.buffer, place + head.length + from, bytes.length).set(bytes);
    from += bytes.length;
    if (performance.now() - told < BETWEEN) continue;
    told = performance.now();
    tell({ step: "loaded", loaded: from, size });
  }
  pieces.end();
  return answered(head.length);
}

/// Gives the bytes of a file one piece after the other; nothing where it can no longer be read. Where the browser can, all pieces
/// stand in the same room, so that none waits to be cleared away.
function piecesOf(file) {
  let [reader, room] = [];
  try {
    // One browser at work on very much else never began some of a thousand small files that were read so.
    if (file.size > PIECE) {
      reader = file.stream().getReader({ mode: "byob" });
      room = new ArrayBuffer(PIECE);
    }
  } catch {
    // Piece by piece then.
  }
  const pieces = async (from, to) => {
    try {
      if (!reader) return new Uint8Array(await file.slice(from, to).arrayBuffer());
      const { value } = await reader.read(new Uint8Array(room, 0, to - from));
      room = value.buffer;
      return value;
    } catch {
      return undefined;
    }
  };
  // Lets go of the file: what was opened and not ended is kept open.
  pieces.end = () => reader?.cancel().catch(() => {});
  return pieces;
}

function objectOf({ output }) {
  return JSON.parse(new TextDecoder().decode(output));
}

async function done(ticket, request, file) {
  const tell = (what, transfer) => postMessage({ ticket, ...what }, transfer ?? []);
  if (request.do !== "open") {
    const answer = file ? await askWithFile(request, file, tell) : ask(request);
    if (answer.failed) return tell({ refusal: objectOf(answer) });
    const { output, numbers, runs } = answer;
    return tell({ output, isObject: numbers.length > 0, numbers, runs }, [output.buffer, numbers.buffer, runs.buffer]);
  }
  const read = await askWithFile({ ...request, do: "read" }, file, tell);
  if (read.failed) return tell({ refusal: objectOf(read) });
  tell({ step: "read", read: objectOf(read), numbers: read.numbers, runs: read.runs }, [read.numbers.buffer, read.runs.buffer]);
  // Layer by layer, so that it can be told how far it has come.
  let told = performance.now();
  for (;;) {
    const { more, ...progress } = objectOf(ask({ do: "go on" }));
    if (!more) break;
    if (performance.now() - told < BETWEEN) continue;
    told = performance.now();
    tell({ step: "measured", progress });
  }
  const measured = ask({ do: "measure", id: request.id, look: request.look });
  if (measured.failed) return tell({ refusal: objectOf(measured) });
  // In portions, since the page stands still while it takes one over.
  const { rows, sections, ...others } = objectOf(measured);
  for (let from = 0; from < sections.length; from += PORTION) {
    const to = from + PORTION;
    tell({ step: "sections", rows: rows.slice(from, to), sections: sections.slice(from, to) });
  }
  return tell({ measured: others, numbers: measured.numbers, runs: measured.runs }, [measured.numbers.buffer, measured.runs.buffer]);
}

onmessage = async ({ data }) => {
  try {
    if (data.module) return fresh(data.module);
    await done(data.ticket, data.request, data.file);
  } catch (error) {
    postMessage({ ticket: data.ticket, fault: String(error?.message ?? error) });
  }
};
