//! Polylines with a width as the bands that they are drawn as.
//!
//! A band is all that a pen as wide as the polyline, held at right angles to it, runs over, with its corners filled:
//!
//! - From the DXF reference: every edge has a width at its start and at its end (groups 40 and 41, or 43 for all edges of
//!   an LWPOLYLINE), half of it on either side of the centre line.
//! - Common practice of programs that show drawings, which the reference leaves open: ends are cut at right angles, the
//!   width grows evenly along an edge, and where edges turn they are mitred - the outer sides are extended in their
//!   directions until they meet, the inner ones cut each other off. A closed polyline has a mitre at each vertex; one
//!   that only ends where it begins has two ends there.
//! - From memory: such programs drop the mitre of very sharp corners, and none names the angle. Here a mitre longer than
//!   four half widths becomes a bevel, the triangle between both ends, as SVG does unless told otherwise; a finding says
//!   where. Where the width leaps at a vertex, the edges are mitred outside if their sides meet within the same reach, and
//!   inside the corner of the wider end stays.
//! - A polyline in a plane or block that is scaled unequally is squeezed with its band, as all else in the block is: the
//!   reference does not say what becomes of its width, and a block is shown as an image of its definition.
//!
//! Sides of straight edges are lines, of arcs of one width arcs about the same centre, both exact; those of arcs whose
//! width grows are spirals, drawn by polynomials to less than 1e-10 of their radius. Where a band folds - an edge shorter
//! than what its corner takes off, an arc whose radius is less than half its width, a polyline that crosses itself - its
//! pieces are united.

mod edge;
mod joint;
#[cfg(test)]
mod tests;

use crate::drawing::Polyline;
use crate::finding::{Code, Finding, Severity};
use crate::geometry::{Affine, Bounds, Curve, Point};
use crate::outline::{Origin, Ring};
use crate::region::{self, Region};
use edge::{BandEdge, LEFT, RIGHT, links, trimmed};
use joint::{Joint, Link};

/// What a polyline with a width covers.
pub(super) struct Band {
    /// Rings that are nested among each other: solid, hole, solid.
    pub rings: Vec<Ring>,
    /// Vertices whose corners are too sharp for a mitre.
    pub bevelled: Vec<Point>,
    /// What the reader must know.
    pub findings: Vec<Finding>,
}

impl Band {
    /// The band of a polyline that has a width along its whole length; `map` leads to the drawing plane.
    pub fn of(polyline: &Polyline, map: &Affine, origin: Origin) -> Band {
        let mut strip = Strip::of(polyline);
        let found = if is_thread(polyline) {
            Some((Vec::new(), vec![Finding::of(Code::BandTooThin)]))
        } else {
            let found = strip.simple(origin).or_else(|| strip.united(origin));
            found.map(|(region, findings)| (region.rings().map(|(_, ring)| ring.clone()).collect(), findings))
        };
        // Without one of its bodies a section would have another area.
        let (rings, findings) = found.unwrap_or_else(|| (Vec::new(), vec![Finding::of(Code::BandUnclear)]));
        let place = |finding: Finding| finding.in_file(origin.position).on_entity(origin.handle);
        Band {
            rings: seen(rings, map),
            bevelled: strip.bevelled().into_iter().map(|p| map.point(p)).collect(),
            findings: findings.into_iter().map(place).collect(),
        }
    }

    /// The same area as rings that are each solid, whatever lies in them: what is to be cut out of others.
    pub fn solids(polyline: &Polyline, map: &Affine, origin: Origin) -> Vec<Ring> {
        if is_thread(polyline) {
            return Vec::new();
        }
        let mut strip = Strip::of(polyline);
        // No ring crosses itself then, or is all but cut in two by its own two ends. Inner sides that meet far from a sharp
        // corner would lead straight through what lies between curved edges.
        strip.joints.iter_mut().for_each(Joint::tear);
        seen(strip.bodies(origin), map)
    }
}

/// The width is so small beside the polyline that its two sides are one line but for rounding, and telling them apart
/// would take as long as it is useless.
fn is_thread(polyline: &Polyline) -> bool {
    /// Bands narrower than this share of the size of their polyline.
    const THREAD: f64 = 1e-7;
    let edges = || polyline.wide_edges();
    let size = edges().fold(Bounds::EMPTY, |all, (path, _)| all.union(path.bounds())).size();
    edges().all(|(_, width)| width.iter().all(|w| *w < THREAD * size))
}

