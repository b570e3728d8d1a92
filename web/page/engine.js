// The engine in its worker, as the page sees it: requests with answers, progress, an end by time or by hand.
import { ENGINE_OF_PAGE, WORKER_TEXT } from "./built.js";

/// What a request ends with where it was stopped, took too long, or the engine failed in it.
export class Ended extends Error {
  constructor(how, words) {
    super(words);
    this.how = how;
  }
}

/// Why the engine refuses a request, with the option that is meant.
export class Refused extends Error {
  constructor({ option, words }) {
    super(words);
    this.option = option;
  }
}

/// The engine: compiled once, run in a worker that is replaced where it has to be ended.
export class Engine {
  constructor() {
    this.generation = 0;
    this.tickets = new Map();
    this.next = 1;
    this.last = Promise.resolve();
  }

  /// Unpacks and compiles the engine.
  async begin() {
    const packed = Uint8Array.from(atob(ENGINE_OF_PAGE().trim()), (letter) => letter.charCodeAt(0));
    const unpacked = new Blob([packed]).stream().pipeThrough(new DecompressionStream("gzip"));
    this.module = await WebAssembly.compile(await new Response(unpacked).arrayBuffer());
    this.start();
  }

  start() {
    this.generation += 1;
    const url = URL.createObjectURL(new Blob([WORKER_TEXT], { type: "text/javascript" }));
    this.worker = new Worker(url);
    URL.revokeObjectURL(url);
    this.worker.onmessage = ({ data }) => this.take(data);
    this.worker.onerror = (event) => {
      event.preventDefault();
      this.replace(new Ended("died", event.message || "the worker ended"));
    };
    this.worker.postMessage({ module: this.module });
  }

  /// Ends the worker with all that it does, and starts another.
  replace(why) {
    this.worker.terminate();
    const open = [...this.tickets.values()];
    this.tickets.clear();
    this.start();
    for (const { refuse } of open) refuse(why);
  }

  stop() {
    this.replace(new Ended("stopped", "stopped"));
  }

  take(data) {
    const open = this.tickets.get(data.ticket);
    if (!open) return;
    if (data.step) return open.tell?.(data);
    if (data.fault !== undefined) return this.replace(new Ended("died", data.fault));
    this.tickets.delete(data.ticket);
    clearTimeout(open.timer);
    if (data.refusal) open.refuse(new Refused(data.refusal));
    else open.resolve(data);
  }

  /// Asks one after the other; `seconds` is how long it may take.
  ask(request, { file, tell, seconds } = {}) {
    const asked = this.last.then(
      () =>
        new Promise((resolve, refuse) => {
          const ticket = this.next++;
          const timer = seconds
            ? setTimeout(() => this.replace(new Ended("late", `it took longer than ${seconds} s`)), 1000 * seconds)
            : undefined;
          const end = (then) => (value) => {
            clearTimeout(timer);
            then(value);
          };
          this.tickets.set(ticket, { resolve: end(resolve), refuse: end(refuse), tell, timer });
          this.worker.postMessage({ ticket, request, file });
        }),
    );
    this.last = asked.catch(() => {});
    return asked;
  }

  /// The answer as an object.
  async object(request, how) {
    return JSON.parse(new TextDecoder().decode((await this.ask(request, how)).output));
  }

  /// The answer as bytes.
  async bytes(request, how) {
    return (await this.ask(request, how)).output;
  }
}
