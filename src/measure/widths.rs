//! Polylines with a width: what they count for, and what is to be said of them.

use super::traced::{Hatches, Traced, origin};
use crate::drawing::{Drawing, Entity, Wide};
use crate::finding::{self, Finding, Severity};
use crate::geometry::Point;

/// What polylines count for that are drawn with a width along their whole length.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Widths {
    /// Their centre lines, as if they had no width.
    #[default]
    CentreLine,
    /// The bands that they are, each solid for itself; what several bound counts once.
    Solid,
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
    let (what, lines) = match wide.len() {
        1 => ("a polyline with a width is".to_owned(), "its centre line"),
        count => (format!("{count} polylines with a width are"), "their centre lines"),
    };
    let short = |area: f64| format!("{} (drawing units²)", finding::short(area));
    let (severity, then) = match areas.0 {
        Some(0.0) => (Severity::Note, "nothing closes that way".to_owned()),
        Some(area) => (Severity::Warning, format!("the area is {} that way", short(area))),
        None => (Severity::Warning, "no area can be told that way".to_owned()),
    };
    let bands = match areas.1 {
        Some(area) => format!("and {} with bands as wide as drawn", short(area)),
        None => "nor with bands as wide as drawn".to_owned(),
    };
    let finding = Finding::new(severity, format!("{what} taken along {lines}: {then}, {bands}"));
    let hint = "--widths solid measures the bands";
    Some(finding.in_file(first.position()).on_entity(first.handle()).on_layer(layer.clone()).hint(hint))
}

/// What is to be said of polylines that have a width on a part of their length alone.
pub(super) fn partly_wide(entities: &[&Entity], widths: Widths) -> Option<Finding> {
    let is_partly =
        |e: &&&Entity| e.shape.wide().is_some_and(|(polyline, _)| polyline.wide() == Some(Wide::Partly));
    let partly: Vec<&&Entity> = entities.iter().filter(is_partly).collect();
    let first = partly.iter().min_by_key(|e| e.position())?;
    let message = match partly.len() {
        1 => "a polyline has a width on a part of its length alone: it is taken along its centre line"
            .to_owned(),
        count => format!(
            "{count} polylines have a width on a part of their length alone: they are taken along their centre lines"
        ),
    };
    let severity = match widths {
        Widths::CentreLine => Severity::Note,
        Widths::Solid => Severity::Warning,
    };
    let finding = Finding::new(severity, message).in_file(first.position()).on_entity(first.handle());
    Some(finding.hint("draw the parts with and without a width as polylines of their own"))
}

/// What is to be said of corners of a band that are too sharp for a mitre.
pub(super) fn bevelled(corners: &[Point], entity: &Entity) -> Option<Finding> {
    let first = corners.first()?;
    let message = match corners.len() {
        1 => {
            "a polyline with a width turns too sharply for a mitre: its corner is taken as cut off".to_owned()
        }
        count => format!(
            "a polyline with a width turns too sharply for a mitre at {count} vertices: its corners are taken as cut off"
        ),
    };
    let origin = origin(entity);
    Some(Finding::note(message).at(*first).in_file(origin.position).on_entity(origin.handle))
}
