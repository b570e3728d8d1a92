//! MLINE: parallel lines along its vertices, and the caps that its style puts on its ends.

use std::collections::HashMap;

use super::RawShape;
use crate::drawing::groups::{Fault, Groups, required_of};
use crate::drawing::number;
use crate::drawing::pairs::Pairs;
use crate::drawing::plane::{Axes, Point3, difference, dot, sum, times};
use crate::drawing::shape::{Polyline, Shape};
use crate::geometry::{Point, in_order};

/// Bits of group 71.
const CLOSED: i64 = 2;
/// No cap at the start; at the end it is twice this.
const NO_CAP: i64 = 4;

/// Bits of a style's group 70, for the start; those for the end are 16 times these.
const SQUARE: i64 = 16;
const INNER_ARCS: i64 = 32;
const ROUND: i64 = 64;

/// Lines, and the ends that may have caps. The styles, which say what caps, stand behind all entities in a file.
#[derive(Clone, Debug)]
pub(in crate::drawing) struct Multiline {
    lines: Vec<RawShape>,
    /// At the start and at the end; `None` where no cap is drawn.
    ends: [Option<End>; 2],
    style_handle: Option<u64>,
    style_name: Vec<u8>,
}

/// An end: where each line ends, from one outermost line to the other, and the direction in which it ends.
#[derive(Clone, Debug)]
struct End {
    points: Vec<Point3>,
    outward: Point3,
}

struct Vertex {
    place: [Option<f64>; 3],
    /// Direction of the segment that follows.
    along: Point3,
    /// Direction in which the lines are offset.
    mitre: Point3,
    /// For each line its offset, then where along the segment it begins, breaks off, begins again …
    lines: Vec<Vec<f64>>,
}

pub(super) fn multiline(groups: &mut Groups) -> Result<RawShape, Fault> {
    let mut vertices: Vec<Vertex> = Vec::new();
    let (mut flags, mut style_handle, mut style_name) = (0, None, Vec::new());
    while let Some(group) = groups.next() {
        let axis = (group.code / 10 - 1) as usize;
        match (group.code, vertices.last_mut()) {
            (2, _) => style_name = group.text().trim_ascii().to_ascii_lowercase(),
            (340, _) => style_handle = number::handle(group.text()),
            (71, _) => flags = group.whole()?,
            (11, _) => vertices.push(Vertex {
                place: [Some(group.real()?), None, Some(0.0)],
                along: [0.0; 3],
                mitre: [0.0; 3],
                lines: Vec::new(),
            }),
            (21 | 31, Some(vertex)) => vertex.place[axis] = Some(group.real()?),
            (12 | 22 | 32, Some(vertex)) => vertex.along[axis] = group.real()?,
            (13 | 23 | 33, Some(vertex)) => vertex.mitre[axis] = group.real()?,
            (74, Some(vertex)) => vertex.lines.push(Vec::new()),
            (41, Some(vertex)) => {
                let value = group.real()?;
                vertex.lines.last_mut().ok_or_else(|| Fault::new("offsets of no line"))?.push(value);
            }
            _ => {}
        }
    }
    let closed = flags & CLOSED != 0;
    let crossings = crossings(&vertices)?;
    let (Some(first), Some(last)) = (crossings.first(), crossings.last()) else {
        return Err(Fault::new("no vertices"));
    };
    if crossings.len() < 2 {
        return Err(Fault::new("a single vertex"));
    }
    let mut lines = Vec::new();
    for line in 0..first.points.len() {
        lines.extend(line_along(&vertices, &crossings, line, closed)?);
    }
    let end = |crossing: &Crossing, outward: Point3, off: i64| {
        let open = !closed && flags & off == 0 && crossing.points.len() > 1;
        open.then(|| End { points: crossing.ordered(), outward })
    };
    let (after, before) = (&crossings[1], &crossings[crossings.len() - 2]);
    let ends = [
        end(first, difference(first.place, after.place), NO_CAP),
        end(last, difference(last.place, before.place), 2 * NO_CAP),
    ];
    if ends.iter().all(Option::is_none) {
        return Ok(RawShape::Several(lines));
    }
    Ok(RawShape::Multiline(Box::new(Multiline { lines, ends, style_handle, style_name })))
}

