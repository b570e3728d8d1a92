// Curves as the engine hands them over (web/engine/src/curves.rs), drawn at any zoom: arcs stay arcs however near they are looked
// at, and what lies beside the view costs nothing.

const OF_RUN = 7;

/// Curves of layers or sections in runs.
export class Curves {
  constructor({ numbers, runs } = {}) {
    this.numbers = numbers ?? new Float64Array();
    this.runs = runs ?? new Float64Array();
    this.count = this.runs.length / OF_RUN;
    this.byOwner = new Map();
    for (let run = 0; run < this.count; run += 1) {
      const owner = this.owner(run);
      const own = this.byOwner.get(owner);
      if (own) own.push(run);
      else this.byOwner.set(owner, [run]);
    }
  }

  owner(run) {
    return this.runs[OF_RUN * run];
  }

  /// The box around a run: least x and y, greatest x and y.
  box(run) {
    const at = OF_RUN * run + 3;
    return this.runs.subarray(at, at + 4);
  }

  /// Where the records of a run begin and end.
  records(run) {
    const at = OF_RUN * run;
    return [this.runs[at + 1], this.runs[at + 2]];
  }

  /// The box around the runs of those owners that are wanted; nothing where there is none.
  bounds(wanted) {
    let box;
    for (let run = 0; run < this.count; run += 1) {
      if (wanted && !wanted(this.owner(run))) continue;
      const own = this.box(run);
      if (![...own].every(Number.isFinite)) continue;
      box = box ? joined(box, own) : [...own];
    }
    return box;
  }
}

/// The box around two.
export function joined(a, b) {
  return [Math.min(a[0], b[0]), Math.min(a[1], b[1]), Math.max(a[2], b[2]), Math.max(a[3], b[3])];
}

/// Whether a box meets the view.
export function isSeen(box, view) {
  return box[2] >= view.left && box[0] <= view.right && box[3] >= view.bottom && box[1] <= view.top;
}

// Px: what is smaller than this cannot be seen, and what is longer is cut at the view, since a canvas reckons with few digits.
const TINY = 0.45;
const FAR = 20_000;
const CHORD = 0.12;

/// What takes the points of curves: in px, y down, with the view's scale.
class Pen {
  constructor(context, view) {
    this.context = context;
    this.view = view;
    this.x = 0;
    this.y = 0;
    // Where the canvas is, which lags behind while pieces are too small to be seen.
    this.drawnX = NaN;
    this.drawnY = NaN;
  }

  go(x, y) {
    this.settle();
    [this.x, this.y, this.drawnX, this.drawnY] = [x, y, NaN, NaN];
  }

  /// Draws what was passed over for being small.
  settle() {
    if (Number.isNaN(this.drawnX)) return;
    if (this.drawnX !== this.x || this.drawnY !== this.y) this.stroke(this.x, this.y);
  }

  line(x, y) {
    if (Number.isNaN(this.drawnX)) {
      this.begin();
    }
    if (Math.abs(x - this.drawnX) < TINY && Math.abs(y - this.drawnY) < TINY) {
      [this.x, this.y] = [x, y];
      return;
    }
    this.stroke(x, y);
    [this.x, this.y] = [x, y];
  }

  begin() {
    [this.drawnX, this.drawnY, this.isDown] = [this.x, this.y, false];
  }

  stroke(x, y) {
    if (isBeside(this.drawnX, this.drawnY, x, y, this.view)) {
      [this.drawnX, this.drawnY, this.isDown] = [x, y, false];
      return;
    }
    if (this.isDown && isNear(x, y)) {
      this.context.lineTo(x, y);
    } else {
      const isPlain = isNear(this.drawnX, this.drawnY) && isNear(x, y);
      const cut = isPlain ? [this.drawnX, this.drawnY, x, y] : clipped(this.drawnX, this.drawnY, x, y, this.view.width, this.view.height);
      if (cut) {
        this.context.moveTo(cut[0], cut[1]);
        this.context.lineTo(cut[2], cut[3]);
      }
      this.isDown = isNear(x, y);
      if (this.isDown) this.context.moveTo(x, y);
    }
    [this.drawnX, this.drawnY] = [x, y];
  }

  /// A circular arc, drawn by the canvas itself.
  arc(cx, cy, radius, from, turn, x, y) {
    this.settle();
    if (isBeside(cx - radius, cy - radius, cx + radius, cy + radius, this.view)) {
      [this.x, this.y, this.drawnX, this.drawnY, this.isDown] = [x, y, x, y, false];
      return;
    }
    if (Number.isNaN(this.drawnX) || !this.isDown) {
      [this.drawnX, this.drawnY] = [this.x, this.y];
      this.context.moveTo(this.x, this.y);
    }
    this.context.arc(cx, cy, radius, -from, -(from + turn), turn > 0);
    [this.x, this.y, this.drawnX, this.drawnY, this.isDown] = [x, y, x, y, isNear(x, y)];
  }

