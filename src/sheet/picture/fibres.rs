//! The extreme fibres, which the elastic moduli belong to.

use super::axes::{reach, sample};
use super::canvas::Canvas;
use super::layout::{Layout, Side};
use super::path::ring_box;
use super::scale::{SIZES, Scale};
use crate::geometry::{Bounds, Curve, Point};
use crate::region::Region;

/// Points within this (px) of the line along the outermost point lie on it.
const ON_EDGE: f64 = 0.05;

/// Marks the fibres of axes x and y, with a line from there to their names.
pub(super) fn parallel(layout: &mut Layout, region: &Region) {
    let scale = layout.scale;
    let reach = reach(&scale);
    let (right, up) = (Point::new(1.0, 0.0), Point::new(0.0, 1.0));
    for (name, side, outwards) in [
        ("top fibre", Side::Right, up),
        ("bottom fibre", Side::Right, -up),
        ("left fibre", Side::Top, -right),
        ("right fibre", Side::Top, right),
    ] {
        let Some(touch) = Touch::of(region, &scale, outwards) else { continue };
        let (from, to) = match side {
            Side::Top => (touch.start, Point::new(touch.start.x, reach.min.y)),
            _ => (touch.end, Point::new(reach.max.x, touch.end.y)),
        };
        layout.canvas.line("fibre", from, to);
        layout.canvas.head("fibre-mark", touch.middle(), -touch.outwards);
        layout.label(side, to, "fibre-name", name.to_owned());
    }
}

/// Marks the fibres of the principal axes, axis 1 at `angle` to x, with a letter beside each: the axes have numbers.
pub(super) fn principal(layout: &mut Layout, region: &Region, angle: f64) {
    let axis = Point::at_angle(angle);
    let upright = axis.quarter_turned();
    for (letter, outwards) in [("a", upright), ("b", -upright), ("c", -axis), ("d", axis)] {
        let Some(touch) = Touch::of(region, &layout.scale, outwards) else { continue };
        let along = touch.along() * SIZES.fibre;
        layout.canvas.line("principal-fibre", touch.start - along, touch.end + along);
        layout.canvas.head("principal-mark", touch.middle(), -touch.outwards);
        layout.beside(touch.middle(), touch.outwards, "principal-name", letter);
    }
}

/// What the marks of extreme fibres mean.
pub(super) fn signs(layout: &mut Layout, turned: bool) {
    let tip = |canvas: &mut Canvas, class: &str| {
        canvas.head(class, Point::new(20.0, 9.0), Point::new(0.0, 1.0));
    };
    let words = "extreme fibres that the elastic moduli about x (top, bottom) and y (left, right) belong to";
    layout.sign(false, words.to_owned(), |canvas| {
        sample(canvas, "fibre");
        tip(canvas, "fibre-mark");
    });
    if turned {
        let words = "extreme fibres that the elastic moduli about axis 1 (a top, b bottom) and axis 2 (c left, d right) \
                     belong to, as seen with axis 1 to the right";
        layout.sign(false, words.to_owned(), |canvas| {
            sample(canvas, "principal-fibre");
            tip(canvas, "principal-mark");
        });
    }
}

/// Where the section touches the line along its outermost point, in the picture.
struct Touch {
    /// Unit vector away from the section, at right angles to the line.
    outwards: Point,
    /// The longest straight stretch of the edge along the line, or else the first point on it, twice.
    start: Point,
    end: Point,
}

impl Touch {
    /// The touch of the line whose points are further along `outwards`, a direction of the drawing, than all others.
    fn of(region: &Region, scale: &Scale, outwards: Point) -> Option<Touch> {
        // Where directions are stretched, what is outermost stays so along this one.
        let normal = Point::new(outwards.x / scale.x, -outwards.y / scale.y);
        let normal = normal * (1.0 / normal.length());
        let height = |p: Point| p.dot(normal);
        let highest = |bounds: &Bounds| {
            let (a, b) = (bounds.min, bounds.max);
            [a, b, Point::new(a.x, b.y), Point::new(b.x, a.y)]
                .map(height)
                .into_iter()
                .fold(f64::MIN, f64::max)
        };
        let edges = || region.parts.iter().map(|part| &part.edge);
        let mut level = f64::MIN;
        for (curve, bounds) in edges().flat_map(|edge| edge.curves().into_iter().zip(edge.boxes())) {
            if highest(&drawn(&bounds, scale)) > level {
                level = ends_and_extremes(&curve, outwards, scale).map(height).fold(level, f64::max);
            }
        }
        let meets = |bounds: &Bounds| highest(bounds) >= level - ON_EDGE;
        let on = |p: &Point| (height(*p) - level).abs() <= ON_EDGE;
        let along = along(normal);
        let place = |p: &Point| p.dot(along);
        let mut best: Option<(f64, f64)> = None;
        let mut take = |low: f64, high: f64| {
            let better = best.is_none_or(|(l, h)| {
                let more = (high - low) - (h - l);
                more > ON_EDGE || (more.abs() <= ON_EDGE && low < l)
            });
            if better {
                best = Some((low, high));
            }
        };
        for edge in edges().filter(|edge| meets(&ring_box(edge, scale))) {
            for (curve, bounds) in edge.curves().iter().zip(&edge.boxes()) {
                if !meets(&drawn(bounds, scale)) {
                    continue;
                }
                let (start, end) = (scale.point(curve.start()), scale.point(curve.end()));
                if matches!(curve, Curve::Line(_)) && on(&start) && on(&end) {
                    take(place(&start).min(place(&end)), place(&start).max(place(&end)));
                    continue;
                }
                for point in ends_and_extremes(curve, outwards, scale).filter(on) {
                    take(place(&point), place(&point));
                }
            }
        }
        let at = |place: f64| along * place + normal * level;
        best.map(|(low, high)| Touch { outwards: normal, start: at(low), end: at(high) })
    }

    fn middle(&self) -> Point {
        (self.start + self.end) * 0.5
    }

    fn along(&self) -> Point {
        along(self.outwards)
    }
}

/// The unit vector at right angles to `normal` that points to the right, or down where it is upright.
fn along(normal: Point) -> Point {
    let along = normal.quarter_turned();
    let backwards = if along.x.abs() >= along.y.abs() { along.x < 0.0 } else { along.y < 0.0 };
    if backwards { -along } else { along }
}

/// A box of the drawing in the picture.
fn drawn(bounds: &Bounds, scale: &Scale) -> Bounds {
    Bounds::EMPTY.with(scale.point(bounds.min)).with(scale.point(bounds.max))
}

/// The points of a curve, in the picture, that can be outermost along a direction of the drawing.
fn ends_and_extremes(curve: &Curve, direction: Point, scale: &Scale) -> impl Iterator<Item = Point> {
    let inner = curve.extremes(direction).into_iter().map(|t| curve.at(t));
    inner.chain([curve.start(), curve.end()]).map(|p| scale.point(p))
}
