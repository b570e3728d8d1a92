//! Polylines with a width: what they count for, and what is to be said of them.

use std::str::FromStr;

use super::traced::{Hatches, Traced, origin};
use crate::drawing::{Drawing, Entity, Wide};
use crate::finding::{Code, Finding, Severity, Value};
use crate::geometry::Point;
use crate::words::{UnknownWord, chosen};

/// What polylines count for that are drawn with a width along their whole length.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Widths {
    /// Their centre lines, as if they had no width.
    #[default]
    CentreLine,
    /// The bands that they are, each solid for itself; what several bound counts once.
    Solid,
}

impl Widths {
    /// Each with the word for it.
    pub const WORDS: [(&'static str, Widths); 2] =
        [("centre-line", Widths::CentreLine), ("solid", Widths::Solid)];
}

impl FromStr for Widths {
    type Err = UnknownWord;

    /// One of its words, in any letter case.
    fn from_str(word: &str) -> Result<Widths, UnknownWord> {
        chosen(word, &Widths::WORDS)
    }
}

/// The entity is a polyline with a width along its whole length.
pub(super) fn is_wide(entity: &Entity) -> bool {
    entity.shape.wide().is_some_and(|(polyline, _)| polyline.wide() == Some(Wide::Whole))
}

/// What is to be said of polylines that are taken along their centre lines though they have a width: how large the area
/// is that way, and how large it would be with bands of their widths. `None` where there are none. `voids` is what is cut
/// out of the entities, `along` the area as it is measured; `None` where it can't be told.
pub fn centre_line_finding(
    drawing: &Drawing,
    entities: &[&Entity],
    voids: &[&Entity],
    tolerance: f64,
    hatches: Hatches,
    along: Option<f64>,
) -> Option<Finding> {
    if !entities.iter().chain(voids).any(|e| is_wide(e)) {
        return None;
    }
    let cut = Traced::voids(voids, tolerance, hatches, Widths::Solid);
    let bands = Traced::of(entities, tolerance, hatches, Widths::Solid).area(&cut, tolerance);
    let own: Vec<&Entity> = entities.iter().filter(|e| is_wide(e)).copied().collect();
    if !own.is_empty() {
        return said(drawing, &own, (along, bands));
    }
    let of_voids: Vec<&Entity> = voids.iter().filter(|e| is_wide(e)).copied().collect();
    if along == bands { None } else { said(drawing, &of_voids, (along, bands)) }
}

/// The finding for polylines with a width, from the areas with their centre lines and with their bands, as far as they
/// are known; 0 where nothing closes.
pub(super) fn said(
    drawing: &Drawing,
    wide: &[&Entity],
    areas: (Option<f64>, Option<f64>),
) -> Option<Finding> {
    let first = wide.iter().min_by_key(|e| e.position())?;
    let layer = &drawing.layer(first.layer).name;
    let area = |area: f64| Value::Area(area);
    let finding = match areas.0 {
        Some(0.0) => Finding::of(Code::WidthsCloseNothing),
        along => Finding::of(Code::WidthsIgnored).with_some("along", along.map(area)),
    };
    let finding = finding.with("count", wide.len()).with_some("bands", areas.1.map(area));
    Some(finding.in_file(first.position()).on_entity(first.handle()).on_layer(layer.clone()))
}

/// What is to be said of polylines that have a width on a part of their length alone.
pub(super) fn partly_wide(entities: &[&Entity], widths: Widths) -> Option<Finding> {
    let is_partly =
        |e: &&&Entity| e.shape.wide().is_some_and(|(polyline, _)| polyline.wide() == Some(Wide::Partly));
    let partly: Vec<&&Entity> = entities.iter().filter(is_partly).collect();
    let first = partly.iter().min_by_key(|e| e.position())?;
    let severity = match widths {
        Widths::CentreLine => Severity::Note,
        Widths::Solid => Severity::Warning,
    };
    let finding = Finding::of(Code::WidthPartly).with("count", partly.len()).weighing(severity);
    Some(finding.in_file(first.position()).on_entity(first.handle()))
}

/// What is to be said of corners of a band that are too sharp for a mitre.
pub(super) fn bevelled(corners: &[Point], entity: &Entity) -> Option<Finding> {
    let first = corners.first()?;
    let origin = origin(entity);
    let finding = Finding::of(Code::BandBevelled).with("count", corners.len()).at(*first);
    Some(finding.in_file(origin.position).on_entity(origin.handle))
}
