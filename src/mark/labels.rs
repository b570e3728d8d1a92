//! What stands beside a section: its name, status and main figures, and where they are from.

use super::free::{Taken, TextBox};
use super::{LABELS, add_text, any_axes, letter_height};
use crate::geometry::{Bounds, Point};
use crate::measure::{Measurement, Status};
use crate::schedule::{ColumnKey, Style};
use crate::section::Section;

/// From the foot of one line to that of the next, in heights of letters.
const LINE: f64 = 1.6;

/// Adds the label where it stands clear of all lines, words and sections; where there is no such place beside the section,
/// to the right of the whole drawing.
pub(super) fn add(
    drawing: &mut dxf::Drawing,
    taken: &mut Taken,
    measurement: &Measurement,
    section: &Section,
    style: Style,
    date: &str,
) {
    let lines = lines(measurement, section, style, date);
    let largest = letter_height(section);
    let beside = [1.0, 0.75, 0.5].into_iter().find_map(|share| {
        let height = share * largest;
        let places = beside(section, &lines, height);
        places.iter().map(|place| of_lines(&lines, *place, height)).find(|place| taken.is_free(place, true))
    });
    let all = match beside {
        Some(all) => all,
        None => {
            let height = 0.5 * largest;
            taken.next_in_column(2.0 * LINE * height, |corner| of_lines(&lines, corner, height))
        }
    };
    taken.add_text(all);
    for (k, line) in lines.iter().enumerate() {
        let above = (lines.len() - 1 - k) as f64;
        let foot = all.foot + Point::new(0.0, LINE * all.height * above);
        add_text(drawing, LABELS, &TextBox::of(line, foot, all.height), line);
    }
}

/// The box of lines below each other, from their upper left corner; its foot is that of the last.
fn of_lines(lines: &[String], corner: Point, height: f64) -> TextBox {
    let deep = LINE * height * (lines.len() as f64 - 1.0) + 1.2 * height;
    let foot = corner - Point::new(0.0, deep);
    let boxes = lines.iter().map(|line| TextBox::of(line, foot, height).bounds);
    let mut bounds = boxes.fold(Bounds::EMPTY, Bounds::union);
    bounds.max.y = corner.y;
    TextBox { foot, height, bounds }
}

/// Upper left corners of a label beside a section.
fn beside(section: &Section, lines: &[String], height: f64) -> Vec<Point> {
    let size = of_lines(lines, Point::ORIGIN, height).bounds;
    let (wide, high) = (size.width(), size.height());
    let extent = section.extent;
    let mut places = Vec::new();
    for gap in [2.0, 5.0, 9.0, 14.0] {
        // Past the ends of the axes and their names too.
        let gap = gap * height;
        let (right, left) = (extent.max.x + gap, extent.min.x - gap - wide);
        let (above, below) = (extent.max.y + gap + high, extent.min.y - gap);
        for x in [right, left] {
            places.extend(
                [extent.max.y, 0.5 * (extent.min.y + extent.max.y + high), extent.min.y + high]
                    .map(|y| Point::new(x, y)),
            );
            places.extend([extent.max.y + high + height, extent.min.y - height].map(|y| Point::new(x, y)));
        }
        for y in [above, below] {
            places.extend([extent.min.x, extent.max.x - wide].map(|x| Point::new(x, y)));
        }
    }
    places
}

/// Places for a name past the end of an axis and to its sides.
pub(super) fn beyond(end: Point, along: Point, name: &str, height: f64) -> Vec<TextBox> {
    let along = along * (1.0 / along.length());
    let size = TextBox::of(name, Point::ORIGIN, height).bounds;
    let half = Point::new(0.5 * size.width(), 0.5 * size.height());
    let across = along.quarter_turned();
    let reach = |direction: Point| half.x * direction.x.abs() + half.y * direction.y.abs() + 0.4 * height;
    let (past, aside) = (reach(along), reach(across));
    let mut middles = vec![end + along * past];
    for further in [0.0, 1.0, 2.5] {
        for side in [1.0, -1.0] {
            middles.push(end + across * (side * (aside + further * height)) - along * (past - 0.4 * height));
            middles.push(end + along * (past + further * height) + across * (side * aside));
        }
    }
    middles.into_iter().map(|middle| centred(name, middle, height)).collect()
}

