//! A drawing of what was measured, to be laid over the original in CAD: resolved outlines, centroids, principal axes and
//! labels, on layers of their own and in the original's coordinates and units. The one file that names the dxf crate.
//!
//! Outlines are drawn with the curves that were measured: polylines with bulges, circles, ellipses and splines. DXF is
//! written as text of the 2000 release with 12 decimals, so that what is read back agrees to about 1e-12 drawing units.

use std::collections::HashSet;
use std::f64::consts::TAU;
use std::io;

use dxf::entities::{Circle, Ellipse, Entity, EntityType, Line, LwPolyline, Spline, Text};
use dxf::enums::{AcadVersion, DrawingUnits, Units};
use dxf::tables::Layer;
use dxf::{Color, LwPolylineVertex};

use crate::drawing::{self, LengthUnit};
use crate::finding::{Code, Finding, Value as FindingValue};
use crate::geometry::{Curve, EllipseArc, Point, Span};
use crate::measure::Measurement;
use crate::outline::Ring;
use crate::schedule::{ColumnKey, Style};
use crate::section::Section;

/// What every layer of a marked drawing begins with, so that none is taken for one of the original's.
pub const PREFIX: &str = "MARK";

/// Layer of the centroids.
const CENTROIDS: &str = "MARK-CENTROID";

/// Layer of the principal axes.
const AXES: &str = "MARK-AXES";

/// Layer of the shear centres, where these were asked for.
const SHEAR_CENTRES: &str = "MARK-SHEAR-CENTRE";

/// Layer of names and figures.
const LABELS: &str = "MARK-LABEL";

/// Layer of ends that lack a neighbour.
const OPEN: &str = "MARK-OPEN";

/// Layer of outlines that cross.
const OVERLAPS: &str = "MARK-OVERLAP";

/// Colour numbers of the kinds of layer: green, red, cyan, white or black, magenta, orange.
const COLOURS: [(&str, u8); 5] = [(CENTROIDS, 1), (AXES, 4), (LABELS, 7), (OPEN, 6), (OVERLAPS, 30)];
const OUTLINE_COLOUR: u8 = 3;
const SHEAR_CENTRE_COLOUR: u8 = 5;

/// The marked drawing of sections of one drawing, as DXF text. Sections without properties are left out.
///
/// # Errors
/// Where the writer fails, and where coordinates are so small that 12 decimals would not hold them.
pub fn dxf(measurements: &[Measurement], style: Style) -> io::Result<Vec<u8>> {
    /// A section must be larger than this, in drawing units: 12 decimals are a share of 1e-8 of it then.
    const SMALLEST: f64 = 1e-4;
    let unit = measurements.first().map_or(LengthUnit::Millimetre, |m| m.unit);
    let mut drawing = dxf::Drawing::new();
    drawing.header.version = AcadVersion::R2000;
    // The same sections give the same bytes: nothing is drawn by lot.
    drawing.header.fingerprint_guid = Default::default();
    drawing.header.version_guid = Default::default();
    let code = i16::try_from(unit.insunits()).unwrap_or(0);
    drawing.header.default_drawing_units = UNITS.get(code as usize).copied().unwrap_or(Units::Unitless);
    drawing.header.drawing_units = DrawingUnits::Metric;
    if matches!(unit, LengthUnit::Inch | LengthUnit::Foot | LengthUnit::Yard | LengthUnit::Mile) {
        drawing.header.drawing_units = DrawingUnits::English;
    }
    for (name, colour) in COLOURS {
        add_layer(&mut drawing, name, colour);
    }
    if style.field {
        add_layer(&mut drawing, SHEAR_CENTRES, SHEAR_CENTRE_COLOUR);
    }
    let mut names = HashSet::new();
    let size = measurements.iter().filter_map(Measurement::properties).map(|section| section.extent.size());
    let size = size.fold(0.0, f64::max);
    for measurement in measurements {
        for finding in &measurement.findings {
            add_finding(&mut drawing, finding, size);
        }
        let (Some(region), Some(section)) = (measurement.region(), measurement.properties()) else {
            continue;
        };
        if section.extent.size() < SMALLEST {
            return Err(io::Error::other(format!(
                "section {} is smaller than {SMALLEST} {}, which the decimals of a DXF text do not hold: scale the \
                 drawing up",
                measurement.section,
                unit.symbol()
            )));
        }
        let layer = layer_name(&measurement.section, &mut names);
        add_layer(&mut drawing, &layer, OUTLINE_COLOUR);
        for (_, ring) in region.rings() {
            add_ring(&mut drawing, &layer, ring);
        }
        add_marks(&mut drawing, section);
        if let Some(centre) = measurement.field().and_then(|field| field.shear_centre).filter(|_| style.field)
        {
            add_shear_centre(&mut drawing, centre.at, section.extent.size());
        }
        add_labels(&mut drawing, measurement, section, style);
    }
    let mut text = Vec::new();
    drawing.save(&mut text).map_err(|error| io::Error::other(error.to_string()))?;
    Ok(tidied(&text))
}

