//! The centroid, the axes through it and the equal-area axes.

use super::canvas::Canvas;
use super::fibres;
use super::layout::{Layout, Side};
use super::path::{number, pair};
use super::scale::{SIZES, Scale, Stretch};
use crate::geometry::{Bounds, Point};
use crate::region::Region;
use crate::schedule::ColumnKey;
use crate::section::{EQUAL, Section};

/// Draws all of them, under what is drawn later.
pub(super) fn draw(layout: &mut Layout, region: &Region, section: &Section) {
    let turned = turned(layout, section);
    fibres::parallel(layout, region);
    parallel(layout, section);
    principal(layout, section, turned);
    if turned {
        fibres::principal(layout, region, section.principal.angle);
    }
    let centre = layout.scale.point(section.centroid);
    layout.canvas.centroid(centre);
    fibres::signs(layout, turned);
}

/// Whether the principal axes are neither along x and y nor any two axes at right angles, in the digits shown.
fn turned(layout: &Layout, section: &Section) -> bool {
    let degrees = layout.words.column(ColumnKey::PrincipalAngle).unwrap_or_default();
    !any_axes(section) && degrees != "0°" && degrees != "90°"
}

/// Whether all axes through the centroid are principal axes.
fn any_axes(section: &Section) -> bool {
    let axes = section.principal;
    axes.angle == 0.0 && axes.i_1 - axes.i_2 <= EQUAL * axes.i_1
}

/// The box that axes run to.
pub(super) fn reach(scale: &Scale) -> Bounds {
    Bounds { min: Point::ORIGIN, max: Point::new(scale.width, scale.height) }.grown(SIZES.overhang)
}

/// The axes parallel to x and y: through the centroid, and those that halve the area.
fn parallel(layout: &mut Layout, section: &Section) {
    let reach = reach(&layout.scale);
    let centre = layout.scale.point(section.centroid);
    let halves = section.plastic.map(|p| layout.scale.point(Point::new(p.neutral_x, p.neutral_y)));
    let column = |key: ColumnKey| layout.words.column(key).unwrap_or_default();
    let (x, y) = (column(ColumnKey::CentroidX), column(ColumnKey::CentroidY));
    let (half_x, half_y) =
        (layout.words.column(ColumnKey::PlasticAxisX), layout.words.column(ColumnKey::PlasticAxisY));
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
    layout.sign(false, format!("centroid at x = {x}, y = {y}"), |canvas| {
        canvas.centroid(Point::new(20.0, 7.0));
    });
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
fn principal(layout: &mut Layout, section: &Section, turned: bool) {
    let axes = section.principal;
    let degrees = layout.words.column(ColumnKey::PrincipalAngle).unwrap_or_default();
    let words = match degrees.as_str() {
        _ if any_axes(section) => {
            "principal axes: every axis through the centroid (both second moments are equal)".to_owned()
        }
        "0°" => "principal axes 1 and 2 along x and y".to_owned(),
        "90°" => "principal axes: 1 along y, 2 along x".to_owned(),
        _ => format!("principal axes 1 and 2: axis 1 at θ = {degrees} to x, anticlockwise positive"),
    };
    layout.sign(false, words, |canvas| sample(canvas, if turned { "principal" } else { "axis" }));
    if !turned {
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
            Side::Right | Side::Top if name == "1" => format!("axis 1, θ = {degrees}"),
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
        let on_arc = |share: f64, radius: f64| {
            centre + Point::new((axes.angle * share).cos(), -(axes.angle * share).sin()) * radius
        };
        let chords = (0..12).map(|k| [f64::from(k), f64::from(k + 1)].map(|k| on_arc(k / 12.0, radius)));
        chords.for_each(|chord| layout.canvas.keep_clear(chord));
        // Outside the arc, further out where the angle is small, within it, or beside the end of axis 1.
        let mut places: Vec<Point> =
            (0..8).map(|k| on_arc(0.5, radius + 10.0 + 8.0 * f64::from(k))).collect();
        places.extend([on_arc(0.5, radius - 12.0), on_arc(0.35, radius + 11.0), on_arc(0.65, radius + 11.0)]);
        for radius in [radius, radius + 12.0, radius - 10.0] {
            let beyond = axes.angle + axes.angle.signum() * 10.0 / radius;
            places.push(centre + Point::new(beyond.cos(), -beyond.sin()) * radius);
        }
        layout.free("turn-name", places, "θ".to_owned(), None);
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