/// Places around a mark of this radius.
pub(super) fn around(mark: Point, radius: f64, name: &str, height: f64) -> Vec<TextBox> {
    let size = TextBox::of(name, Point::ORIGIN, height).bounds;
    let (x, y) = (radius + 0.5 * size.width(), radius + 0.5 * size.height());
    let mut places = Vec::new();
    let around = [
        (1.0, 1.0),
        (1.0, -1.0),
        (-1.0, 1.0),
        (-1.0, -1.0),
        (1.0, 0.0),
        (-1.0, 0.0),
        (0.0, 1.0),
        (0.0, -1.0),
    ];
    for further in [0.0, 1.5, 3.0, 5.0, 8.0, 12.0, 18.0, 26.0, 40.0] {
        let more = further * height;
        for (right, up) in around {
            places.push(centred(name, mark + Point::new(right * (x + more), up * (y + more)), height));
        }
    }
    places
}

/// The box of a text with its middle at a point.
fn centred(text: &str, middle: Point, height: f64) -> TextBox {
    let own = TextBox::of(text, Point::ORIGIN, height);
    TextBox::of(text, middle - own.bounds.center(), height)
}

fn lines(measurement: &Measurement, section: &Section, style: Style, date: &str) -> Vec<String> {
    const FIGURES: &[(&str, ColumnKey)] = &[
        ("A", ColumnKey::Area),
        ("xC", ColumnKey::CentroidX),
        ("yC", ColumnKey::CentroidY),
        ("Ix", ColumnKey::SecondMomentX),
        ("Iy", ColumnKey::SecondMomentY),
    ];
    let name = match &measurement.label {
        Some(label) => format!("{} ({label})", measurement.section),
        None => measurement.section.clone(),
    };
    let figure = |key: ColumnKey| {
        let column = key.column();
        let factor = column.quantity.factor(measurement.unit, style.units());
        let text = column.value(measurement).text(factor, style.digits)?;
        let unit = column.quantity.suffix(style.units()).unwrap_or_default();
        Some(format!("{text} {unit}").trim_end().to_owned())
    };
    let mut lines = vec![name];
    lines.push(match measurement.status() {
        Status::Ok => "status: ok".to_owned(),
        other => {
            let codes: Vec<&str> = measurement.findings.iter().map(|finding| finding.code.name()).collect();
            format!("status: {} ({})", other.word(), codes.join(", "))
        }
    });
    lines.extend(FIGURES.iter().filter_map(|(letter, key)| Some(format!("{letter} = {}", figure(*key)?))));
    let angle = figure(ColumnKey::PrincipalAngle).unwrap_or_default();
    lines.push(match angle.split(' ').next() {
        _ if any_axes(section) => "every axis through the centroid is a principal axis".to_owned(),
        Some("0") => "principal axes: 1 along x, 2 along y".to_owned(),
        Some("90") => "principal axes: 1 along y, 2 along x".to_owned(),
        _ => format!("angle from x to principal axis 1 = {angle}"),
    });
    if let (Some(x), Some(y)) = (figure(ColumnKey::PlasticAxisX), figure(ColumnKey::PlasticAxisY)) {
        lines.push(format!("equal-area axes at x = {x}, y = {y}"));
    }
    let drawing = measurement.drawing.rsplit(['/', '\\']).next().unwrap_or_default();
    lines.push(match date {
        "" => format!("source: {drawing}"),
        date => format!("source: {drawing}, {date}"),
    });
    lines.push("geometry of the drawing as drawn;".to_owned());
    lines.push("local codes and a licensed engineer decide".to_owned());
    lines
}