/// The drawing is one that [`dxf()`] wrote: it has the layer of centroids, and nothing is drawn on any layer but its own.
pub fn is_marked(drawing: &drawing::Drawing) -> bool {
    let own = |index: drawing::LayerIndex| drawing.layer(index).name.starts_with(PREFIX);
    drawing.layers.iter().any(|layer| layer.name == CENTROIDS)
        && drawing.entities.iter().all(|entity| own(entity.layer))
        && drawing.texts.iter().all(|text| own(text.layer))
}

/// Units by their $INSUNITS code.
const UNITS: [Units; 25] = [
    Units::Unitless,
    Units::Inches,
    Units::Feet,
    Units::Miles,
    Units::Millimeters,
    Units::Centimeters,
    Units::Meters,
    Units::Kilometers,
    Units::Microinches,
    Units::Mils,
    Units::Yards,
    Units::Angstroms,
    Units::Nanometers,
    Units::Microns,
    Units::Decimeters,
    Units::Decameters,
    Units::Hectometers,
    Units::Gigameters,
    Units::AstronomicalUnits,
    Units::LightYears,
    Units::Parsecs,
    Units::USSurveyFeet,
    Units::USSurveyInch,
    Units::USSurveyYard,
    Units::USSurveyMile,
];

fn add_layer(drawing: &mut dxf::Drawing, name: &str, colour: u8) {
    let color = Color::from_index(colour);
    drawing.add_layer(Layer { name: name.to_owned(), color, ..Layer::default() });
}

/// The outline's layer: the section's name without what layer names may not hold, each once.
fn layer_name(section: &str, used: &mut HashSet<String>) -> String {
    /// Layer names end at 255 characters, and one outside ASCII takes seven as it is written.
    const LONGEST: usize = 200;
    let mut safe = String::new();
    for letter in section.chars() {
        let width = if letter.is_ascii() { 1 } else { 7 };
        if safe.chars().map(|c| if c.is_ascii() { 1 } else { 7 }).sum::<usize>() + width > LONGEST {
            break;
        }
        safe.push(printable(letter, true));
    }
    let base = format!("{PREFIX}-OUTLINE-{}", safe.trim());
    let mut name = base.clone();
    let mut count = 1;
    while !used.insert(name.to_lowercase()) {
        count += 1;
        name = format!("{base}-{count}");
    }
    name
}

/// A character as DXF text holds it; in a name of a table, what is not allowed there is replaced too.
fn printable(letter: char, in_name: bool) -> char {
    let forbidden = in_name && "<>/\\\":;?*|=,`^".contains(letter);
    let beyond =
        u32::from(letter) > 0xffff || letter.is_control() || matches!(letter, '\u{2028}' | '\u{2029}');
    if forbidden || beyond { '_' } else { letter }
}

fn add(drawing: &mut dxf::Drawing, layer: &str, specific: EntityType) {
    let mut entity = Entity::new(specific);
    entity.common.layer = layer.to_owned();
    drawing.add_entity(entity);
}

fn point(p: Point) -> dxf::Point {
    dxf::Point::new(p.x, p.y, 0.0)
}

