// The list of drawings with their sections, and the schedule of all.
import { add, byId, element, fill, fit, named } from "./dom.js";
import { STATES, counted } from "./words.js";

/// More sections or rows than this are not laid out at once.
const MOST_SECTIONS = 300;
const MOST_ROWS = 100;

/// The drawings, each with its state; of the one that is looked at its sections.
export function drawingsList(list, { drawings, current, section, choose }) {
  fill(list, drawings.map((drawing) => item(drawing, { current, section, choose })));
}

function item(drawing, { current, section, choose }) {
  const isCurrent = drawing === current;
  const made = element(
    "li",
    {},
    element(
      "button",
      { type: "button", class: "drawing", "aria-current": isCurrent && section < 0 ? "true" : undefined, "aria-expanded": String(isCurrent), on: { click: () => choose(drawing, -1) } },
      named(drawing.name),
      element("span", { class: `state ${stateClass(drawing)}` }, stateWords(drawing)),
    ),
  );
  const reason = whyNothing(drawing);
  if (reason) made.append(element("div", { class: "why" }, element("bdi", {}, fit(reason))));
  if (!isCurrent || !drawing.result) return made;
  const sections = drawing.result.sections;
  // The row of a drawing without sections says what the drawing's own line says.
  if (sections.length === 1 && sections[0].name === "") return made;
  const of = (one, k) =>
    element(
      "li",
      {},
      element(
        "button",
        { type: "button", "aria-current": k === section ? "true" : undefined, on: { click: () => choose(drawing, k) } },
        named(one.name || "the drawing"),
        one.label ? element("span", { class: "state" }, named(one.label)) : "",
        element("span", { class: `state ${one.status}` }, one.status),
      ),
    );
  // The chosen one is there however many there are.
  const first = Math.max(0, Math.min(section - MOST_SECTIONS / 2, sections.length - MOST_SECTIONS));
  const some = sections.slice(first, first + MOST_SECTIONS).map((one, k) => of(one, first + k));
  const rest = sections.length - some.length;
  add(made, [element("ul", { "aria-label": "Sections" }, some, rest > 0 ? element("li", { class: "why" }, `and ${rest} more: find them on the drawing or in the schedule`) : "")]);
  return made;
}

function stateClass({ state, result }) {
  if (state === "failed" || state === "stopped") return "failed";
  if (state !== "done") return "";
  const statuses = result.sections.map((section) => section.status);
  return statuses.includes("failed") ? "failed" : statuses.includes("warning") ? "warning" : "ok";
}

function stateWords({ state, result }) {
  if (state === "failed") return "not measured";
  if (state !== "done") return STATES[state];
  const count = (status) => result.sections.filter((section) => section.status === status).length;
  const words = [["ok", "ok"], ["warning", "with a warning"], ["failed", "failed"]];
  return words.map(([status, said]) => [count(status), said]).filter(([many]) => many > 0).map(([many, said]) => `${many} ${said}`).join(", ");
}

/// Why a drawing has no section, in short.
function whyNothing({ state, result, why }) {
  if (why) return why;
  if (state !== "failed" || !result) return "";
  return result.sections[0]?.findings[0]?.message ?? "";
}

/// The rows of all drawings that are measured, as `[drawing, section number, cells]`.
function rowsOf(drawings) {
  return drawings.flatMap((drawing) => (drawing.result ? drawing.result.rows.map((cells, k) => [drawing, k, cells]) : []));
}

/// Whether one of a row's cells holds the words, which are in small letters.
function holdsWords([{ result }, at, cells], words) {
  result.small ??= [];
  result.small[at] ??= cells.join("\n").toLowerCase();
  return result.small[at].includes(words);
}

/// The schedule as a table that can be sorted and filtered, as many rows at a time as are laid out quickly.
export class ScheduleTable {
  constructor(choose) {
    this.choose = choose;
    this.order = undefined;
    this.first = 0;
    for (const id of ["filter-status", "filter-words"]) {
      byId(id).addEventListener("input", () => {
        this.first = 0;
        this.draw(this.drawings);
      });
    }
    byId("rows-before").addEventListener("click", () => this.turn(-MOST_ROWS));
    byId("rows-after").addEventListener("click", () => this.turn(MOST_ROWS));
  }

