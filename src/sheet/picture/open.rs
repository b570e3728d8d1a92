//! What a section draws that was not measured, with its open ends.

use super::layout::{Layout, Side};
use super::path::{Path, pair};
use super::scale::Scale;
use super::words::Words;
use super::{Look, Picture};
use crate::finding::coordinates;
use crate::geometry::{Bounds, Point};
use crate::measure::Measurement;
use crate::schedule::Style;
use crate::sheet::OpenLines;

/// More gaps than this can't be told apart beside the section.
const MOST_GAPS: usize = 8;

/// Radius (px) of the ring around a gap.
const RING: f64 = 9.0;

/// The lines of a section that does not close, each gap in a ring with its size beside it. `None` where nothing is drawn or
/// its size can't be.
pub fn open(
    measurement: &Measurement,
    lines: &OpenLines,
    style: &Style,
    look: Look,
    id: &str,
) -> Option<Picture> {
    let bounds = lines.curves.iter().fold(Bounds::EMPTY, |all, curve| all.union(curve.bounds()));
    let scale = Scale::fit_as(&bounds, look)?;
    let mut layout = Layout::new(scale, Words::of(measurement, style), look, id);
    let mut path = Path::default();
    for curve in &lines.curves {
        let curve = scale.curve(curve);
        path.go(curve.start());
        path.curve(&curve);
    }
    layout.subtitle = super::subtitle(measurement, "");
    layout.canvas.path("edge", &path.data);
    for (from, to) in lines.gaps.iter().take(MOST_GAPS) {
        let middle = scale.point((*from + *to) * 0.5);
        let (left, right) = (pair(middle - Point::new(RING, 0.0)), pair(middle + Point::new(RING, 0.0)));
        layout
            .canvas
            .path("gap", &format!("M{left}A{RING} {RING} 0 0 1 {right}A{RING} {RING} 0 0 1 {left}Z"));
        let size = layout.words.length(from.distance(*to));
        let place = coordinates(*from).replace(',', ", ").replace('-', "−");
        let words = format!("gap of {size} at ({place})");
        layout.label(Side::Right, middle + Point::new(RING, 0.0), "gap-name", words);
    }
    if lines.gaps.len() > MOST_GAPS {
        layout.notes.push(format!("{} more gaps are not marked", lines.gaps.len() - MOST_GAPS));
    }
    layout.notes.push("not measured: the outline does not close at the rings".to_owned());
    let title = format!("Section {}, not measured", measurement.section);
    let count = match lines.gaps.len() {
        0 => "No gap is known.".to_owned(),
        1 => "It has one gap.".to_owned(),
        many => format!("It has {many} gaps."),
    };
    Some(layout.finish(
        &measurement.section,
        &title,
        &format!("The lines of a section whose outline does not close. {count}"),
    ))
}