/// A ring of lines and arcs is one polyline; with other curves each is an entity of its own.
fn add_ring(drawing: &mut dxf::Drawing, layer: &str, ring: &Ring) {
    let curves = ring.curves();
    if let [Curve::Arc(arc)] = curves {
        let circle = Circle { center: point(arc.center), radius: arc.radius, ..Circle::default() };
        return add(drawing, layer, EntityType::Circle(circle));
    }
    if curves.iter().all(|curve| matches!(curve, Curve::Line(_) | Curve::Arc(_))) {
        let vertices = curves.iter().map(|curve| {
            let bulge = match curve {
                Curve::Arc(arc) => (0.25 * arc.sweep).tan(),
                _ => 0.0,
            };
            let start = curve.start();
            LwPolylineVertex { x: start.x, y: start.y, bulge, ..LwPolylineVertex::default() }
        });
        let mut polyline = LwPolyline { vertices: vertices.collect(), ..LwPolyline::default() };
        polyline.set_is_closed(true);
        return add(drawing, layer, EntityType::LwPolyline(polyline));
    }
    for curve in curves {
        add(drawing, layer, entity(curve));
    }
}

fn entity(curve: &Curve) -> EntityType {
    match curve {
        Curve::Line(line) => EntityType::Line(Line::new(point(line.start), point(line.end))),
        Curve::Arc(arc) => {
            let mut polyline = LwPolyline::default();
            let bulges = [(arc.start, (0.25 * arc.sweep).tan()), (arc.end, 0.0)];
            polyline.vertices = bulges
                .map(|(p, bulge)| LwPolylineVertex { x: p.x, y: p.y, bulge, ..LwPolylineVertex::default() })
                .to_vec();
            EntityType::LwPolyline(polyline)
        }
        Curve::Ellipse(arc) => EntityType::Ellipse(ellipse(arc)),
        Curve::Span(span) => EntityType::Spline(spline(span)),
    }
}

/// An ellipse arc by its axes: half-diameters u and v need not be at right angles.
fn ellipse(arc: &EllipseArc) -> Ellipse {
    let (u, v) = (arc.u, arc.v);
    // |u cos φ + v sin φ| is largest at φ = turn.
    let turn = 0.5 * (2.0 * u.dot(v)).atan2(u.dot(u) - v.dot(v));
    let (sine, cosine) = turn.sin_cos();
    let (major, minor) = (u * cosine + v * sine, v * cosine - u * sine);
    let ratio = (minor.length() / major.length()).min(1.0);
    // DXF turns anticlockwise from the major axis.
    let side = major.cross(minor).signum();
    let at = |parameter: f64| side * (parameter - turn);
    let (first, last) = (at(arc.start_parameter), at(arc.start_parameter + arc.sweep));
    let (start, end) = if first < last { (first, last) } else { (last, first) };
    let turns = (start / TAU).floor() * TAU;
    Ellipse {
        center: point(arc.center),
        major_axis: dxf::Vector::new(major.x, major.y, 0.0),
        minor_axis_ratio: ratio,
        start_parameter: start - turns,
        end_parameter: end - turns,
        ..Ellipse::default()
    }
}

/// A Bézier span as a spline without inner knots.
fn spline(span: &Span) -> Spline {
    /// Flags of SPLINE: planar, rational.
    const PLANAR: i32 = 8;
    const RATIONAL: i32 = 4;
    let order = span.degree() + 1;
    let mut knots = vec![0.0; order];
    knots.extend(vec![1.0; order]);
    let mut spline = Spline {
        degree_of_curve: span.degree() as i32,
        flags: PLANAR,
        knot_values: knots,
        control_points: span.points().iter().copied().map(point).collect(),
        ..Spline::default()
    };
    if let Some(weights) = span.weights() {
        spline.flags |= RATIONAL;
        spline.weight_values = weights.to_vec();
    }
    spline
}

