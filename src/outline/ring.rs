//! Closed rings of exact curves.

use std::cmp::Ordering;
use std::sync::Arc;

use super::joint::Slip;
use super::winding::Rays;
use crate::finding::Position;
use crate::geometry::{Bounds, Curve, Point};

/// Where in the drawing a ring or a piece comes from.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Origin {
    /// Where in the file the entity begins; of a joined ring, its first piece. `None` for what comes from no file.
    pub position: Option<Position>,
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
    slips: Arc<[Slip]>,
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
        Some(Ring { curves: curves.into(), boxes, bounds, area, slips: Arc::default(), origin })
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

    /// The same ring with the slips of drafting that were mended to make it.
    pub(super) fn with_slips(self, slips: Vec<Slip>) -> Ring {
        Ring { slips: slips.into(), ..self }
    }

    /// The ring encloses something: it has an area, or goes round parts in one sense and parts in the other, as an outline
    /// does that crosses itself.
    pub(super) fn goes_round_something(&self) -> bool {
        /// An outline whose area is below this share of its size squared encloses nothing but rounding, unless it crosses
        /// itself.
        const NO_AREA: f64 = 1e-12;
        /// How far beside its curves, as a share of its size, such an outline is looked at.
        const BESIDE: f64 = 1e-6;
        /// Where along a curve: off the middle, where an outline with symmetry crosses itself.
        const OFF_MIDDLE: f64 = 0.4693;
        let size = self.bounds.size();
        if self.area > NO_AREA * size * size {
            return true;
        }
        self.curves.iter().any(|curve| {
            let (place, along) = (curve.at(OFF_MIDDLE), curve.derivative(OFF_MIDDLE));
            let speed = along.length();
            let aside = along.quarter_turned() * (BESIDE * size / speed);
            speed > 0.0 && (self.contains(place + aside) || self.contains(place - aside))
        })
    }

    /// The joints whose ends did not lie on each other as drawn.
    pub fn slips(&self) -> &[Slip] {
        &self.slips
    }

    /// The largest distance of two ends that were joined to make the ring, in drawing units; 0 where all met.
    pub fn gap(&self) -> f64 {
        self.slips.iter().map(|slip| slip.apart).fold(0.0, f64::max)
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

    /// The ring goes round `point`, once or more often in one sense than in the other; a point on the ring may come out
    /// either way.
    pub fn contains(&self, point: Point) -> bool {
        let curves = self.curves.iter().zip(self.boxes.iter());
        self.bounds.contains_point(point) && Rays::across(&self.bounds).winding(curves, point) != 0
    }

    /// The curves follow on each other, the boxes hold them and the area is that of an anticlockwise ring.
    pub fn check(&self) -> bool {
        closes(&self.curves) && self.area >= 0.0 && self.boxes.len() == self.curves.len()
    }
}

/// Each curve begins exactly where the one before ends, the first where the last does.
pub(super) fn closes(curves: &[Curve]) -> bool {
    let last = curves.len() - 1;
    curves.windows(2).all(|pair| pair[0].end() == pair[1].start()) && curves[last].end() == curves[0].start()
}
