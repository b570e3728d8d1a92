// The drawing on its canvas: a picture of all curves that is made piece by piece and moved at once, and above it what is drawn
// anew with every movement - the chosen section, marks, strips, distances.
import { isSeen, trace, traceSolid } from "./curves.js";
import { CONTOURS, MESH } from "./torsion.js";

/// Ms in which a piece of the picture is made, so that the page answers all the while.
const SLICE = 9;
/// The picture reaches so far beyond the view on each side, as a share of it.
const MARGIN = 0.4;

/// The view: the point of the drawing in its middle, and px for a unit.
export class Stage {
  /// `content` has `layers` and `sections` (Curves), `isShown` of a layer, `stateOf` a section, `torsion` of the chosen one (Curves);
  /// `overlay` draws what lies above.
  constructor(canvas, { content, overlay, moved }) {
    this.canvas = canvas;
    this.context = canvas.getContext("2d");
    this.content = content;
    this.overlay = overlay;
    this.moved = moved;
    this.view = { x: 0, y: 0, scale: 1, width: 300, height: 200 };
    this.ratio = 1;
    this.picture = undefined;
    this.making = undefined;
    this.isAsked = false;
    this.stamp = 0;
    new ResizeObserver(() => this.resized()).observe(canvas);
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => this.changed());
    this.resized();
  }

  get colours() {
    if (!this.palette) {
      const style = getComputedStyle(document.documentElement);
      this.palette = (name) => style.getPropertyValue(`--${name}`).trim();
    }
    return this.palette;
  }

  resized() {
    const { clientWidth: width, clientHeight: height } = this.canvas;
    if (width === 0 || height === 0) return;
    this.ratio = Math.min(devicePixelRatio || 1, 2);
    this.canvas.width = Math.round(width * this.ratio);
    this.canvas.height = Math.round(height * this.ratio);
    const was = this.view;
    this.view = { ...was, width, height };
    if (this.wish) this.fit(this.wish);
    else this.changed();
  }

  /// What is drawn has changed: the picture is made anew.
  changed() {
    this.palette = undefined;
    this.stamp += 1;
    this.making = undefined;
    this.isKept = false;
    this.ask();
  }

  /// Colours have changed alone: until the new picture is made the old one does.
  recoloured() {
    const isKept = this.picture !== undefined;
    this.changed();
    this.isKept = isKept;
  }

  /// Shows a box of the drawing.
  fit(box) {
    this.wish = box;
    const { width, height } = this.view;
    const [w, h] = [box[2] - box[0], box[3] - box[1]];
    const scale = 0.86 * Math.min(width / (w || h || 1), height / (h || w || 1));
    this.show({ x: 0.5 * (box[0] + box[2]), y: 0.5 * (box[1] + box[3]), scale });
  }

  show({ x, y, scale }) {
    if (![x, y, scale].every(Number.isFinite)) return;
    const size = Math.max(Math.abs(x), Math.abs(y), 1e-9);
    // Nearer than the digits of coordinates reach there is nothing to see.
    const most = Math.min(1e9, 1e13 / size);
    this.view = { ...this.view, x, y, scale: Math.min(Math.max(scale, 1e-9), most) };
    this.ask();
    this.moved?.(this.view);
  }

  pan(dx, dy) {
    this.wish = undefined;
    const { x, y, scale } = this.view;
    this.show({ x: x - dx / scale, y: y + dy / scale, scale });
  }

  /// Zooms about a place in px.
  zoom(factor, px = this.view.width / 2, py = this.view.height / 2) {
    this.wish = undefined;
    const [x, y] = this.at(px, py);
    const scale = this.view.scale * factor;
    this.show({ x: x - (px - this.view.width / 2) / scale, y: y + (py - this.view.height / 2) / scale, scale });
  }

  /// The point of the drawing at a place in px.
  at(px, py) {
    const { x, y, scale, width, height } = this.view;
    return [x + (px - width / 2) / scale, y - (py - height / 2) / scale];
  }

  /// The place in px of a point of the drawing.
  px(x, y, view = this.view) {
    return [(x - view.x) * view.scale + view.width / 2, view.height / 2 - (y - view.y) * view.scale];
  }

  ask() {
    if (this.isAsked) return;
    this.isAsked = true;
    requestAnimationFrame(() => {
      this.isAsked = false;
      this.frame();
    });
  }

  frame() {
    const { context, ratio, view } = this;
    const isFresh = this.isFresh();
    if (!isFresh && (!this.making || this.isOld(this.making))) this.begin();
    if (this.making) this.go();
    context.setTransform(1, 0, 0, 1, 0, 0);
    context.fillStyle = this.colours("paper");
    context.fillRect(0, 0, this.canvas.width, this.canvas.height);
    const first = this.making && (!this.picture || (this.picture.stamp !== this.stamp && !this.isKept));
    const shown = first ? this.making : this.picture;
    if (shown) {
      const factor = view.scale / shown.view.scale;
      const [left, top] = this.px(...corner(shown.view));
      context.setTransform(ratio, 0, 0, ratio, 0, 0);
      context.imageSmoothingEnabled = factor !== 1;
      const [width, height] = [shown.view.width * factor, shown.view.height * factor];
      if (factor === 1) context.drawImage(shown.canvas, snapped(left, ratio), snapped(top, ratio), width, height);
      else context.drawImage(shown.canvas, left, top, width, height);
    }
    context.setTransform(ratio, 0, 0, ratio, 0, 0);
    this.overlay?.(context, view, this);
    if (this.making) this.ask();
  }

  /// The picture shows the view sharply.
  isFresh() {
    const { picture } = this;
    return picture && picture.stamp === this.stamp && covers(picture.view, this.view);
  }

  /// A picture that is being made is no longer the one that is wanted.
  isOld(making) {
    return making.stamp !== this.stamp || !covers(making.view, this.view);
  }

  begin() {
    const { ratio, view } = this;
    const [width, height] = [Math.ceil(view.width * (1 + 2 * MARGIN)), Math.ceil(view.height * (1 + 2 * MARGIN))];
    const canvas = this.spare ?? document.createElement("canvas");
    this.spare = undefined;
    canvas.width = Math.round(width * ratio);
    canvas.height = Math.round(height * ratio);
    const context = canvas.getContext("2d");
    context.setTransform(ratio, 0, 0, ratio, 0, 0);
    const own = { ...view, width, height };
    this.making = { canvas, context, view: own, stamp: this.stamp, steps: this.steps(context, own) };
  }

  /// Makes as much of the picture as fits into a slice of time.
  go() {
    const end = performance.now() + SLICE;
    while (performance.now() < end) {
      if (this.making.steps.next().done) {
        this.spare = this.picture?.canvas;
        this.picture = this.making;
        this.making = undefined;
        this.canvas.dataset.drawn = String(this.stamp);
        return;
      }
    }
  }

  *steps(context, view) {
    const { layers, sections, isShown, stateOf, chosen, torsion } = this.content();
    const wide = withEdges(view);
    for (const owner of sections.byOwner.keys()) {
      const seen = sections.byOwner.get(owner).filter((run) => isSeen(sections.box(run), wide));
      if (!stateOf(owner) || seen.length === 0) continue;
      context.beginPath();
      for (const run of seen) {
        traceSolid(context, sections, run, view);
        yield;
      }
      context.fillStyle = this.colours(owner === chosen ? "chosen" : "solid");
      context.fill("evenodd");
      yield;
    }
    context.lineJoin = "round";
    if (torsion) {
      for (const [owner, width, colour] of [[MESH, 0.6, "mesh"], [CONTOURS, 1.3, "contour"]]) {
        context.lineWidth = width;
        context.strokeStyle = this.colours(colour);
        yield* this.strokes(context, torsion, wide, (own) => own === owner);
      }
    }
    context.lineWidth = 1;
    context.strokeStyle = this.colours("thin");
    yield* this.strokes(context, layers, wide, isShown);
    // Of very many outlines far away, thick ones would be one blot.
    context.lineWidth = isCrowded(sections, wide) ? 0.7 : 1.6;
    context.strokeStyle = this.colours("ink");
    yield* this.strokes(context, sections, wide, (owner) => Boolean(stateOf(owner)));
  }

  *strokes(context, curves, view, isWanted) {
    context.beginPath();
    let any = 0;
    for (let run = 0; run < curves.count; run += 1) {
      if (!isWanted(curves.owner(run))) continue;
      const box = curves.box(run);
      if (!isSeen(box, view)) continue;
      if ((box[2] - box[0]) * view.scale < 0.8 && (box[3] - box[1]) * view.scale < 0.8) {
        const [x, y] = this.px(box[0], box[1], view);
        context.rect(x, y, 0.6, 0.6);
      } else {
        trace(context, curves, run, view);
      }
      any += 1;
      if (any % 4 === 0) {
        context.stroke();
        context.beginPath();
        yield;
      }
    }
    context.stroke();
  }
}

/// So many runs of curves in a view are a crowd.
const CROWD = 150;

function isCrowded(sections, view) {
  let seen = 0;
  for (let run = 0; run < sections.count && seen <= CROWD; run += 1) if (isSeen(sections.box(run), view)) seen += 1;
  return seen > CROWD;
}

function corner(view) {
  return [view.x - view.width / 2 / view.scale, view.y + view.height / 2 / view.scale];
}

function snapped(value, ratio) {
  return Math.round(value * ratio) / ratio;
}

/// The picture has the scale of the view, and all of it.
function covers(picture, view) {
  if (picture.scale !== view.scale) return false;
  const dx = Math.abs(picture.x - view.x) * view.scale;
  const dy = Math.abs(picture.y - view.y) * view.scale;
  return dx <= (picture.width - view.width) / 2 && dy <= (picture.height - view.height) / 2;
}

/// The view with its edges in drawing coordinates.
export function withEdges(view) {
  const [w, h] = [view.width / 2 / view.scale, view.height / 2 / view.scale];
  return { ...view, left: view.x - w, right: view.x + w, bottom: view.y - h, top: view.y + h };
}