/// Where the lines cross the mitre of one vertex.
struct Crossing {
    place: Point3,
    points: Vec<Point3>,
    offsets: Vec<f64>,
}

impl Crossing {
    /// The points from one outermost line to the other.
    fn ordered(&self) -> Vec<Point3> {
        let order = in_order(self.points.len(), &|a, b| self.offsets[a].total_cmp(&self.offsets[b]));
        order.into_iter().map(|i| self.points[i]).collect()
    }
}

fn crossings(vertices: &[Vertex]) -> Result<Vec<Crossing>, Fault> {
    let mut all = Vec::with_capacity(vertices.len());
    let count = vertices.first().map_or(0, |vertex| vertex.lines.len());
    for (i, vertex) in vertices.iter().enumerate() {
        let number = i + 1;
        let [x, y, z] = vertex.place;
        let place = [
            required_of(x, || format!("x of vertex {number} (group 11)"))?,
            required_of(y, || format!("y of vertex {number} (group 21)"))?,
            z.unwrap_or(0.0),
        ];
        if vertex.lines.len() != count || count == 0 {
            let message =
                format!("offsets for {} lines at vertex {number}, {count} at the first", vertex.lines.len());
            return Err(Fault::new(message));
        }
        let mut crossing = Crossing { place, points: Vec::new(), offsets: Vec::new() };
        for line in &vertex.lines {
            let Some(offset) = line.first() else {
                return Err(Fault::new(format!("a line without an offset at vertex {number}")));
            };
            crossing.offsets.push(*offset);
            crossing.points.push(sum(place, times(vertex.mitre, *offset)));
        }
        all.push(crossing);
    }
    Ok(all)
}

/// What is drawn of one of the lines: from mitre to mitre, less its breaks.
fn line_along(
    vertices: &[Vertex],
    crossings: &[Crossing],
    line: usize,
    closed: bool,
) -> Result<Vec<RawShape>, Fault> {
    let mut runs: Vec<Vec<Point3>> = Vec::new();
    let segments = crossings.len() - usize::from(!closed);
    for i in 0..segments {
        let (from, to) = (crossings[i].points[line], crossings[(i + 1) % crossings.len()].points[line]);
        for (start, end) in drawn_parts(&vertices[i], line, from, to)? {
            match runs.last_mut() {
                Some(run) if run.last() == Some(&start) => run.push(end),
                _ => runs.push(vec![start, end]),
            }
        }
    }
    // A run that goes on where the first one begins is one with it; if it is the first one, it is a ring.
    let mut ring = false;
    if closed && runs.first().and_then(|run| run.first()) == runs.last().and_then(|run| run.last()) {
        if runs.len() == 1 {
            runs[0].pop();
            ring = true;
        } else if let Some(mut last) = runs.pop() {
            last.pop();
            last.append(&mut runs[0]);
            runs[0] = last;
        }
    }
    Ok(runs.into_iter().map(|vertices| RawShape::Polyline { vertices, closed: ring }).collect())
}

/// The parts of a line that are drawn along one segment. Their starts and stops are told by their distances from where
/// the line crosses the mitre, along the segment; the last part without a stop goes on to the next mitre.
fn drawn_parts(
    vertex: &Vertex,
    line: usize,
    from: Point3,
    to: Point3,
) -> Result<Vec<(Point3, Point3)>, Fault> {
    let places = &vertex.lines[line][1..];
    if places.len() < 2 && places.first().is_none_or(|start| *start == 0.0) {
        return Ok(vec![(from, to)]);
    }
    if places.windows(2).any(|pair| pair[1] < pair[0]) || dot(vertex.along, vertex.along) == 0.0 {
        return Err(Fault::new("breaks that do not follow one another along their line"));
    }
    let at = |place: f64| if place == 0.0 { from } else { sum(from, times(vertex.along, place)) };
    Ok(places.chunks(2).map(|part| (at(part[0]), part.get(1).map_or(to, |stop| at(*stop)))).collect())
}

