//! Closed rings of exact curves.

use std::cmp::Ordering;
use std::sync::Arc;

use crate::finding::Position;
use crate::geometry::{Bounds, Curve, Point};

/// Where in the drawing a ring or a piece comes from.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Origin {
    /// Where in the file the entity begins; of a joined ring, its first piece.
    pub position: Position,
    /// Handle of the entity.
    pub handle: Option<u64>,
}

/// A closed ring of curves, anticlockwise, each beginning exactly where the one before ends. Cheap to clone.
#[derive(Clone, Debug)]
pub struct Ring {
    curves: Arc<[Curve]>,
    boxes: Arc<[Bounds]>,
    bounds: Bounds,
    area: f64,
    gap: f64,
    origin: Origin,
}

impl Ring {
    /// The ring of the given curves, turned anticlockwise and begun at its lowest leftmost joint, so that it does
    /// not depend on how it was drawn. `None` unless the curves are sound and each begins where the one before
    /// ends.
    pub fn new(curves: Vec<Curve>, origin: Origin) -> Option<Ring> {
        if curves.is_empty() || !closes(&curves) || !curves.iter().all(Curve::is_sound) {
            return None;
        }
        let middle = Bounds::around(curves.iter().map(Curve::start)).center();
        let mut area: f64 = curves.iter().map(|c| c.swept_area(middle)).sum();
        let mut curves = curves;
        if area < 0.0 {
            curves = curves.iter().rev().map(Curve::reversed).collect();
            area = -area;
        }
        let first = (0..curves.len())
            .min_by(|i, j| {
                let (p, q) = (curves[*i].start(), curves[*j].start());
                p.x.total_cmp(&q.x).then(p.y.total_cmp(&q.y))
            })
            .unwrap_or(0);
        curves.rotate_left(first);
        let boxes: Arc<[Bounds]> = curves.iter().map(Curve::bounds).collect();
        let bounds = boxes.iter().fold(Bounds::EMPTY, |all, b| all.union(*b));
        Some(Ring { curves: curves.into(), boxes, bounds, area, gap: 0.0, origin })
    }

    /// The curves in order, anticlockwise.
    pub fn curves(&self) -> &[Curve] {
        &self.curves
    }

    /// The same number for rings that are one, and another for each other ring that lives.
    pub(crate) fn identity(&self) -> usize {
        Arc::as_ptr(&self.curves).cast::<()>() as usize
    }

    /// The box of each curve.
    pub(crate) fn boxes(&self) -> &[Bounds] {
        &self.boxes
    }

    /// The box around the ring.
    pub fn bounds(&self) -> &Bounds {
        &self.bounds
    }

    /// Enclosed area in drawing units squared; parts that the ring runs round clockwise count negative.
    pub fn area(&self) -> f64 {
        self.area
    }

    /// Length of the ring in drawing units.
    pub fn length(&self) -> f64 {
        self.curves.iter().map(Curve::length).sum()
    }

    /// The same ring, knowing the largest gap that was closed to make it.
    pub(super) fn with_gap(self, gap: f64) -> Ring {
        Ring { gap, ..self }
    }

    /// The largest gap that was closed by a straight link to make the ring; 0 when there was none.
    pub fn gap(&self) -> f64 {
        self.gap
    }

    /// Where it was drawn.
    pub fn origin(&self) -> Origin {
        self.origin
    }

    /// From left to right, then upwards: an order that does not depend on the order in which rings were drawn.
    pub(crate) fn by_place(&self, other: &Ring) -> Ordering {
        let key = |ring: &Ring| {
            let bounds = ring.bounds;
            [bounds.min.x, bounds.min.y, bounds.max.x, bounds.max.y, ring.area]
        };
        let (a, b) = (key(self), key(other));
        let place = a.iter().zip(&b).map(|(a, b)| a.total_cmp(b)).find(|o| o.is_ne());
        place
            .unwrap_or_else(|| self.curves.len().cmp(&other.curves.len()))
            .then(self.origin.position.cmp(&other.origin.position))
    }

    /// Whether `point` lies inside, by the even-odd rule; a point on the ring may come out either way.
    pub fn contains(&self, point: Point) -> bool {
        if !self.bounds.contains_point(point) {
            return false;
        }
        let mut inside = false;
        for (curve, bounds) in self.curves.iter().zip(self.boxes.iter()) {
            if bounds.max.x < point.x || bounds.max.y < point.y || bounds.min.y > point.y {
                continue;
            }
            let crosses = |a: Point, b: Point| (a.y <= point.y) != (b.y <= point.y);
            if bounds.min.x > point.x {
                // All of it lies to the right, so only the heights of its ends decide how often the ray meets it.
                inside ^= crosses(curve.start(), curve.end());
                continue;
            }
            let up = Point::new(0.0, 1.0);
            let parts = curve.monotone_parts(up);
            for part in parts.windows(2) {
                if crosses(curve.at(part[0]), curve.at(part[1])) {
                    let t = curve.parameter_where(up, point.y, part[0], part[1]);
                    inside ^= curve.at(t).x > point.x;
                }
            }
        }
        inside
    }

    /// The curves follow on each other, the boxes hold them and the area is that of an anticlockwise ring.
    pub fn check(&self) -> bool {
        closes(&self.curves) && self.area >= 0.0 && self.boxes.len() == self.curves.len()
    }
}

fn closes(curves: &[Curve]) -> bool {
    let last = curves.len() - 1;
    curves.windows(2).all(|pair| pair[0].end() == pair[1].start()) && curves[last].end() == curves[0].start()
}
