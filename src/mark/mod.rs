//! A drawing of what was measured, to be laid over the original in CAD: resolved outlines, centroids, principal axes and
//! labels, on layers of their own and in the original's coordinates and units. The one folder that names the dxf crate.
//!
//! Outlines are drawn with the curves that were measured: polylines with bulges, circles, ellipses and splines. DXF is
//! written as text of the 2000 release with 12 decimals, so that what is read back agrees to about 1e-12 drawing units.

mod curves;
mod free;
mod labels;
mod tidied;

use std::collections::HashSet;
use std::io;

use curves::add_ring;
use dxf::Color;
use dxf::entities::{Circle, Entity, EntityType, Line, Text};
use dxf::enums::{AcadVersion, DrawingUnits, Units};
use dxf::tables::Layer;
use free::{Taken, TextBox};
use tidied::tidied;

use crate::drawing::{self, LengthUnit};
use crate::finding::{Code, Finding, Value as FindingValue};
use crate::geometry::{Bounds, Point};
use crate::measure::Measurement;
use crate::region::Region;
use crate::schedule::Style;
use crate::section::{EQUAL, Section};

/// What every layer of a marked drawing begins with, so that none is taken for one of the original's.
pub const PREFIX: &str = "MARK";

/// Layer of the centroids.
const CENTROIDS: &str = "MARK-CENTROID";

/// Layer of the axes x and y through the centroid.
const SQUARE_AXES: &str = "MARK-AXES-XY";

/// Layer of the principal axes.
const AXES: &str = "MARK-AXES";

/// Layer of the equal-area axes.
const EQUAL_AREA: &str = "MARK-EQUAL-AREA";

/// Layer of the shear centres, where these were asked for.
const SHEAR_CENTRES: &str = "MARK-SHEAR-CENTRE";

/// Layer of names and figures.
const LABELS: &str = "MARK-LABEL";

/// Layer of ends that lack a neighbour.
const OPEN: &str = "MARK-OPEN";

/// Layer of outlines that cross.
const OVERLAPS: &str = "MARK-OVERLAP";

/// Colour numbers of the kinds of layer: red, yellow, cyan, violet, white or black, magenta, orange.
const COLOURS: [(&str, u8); 7] =
    [(CENTROIDS, 1), (SQUARE_AXES, 2), (AXES, 4), (EQUAL_AREA, 200), (LABELS, 7), (OPEN, 6), (OVERLAPS, 30)];
const OUTLINE_COLOUR: u8 = 3;
const SHEAR_CENTRE_COLOUR: u8 = 5;

/// The marked drawing of sections of one drawing, as DXF text. Sections without properties are left out.
///
/// # Errors
/// Where the writer fails, and where coordinates are so small that 12 decimals would not hold them.
pub fn dxf(measurements: &[Measurement], style: Style) -> io::Result<Vec<u8>> {
    dxf_dated(measurements, style, "")
}