/// The rings in the drawing plane.
fn seen(rings: Vec<Ring>, map: &Affine) -> Vec<Ring> {
    if *map == Affine::IDENTITY {
        return rings;
    }
    let moved = |ring: &Ring| {
        Ring::new(ring.curves().iter().map(|curve| curve.transformed(map)).collect(), ring.origin())
    };
    rings.iter().filter_map(moved).collect()
}

/// Edges and their joints; the joint of a number follows the edge of that number.
struct Strip {
    edges: Vec<BandEdge>,
    joints: Vec<Joint>,
    closed: bool,
}

impl Strip {
    fn of(polyline: &Polyline) -> Strip {
        let edges: Vec<BandEdge> =
            polyline.wide_edges().map(|(path, width)| BandEdge::new(path, width)).collect();
        let closed = polyline.closed && edges.len() > 1;
        let next = edges.iter().skip(1).chain(edges.first().filter(|_| closed));
        let joints = edges.iter().zip(next).map(|(first, second)| Joint::of(first, second)).collect();
        let mut strip = Strip { edges, joints, closed };
        let folded: Vec<usize> = (0..strip.edges.len()).filter(|k| strip.is_folded(*k)).collect();
        for k in folded {
            for joint in [strip.joint_before(k), Some(k)].into_iter().flatten() {
                strip.joints.get_mut(joint).iter_mut().for_each(|joint| joint.tear());
            }
        }
        strip
    }

    fn joint_before(&self, edge: usize) -> Option<usize> {
        edge.checked_sub(1).or(self.closed.then(|| self.joints.len() - 1))
    }

    /// The joints at both ends of an edge take off more than there is of one of its sides.
    fn is_folded(&self, edge: usize) -> bool {
        [LEFT, RIGHT].iter().any(|side| self.edges[edge].sides.is_some() && self.side(edge, *side).is_none())
    }

    /// A side of an edge between its joints.
    fn side(&self, edge: usize, side: usize) -> Option<Vec<Curve>> {
        let cut = |joint: Option<usize>, which: usize| match &self.joints.get(joint?)?.links.as_ref()?[side] {
            Link::Meet(cuts) => Some(cuts[which]),
            Link::Across(_) => None,
        };
        let (start, end) = (cut(self.joint_before(edge), 1), cut(Some(edge), 0));
        trimmed(&self.edges[edge].sides.as_ref()?[side], start.as_ref(), end.as_ref())
    }

    /// A side of edges one after the other, with what links them.
    fn chain(&self, run: &[usize], side: usize) -> Option<Vec<Curve>> {
        let mut chain: Vec<Curve> = Vec::new();
        for edge in run {
            let curves = self.side(*edge, side)?;
            if let (Some(last), Some(before)) = (chain.last(), self.joint_before(*edge)) {
                chain.extend(self.link(before, side, last.end(), curves.first()?.start()));
            }
            chain.extend(curves);
        }
        Some(chain)
    }

    /// What leads over a joint from one side to the next.
    fn link(&self, joint: usize, side: usize, from: Point, to: Point) -> Vec<Curve> {
        let joined = self.joints.get(joint).and_then(|joint| joint.links.as_ref());
        let tip = match joined.map(|links| &links[side]) {
            Some(Link::Across(tip)) => *tip,
            _ => None,
        };
        links(&[Some(from), tip, Some(to)].into_iter().flatten().collect::<Vec<Point>>())
    }

