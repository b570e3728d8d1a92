// The page: it is put together, and everything that can be pressed is told what to do.
import { openTake, take } from "./along.js";
import { buildOptions } from "./asked.js";
import { CAUTION, EXAMPLE_NAME, EXAMPLE_OF_PAGE, VERSION } from "./built.js";
import { boxOfSection, choose, fitAll, keepView } from "./choosing.js";
import { byId, element, fill } from "./dom.js";
import { dropped } from "./dropped.js";
import { hold } from "./hands.js";
import { ScheduleTable } from "./list.js";
import { drawAbove } from "./overlay.js";
import { keep } from "./settings.js";
import { TABS, redrawAll, showPlace, showSchedule, tab } from "./shown.js";
import { Stage } from "./stage.js";
import { NO_CURVES, now, say } from "./state.js";
import { save } from "./take.js";
import { addEnd, distanceWords, measureDistance, pressed, showStrips, step } from "./tools.js";
import { forget, isLayerShown, open } from "./work.js";

function stageOfPage() {
  return new Stage(byId("canvas"), {
    content: () => ({
      layers: now.current?.look?.layers ?? NO_CURVES,
      sections: now.current?.look?.sections ?? NO_CURVES,
      isShown: (layer) => isLayerShown(layer),
      // Where there is one section alone nothing needs to be told apart.
      chosen: now.current?.result?.sections.length > 1 ? now.section : -1,
      torsion: now.isTorsionShown ? now.torsion?.curves : undefined,
      stateOf: (owner) => now.current?.result?.sections[owner]?.measured ?? false,
    }),
    overlay: (context, view, own) =>
      drawAbove(context, view, own, {
        sections: now.current?.look?.sections ?? NO_CURVES,
        section: now.current?.look ? now.section : -1,
        axes: now.told?.axes,
        factor: now.told?.factor ?? 1,
        unit: now.told?.unit ?? "",
        strips: now.strips.on && now.section >= 0 ? now.strips : undefined,
        findings: now.findings,
        finding: now.finding,
        isMeasuring: now.isMeasuring,
        ends: now.ends,
        words: now.ends.length === 2 ? distanceWords().short : "",
      }),
    moved: (view) => {
      if (now.current) keepView(view);
      showPlace(view.x, view.y);
    },
  });
}

function openExample() {
  const text = atob(EXAMPLE_OF_PAGE().trim());
  const bytes = Uint8Array.from(text, (letter) => letter.charCodeAt(0));
  open([{ name: EXAMPLE_NAME, file: new File([bytes], EXAMPLE_NAME) }], true, true);
}

function wire() {
  const press = (id, act) => byId(id).addEventListener("click", act);
  press("open", () => byId("files").click());
  press("open-folder", () => byId("folder").click());
  for (const [id, isChosen] of [["files", true], ["folder", false]]) {
    byId(id).addEventListener("change", ({ target }) => {
      const files = [...target.files].map((file) => ({ name: isChosen ? file.name : file.webkitRelativePath || file.name, file }));
      target.value = "";
      open(files, isChosen);
    });
  }
  press("example", openExample);
  press("close-all", () => {
    if (now.isRunning) now.engine.stop();
    forget(now.drawings.splice(0));
    now.stage.changed();
    redrawAll();
    say("");
  });
  press("show-drawing", () => showSchedule(false));
  press("show-schedule", () => showSchedule(true));
  press("stop", () => {
    for (const drawing of now.drawings) {
      if (drawing.state === "waiting") Object.assign(drawing, { state: "stopped", why: "Stopped before it was measured." });
    }
    now.engine.stop();
  });
  press("fit", fitAll);
  press("zoom-in", () => now.stage.zoom(1.25));
  press("zoom-out", () => now.stage.zoom(0.8));
  press("zoom-to", zoomToSection);
  press("distance", () => measureDistance(!now.isMeasuring));
  press("take", openTake);
  press("print", () => take("sheet"));
  press("about", () => byId("about-dialog").showModal());
  press("sheet-print", () => byId("sheet-frame").contentWindow.print());
  press("sheet-save", () => now.sheetFiles.forEach((file) => save(...file)));
  for (const close of document.querySelectorAll("dialog .close")) close.addEventListener("click", () => close.closest("dialog").close());
  for (const name of TABS) {
    press(`tab-${name}`, () => {
      tab(name);
      if (name === "strips") showStrips();
    });
    byId(`tab-${name}`).addEventListener("keydown", ({ key }) => {
      const by = { ArrowRight: 1, ArrowLeft: -1 }[key];
      if (!by) return;
      const next = TABS[(TABS.indexOf(name) + by + TABS.length) % TABS.length];
      tab(next, true);
      if (next === "strips") showStrips();
    });
  }
  document.addEventListener("keydown", (event) => {
    if ((event.ctrlKey || event.metaKey) && event.key.toLowerCase() === "p" && now.current?.result) {
      event.preventDefault();
      take("sheet");
    }
  });
  let over = 0;
  const showDrop = (isOver) => {
    byId("drop").hidden = !isOver;
  };
  addEventListener("dragenter", (event) => {
    event.preventDefault();
    over += 1;
    showDrop(true);
  });
  addEventListener("dragleave", () => {
    over = Math.max(0, over - 1);
    if (over === 0) showDrop(false);
  });
  addEventListener("dragover", (event) => event.preventDefault());
  addEventListener("drop", (event) => {
    event.preventDefault();
    over = 0;
    showDrop(false);
    dropped(event.dataTransfer);
  });
  hold(now.stage, {
    pressed,
    hovered: (px, py) => showPlace(...(px === undefined ? [now.stage.view.x, now.stage.view.y] : now.stage.at(px, py))),
    keys: {
      0: fitAll,
      s: zoomToSection,
      "]": () => step(1),
      "[": () => step(-1),
      d: () => {
        if (!now.isMeasuring) measureDistance(true);
        if (now.current?.look) addEnd(now.stage.view.x, now.stage.view.y);
      },
      Escape: () => measureDistance(false),
    },
  });
}

function zoomToSection() {
  const box = boxOfSection();
  if (box) now.stage.fit(box);
}

export function about() {
  fill(
    byId("about-text"),
    element("p", {}, `tracearm ${VERSION} measures outlines drawn in CAD: DXF drawings, text and binary. It integrates lines, arcs, ellipses and splines exactly, checks every section by strips both ways, and says what could not be measured, and where.`),
    element("p", {}, "Everything is done on this machine: the policy of this page allows no connection, and no drawing is kept. Options and the last view stay in this browser."),
    element("p", { class: "caution" }, CAUTION),
    element("p", {}, "Job files, ledgers and comparisons are in the command of the same name."),
  );
}

async function begin() {
  now.stage = stageOfPage();
  now.table = new ScheduleTable((drawing, at) => {
    showSchedule(false);
    choose(drawing, at);
  });
  byId("caution").textContent = CAUTION;
  byId("drawings").append(element("p", {}, element("button", { type: "button", id: "close-all", hidden: true }, "Close all")));
  document.body.dataset.state = "idle";
  about();
  buildOptions();
  showStrips();
  wire();
  tab(TABS.includes(now.settings.tab) ? now.settings.tab : "section");
  redrawAll();
  say("Starting");
  try {
    await now.engine.begin();
  } catch (error) {
    say(`This browser cannot run the page: ${error.message}. It needs WebAssembly and DecompressionStream: use a browser from 2023 or later.`);
    return;
  }
  say("");
  if (now.settings.visited) return;
  keep({ visited: true });
  openExample();
}

begin();
