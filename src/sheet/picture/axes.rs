//! The centroid, the axes through it, the equal-area axes and the extreme fibres.

use super::canvas::Canvas;
use super::layout::{Layout, Side};
use super::path::{number, pair, ring_box};
use super::scale::{SIZES, Scale, Stretch};
use crate::geometry::{Bounds, Curve, Point};
use crate::region::Region;
use crate::section::{EQUAL, Section};

/// Points within this (px) of the edge of the section's box lie on it.
const ON_EDGE: f64 = 0.05;

/// Draws all of them, under what is drawn later.
pub(super) fn draw(layout: &mut Layout, region: &Region, section: &Section) {
    fibres(layout, region);
    parallel(layout, section);
    principal(layout, section);
    let centre = layout.scale.point(section.centroid);
    layout.canvas.centroid(centre);
    fibres_sign(layout);
}

/// The box that axes run to.
fn reach(scale: &Scale) -> Bounds {
    Bounds { min: Point::ORIGIN, max: Point::new(scale.width, scale.height) }.grown(SIZES.overhang)
}

/// The axes parallel to x and y: through the centroid, and those that halve the area.
fn parallel(layout: &mut Layout, section: &Section) {
    let reach = reach(&layout.scale);
    let centre = layout.scale.point(section.centroid);
    let halves = section.plastic.map(|p| layout.scale.point(Point::new(p.level_x, p.level_y)));
    let column = |key: &str| layout.words.column(key).unwrap_or_default();
    let (x, y) = (column("centroid_x"), column("centroid_y"));
    let (half_x, half_y) = (layout.words.column("plastic_axis_x"), layout.words.column("plastic_axis_y"));
    let (mut across, mut upright) = (format!("axis x at y = {y}"), format!("axis y at x = {x}"));
    let right = |level: f64| Point::new(reach.max.x, level);
    let above = |place: f64| Point::new(place, reach.min.y);
    let mut halving = None;
    if let (Some(halves), Some(half_x), Some(half_y)) = (halves, half_x, half_y) {
        if half_y == y {
            across = format!("axis x and equal area at y = {y}");
        } else {
            layout.canvas.line("plastic", Point::new(reach.min.x, halves.y), right(halves.y));
            let text = format!("equal area at y = {half_y}");
            layout.label(Side::Right, right(halves.y), "plastic-name", text);
        }
        if half_x == x {
            upright = format!("axis y and equal area at x = {x}");
        } else {
            layout.canvas.line("plastic", Point::new(halves.x, reach.max.y), above(halves.x));
            let text = format!("equal area at x = {half_x}");
            layout.label(Side::Top, above(halves.x), "plastic-name", text);
        }
        let class = if half_y != y || half_x != x { "plastic" } else { "axis" };
        halving = Some((format!("equal-area (plastic) axes: at y = {half_y} and at x = {half_x}"), class));
    }
    layout.canvas.line("axis", Point::new(reach.min.x, centre.y), right(centre.y));
    layout.canvas.line("axis", Point::new(centre.x, reach.max.y), above(centre.x));
    layout.label(Side::Right, right(centre.y), "axis-name", across);
    layout.label(Side::Top, above(centre.x), "axis-name", upright);
    layout
        .sign(true, format!("centroid at x = {x}, y = {y}"), |canvas| canvas.centroid(Point::new(20.0, 7.0)));
    layout.sign(false, "axes x and y through the centroid".to_owned(), |canvas| sample(canvas, "axis"));
    if let Some((words, class)) = halving {
        layout.sign(false, words, |canvas| sample(canvas, class));
    }
}

/// A piece of line 40 px long, as it is drawn.
pub(super) fn sample(canvas: &mut Canvas, class: &str) {
    canvas.line(class, Point::new(0.0, 7.0), Point::new(40.0, 7.0));
}

/// The principal axes, where they are axes of their own.
fn principal(layout: &mut Layout, section: &Section) {
    let axes = section.principal;
    let degrees = layout.words.column("principal_angle").unwrap_or_default();
    let equal = axes.angle == 0.0 && axes.i_1 - axes.i_2 <= EQUAL * axes.i_1;
    let words = match degrees.as_str() {
        _ if equal => {
            "principal axes: every axis through the centroid (both second moments are equal)".to_owned()
        }
        "0°" => "principal axes 1 and 2 along x and y".to_owned(),
        "90°" => "principal axes: 1 along y, 2 along x".to_owned(),
        _ => format!("principal axes 1 and 2: axis 1 at {degrees} to x, anticlockwise positive"),
    };
    let own = !equal && degrees != "0°" && degrees != "90°";
    layout.sign(true, words, |canvas| sample(canvas, if own { "principal" } else { "axis" }));
    if !own {
        return;
    }
    let scale = layout.scale;
    let centre = scale.point(section.centroid);
    for (name, angle) in [("1", axes.angle), ("2", axes.angle + std::f64::consts::FRAC_PI_2)] {
        let ends = ends(centre, scale.vector(Point::at_angle(angle)), &reach(&scale));
        layout.canvas.line("principal", ends[0].1, ends[1].1);
        // Words fit beside and above; below and on the left there is room for the number alone.
        let Some((side, from)) = ends.into_iter().min_by_key(|(side, _)| *side) else { continue };
        let text = match side {
            Side::Right | Side::Top if name == "1" => format!("axis 1 at {degrees}"),
            Side::Right | Side::Top => "axis 2".to_owned(),
            Side::Left | Side::Bottom => name.to_owned(),
        };
        layout.label(side, from, "principal-name", text);
    }
    if scale.stretch == Stretch::None && scale.width.min(scale.height) > 60.0 {
        let radius = 34.0;
        let end = centre + Point::new(axes.angle.cos(), -axes.angle.sin()) * radius;
        let start = centre + Point::new(radius, 0.0);
        let clockwise = u8::from(axes.angle < 0.0);
        let r = number(radius);
        layout.canvas.path("turn", &format!("M{}A{r} {r} 0 0 {clockwise} {}", pair(start), pair(end)));
    }
}

