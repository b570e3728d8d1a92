//! Closed rings of exact curves.

use std::cmp::Ordering;
use std::f64::consts::PI;
use std::num::NonZeroU64;
use std::sync::Arc;

use super::joint::Slip;
use super::per_curve::PerCurve;
use super::winding::Rays;
use crate::finding::Position;
use crate::geometry::{Arc as Circular, Bounds, Curve, Point};

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
pub struct Ring(Arc<Shape>);

/// A circle is kept as what it was drawn by: a plate may have a million holes.
#[derive(Debug)]
enum Shape {
    /// As [`Circular::circle`] makes it.
    Circle {
        center: Point,
        radius: Radius,
        origin: ShortOrigin,
    },
    Other(Box<Other>),
}

/// A number above 0, of whose bits one is set: all unset tell the shape that is no circle, in no word more.
#[derive(Clone, Copy, Debug)]
struct Radius(NonZeroU64);

impl Radius {
    fn of(radius: f64) -> Option<Radius> {
        NonZeroU64::new(radius.to_bits()).map(Radius)
    }

    fn get(self) -> f64 {
        f64::from_bits(self.0.get())
    }
}

#[derive(Debug)]
struct Other {
    curves: Box<[Curve]>,
    boxes: Box<[Bounds]>,
    bounds: Bounds,
    area: f64,
    slips: Vec<Slip>,
    origin: PackedOrigin,
}

/// An origin in two words.
#[derive(Clone, Copy, Debug)]
pub(super) struct PackedOrigin {
    /// From the lowest bit: whether there is a handle, whether the position is one of a byte, and the position counted from 1,
    /// 0 where there is none. No file has 2⁶² bytes.
    position: u64,
    handle: u64,
}

impl PackedOrigin {
    pub fn new(origin: Origin) -> PackedOrigin {
        const MOST: u64 = (1 << 62) - 2;
        let (count, is_byte) = match origin.position {
            None => (0, 0),
            Some(Position::Line(line)) => (line.min(MOST) + 1, 0),
            Some(Position::Byte(byte)) => (byte.min(MOST) + 1, 1),
        };
        let has_handle = u64::from(origin.handle.is_some());
        PackedOrigin {
            position: count << 2 | is_byte << 1 | has_handle,
            handle: origin.handle.unwrap_or_default(),
        }
    }

    pub fn origin(self) -> Origin {
        let count = (self.position >> 2).checked_sub(1);
        let position =
            |count| if self.position & 2 == 0 { Position::Line(count) } else { Position::Byte(count) };
        Origin { position: count.map(position), handle: (self.position & 1 == 1).then_some(self.handle) }
    }
}

/// An origin in one word: its handle in the lowest bits, and above them its position.
#[derive(Clone, Copy, Debug)]
struct ShortOrigin(u64);

impl ShortOrigin {
    /// Handles of drawings of 67 million entities.
    const HANDLE_BITS: u32 = 26;

    /// `None` where it does not fit.
    fn of(PackedOrigin { position, handle }: PackedOrigin) -> Option<ShortOrigin> {
        let fits = handle >> Self::HANDLE_BITS == 0
            && position << Self::HANDLE_BITS >> Self::HANDLE_BITS == position;
        fits.then_some(ShortOrigin(position << Self::HANDLE_BITS | handle))
    }

    fn packed(self) -> PackedOrigin {
        let position = self.0 >> Self::HANDLE_BITS;
        PackedOrigin { position, handle: self.0 ^ position << Self::HANDLE_BITS }
    }
}

impl Ring {
    /// The ring of the given curves, turned anticlockwise and begun at its lowest leftmost joint, so that it does
    /// not depend on how it was drawn. `None` unless the curves are sound and each begins where the one before
    /// ends.
    pub fn new(curves: Vec<Curve>, origin: Origin) -> Option<Ring> {
        Ring::with_slips(curves, Vec::new(), origin)
    }

