// What lies above the picture of the drawing: the chosen section with its axes, strips, marks of findings, distances.
import { isSeen, polygons, trace } from "./curves.js";
import { withEdges } from "./stage.js";

/// More runs than this are not drawn once more for being chosen.
const MOST_RUNS = 30;
/// More marks than this in one view would hide the drawing.
const MOST_MARKS = 1500;

/// Draws all of it. `shown` has the chosen section, its axes, strips, findings and distances.
export function drawAbove(context, view, stage, shown) {
  const colour = stage.colours;
  const px = (point) => stage.px(point[0], point[1], view);
  context.font = '13px system-ui, "DejaVu Sans", sans-serif';
  context.lineJoin = "round";
  if (shown.section >= 0) {
    chosenOutline(context, view, stage, shown);
    if (shown.strips) drawStrips(context, view, stage, shown);
    if (shown.axes) drawAxes(context, view, stage, shown);
  }
  drawMarks(context, view, stage, shown);
  drawDistance(context, px, colour, shown, view);
}

function chosenOutline(context, view, stage, { sections, section }) {
  const wide = withEdges(view);
  const runs = (sections.byOwner.get(section) ?? []).filter((run) => isSeen(sections.box(run), wide));
  if (runs.length > MOST_RUNS) return;
  context.beginPath();
  for (const run of runs) trace(context, sections, run, view);
  context.lineWidth = 3;
  context.strokeStyle = stage.colours("chief");
  context.stroke();
}

/// Words with a rim in the colour of the paper, so that they can be read on anything.
function label(context, view, colour, words, x, y, ink, align = "left") {
  const half = context.measureText(words).width / 2;
  const middle = x + { left: half, center: 0, right: -half }[align];
  // Words stay in the view as long as what they name is there.
  const { width, height } = view;
  if (middle < -half || middle > width + half || y < -10 || y > height + 10) return;
  const at = Math.min(Math.max(middle, half + 3), width - half - 3);
  context.save();
  context.setLineDash([]);
  context.textAlign = "center";
  context.textBaseline = "middle";
  context.lineWidth = 4;
  context.strokeStyle = colour("paper");
  context.strokeText(words, at, y);
  context.fillStyle = colour(ink);
  context.fillText(words, at, y);
  context.restore();
}

function line(context, from, to) {
  context.beginPath();
  context.moveTo(...from);
  context.lineTo(...to);
  context.stroke();
}

function drawAxes(context, view, stage, { axes: of, factor, unit }) {
  const colour = stage.colours;
  const px = (x, y) => stage.px(x, y, view);
  const [cx, cy] = of.centroid;
  const [left, bottom, right, top] = of.extent;
  const [x0, y1] = px(left, bottom);
  const [x1, y0] = px(right, top);
  const [mx, my] = px(cx, cy);
  const beyond = 26;
  context.save();
  // Extreme fibres.
  context.setLineDash([5, 4]);
  context.lineWidth = 1;
  context.strokeStyle = colour("soft");
  for (const y of [y0, y1]) line(context, [x0 - 8, y], [x1 + 8, y]);
  for (const x of [x0, x1]) line(context, [x, y0 - 8], [x, y1 + 8]);
  // Equal-area axes.
  if (of.plastic) {
    const [nx, ny] = px(of.plastic[0], of.plastic[1]);
    context.setLineDash([10, 4, 2, 4]);
    context.lineWidth = 1.5;
    context.strokeStyle = colour("plastic");
    line(context, [x0 - beyond, ny], [x1 + beyond, ny]);
    line(context, [nx, y0 - beyond], [nx, y1 + beyond]);
    context.setLineDash([]);
    if (Math.abs(ny - my) > 12) label(context, view, colour, "equal areas", x0 - beyond - 4, ny, "plastic", "right");
    if (Math.abs(nx - mx) > 12) label(context, view, colour, "equal areas", nx, y0 - beyond - 27, "plastic", "center");
  }
  // Axes through the centroid.
  context.setLineDash([]);
  context.lineWidth = 1.5;
  context.strokeStyle = colour("axis");
  line(context, [x0 - beyond, my], [x1 + beyond, my]);
  line(context, [mx, y1 + beyond], [mx, y0 - beyond]);
  // Where axes 1 and 2 run along x and y they are these.
  const isOwn = Math.abs(Math.sin(2 * of.angle)) > 1e-9;
  const isUpright = Math.abs(Math.sin(of.angle)) > 0.5;
  label(context, view, colour, isOwn ? "x" : isUpright ? "x, 2" : "x, 1", x1 + beyond + 6, my, "axis");
  label(context, view, colour, isOwn ? "y" : isUpright ? "y, 1" : "y, 2", mx, y0 - beyond - 10, "axis", "center");
  if (isOwn) {
    const reach = 0.5 * Math.hypot(x1 - x0, y1 - y0) + beyond;
    const ends = [["1", of.angle], ["2", of.angle + Math.PI / 2]];
    context.setLineDash([14, 4]);
    for (const [name, angle] of ends) {
      const [dx, dy] = [reach * Math.cos(angle), -reach * Math.sin(angle)];
      line(context, [mx - dx, my - dy], [mx + dx, my + dy]);
      label(context, view, colour, name, mx + dx * 1.02 + 4, my + dy * 1.02, "axis");
    }
    context.setLineDash([]);
  }
  // How far the extreme fibres are.
  if (x1 - x0 > 120 || y1 - y0 > 120) {
    const length = (value) => `${Number((value * factor).toPrecision(6))} ${unit}`;
    label(context, view, colour, `top fibre ${length(top - cy)}`, Math.max(x1, mx + 170), y0 - 12, "soft", "right");
    label(context, view, colour, `bottom fibre ${length(cy - bottom)}`, Math.max(x1, mx + 170), y1 + 14, "soft", "right");
    label(context, view, colour, `left fibre ${length(cx - left)}`, x0, y1 + 34, "soft", "center");
    label(context, view, colour, `right fibre ${length(right - cx)}`, x1, y1 + 52, "soft", "center");
  }
  // The centroid.
  context.beginPath();
  context.arc(mx, my, 6, 0, 2 * Math.PI);
  context.fillStyle = colour("paper");
  context.fill();
  context.strokeStyle = colour("axis");
  context.lineWidth = 2;
  context.stroke();
  context.beginPath();
  for (const start of [0, Math.PI]) {
    context.moveTo(mx, my);
    context.arc(mx, my, 6, start, start + Math.PI / 2);
  }
  context.fillStyle = colour("axis");
  context.fill();
  label(context, view, colour, "C", mx + 11, my - 12, "axis");
  if (of.shearCentre) {
    const [sx, sy] = px(...of.shearCentre);
    context.strokeStyle = colour("plastic");
    line(context, [sx - 6, sy - 6], [sx + 6, sy + 6]);
    line(context, [sx - 6, sy + 6], [sx + 6, sy - 6]);
    label(context, view, colour, "shear centre", sx + 10, sy + 12, "plastic");
  }
  context.restore();
}