  /// A span of the second or third degree, drawn by the canvas itself.
  span(points) {
    this.settle();
    if (Number.isNaN(this.drawnX) || !this.isDown) {
      this.context.moveTo(this.x, this.y);
    }
    if (points.length === 4) this.context.quadraticCurveTo(...points);
    else this.context.bezierCurveTo(...points);
    const [x, y] = points.slice(-2);
    [this.x, this.y, this.drawnX, this.drawnY, this.isDown] = [x, y, x, y, isNear(x, y)];
  }
}

/// A line lies beside the view, on one side of it.
function isBeside(x0, y0, x1, y1, { width, height }) {
  const rim = 4;
  return (x0 < -rim && x1 < -rim) || (y0 < -rim && y1 < -rim) || (x0 > width + rim && x1 > width + rim) || (y0 > height + rim && y1 > height + rim);
}

function isNear(x, y) {
  return x > -FAR && x < FAR && y > -FAR && y < FAR;
}

/// The piece of a line within the view and a little around it.
function clipped(x0, y0, x1, y1, width, height) {
  let [first, last] = [0, 1];
  const [dx, dy] = [x1 - x0, y1 - y0];
  const sides = [[-dx, x0 + width], [dx, 2 * width - x0], [-dy, y0 + height], [dy, 2 * height - y0]];
  for (const [along, room] of sides) {
    if (along === 0) {
      if (room < 0) return undefined;
      continue;
    }
    const t = room / along;
    if (along < 0) first = Math.max(first, t);
    else last = Math.min(last, t);
  }
  return first <= last ? [x0 + first * dx, y0 + first * dy, x0 + last * dx, y0 + last * dy] : undefined;
}

/// Goes through the records of a run, in px: `pen` has `go`, `line`, and `arc` and `span` where it can draw these by itself.
function walk(curves, run, view, pen) {
  const { numbers } = curves;
  let [at, end] = curves.records(run);
  const k = view.scale;
  const [ox, oy] = [view.width / 2 - view.x * k, view.height / 2 + view.y * k];
  // The last point in drawing coordinates.
  let [px, py] = [0, 0];
  while (at < end) {
    const kind = numbers[at];
    if (kind === 0) {
      [px, py] = [numbers[at + 1], numbers[at + 2]];
      pen.go(px * k + ox, oy - py * k);
      at += 3;
    } else if (kind === 1) {
      px = numbers[at + 1];
      py = numbers[at + 2];
      pen.line(px * k + ox, oy - py * k);
      at += 3;
    } else if (kind === 2) {
      const [cx, cy, radius, from, turn] = [numbers[at + 1], numbers[at + 2], numbers[at + 3], numbers[at + 4], numbers[at + 5]];
      px = numbers[at + 6];
      py = numbers[at + 7];
      const near = radius * k;
      if (pen.arc && near < FAR / 4 && isNear(cx * k + ox, oy - cy * k)) {
        if (near < TINY) pen.line(px * k + ox, oy - py * k);
        else pen.arc(cx * k + ox, oy - cy * k, near, from, turn, px * k + ox, oy - py * k);
      } else {
        const place = (t) => [(cx + radius * Math.cos(from + t * turn)) * k + ox, oy - (cy + radius * Math.sin(from + t * turn)) * k];
        const pieces = Math.max(2, Math.ceil(Math.abs(turn) / 0.8));
        chords(place, pieces, view, pen);
        pen.line(px * k + ox, oy - py * k);
      }
      at += 8;
    } else if (kind === 3) {
      const [cx, cy, ux, uy, vx, vy, from, turn] = numbers.subarray(at + 1, at + 9);
      px = numbers[at + 9];
      py = numbers[at + 10];
      const place = (t) => {
        const [c, s] = [Math.cos(from + t * turn), Math.sin(from + t * turn)];
        return [(cx + ux * c + vx * s) * k + ox, oy - (cy + uy * c + vy * s) * k];
      };
      chords(place, Math.max(4, Math.ceil(Math.abs(turn) / 0.5)), view, pen);
      pen.line(px * k + ox, oy - py * k);
      at += 11;
    } else {
      const degree = numbers[at + 1];
      const weights = kind === 5 ? numbers.subarray(at + 2, at + 3 + degree) : undefined;
      const from = at + 2 + (weights ? degree + 1 : 0);
      const points = [px * k + ox, oy - py * k];
      for (let i = 0; i < degree; i += 1) points.push(numbers[from + 2 * i] * k + ox, oy - numbers[from + 2 * i + 1] * k);
      const near = points.every((value) => Math.abs(value) < FAR);
      if (pen.span && near && !weights && (degree === 2 || degree === 3)) {
        pen.span(points.slice(2));
      } else {
        chords((t) => onSpan(points, weights, t), 4 * degree, view, pen);
      }
      px = numbers[from + 2 * degree - 2];
      py = numbers[from + 2 * degree - 1];
      pen.line(px * k + ox, oy - py * k);
      at = from + 2 * degree;
    }
  }
  pen.settle?.();
}