    /// The same, with the slips of drafting that were mended to make it.
    pub(super) fn with_slips(mut curves: Vec<Curve>, slips: Vec<Slip>, origin: Origin) -> Option<Ring> {
        if curves.is_empty() || !closes(&curves) || !curves.iter().all(Curve::is_sound) {
            return None;
        }
        let origin = PackedOrigin::new(origin);
        if let [Curve::Arc(arc)] = curves[..]
            && arc == Circular::circle(arc.center, arc.radius)
            && let (Some(radius), Some(origin)) = (Radius::of(arc.radius), ShortOrigin::of(origin))
            && slips.is_empty()
        {
            return Some(Ring(Arc::new(Shape::Circle { center: arc.center, radius, origin })));
        }
        let middle = Bounds::around(curves.iter().map(Curve::start)).center();
        let mut area: f64 = curves.iter().map(|curve| curve.swept_area(middle)).sum();
        if area < 0.0 {
            curves = curves.iter().rev().map(Curve::reversed).collect();
            area = -area;
        }
        let first =
            (0..curves.len()).min_by(|i, j| curves[*i].start().by_place(&curves[*j].start())).unwrap_or(0);
        curves.rotate_left(first);
        let boxes: Box<[Bounds]> = curves.iter().map(Curve::bounds).collect();
        let bounds = boxes.iter().fold(Bounds::EMPTY, |all, b| all.union(*b));
        let other = Other { curves: curves.into(), boxes, bounds, area, slips, origin };
        Some(Ring(Arc::new(Shape::Other(Box::new(other)))))
    }

    /// The curves in order, anticlockwise.
    #[inline]
    pub fn curves(&self) -> PerCurve<'_, Curve> {
        match &*self.0 {
            Shape::Circle { center, radius, .. } => {
                PerCurve::made(Curve::Arc(Circular::circle(*center, radius.get())))
            }
            Shape::Other(other) => PerCurve::kept(&other.curves),
        }
    }

    /// The same number for rings that are one, and another for each other ring that lives.
    pub(crate) fn identity(&self) -> usize {
        Arc::as_ptr(&self.0).cast::<()>() as usize
    }

    /// The box of each curve.
    pub(crate) fn boxes(&self) -> PerCurve<'_, Bounds> {
        match &*self.0 {
            Shape::Circle { .. } => PerCurve::made(self.bounds()),
            Shape::Other(other) => PerCurve::kept(&other.boxes),
        }
    }

    /// The box around the ring.
    #[inline]
    pub fn bounds(&self) -> Bounds {
        match &*self.0 {
            Shape::Circle { center, radius, .. } => {
                let reach = Point::new(radius.get(), radius.get());
                Bounds { min: *center - reach, max: *center + reach }
            }
            Shape::Other(other) => other.bounds,
        }
    }

    /// Enclosed area in drawing units squared; parts that the ring runs round clockwise count negative.
    pub fn area(&self) -> f64 {
        match &*self.0 {
            Shape::Circle { radius, .. } => PI * radius.get() * radius.get(),
            Shape::Other(other) => other.area,
        }
    }

    /// Length of the ring in drawing units.
    pub fn length(&self) -> f64 {
        self.curves().iter().map(Curve::length).sum()
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
        let size = self.bounds().size();
        if self.area() > NO_AREA * size * size {
            return true;
        }
        self.curves().iter().any(|curve| {
            let (place, along) = (curve.at(OFF_MIDDLE), curve.derivative(OFF_MIDDLE));
            let speed = along.length();
            let aside = along.quarter_turned() * (BESIDE * size / speed);
            speed > 0.0 && (self.contains(place + aside) || self.contains(place - aside))
        })
    }

    /// The joints whose ends did not lie on each other as drawn.
    pub fn slips(&self) -> &[Slip] {
        match &*self.0 {
            Shape::Circle { .. } => &[],
            Shape::Other(other) => &other.slips,
        }
    }

    /// The largest distance of two ends that were joined to make the ring, in drawing units; 0 where all met.
    pub fn gap(&self) -> f64 {
        self.slips().iter().map(|slip| slip.apart).fold(0.0, f64::max)
    }

    /// Where it was drawn.
    pub fn origin(&self) -> Origin {
        match &*self.0 {
            Shape::Circle { origin, .. } => origin.packed().origin(),
            Shape::Other(other) => other.origin.origin(),
        }
    }

    /// From left to right, then upwards: an order that does not depend on the order in which rings were drawn.
    pub(crate) fn by_place(&self, other: &Ring) -> Ordering {
        let (a, b) = (self.bounds(), other.bounds());
        (a.min.by_place(&b.min))
            .then(a.max.by_place(&b.max))
            .then_with(|| self.area().total_cmp(&other.area()))
            .then_with(|| self.curves().len().cmp(&other.curves().len()))
            .then_with(|| self.origin().position.cmp(&other.origin().position))
    }

    /// The ring goes round `point`, once or more often in one sense than in the other; a point on the ring may come out
    /// either way.
    pub fn contains(&self, point: Point) -> bool {
        let bounds = self.bounds();
        bounds.contains_point(point) && {
            let (curves, boxes) = (self.curves(), self.boxes());
            Rays::across(&bounds).winding(curves.iter().zip(boxes.iter()), point) != 0
        }
    }

    /// The curves follow on each other, the boxes hold them and the area is that of an anticlockwise ring.
    pub fn check(&self) -> bool {
        closes(&self.curves()) && self.area() >= 0.0 && self.boxes().len() == self.curves().len()
    }
}

