//! The report for machines. The one file that names `serde_json`.

use serde_json::{Map, Value, json};
use tracearm::drawing::EntityPlace;
use tracearm::finding::{Finding, Position};
use tracearm::geometry::Point;
use tracearm::measure::{MeasuredPiece, Measurement, Traced, UnitSource};
use tracearm::outline::{OpenChain, Origin, Ring, Slip};

use super::{LayerReport, Report};
use crate::advice;

/// The report as JSON, one object; lengths and coordinates in the unit that `lengths_in` names, all digits. What is not
/// known is null.
pub(super) fn write(report: &Report) -> String {
    let drawing = report.drawing;
    let layer_name = |index| Value::from(drawing.layer(index).name.as_str());
    let source = match report.unit_source {
        UnitSource::Stated => "stated",
        UnitSource::Insunits => "insunits",
        UnitSource::Measurement => "measurement",
        UnitSource::Assumed => "assumed",
    };
    let passed: Vec<Value> = drawing
        .passed_over
        .iter()
        .map(|passed| {
            json!({
                "kind": passed.kind,
                "layer": passed.layer.map(layer_name),
                "reason": passed.reason.to_string(),
                "count": passed.count,
                "places": passed.places.iter().map(place).collect::<Vec<_>>(),
            })
        })
        .collect();
    let factor = report.factor();
    let texts: Vec<Value> = drawing
        .texts
        .iter()
        .map(|text| {
            json!({
                "text": text.content,
                "layer": layer_name(text.layer),
                "hidden": text.hidden,
                "at": point(text.place * factor),
            })
        })
        .collect();
    let value = json!({
        "drawing": report.name,
        "version": drawing.version.code(),
        "release": drawing.version.release(),
        "form": drawing.form.to_string(),
        "code_page": drawing.code_page,
        "drawing_unit": report.drawing_unit.symbol(),
        "drawing_unit_from": source,
        "insunits": drawing.units.insunits,
        "measurement": drawing.units.measurement,
        "lengths_in": report.unit.symbol(),
        "layers": report.layers.iter().map(|l| layer(l, factor)).collect::<Vec<_>>(),
        "sections": report.sections.iter().map(|s| section(s, factor)).collect::<Vec<_>>(),
        "texts": texts,
        "passed_over": passed,
        "findings": report.findings.iter().map(finding).collect::<Vec<_>>(),
    });
    format!("{value:#}\n")
}

fn layer(report: &LayerReport, factor: f64) -> Value {
    let LayerReport { layer, kinds, measured, invisible, traced, solid_or_hole } = report;
    let Traced { open, findings, .. } = traced;
    json!({
        "name": layer.name,
        "off": layer.off,
        "frozen": layer.frozen,
        "locked": layer.locked,
        "plotted": layer.is_plotted(),
        "in_layer_table": layer.declared,
        "measured": measured,
        "entities": kinds.iter().map(|(k, n)| ((*k).to_owned(), Value::from(*n))).collect::<Map<_, _>>(),
        "invisible": invisible,
        "closed_outlines": traced
            .all_rings()
            .zip(solid_or_hole)
            .map(|(of, solid)| ring(of, *solid, factor))
            .collect::<Vec<_>>(),
        "joints": super::widest_slips(traced).into_iter().map(|s| joint(s, factor)).collect::<Vec<_>>(),
        "open_chains": open.iter().map(|c| chain(c, factor)).collect::<Vec<_>>(),
        "findings": findings.iter().map(finding).collect::<Vec<_>>(),
    })
}

/// A section of a job, with the outlines that it is made of.
fn section(section: &Measurement, factor: f64) -> Value {
    let piece = |of: &MeasuredPiece| {
        let mut value = ring(&of.piece.ring, Some(of.piece.solid), factor);
        value["material"] = Some(of.material()).filter(|name| !name.is_empty()).into();
        value["modular_ratio"] = of.ratio().into();
        value
    };
    json!({
        "section": section.section,
        "layer": section.layer,
        "status": section.status().word(),
        "pieces": section.pieces.iter().map(piece).collect::<Vec<_>>(),
        "findings": section.findings.iter().map(finding).collect::<Vec<_>>(),
    })
}

fn ring(ring: &Ring, solid: Option<bool>, factor: f64) -> Value {
    let bounds = ring.bounds();
    json!({
        "solid": solid,
        "area": ring.area() * factor * factor,
        "curves": ring.curves().len(),
        "min": point(bounds.min * factor),
        "max": point(bounds.max * factor),
        "from": origin(ring.origin()),
    })
}

/// A joint whose ends did not lie on each other, and what it can change in the area at most.
fn joint(slip: &Slip, factor: f64) -> Value {
    json!({
        "at": point(slip.place * factor),
        "apart": slip.apart * factor,
        "gap": slip.gap * factor,
        "overhang": slip.overhang * factor,
        "area": slip.area() * factor * factor,
    })
}

fn chain(chain: &OpenChain, factor: f64) -> Value {
    let near = |nearest: Option<(Point, f64)>| {
        nearest.map(|(place, distance)| json!({"at": point(place * factor), "distance": distance * factor}))
    };
    json!({
        "length": chain.length * factor,
        "pieces": chain.pieces,
        "nearly_closed": chain.nearly_closed,
        "start": point(chain.start * factor),
        "end": point(chain.end * factor),
        "nearest_to_start": near(chain.nearest_to_start),
        "nearest_to_end": near(chain.nearest_to_end),
        "from": origin(chain.origin),
    })
}

fn finding(finding: &Finding) -> Value {
    let mut value = json!({
        "severity": finding.severity.word(),
        "code": finding.code.name(),
        "message": finding.message(),
        "hint": finding.hint(advice::of),
        "layer": finding.place.layer,
        "at": finding.place.point.map(point),
        "handle": finding.place.handle.map(handle),
    });
    put_position(&mut value, finding.place.position);
    value
}

fn origin(origin: Origin) -> Value {
    placed(origin.position, origin.handle)
}

fn place(place: &EntityPlace) -> Value {
    placed(Some(place.position), place.handle)
}

fn placed(position: Option<Position>, of: Option<u64>) -> Value {
    let mut value = json!({ "handle": of.map(handle) });
    put_position(&mut value, position);
    value
}

/// A line of a text, or a byte of a binary drawing.
fn put_position(value: &mut Value, position: Option<Position>) {
    match position {
        Some(Position::Line(line)) => value["line"] = line.into(),
        Some(Position::Byte(byte)) => value["byte"] = byte.into(),
        None => {}
    }
}

fn handle(handle: u64) -> String {
    format!("{handle:X}")
}

fn point(point: Point) -> Value {
    json!([point.x, point.y])
}