impl Multiline {
    /// The lines with the caps of its style; and whether that style is known.
    pub fn capped(&self, styles: &MultilineStyles, normal: Point3) -> (RawShape, bool) {
        let mut all = self.lines.clone();
        let by_handle = self.style_handle.and_then(|handle| styles.by_handle.get(&handle));
        let Some(flags) = by_handle.or_else(|| styles.by_name.get(&self.style_name)) else {
            return (RawShape::Several(all), false);
        };
        let [start, end] = &self.ends;
        for (end, flags) in [(start, *flags), (end, *flags >> 4)] {
            if let Some(end) = end {
                end.add_caps(flags, normal, &mut all);
            }
        }
        (RawShape::Several(all), true)
    }

    /// What it draws without caps.
    pub fn into_lines(self) -> RawShape {
        RawShape::Several(self.lines)
    }

    pub fn size(&self) -> u64 {
        let caps: usize = self.ends.iter().flatten().map(|end| end.points.len()).sum();
        self.lines.iter().map(RawShape::size).sum::<u64>() + caps as u64
    }
}

impl End {
    /// A straight line and a half circle from one outermost line to the other; half circles from the second to the
    /// last but one, and so on, where there are four lines or more.
    fn add_caps(&self, flags: i64, normal: Point3, all: &mut Vec<RawShape>) {
        let [first, .., last] = self.points[..] else { return };
        if flags & SQUARE != 0 {
            all.push(RawShape::Line([first, last]));
        }
        if flags & ROUND != 0 {
            all.push(self.half_circle(first, last, normal));
        }
        if flags & INNER_ARCS != 0 {
            let count = self.points.len();
            for k in 1..count / 2 {
                all.push(self.half_circle(self.points[k], self.points[count - 1 - k], normal));
            }
        }
    }

    fn half_circle(&self, a: Point3, b: Point3, normal: Point3) -> RawShape {
        let axes = Axes::of_normal(normal);
        let [a, b, outward] = [a, b, self.outward].map(|p| axes.in_own(p));
        let flat = |p: Point3| Point::new(p[0], p[1]);
        let (elevation, outward) = (a[2], flat(outward));
        let (a, b) = (flat(a), flat(b));
        // An anticlockwise half circle lies on the right of its chord.
        let bulge = if (b - a).cross(outward) < 0.0 { 1.0 } else { -1.0 };
        let shape = Shape::Polyline(Polyline {
            vertices: [a, b].into(),
            bulges: Some([bulge, 0.0].into()),
            widths: None,
            closed: false,
        });
        RawShape::Flat { shape, elevation }
    }
}

/// The styles of a drawing's multilines: their flags.
#[derive(Default)]
pub(in crate::drawing) struct MultilineStyles {
    by_handle: HashMap<u64, i64>,
    by_name: HashMap<Vec<u8>, i64>,
}

impl MultilineStyles {
    /// Reads the MLINESTYLE that the present pair begins. One whose flags can't be read is not kept.
    pub fn read_entry(&mut self, pairs: &mut Pairs) {
        let (mut name, mut flags) = (None, Some(0));
        let mut groups = Groups::new(pairs, None);
        while let Some(group) = groups.next() {
            match group.code {
                2 => name = name.or_else(|| Some(group.text().trim_ascii().to_ascii_lowercase())),
                70 => flags = group.whole().ok(),
                _ => {}
            }
        }
        let Some(flags) = flags.filter(|_| !groups.cut) else { return };
        if let Some(handle) = groups.common.handle {
            self.by_handle.insert(handle, flags);
        }
        if let Some(name) = name {
            self.by_name.entry(name).or_insert(flags);
        }
    }
}