/// Where the line through `point` along `direction` leaves the box, and by which side.
fn ends(point: Point, direction: Point, bounds: &Bounds) -> [(Side, Point); 2] {
    [direction, -direction].map(|towards| {
        let share = |gap: f64, speed: f64| if speed > 0.0 { gap / speed } else { f64::INFINITY };
        let exits = [
            (share(bounds.max.x - point.x, towards.x), Side::Right),
            (share(point.x - bounds.min.x, -towards.x), Side::Left),
            (share(point.y - bounds.min.y, -towards.y), Side::Top),
            (share(bounds.max.y - point.y, towards.y), Side::Bottom),
        ];
        let (far, side) =
            exits.into_iter().fold((f64::INFINITY, Side::Right), |a, b| if b.0 < a.0 { b } else { a });
        let end = if far.is_finite() { point + towards * far } else { point };
        (side, end)
    })
}

/// Marks where the elastic moduli have their extreme fibres, with a line from there to their names.
fn fibres(layout: &mut Layout, region: &Region) {
    let scale = layout.scale;
    let (width, height) = (scale.width, scale.height);
    let reach = reach(&scale);
    let fibres = [
        ("top fibre", Side::Right, Touch { upright: false, level: 0.0 }),
        ("bottom fibre", Side::Right, Touch { upright: false, level: height }),
        ("left fibre", Side::Top, Touch { upright: true, level: 0.0 }),
        ("right fibre", Side::Top, Touch { upright: true, level: width }),
    ];
    for (name, side, touch) in fibres {
        let Some((low, high)) = touch.stretch(region, &scale) else { continue };
        let (from, to, mark) = if touch.upright {
            let at = |y: f64| Point::new(touch.level, y);
            (at(low), at(reach.min.y), at(0.5 * (low + high)))
        } else {
            let at = |x: f64| Point::new(x, touch.level);
            (at(high), at(reach.max.x), at(0.5 * (low + high)))
        };
        let inwards = if touch.upright { Point::new(1.0, 0.0) } else { Point::new(0.0, 1.0) };
        let inwards = if touch.level > 0.0 { -inwards } else { inwards };
        layout.canvas.line("fibre", from, to);
        layout.canvas.head("fibre-mark", mark, inwards);
        layout.label(side, to, "fibre-name", name.to_owned());
    }
}

/// What the marks of extreme fibres mean.
fn fibres_sign(layout: &mut Layout) {
    let words = "extreme fibres that the elastic moduli about x (top, bottom) and y (left, right) belong to";
    layout.sign(false, words.to_owned(), |canvas| {
        sample(canvas, "fibre");
        canvas.head("fibre-mark", Point::new(20.0, 9.0), Point::new(0.0, 1.0));
    });
}

/// An edge of the section's box, which the section touches.
struct Touch {
    upright: bool,
    level: f64,
}

impl Touch {
    /// The longest straight stretch along the edge, or else the first point on it, as places along it in px.
    fn stretch(&self, region: &Region, scale: &Scale) -> Option<(f64, f64)> {
        let across = |p: Point| if self.upright { p.x } else { p.y };
        let along = |p: Point| if self.upright { p.y } else { p.x };
        let on = |p: Point| (across(p) - self.level).abs() <= ON_EDGE;
        let meets = |bounds: &Bounds| on(bounds.min) || on(bounds.max);
        let normal = if self.upright { Point::new(1.0, 0.0) } else { Point::new(0.0, 1.0) };
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
        for part in region.parts.iter().filter(|part| meets(&ring_box(&part.edge, scale))) {
            for (curve, bounds) in part.edge.curves().iter().zip(part.edge.boxes()) {
                let drawn = Bounds::EMPTY.with(scale.point(bounds.min)).with(scale.point(bounds.max));
                if !meets(&drawn) {
                    continue;
                }
                let (start, end) = (scale.point(curve.start()), scale.point(curve.end()));
                if matches!(curve, Curve::Line(_)) && on(start) && on(end) {
                    take(along(start).min(along(end)), along(start).max(along(end)));
                    continue;
                }
                let inner = curve.extremes(normal).into_iter().map(|t| scale.point(curve.at(t)));
                for point in inner.chain([start, end]).filter(|p| on(*p)) {
                    take(along(point), along(point));
                }
            }
        }
        best
    }
}