    /// The ring around edges that join into one band with two ends. At an end where others go on it passes through the
    /// vertex.
    fn ring(&self, run: &[usize]) -> Option<Vec<Curve>> {
        let (first, last) = (*run.first()?, *run.last()?);
        let (left, mut ring) = (self.chain(run, LEFT)?, self.chain(run, RIGHT)?);
        let (start, end) = (ring.first()?.start(), ring.last()?.end());
        let vertex = |edge: usize, end: usize, goes_on: bool| goes_on.then(|| self.edges[edge].vertex(end));
        let at_end = vertex(last, 1, last < self.joints.len());
        let at_start = vertex(first, 0, self.joint_before(first).is_some());
        let cut = |points: [Option<Point>; 3]| links(&points.into_iter().flatten().collect::<Vec<Point>>());
        ring.extend(cut([Some(end), at_end, Some(left.last()?.end())]));
        ring.extend(left.iter().rev().map(Curve::reversed));
        ring.extend(cut([Some(left.first()?.start()), at_start, Some(start)]));
        Some(ring)
    }

    /// The region, where the band does not fold: bounded by its own two sides.
    fn simple(&self, origin: Origin) -> Option<(Region, Vec<Finding>)> {
        if self.joints.iter().any(|joint| joint.links.is_none()) {
            return None;
        }
        let run: Vec<usize> = (0..self.edges.len()).collect();
        let curves = if self.closed {
            let around = |side: usize| {
                let mut chain = self.chain(&run, side)?;
                let (start, end) = (chain.first()?.start(), chain.last()?.end());
                chain.extend(self.link(self.joints.len() - 1, side, end, start));
                Some(chain)
            };
            vec![around(LEFT)?, around(RIGHT)?]
        } else {
            vec![self.ring(&run)?]
        };
        let rings: Vec<Ring> = curves.into_iter().filter_map(|ring| Ring::new(ring, origin)).collect();
        let resolved = region::resolve(&rings, &[]);
        let region = resolved.region?;
        let [part] = &region.parts[..] else { return None };
        let whole = resolved.findings.is_empty() && part.holes.len() == usize::from(self.closed);
        whole.then_some((region, Vec::new()))
    }

    /// The region that the pieces of a band that folds come to, if they can be told apart.
    fn united(&mut self, origin: Origin) -> Option<(Region, Vec<Finding>)> {
        let rings = self.bodies(origin);
        let bodies: Vec<&[Ring]> = rings.iter().map(std::slice::from_ref).collect();
        let resolved = region::resolve_bodies(&bodies, &[], &[], 0.0);
        // That a piece crosses itself, which is reported with its place in the file, is what bands do that fold.
        let mut findings = resolved.findings;
        let folds = |f: &Finding| matches!(f.code, Code::OutlinesCross | Code::OutlineMeetsItself);
        findings.retain(|f| f.severity >= Severity::Warning && !folds(f));
        resolved.region.map(|region| (region, findings))
    }

    /// Rings that together cover the band, each solid wherever it goes round: runs of edges that join into one band, and
    /// what fills the corners between them.
    fn bodies(&mut self, origin: Origin) -> Vec<Ring> {
        let count = self.edges.len();
        let ends_run = |joint: &Joint| joint.links.is_none() || joint.is_split;
        // A closed band in one run is opened at its last joint.
        if self.closed
            && !self.joints.iter().any(ends_run)
            && let Some(last) = self.joints.last_mut()
        {
            last.tear();
        }
        let first = match self.joints.iter().position(ends_run) {
            Some(joint) if self.closed => joint + 1,
            _ => 0,
        };
        let mut rings: Vec<Vec<Curve>> = Vec::new();
        let mut run: Vec<usize> = Vec::new();
        for k in (first..first + count).map(|k| k % count) {
            run.push(k);
            match self.joints.get(k) {
                Some(joint) if !ends_run(joint) => continue,
                Some(Joint { patch, .. }) => {
                    rings.push(links(&[&patch[..], &patch[..patch.len().min(1)]].concat()));
                }
                None => {}
            }
            match self.edges[k].sides {
                Some(_) => rings.extend(self.ring(&run)),
                None => rings.extend(self.edges[k].fills()),
            }
            run.clear();
        }
        let rings = rings.into_iter().filter_map(|ring| Ring::new(ring, origin));
        rings.filter(|ring| ring.area() > 0.0).collect()
    }

    /// Vertices whose corners are too sharp for a mitre.
    fn bevelled(&self) -> Vec<Point> {
        let joints = self.edges.iter().zip(&self.joints);
        joints.filter(|(_, joint)| joint.is_bevelled).map(|(edge, _)| edge.vertex(1)).collect()
    }
}