/// A point of a span, by halving the sides of its polygon again and again.
function onSpan(points, weights, t) {
  const count = points.length / 2;
  const x = [];
  const y = [];
  const w = [];
  for (let i = 0; i < count; i += 1) {
    w.push(weights ? weights[i] : 1);
    x.push(points[2 * i] * w[i]);
    y.push(points[2 * i + 1] * w[i]);
  }
  for (let left = count - 1; left > 0; left -= 1) {
    for (let i = 0; i < left; i += 1) {
      x[i] += t * (x[i + 1] - x[i]);
      y[i] += t * (y[i + 1] - y[i]);
      w[i] += t * (w[i + 1] - w[i]);
    }
  }
  return [x[0] / w[0], y[0] / w[0]];
}

/// Draws a curve by chords that keep within a small part of a px where it is seen.
function chords(place, pieces, view, pen) {
  const between = (t0, a, t1, b, depth) => {
    const reach = Math.hypot(b[0] - a[0], b[1] - a[1]);
    const isBeside =
      Math.max(a[0], b[0]) + reach < 0 || Math.min(a[0], b[0]) - reach > view.width ||
      Math.max(a[1], b[1]) + reach < 0 || Math.min(a[1], b[1]) - reach > view.height;
    const middle = 0.5 * (t0 + t1);
    if (depth < 26 && !isBeside && reach > 0.8) {
      const m = place(middle);
      const off = Math.hypot(m[0] - 0.5 * (a[0] + b[0]), m[1] - 0.5 * (a[1] + b[1]));
      if (off > CHORD || !Number.isFinite(off)) {
        between(t0, a, middle, m, depth + 1);
        between(middle, m, t1, b, depth + 1);
        return;
      }
    }
    pen.line(b[0], b[1]);
  };
  let [t, last] = [0, place(0)];
  for (let piece = 1; piece <= pieces; piece += 1) {
    const next = piece / pieces;
    const point = place(next);
    between(t, last, next, point, 0);
    [t, last] = [next, point];
  }
}

/// Adds a run to the path of a canvas, to be stroked.
export function trace(context, curves, run, view) {
  walk(curves, run, view, new Pen(context, view));
}

/// The closed polygons of runs, in px; where they are not seen they are coarse.
export function polygons(curves, runs, view) {
  const all = [];
  let points;
  const pen = {
    go: (x, y) => {
      points = [[x, y]];
      all.push(points);
    },
    line: (x, y) => {
      const last = points.at(-1);
      if (Math.abs(x - last[0]) > 0.2 || Math.abs(y - last[1]) > 0.2) points.push([x, y]);
    },
  };
  for (const run of runs) walk(curves, run, view, pen);
  return all;
}

/// A polygon within the view and a little around it.
function cutToView(polygon, view) {
  const [left, right, top, bottom] = [-view.width, 2 * view.width, -view.height, 2 * view.height];
  const sides = [[0, left, 1], [0, right, -1], [1, top, 1], [1, bottom, -1]];
  return sides.reduce((points, [axis, level, sign]) => {
    const kept = [];
    points.forEach((point, i) => {
      const next = points[(i + 1) % points.length];
      const [a, b] = [sign * (point[axis] - level), sign * (next[axis] - level)];
      if (a >= 0) kept.push(point);
      if ((a >= 0) !== (b >= 0)) {
        const t = a / (a - b);
        kept.push([point[0] + t * (next[0] - point[0]), point[1] + t * (next[1] - point[1])]);
      }
    });
    return kept;
  }, polygon);
}

/// Adds the outlines of a run to the path of a canvas, to be filled.
export function traceSolid(context, curves, run, view) {
  for (const polygon of polygons(curves, [run], view)) {
    if (polygon.length < 3) continue;
    const isFar = polygon.some(([x, y]) => !isNear(x, y));
    const points = isFar ? cutToView(polygon, view) : polygon;
    points.forEach(([x, y], i) => (i === 0 ? context.moveTo(x, y) : context.lineTo(x, y)));
    context.closePath();
  }
}

/// Whether a point lies in polygons, holes left out.
export function holds(all, x, y) {
  let inside = false;
  for (const polygon of all) {
    for (let i = 0, j = polygon.length - 1; i < polygon.length; j = i, i += 1) {
      const [a, b] = [polygon[i], polygon[j]];
      if (a[1] > y !== b[1] > y && x < ((b[0] - a[0]) * (y - a[1])) / (b[1] - a[1]) + a[0]) inside = !inside;
    }
  }
  return inside;
}

/// Ends and centres of the curves in a run, in drawing coordinates.
export function places(curves, run, take) {
  const { numbers } = curves;
  let [at, end] = curves.records(run);
  while (at < end) {
    const kind = numbers[at];
    if (kind <= 1) {
      take(numbers[at + 1], numbers[at + 2]);
      at += 3;
    } else if (kind === 2) {
      take(numbers[at + 1], numbers[at + 2]);
      take(numbers[at + 6], numbers[at + 7]);
      at += 8;
    } else if (kind === 3) {
      take(numbers[at + 1], numbers[at + 2]);
      take(numbers[at + 9], numbers[at + 10]);
      at += 11;
    } else {
      const degree = numbers[at + 1];
      at += 2 + (kind === 5 ? degree + 1 : 0) + 2 * degree;
      take(numbers[at - 2], numbers[at - 1]);
    }
  }
}