  /// Shows the rows before or after those that are shown.
  turn(by) {
    this.first += by;
    this.draw(this.drawings);
    byId("table").scrollTop = 0;
    // A button that can be pressed no more lets the keyboard go to the other.
    const [pressed, other] = by < 0 ? ["rows-before", "rows-after"] : ["rows-after", "rows-before"];
    byId(byId(pressed).disabled ? other : pressed).focus();
  }

  draw(drawings) {
    this.drawings = drawings;
    const place = byId("table");
    const result = drawings.find((drawing) => drawing.result)?.result;
    byId("rows-turn").hidden = true;
    if (!result) {
      fill(byId("filter-count"));
      return fill(place, element("p", {}, "Nothing is measured yet."));
    }
    const { headings, keys } = result;
    const status = keys.indexOf("status");
    const wanted = byId("filter-status").value;
    const words = byId("filter-words").value.toLowerCase();
    let rows = rowsOf(drawings);
    const total = rows.length;
    rows = rows.filter((row) => (!wanted || row[2][status] === wanted) && (!words || holdsWords(row, words)));
    if (this.order) rows = sorted(rows, headings.indexOf(this.order.heading), this.order.falls);
    fill(byId("filter-count"), rows.length === total ? counted(total, "row") : `${rows.length} of ${counted(total, "row")}`);
    const head = headings.map((heading) => {
      const isOwn = this.order?.heading === heading;
      const sort = () => {
        this.order = isOwn && this.order.falls ? undefined : { heading, falls: isOwn };
        this.first = 0;
        this.draw(this.drawings);
        byId("table").querySelector(`[data-heading="${CSS.escape(heading)}"]`)?.focus();
      };
      const mark = isOwn ? (this.order.falls ? " ▾" : " ▴") : "";
      return element("th", { scope: "col", "aria-sort": isOwn ? (this.order.falls ? "descending" : "ascending") : "none" }, element("button", { type: "button", "data-heading": heading, on: { click: sort } }, heading + mark));
    });
    // Drawings may have gone.
    this.first = Math.max(0, Math.min(this.first, rows.length - 1));
    this.first -= this.first % MOST_ROWS;
    const some = rows.slice(this.first, this.first + MOST_ROWS);
    const isText = keys.map((key, k) => ["drawing", "section", "layer", "label", "findings"].includes(key) || some.every(([, , cells]) => cells[k] === "" || Number.isNaN(Number(cells[k]))));
    const cell = (text, k, [drawing, at]) => {
      if (keys[k] === "section") return element("td", { class: "text" }, element("button", { type: "button", on: { click: () => this.choose(drawing, at) } }, named(text || "–")));
      if (k === status) return element("td", {}, element("span", { class: text }, text));
      if (isText[k]) return element("td", { class: keys[k] === "findings" ? "text long" : "text" }, named(text));
      return element("td", { class: "n" }, text);
    };
    const body = some.map((row) => element("tr", {}, row[2].map((text, k) => cell(text, k, row))));
    fill(place, element("table", {}, element("thead", {}, element("tr", {}, head)), element("tbody", {}, body)));
    byId("rows-turn").hidden = rows.length <= MOST_ROWS;
    byId("rows-before").disabled = this.first === 0;
    byId("rows-after").disabled = this.first + MOST_ROWS >= rows.length;
    const [from, to] = [this.first + 1, this.first + some.length].map((row) => row.toLocaleString("en"));
    fill(byId("rows-shown"), `Rows ${from} to ${to}`);
    return undefined;
  }
}

const COLLATOR = new Intl.Collator("en", { numeric: true });

/// Rows by the cells of a column: numbers by size, empty ones last.
function sorted(rows, at, falls) {
  const sign = falls ? -1 : 1;
  const keys = rows.map((row) => ({ row, text: row[2][at], number: Number(row[2][at]) }));
  keys.sort((a, b) => {
    if (a.text === "" || b.text === "") return (a.text === "") - (b.text === "");
    return sign * (Number.isNaN(a.number) || Number.isNaN(b.number) ? COLLATOR.compare(a.text, b.text) : a.number - b.number);
  });
  return keys.map(({ row }) => row);
}