function drawStrips(context, view, stage, { sections, section, strips: { direction, count }, axes: of }) {
  if (!of) return;
  const all = polygons(sections, sections.byOwner.get(section) ?? [], view);
  const flat = direction === "flat";
  const [along, across] = flat ? [1, 0] : [0, 1];
  const [x0, y1] = stage.px(of.extent[0], of.extent[1], view);
  const [x1, y0] = stage.px(of.extent[2], of.extent[3], view);
  const [from, to] = flat ? [y0, y1] : [x0, x1];
  const width = (to - from) / count;
  const cuts = Array.from({ length: count }, () => []);
  for (const polygon of all) {
    for (let i = 0, j = polygon.length - 1; i < polygon.length; j = i, i += 1) {
      let [a, b] = [polygon[j], polygon[i]];
      if (a[along] > b[along]) [a, b] = [b, a];
      const first = Math.max(0, Math.ceil((a[along] - from) / width - 0.5));
      for (let k = first; k < count; k += 1) {
        const middle = from + (k + 0.5) * width;
        if (middle >= b[along]) break;
        if (middle < a[along]) continue;
        const t = (middle - a[along]) / (b[along] - a[along]);
        cuts[k].push(a[across] + t * (b[across] - a[across]));
      }
    }
  }
  context.beginPath();
  cuts.forEach((crossings, k) => {
    crossings.sort((a, b) => a - b);
    for (let i = 0; i + 1 < crossings.length; i += 2) {
      const [start, length] = [crossings[i], crossings[i + 1] - crossings[i]];
      if (flat) context.rect(start, from + k * width, length, width);
      else context.rect(from + k * width, start, width, length);
    }
  });
  context.globalAlpha = 0.3;
  context.fillStyle = stage.colours("strip");
  context.fill();
  context.globalAlpha = 1;
  if (width > 2.5) {
    context.strokeStyle = stage.colours("strip");
    context.lineWidth = 1;
    context.stroke();
  }
}

function drawMarks(context, view, stage, { findings, finding }) {
  const wide = withEdges(view);
  let drawn = 0;
  findings.forEach(({ point, severity }, k) => {
    if (!point || drawn > MOST_MARKS) return;
    const [x, y] = point;
    if (x < wide.left || x > wide.right || y < wide.bottom || y > wide.top) return;
    drawn += 1;
    const [px, py] = stage.px(x, y, view);
    const colour = stage.colours(severity === "failure" ? "fail" : severity === "warning" ? "warn" : "soft");
    context.beginPath();
    if (severity === "failure") {
      context.rect(px - 6, py - 6, 12, 12);
    } else if (severity === "warning") {
      context.moveTo(px, py - 8);
      context.lineTo(px + 7, py + 5);
      context.lineTo(px - 7, py + 5);
      context.closePath();
    } else {
      context.arc(px, py, 5, 0, 2 * Math.PI);
    }
    context.lineWidth = 4;
    context.strokeStyle = stage.colours("paper");
    context.stroke();
    context.lineWidth = 2;
    context.strokeStyle = colour;
    context.stroke();
    if (k === finding) {
      context.beginPath();
      context.arc(px, py, 14, 0, 2 * Math.PI);
      context.lineWidth = 3;
      context.strokeStyle = stage.colours("chief");
      context.stroke();
    }
  });
}

function drawDistance(context, px, colour, { isMeasuring, ends, words }, view) {
  if (!isMeasuring) return;
  context.strokeStyle = colour("ink");
  context.lineWidth = 1;
  const [mx, my] = [view.width / 2, view.height / 2];
  line(context, [mx - 9, my], [mx + 9, my]);
  line(context, [mx, my - 9], [mx, my + 9]);
  const places = ends.map(px);
  context.lineWidth = 2;
  for (const [x, y] of places) {
    context.beginPath();
    context.arc(x, y, 5, 0, 2 * Math.PI);
    context.stroke();
  }
  if (places.length === 2) {
    line(context, ...places);
    const [[x0, y0], [x1, y1]] = places;
    label(context, view, colour, words, 0.5 * (x0 + x1), 0.5 * (y0 + y1) - 14, "ink", "center");
  }
}
