//! What holds for the result of any input, however spoiled.
#![allow(dead_code, reason = "every test file uses a part of it")]

use tracearm::drawing::{Drawing, LengthUnit};
use tracearm::finding::{Code, Severity};
use tracearm::measure::{self, Hatches, LayerChoice, Measurement, Options, Patterns, Per, Status, Widths};
use tracearm::schedule::{self, ColumnKey, Digits, Quantity, Style};

/// How many ways of measuring there are.
pub const WAYS: usize = 12;

/// One of several ways of measuring; layers and parts alternate.
pub fn options(way: usize) -> Options {
    let per = if way % 6 == 5 { Per::Drawing } else { [Per::Layer, Per::Part][way % 2] };
    let hidden = way.is_multiple_of(3);
    let voids: &[&str] = if way % 4 == 1 { &["*HOLE*", "RIB", "CLAMP"] } else { &[] };
    let voids: Vec<String> = voids.iter().map(ToString::to_string).collect();
    Options::with(|o| {
        o.per = per;
        o.layers = LayerChoice::new(&[], &[], hidden).expect("no patterns");
        o.void_layers = Patterns::new(&voids).expect("good patterns");
        o.hatches = [Hatches::WhereNoOther, Hatches::Use, Hatches::Ignore][way % 3];
        o.widths = [Widths::CentreLine, Widths::Solid, Widths::Solid, Widths::CentreLine][way % 4];
        o.drawing_unit = [None, None, Some(LengthUnit::Metre), Some(LengthUnit::Inch)][way % 4];
        o.join_mm = [measure::DEFAULT_JOIN_MM, 1.0, 0.0, 1e-6, 50.0][way % 5];
        o.density = way.is_multiple_of(2).then_some(7850.0);
        o.thickness_mm = (way % 3 == 1).then_some(12.0);
    })
}

/// Reads, measures and writes what these bytes are, and says what does not hold of it. `Ok(None)` where they are no
/// drawing; else how many sections were measured.
pub fn check(bytes: &[u8], way: usize) -> Result<Option<usize>, String> {
    let drawing = match Drawing::read(bytes) {
        Ok(drawing) => drawing,
        Err(error) if error.to_string().is_empty() || error.finding().code.advice().is_none() => {
            return Err(format!("an error that does not say what and what next: {error:?}"));
        }
        Err(_) => return Ok(None),
    };
    let options = options(way);
    let outcome = measure::drawing("spoiled.dxf", &drawing, &options);
    let names: Vec<(String, usize)> =
        outcome.measurements.iter().map(|m| place_of(&m.section, options.per)).collect();
    ensure(names.is_sorted(), || format!("rows are not sorted: {names:?}"))?;
    for measured in &outcome.measurements {
        measurement(measured).map_err(|wrong| format!("{}: {wrong}", measured.section))?;
    }
    let unit = [LengthUnit::Millimetre, LengthUnit::Centimetre, LengthUnit::Inch][way % 3];
    let digits = [Digits::default(), Digits::FULL][way % 2];
    let style = Style::with(|s| {
        s.unit = unit;
        s.digits = digits;
        s.labels = way % 2 == 1;
        s.plates = way % 3 == 1;
    });
    rows(&outcome.measurements, style)?;
    Ok(Some(outcome.measurements.iter().filter(|m| m.properties().is_some()).count()))
}

fn ensure(holds: bool, otherwise: impl FnOnce() -> String) -> Result<(), String> {
    if holds { Ok(()) } else { Err(otherwise()) }
}

/// Where a row must stand: by its layer without regard to case, then by part.
fn place_of(section: &str, per: Per) -> (String, usize) {
    match section.rsplit_once('#') {
        Some((layer, part)) if per == Per::Part && part.parse::<usize>().is_ok() => {
            (layer.to_lowercase(), part.parse().unwrap_or(0))
        }
        _ => (section.to_lowercase(), 0),
    }
}