/// A ring about each place that a finding on open ends or crossing outlines names, and beside it what it says, in short.
fn add_finding(drawing: &mut dxf::Drawing, finding: &Finding, size: f64) {
    let places: Vec<Point> = places(finding);
    let Some(layer) = mark_layer(finding.code) else { return };
    let length = |key: &str| match finding.values().iter().find(|(own, _)| *own == key) {
        Some((_, FindingValue::Length(length))) => Some(*length),
        _ => None,
    };
    // Where nothing was measured, a mark is as large as what is open.
    let spread = places.iter().map(|p| p.distance(places[0])).fold(length("length").unwrap_or(0.0), f64::max);
    let size = if size > 0.0 { size } else { spread };
    let radius = 0.5 * HEIGHT * if size > 0.0 { size } else { 1.0 };
    for place in &places {
        let circle = Circle { center: point(*place), radius, ..Circle::default() };
        add(drawing, layer, EntityType::Circle(circle));
    }
    if let Some(first) = places.first() {
        let words = match length("gap") {
            Some(gap) => format!("{}: gap {}", finding.code, crate::finding::short(gap)),
            None => finding.code.to_string(),
        };
        add_text(drawing, layer, *first + Point::new(1.5 * radius, 1.5 * radius), 2.0 * radius, &words);
    }
}

/// The layer of marks for a kind of finding.
fn mark_layer(code: Code) -> Option<&'static str> {
    match code {
        Code::OutlineNotClosed
        | Code::BentChainsOpen
        | Code::ClosingSideMissing
        | Code::OpenOutlineAround
        | Code::OpenOutlineWithin => Some(OPEN),
        Code::OutlinesCross | Code::OutlineMeetsItself | Code::OutlinesTooNear => Some(OVERLAPS),
        _ => None,
    }
}

/// The places that a finding names.
fn places(finding: &Finding) -> Vec<Point> {
    let values = finding.values().iter().filter_map(|(_, value)| match value {
        FindingValue::Point(place) => Some(*place),
        _ => None,
    });
    let mut places: Vec<Point> = values.chain(finding.place.point).collect();
    places.dedup();
    places
}

/// Whether there is something to mark: a section that was measured, or a finding with a place that is marked.
pub fn has_marks(measurements: &[Measurement]) -> bool {
    let is_marked = |finding: &Finding| mark_layer(finding.code).is_some() && !places(finding).is_empty();
    measurements.iter().any(|m| m.properties().is_some() || m.findings.iter().any(is_marked))
}

/// The shear centre as a cross that stands on its feet, unlike that of the centroid.
fn add_shear_centre(drawing: &mut dxf::Drawing, centre: Point, size: f64) {
    /// Half a stroke goes so far to the right and up, as a share of the section's size.
    const STROKE: f64 = 0.02;
    for half in [Point::new(STROKE, STROKE), Point::new(STROKE, -STROKE)] {
        let (a, b) = (centre - half * size, centre + half * size);
        add(drawing, SHEAR_CENTRES, EntityType::Line(Line::new(point(a), point(b))));
    }
}

/// The centroid as a cross, and the principal axes across the section and a little beyond.
fn add_marks(drawing: &mut dxf::Drawing, section: &Section) {
    /// Shares of the section's size: half a cross, and what an axis reaches beyond it.
    const CROSS: f64 = 0.03;
    const BEYOND: f64 = 0.6;
    let (centroid, size) = (section.centroid, section.extent.size());
    let mut stroke = |layer: &str, direction: Point, half: f64| {
        let (a, b) = (centroid - direction * half, centroid + direction * half);
        add(drawing, layer, EntityType::Line(Line::new(point(a), point(b))));
    };
    for direction in [Point::new(1.0, 0.0), Point::new(0.0, 1.0)] {
        stroke(CENTROIDS, direction, CROSS * size);
    }
    let first = Point::at_angle(section.principal.angle);
    let axes = [(first, "1"), (first.quarter_turned(), "2")];
    for (direction, _) in axes {
        stroke(AXES, direction, BEYOND * size);
    }
    for (direction, name) in axes {
        let place = centroid + direction * ((BEYOND + 0.5 * HEIGHT) * size);
        add_text(drawing, AXES, place, HEIGHT * size, name);
    }
}

