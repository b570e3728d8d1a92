//! Where two edges of a polyline with a width meet.

use super::edge::{BandEdge, Cut, LEFT, RIGHT};
use crate::geometry::{Bounds, Curve, Point, contacts};

/// Edges that turn less than this (radians) run on smoothly, as those do that are tangent but for the decimals of the
/// drawing: their corners are one point, which moves a side off by half the square of this, 5e-11 of half the width.
const TANGENT: f64 = 1e-5;

/// A mitre that reaches further from the vertex than so many half widths - between edges that enclose less than 29° - is
/// dropped for a bevel.
const MITRE: f64 = 4.0;

/// How a side gets from one edge to the next.
#[derive(Clone, Debug)]
pub(super) enum Link {
    /// The sides meet: the one ends here, the other begins.
    Meet([Cut; 2]),
    /// Straight from corner to corner, by way of the tip of the mitre where there is one.
    Across(Option<Point>),
}

/// A joint of two edges.
#[derive(Clone, Debug)]
pub(super) struct Joint {
    /// The links of the left and the right side; `None` where the edges do not join into one band: each ends at right
    /// angles there and the patch lies beside them.
    pub links: Option<[Link; 2]>,
    /// The edges are taken as two bands all the same, whose ends lie against each other from link to link.
    pub is_split: bool,
    /// What fills the corner outside between two bands; no ring where there is nothing to fill.
    pub patch: Vec<Point>,
    /// The corner is too sharp for a mitre.
    pub is_bevelled: bool,
}

impl Joint {
    pub fn of(first: &BandEdge, second: &BandEdge) -> Joint {
        let vertex = second.vertex(0);
        let (from, to) = (first.path.tangent(1.0), second.path.tangent(0.0));
        let turn = from.cross(to).atan2(from.dot(to));
        let corners = |side: usize| (first.corner(1, side), second.corner(0, side));
        let sides = first.sides.as_ref().zip(second.sides.as_ref());
        let (inside, outside) = if turn > 0.0 { (LEFT, RIGHT) } else { (RIGHT, LEFT) };
        let (a, b) = corners(outside);
        if turn.abs() <= TANGENT {
            let link = |side: usize| {
                let (a, b) = corners(side);
                // A step in the width is one in the band.
                if first.half(1) != second.half(0) {
                    return Link::Across(None);
                }
                Link::Meet([Cut::at(a.towards(b, 0.5)); 2])
            };
            let links = sides.map(|_| [link(LEFT), link(RIGHT)]);
            let patch = if links.is_none() { vec![vertex, a, b] } else { Vec::new() };
            return Joint { links, is_split: false, patch, is_bevelled: false };
        }
        let half = first.half(1).max(second.half(0));
        let tip = sides.and_then(|(first, second)| {
            let ahead = first[outside].last()?.tangent(1.0);
            let back = -second[outside].first()?.tangent(0.0);
            meeting_of_rays(a, ahead, b, back)
        });
        let tip = tip.filter(|tip| tip.distance(vertex) <= MITRE * half);
        let patch = [Some(vertex), Some(a), tip, Some(b)].into_iter().flatten().collect();
        let links = sides
            // What either end covers beside the other has no simple edge: where the width leaps, or an edge is short beside
            // it, they are two bands.
            .filter(|_| {
                let (a, b) = corners(inside);
                first.half(1) == second.half(0) && second.covers(a) && first.covers(b)
            })
            .and_then(|(first, second)| inner_meeting(&first[inside], &second[inside], vertex, turn))
            .map(|cuts| {
                let mut links = [Link::Across(tip), Link::Across(tip)];
                links[inside] = Link::Meet(cuts);
                links
            });
        Joint { links, is_split: false, patch, is_bevelled: tip.is_none() && a != b }
    }

    /// Takes the edges as two bands. Where they only run on, the ends of both stay one line; else each ends at right
    /// angles.
    pub fn tear(&mut self) {
        self.is_split = true;
        let runs_on = |link: &Link| matches!(link, Link::Meet([Cut { parameter: None, .. }, _]));
        if self.links.as_ref().is_some_and(|links| !links.iter().all(runs_on)) {
            self.links = None;
        }
    }
}

/// Where two rays meet, ahead of both.
fn meeting_of_rays(a: Point, ahead: Point, b: Point, back: Point) -> Option<Point> {
    let across = ahead.cross(back);
    let between = b - a;
    let (s, t) = (between.cross(back) / across, between.cross(ahead) / across);
    let tip = a + ahead * s;
    (s > 0.0 && t > 0.0 && tip.is_finite()).then_some(tip)
}

/// Where the sides on the inside of a turn cut each other off, next to the vertex.
fn inner_meeting(first: &[Curve], second: &[Curve], vertex: Point, turn: f64) -> Option<[Cut; 2]> {
    let (a, b) = (first.last()?, second.first()?);
    // Nearer than the last places of the coordinates nothing can be told apart.
    let reach = Bounds::around([a.start(), a.end(), b.start(), b.end()]).reach();
    let found = contacts(a, b, 8.0 * f64::EPSILON * reach).ok()?;
    let near = found.iter().min_by(|p, q| p.point.distance(vertex).total_cmp(&q.point.distance(vertex)))?;
    if near.a <= 0.0 || near.b >= 1.0 {
        return None;
    }
    // What both edges cover beside the vertex: round it against the turn.
    let covered = [
        a.between(near.a, 1.0),
        Curve::line(a.end(), vertex),
        Curve::line(vertex, b.start()),
        b.between(0.0, near.b),
    ];
    let area: f64 = covered.iter().map(|curve| curve.swept_area(near.point)).sum();
    (area * turn < 0.0).then(|| {
        let cut = |parameter: f64| Cut { point: near.point, parameter: Some(parameter) };
        [cut(near.a), cut(near.b)]
    })
}