fn measurement(measured: &Measurement) -> Result<(), String> {
    let worst = measured.findings.iter().map(|finding| finding.severity).max();
    let status = measured.status();
    let consistent = match status {
        Status::Ok => worst.is_none_or(|worst| worst < Severity::Warning),
        Status::Warning => worst.is_some_and(|worst| worst >= Severity::Warning),
        Status::Failed => worst == Some(Severity::Failure),
    };
    ensure(consistent, || format!("status {status:?}, but findings up to {worst:?}"))?;
    ensure(measured.properties().is_some() == (status != Status::Failed), || {
        format!("{status:?} and properties don't fit together")
    })?;
    for finding in &measured.findings {
        ensure(finding.is_complete(), || format!("a sentence without all its values: {finding:?}"))?;
        let place = finding.place.point;
        ensure(place.is_none_or(|point| point.is_finite()), || format!("a place that is none: {finding:?}"))?;
        // What the drawing says stands between quotation marks, but for names of layers.
        let message = match &finding.place.layer {
            Some(layer) => finding.message().replace(layer.as_str(), ""),
            None => finding.message(),
        };
        let own: String = message.split('“').map(|s| s.rsplit('”').next().unwrap_or(s)).collect();
        let words = own.split(|c: char| !c.is_alphanumeric());
        ensure(words.into_iter().all(|word| !matches!(word, "NaN" | "inf")), || finding.to_string())?;
    }
    let Some(section) = measured.properties() else { return Ok(()) };
    let region = measured.region().ok_or("properties without a region")?;
    ensure(region.check(), || "the region is not sound".to_owned())?;
    ensure(section.area.is_finite() && section.area > 0.0, || format!("area {}", section.area))?;
    ensure(section.perimeter.is_finite() && section.perimeter > 0.0, || {
        format!("perimeter {}", section.perimeter)
    })?;
    ensure(section.parts > 0, || "an area of no parts".to_owned())?;
    let (low, high) = (section.extent.min, section.extent.max);
    ensure(low.is_finite() && high.is_finite() && low.x <= high.x && low.y <= high.y, || {
        format!("extent {:?}", section.extent)
    })?;
    let box_area = (high.x - low.x) * (high.y - low.y);
    ensure(section.area <= box_area * (1.0 + 1e-6), || {
        format!("area {} within an extent of {box_area}", section.area)
    })?;
    let slack = 1e-6 * section.extent.size() + 1e-12 * section.extent.reach();
    let centroid = section.centroid;
    ensure(
        (low.x - slack..=high.x + slack).contains(&centroid.x)
            && (low.y - slack..=high.y + slack).contains(&centroid.y),
        || format!("centroid {centroid:?} outside {:?}", section.extent),
    )?;
    let moments =
        [section.second_moments.x, section.second_moments.y, section.principal.i_1, section.principal.i_2];
    ensure(moments.iter().all(|i| i.is_finite() && *i > 0.0), || format!("second moments {moments:?}"))?;
    ensure(section.principal.i_1 >= section.principal.i_2 * (1.0 - 1e-6), || {
        format!("principal second moments {moments:?}")
    })?;
    // 1e-6 ends it, 1e-8 is told.
    let messages = measured.findings.iter().any(|finding| finding.code == Code::StripsDiffer);
    ensure(section.strip_check <= 1e-6 && (section.strip_check <= 1e-8 || messages), || {
        format!("strips differ by {}, and nobody says so", section.strip_check)
    })
}

/// Every cell of the schedule as text.
fn rows(measurements: &[Measurement], style: Style) -> Result<(), String> {
    let mut text = Vec::new();
    schedule::write_csv(measurements, style, &mut text).map_err(|error| error.to_string())?;
    let mut reader = csv::Reader::from_reader(text.as_slice());
    let mut count = 0;
    for (record, measured) in reader.records().zip(measurements) {
        let record = record.map_err(|error| error.to_string())?;
        count += 1;
        for (column, cell) in style.columns().zip(&record) {
            let wrong = || format!("{}: {} is {cell:?}", measured.section, column.key);
            match column.quantity {
                Quantity::Text => {}
                _ if cell.is_empty() => {
                    let optional = matches!(column.key, ColumnKey::MassPerLength | ColumnKey::Mass)
                        || measured.properties().is_none();
                    ensure(optional || style.plates, wrong)?;
                }
                _ => ensure(cell.parse::<f64>().is_ok_and(f64::is_finite), wrong)?,
            }
        }
        let status = style.columns().position(|column| column.key == ColumnKey::Status);
        let written = status.and_then(|k| record.get(k));
        ensure(written == Some(measured.status().word()), || format!("status {written:?}"))?;
    }
    ensure(count == measurements.len(), || format!("{count} rows for {} sections", measurements.len()))
}
