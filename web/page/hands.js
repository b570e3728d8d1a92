// Mouse, touch, pinch, wheel and keys on the drawing.

/// Px that a pointer moves at most where it presses and does not drag.
const STILL = 4;

/// Moves the stage; `pressed` is told of a press at a place, `hovered` of a pointer, `keys` has what further keys do.
export function hold(stage, { pressed, hovered, keys }) {
  const { canvas } = stage;
  const down = new Map();
  let start;
  const place = (event) => {
    const box = canvas.getBoundingClientRect();
    return [event.clientX - box.left, event.clientY - box.top];
  };
  canvas.addEventListener("pointerdown", (event) => {
    canvas.setPointerCapture(event.pointerId);
    down.set(event.pointerId, place(event));
    start = down.size === 1 ? { at: place(event), isStill: true } : undefined;
  });
  canvas.addEventListener("pointermove", (event) => {
    const at = place(event);
    hovered(...at);
    const was = down.get(event.pointerId);
    if (!was) return;
    if (down.size === 1) {
      if (start?.isStill && Math.hypot(at[0] - start.at[0], at[1] - start.at[1]) <= STILL) return;
      const from = start?.isStill ? start.at : was;
      if (start) start.isStill = false;
      stage.pan(at[0] - from[0], at[1] - from[1]);
    } else {
      const [other] = [...down.entries()].filter(([id]) => id !== event.pointerId).map(([, point]) => point);
      const before = Math.hypot(was[0] - other[0], was[1] - other[1]);
      const after = Math.hypot(at[0] - other[0], at[1] - other[1]);
      stage.pan(0.5 * (at[0] - was[0]), 0.5 * (at[1] - was[1]));
      if (before > 0 && after > 0) stage.zoom(after / before, 0.5 * (at[0] + other[0]), 0.5 * (at[1] + other[1]));
    }
    down.set(event.pointerId, at);
  });
  const lift = (event) => {
    if (!down.delete(event.pointerId)) return;
    if (event.type === "pointerup" && start?.isStill && event.button === 0) pressed(...start.at);
    start = undefined;
  };
  canvas.addEventListener("pointerup", lift);
  canvas.addEventListener("pointercancel", lift);
  canvas.addEventListener("pointerleave", () => hovered());
  canvas.addEventListener(
    "wheel",
    (event) => {
      event.preventDefault();
      const lines = event.deltaMode === 1 ? 20 : 1;
      stage.zoom(Math.exp(-event.deltaY * lines * (event.ctrlKey ? 0.01 : 0.0016)), ...place(event));
    },
    { passive: false },
  );
  canvas.addEventListener("keydown", (event) => {
    if (event.altKey || event.metaKey || event.ctrlKey) return;
    const step = event.shiftKey ? 200 : 50;
    const moves = {
      ArrowLeft: () => stage.pan(step, 0),
      ArrowRight: () => stage.pan(-step, 0),
      ArrowUp: () => stage.pan(0, step),
      ArrowDown: () => stage.pan(0, -step),
      "+": () => stage.zoom(1.25),
      "=": () => stage.zoom(1.25),
      "-": () => stage.zoom(0.8),
      ...keys,
    };
    const act = moves[event.key] ?? moves[event.key.toLowerCase()];
    if (!act) return;
    event.preventDefault();
    act();
  });
}