/// Height of letters as a share of the section's size.
const HEIGHT: f64 = 0.03;

fn add_text(drawing: &mut dxf::Drawing, layer: &str, place: Point, height: f64, value: &str) {
    let value: String = value.chars().map(|letter| printable(letter, false)).collect();
    // What stands behind two percent signs is a code.
    let value = value.replace("%%", "% %");
    let text = Text { location: point(place), text_height: height, value, ..Text::default() };
    add(drawing, layer, EntityType::Text(text));
}

/// Name and main figures, to the right of the section.
fn add_labels(drawing: &mut dxf::Drawing, measurement: &Measurement, section: &Section, style: Style) {
    const FIGURES: &[(&str, ColumnKey)] = &[
        ("A", ColumnKey::Area),
        ("xC", ColumnKey::CentroidX),
        ("yC", ColumnKey::CentroidY),
        ("Ix", ColumnKey::SecondMomentX),
        ("Iy", ColumnKey::SecondMomentY),
        ("angle of axis 1", ColumnKey::PrincipalAngle),
    ];
    let name = match &measurement.label {
        Some(label) => format!("{} ({label})", measurement.section),
        None => measurement.section.clone(),
    };
    let mut lines = vec![name];
    for (letter, key) in FIGURES {
        let column = key.column();
        let factor = column.quantity.factor(measurement.unit, style.units());
        let Some(figure) = column.value(measurement).text(factor, style.digits) else { continue };
        let unit = column.quantity.suffix(style.units()).unwrap_or_default();
        lines.push(format!("{letter} = {figure} {unit}"));
    }
    lines.push("geometry as drawn; codes and a licensed engineer decide".to_owned());
    let size = section.extent.size();
    let height = HEIGHT * size;
    let corner = Point::new(section.extent.max.x, section.extent.max.y) + Point::new(2.0 * height, -height);
    for (k, line) in lines.iter().enumerate() {
        add_text(drawing, LABELS, corner - Point::new(0.0, 1.6 * height * k as f64), height, line);
    }
}

/// The text without the header's times of writing, so that the same sections give the same bytes, and with handles for the
/// heads of tables, which the crate leaves out.
fn tidied(text: &[u8]) -> Vec<u8> {
    let lines: Vec<&[u8]> = text.split_inclusive(|byte| *byte == b'\n').collect();
    // A line with a group code, a line with its value.
    let pairs: Vec<&[&[u8]]> = lines.chunks(2).collect();
    let is = |pair: &[&[u8]], code: &[u8], value: &[u8]| {
        pair.first().is_some_and(|line| line.trim_ascii() == code)
            && pair.get(1).is_some_and(|line| line.trim_ascii() == value)
    };
    let heads = pairs.iter().filter(|pair| is(pair, b"0", b"TABLE")).count() as u64;
    let mut next_handle = 0;
    let mut out = Vec::with_capacity(text.len());
    let mut pairs = pairs.into_iter();
    while let Some(pair) = pairs.next() {
        let name = pair.get(1).copied().unwrap_or_default();
        let is_variable = pair[0].trim_ascii() == b"9";
        if is_variable && name.starts_with(b"$TD") {
            // Its value goes with it.
            pairs.next();
            continue;
        }
        out.extend(pair.concat());
        if is_variable && name.trim_ascii() == b"$HANDSEED" {
            let seed = pairs.next().and_then(|value| value.get(1).copied()).unwrap_or_default();
            let seed = std::str::from_utf8(seed.trim_ascii()).unwrap_or_default();
            next_handle = u64::from_str_radix(seed, 16).unwrap_or(HIGH);
            out.extend(format!("  5\r\n{:X}\r\n", next_handle + heads).bytes());
        } else if is(pair, b"0", b"TABLE") {
            // Its name, and then its handle.
            out.extend(pairs.next().unwrap_or_default().concat());
            out.extend(format!("  5\r\n{next_handle:X}\r\n").bytes());
            next_handle += 1;
        }
    }
    out
}

/// Above any handle that a marked drawing has.
const HIGH: u64 = 1 << 40;