/// The rings from left to right, then upwards.
pub(super) fn sort_by_place(rings: &mut Vec<Ring>) {
    /// So many are looked up where they lie; of more, that would take longer than to sort their corners beside them.
    const FEW: usize = 4096;
    if rings.len() <= FEW {
        rings.sort_by(Ring::by_place);
        return;
    }
    let keyed = std::mem::take(rings).into_iter().map(|ring| (ring.bounds().min, ring));
    let mut keyed: Vec<(Point, Ring)> = keyed.collect();
    // In place: a list beside it would be the most that measuring takes.
    keyed.sort_unstable_by(|(p, a), (q, b)| p.by_place(q).then_with(|| a.by_place(b)));
    *rings = keyed.into_iter().map(|(_, ring)| ring).collect();
}

/// Each curve begins exactly where the one before ends, the first where the last does.
pub(super) fn closes(curves: &[Curve]) -> bool {
    let last = curves.len() - 1;
    curves.windows(2).all(|pair| pair[0].end() == pair[1].start()) && curves[last].end() == curves[0].start()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A drawing of a million holes has a million of these: what makes one larger makes it larger by so many megabytes.
    #[test]
    fn a_circle_is_small() {
        // With the two counts that it is shared by, 48 bytes, which allocators have a size for.
        assert_eq!((size_of::<Shape>(), size_of::<Ring>()), (32, size_of::<usize>()));
    }

    /// What a circle is kept as gives what the arc would that it was drawn by.
    #[test]
    fn a_circle_is_what_it_was_drawn_by() {
        let drawn = Curve::Arc(Circular::circle(Point::new(1.1e4, -7.3), 1.0 / 3.0));
        let ring = Ring::new(vec![drawn.clone()], Origin::default()).expect("a ring");
        assert!(matches!(*ring.0, Shape::Circle { .. }));
        assert_eq!(
            (&*ring.curves(), ring.bounds(), &*ring.boxes()),
            (&[drawn.clone()][..], drawn.bounds(), &[drawn.bounds()][..])
        );
        assert!((ring.area() / drawn.swept_area(Point::ORIGIN) - 1.0).abs() < 1e-14);
        // Begun elsewhere, or run the other way round, it is another curve.
        let turned =
            Curve::Arc(Circular::new(Point::new(1.1e4, -7.3), 1.0 / 3.0, 1.0, std::f64::consts::TAU));
        for drawn in [turned, drawn.reversed()] {
            let ring = Ring::new(vec![drawn.clone()], Origin::default()).expect("a ring");
            let expected = if drawn.swept_area(Point::ORIGIN) > 0.0 { drawn } else { drawn.reversed() };
            assert_eq!(&*ring.curves(), &[expected]);
        }
    }

    #[test]
    fn origins_are_unpacked_as_they_were() {
        let mut fit = 0;
        for position in
            [None, Some(Position::Line(1)), Some(Position::Byte(0)), Some(Position::Byte(1 << 61))]
        {
            for handle in [None, Some(0), Some((1 << 26) - 1), Some(1 << 26), Some(u64::MAX)] {
                let origin = Origin { position, handle };
                assert_eq!(PackedOrigin::new(origin).origin(), origin);
                // However a circle is kept.
                let circle = Curve::Arc(Circular::circle(Point::new(3.0, 4.0), 5.0));
                let ring = Ring::new(vec![circle], origin).expect("a ring");
                assert_eq!((ring.origin(), ring.area()), (origin, PI * 25.0));
                fit += u32::from(matches!(*ring.0, Shape::Circle { .. }));
            }
        }
        // All but for one place and two handles.
        assert_eq!(fit, 3 * 3);
    }

    #[test]
    fn many_rings_are_sorted_as_few_are() {
        let circle = |k: u32| {
            let center = Point::new(f64::from(k * 7919 % 61), f64::from(k * 104_729 % 89));
            let arc = Circular::circle(center, 1.0 + f64::from(k % 3));
            Ring::new(vec![arc.into()], Origin { position: Some(Position::Line(k.into())), handle: None })
        };
        let mut many: Vec<Ring> = (0..6000).filter_map(circle).collect();
        let mut expected = many.clone();
        expected.sort_by(Ring::by_place);
        sort_by_place(&mut many);
        let lines = |rings: &[Ring]| rings.iter().map(Ring::identity).collect::<Vec<_>>();
        assert_eq!(lines(&many), lines(&expected));
    }
}