/// The same with a date in the label of each section.
///
/// # Errors
/// As [`dxf()`].
pub fn dxf_dated(measurements: &[Measurement], style: Style, date: &str) -> io::Result<Vec<u8>> {
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
    let drawn: Vec<(&Measurement, &Region, &Section)> =
        measurements.iter().filter_map(|m| Some((m, m.region()?, m.properties()?))).collect();
    let extent = drawn.iter().fold(Bounds::EMPTY, |all, (.., section)| all.union(section.extent));
    let size = drawn.iter().map(|(.., section)| section.extent.size()).fold(0.0, f64::max);
    let mut taken = Taken::within(&extent);
    for (measurement, region, section) in &drawn {
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
        taken.add_outlines(region);
        taken.add_section(section.extent);
        add_marks(&mut drawing, &mut taken, section);
        if let Some(centre) = measurement.field().and_then(|field| field.shear_centre).filter(|_| style.field)
        {
            add_shear_centre(&mut drawing, &mut taken, centre.at, section.extent.size());
        }
    }
    for finding in measurements.iter().flat_map(|m| &m.findings) {
        add_finding(&mut drawing, &mut taken, finding, size);
    }
    // Words come last, so that they stand clear of all lines.
    for (.., section) in &drawn {
        name_axes(&mut drawing, &mut taken, section);
    }
    for (measurement, _, section) in &drawn {
        labels::add(&mut drawing, &mut taken, measurement, section, style, date);
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

/// A ring about each place that a finding on open ends or crossing outlines names, and beside it what it says, in short.
fn add_finding(drawing: &mut dxf::Drawing, taken: &mut Taken, finding: &Finding, size: f64) {
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
        let reach = Point::new(radius, radius);
        taken.add_mark(Bounds { min: *place - reach, max: *place + reach });
    }
    if let Some(first) = places.first() {
        let words = match length("gap") {
            Some(gap) => format!("{}: gap {}", finding.code, crate::finding::short(gap)),
            None => finding.code.to_string(),
        };
        let height = 2.0 * radius;
        let places = labels::around(*first, 1.5 * radius, &words, height);
        let place = match taken.first_free(&places, false) {
            Some(place) => place,
            None => taken.next_in_column(height, |corner| {
                TextBox::of(&words, corner - Point::new(0.0, 1.2 * height), height)
            }),
        };
        taken.add_text(place);
        add_text(drawing, layer, &place, &words);
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
fn add_shear_centre(drawing: &mut dxf::Drawing, taken: &mut Taken, centre: Point, size: f64) {
    /// Half a stroke goes so far to the right and up, as a share of the section's size.
    const STROKE: f64 = 0.02;
    for half in [Point::new(STROKE, STROKE), Point::new(STROKE, -STROKE)] {
        let (a, b) = (centre - half * size, centre + half * size);
        taken.add_stroke(a, b);
        add(drawing, SHEAR_CENTRES, EntityType::Line(Line::new(point(a), point(b))));
    }
}

/// Shares of the section's size: half a cross, and what principal and other axes reach beyond the section.
const CROSS: f64 = 0.03;
const BEYOND: f64 = 0.13;
const OVERHANG: f64 = 0.08;

/// Height of letters as a share of the section's size.
const HEIGHT: f64 = 0.03;

/// Letters are no higher than this share of the section's lesser side, but for slender sections.
const OF_SIDE: f64 = 0.5;

/// And for those no lower than this share of its size.
const LEAST: f64 = 0.006;

/// Height of the letters beside a section.
fn letter_height(section: &Section) -> f64 {
    let extent = &section.extent;
    let side = extent.width().min(extent.height());
    (HEIGHT * extent.size()).min((OF_SIDE * side).max(LEAST * extent.size()))
}

/// An axis of a section: where it begins and ends, its layer and its names at either end.
struct Axis {
    from: Point,
    to: Point,
    layer: &'static str,
    name: &'static str,
}

/// Whether all axes through the centroid are principal axes.
fn any_axes(section: &Section) -> bool {
    let axes = section.principal;
    axes.angle == 0.0 && axes.i_1 - axes.i_2 <= EQUAL * axes.i_1
}

/// Axes nearer to each other than this share of the section's size are one.
const SAME: f64 = 1e-9;

/// The axes of a section: x and y through the centroid, those that halve the area, and the principal ones.
fn axes(section: &Section) -> Vec<Axis> {
    let (extent, size, centroid) = (section.extent, section.extent.size(), section.centroid);
    let (low, high) = (extent.grown(OVERHANG * size).min, extent.grown(OVERHANG * size).max);
    let across = |y: f64| (Point::new(low.x, y), Point::new(high.x, y));
    let upright = |x: f64| (Point::new(x, low.y), Point::new(x, high.y));
    let axis =
        |(from, to): (Point, Point), layer: &'static str, name: &'static str| Axis { from, to, layer, name };
    let is_same = |a: f64, b: f64| (a - b).abs() <= SAME * size;
    let halves = section.plastic.map(|plastic| Point::new(plastic.neutral_x, plastic.neutral_y));
    let both = |same: bool, own: &'static str, together: &'static str| if same { together } else { own };
    let (same_y, same_x) = match halves {
        Some(halves) => (is_same(halves.y, centroid.y), is_same(halves.x, centroid.x)),
        None => (false, false),
    };
    let mut axes = vec![
        axis(across(centroid.y), SQUARE_AXES, both(same_y, "x", "x, equal area")),
        axis(upright(centroid.x), SQUARE_AXES, both(same_x, "y", "y, equal area")),
    ];
    if let Some(halves) = halves {
        axes.push(axis(across(halves.y), EQUAL_AREA, if same_y { "" } else { "equal area" }));
        axes.push(axis(upright(halves.x), EQUAL_AREA, if same_x { "" } else { "equal area" }));
    }
    if !any_axes(section) {
        let first = Point::at_angle(section.principal.angle);
        for (direction, name) in [(first, "1"), (first.quarter_turned(), "2")] {
            let bounds = extent.grown(BEYOND * size);
            let ends = [-direction, direction]
                .map(|towards| centroid + towards * way_out(centroid, towards, &bounds));
            axes.push(axis((ends[0], ends[1]), AXES, name));
        }
    }
    axes
}

/// How far it is from a point within a box to its edge, along a unit vector.
fn way_out(from: Point, towards: Point, bounds: &Bounds) -> f64 {
    let sides = [
        (towards.x, bounds.max.x - from.x, from.x - bounds.min.x),
        (towards.y, bounds.max.y - from.y, from.y - bounds.min.y),
    ];
    let ways = sides.into_iter().filter(|(step, ..)| *step != 0.0);
    ways.map(|(step, up, down)| if step > 0.0 { up / step } else { down / -step })
        .fold(f64::INFINITY, f64::min)
}

/// The centroid as a cross, and the axes across the section and a little beyond.
fn add_marks(drawing: &mut dxf::Drawing, taken: &mut Taken, section: &Section) {
    let (centroid, size) = (section.centroid, section.extent.size());
    for direction in [Point::new(1.0, 0.0), Point::new(0.0, 1.0)] {
        let half = direction * (CROSS * size);
        let (a, b) = (centroid - half, centroid + half);
        add(drawing, CENTROIDS, EntityType::Line(Line::new(point(a), point(b))));
    }
    for Axis { from, to, layer, .. } in axes(section) {
        taken.add_stroke(from, to);
        add(drawing, layer, EntityType::Line(Line::new(point(from), point(to))));
    }
}

/// Names at the ends of the axes, each at the first end and side where it stands clear of all lines and words.
fn name_axes(drawing: &mut dxf::Drawing, taken: &mut Taken, section: &Section) {
    let height = letter_height(section);
    for Axis { from, to, layer, name } in axes(section).into_iter().filter(|axis| !axis.name.is_empty()) {
        let places: Vec<TextBox> = [(to, to - from), (from, from - to)]
            .into_iter()
            .flat_map(|(end, along)| labels::beyond(end, along, name, height))
            .collect();
        if let Some(place) = taken.first_free(&places, false) {
            taken.add_text(place);
            add_text(drawing, layer, &place, name);
        }
    }
}

fn add_text(drawing: &mut dxf::Drawing, layer: &str, place: &TextBox, value: &str) {
    let value: String = value.chars().map(|letter| printable(letter, false)).collect();
    // What stands behind two percent signs is a code.
    let value = value.replace("%%", "% %");
    let text = Text { location: point(place.foot), text_height: place.height, value, ..Text::default() };
    add(drawing, layer, EntityType::Text(text));
}
