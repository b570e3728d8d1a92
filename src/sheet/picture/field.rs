//! A section with the stress function of torsion over it: contour lines, the mesh behind them, the shear centre.

use super::layout::{Layout, Side};
use super::path::pair;
use super::{Look, Picture, axes, is_transformed, outlines, started};
use crate::field::FieldPicture;
use crate::geometry::Point;
use crate::measure::Measurement;
use crate::schedule::{ColumnKey, Style};
use crate::sheet::fields::ERROR_DIGITS;

/// Meshes of more triangles are left out: their edges would be a grey ground, and most of the page.
const MOST_TRIANGLES: usize = 1_500;

/// Contour lines are drawn in chords that keep this near (px) to them.
const CHORDS: f64 = 0.2;

/// Chords of all contour lines at the most.
const MOST_CHORDS: usize = 12_000;

/// Half the length of a stroke of the shear centre's cross (px).
const CROSS: f64 = 7.0;

/// The mesh, contour lines of the stress function, and the shear centre. `None` where there is no such picture with the
/// measurement, or its size can't be drawn.
pub fn field(measurement: &Measurement, style: &Style, look: Look, id: &str) -> Option<Picture> {
    let region = measurement.region()?;
    let field = measurement.field()?;
    let drawn = field.picture.as_ref()?;
    let mut layout = started(measurement, region, style, look, id)?;
    let has_mesh = mesh(&mut layout, drawn);
    let all = contours(&mut layout, drawn);
    outlines(&mut layout, region, false);
    let contours_in_words = FieldPicture::CONTOURS_IN_WORDS.to_owned();
    layout.sign(true, contours_in_words, |canvas| axes::sample(canvas, "contour"));
    let mesh_in_words = drawn.mesh_in_words(has_mesh);
    if has_mesh {
        layout.sign(true, mesh_in_words, |canvas| axes::sample(canvas, "mesh"));
    } else {
        layout.notes.push(mesh_in_words);
    }
    if !all {
        layout.notes.push("some of the contour lines are left out: there are too many".to_owned());
    }
    if let Some(section) = measurement.properties() {
        let centre = layout.scale.point(section.centroid);
        layout.canvas.centroid(centre);
    }
    let mut words = "The stress function of torsion, in contour lines.".to_owned();
    if let Some(centre) = &field.shear_centre {
        words.push_str(&shear_centre(&mut layout, centre.at));
    }
    if is_transformed(measurement) {
        layout.notes.push("for the moduli of the reference material".to_owned());
    }
    let title = format!("Torsion of section {}", measurement.section);
    Some(layout.finish(&measurement.section, &title, &words))
}

/// The edges between triangles, where a picture can show them; whether it can.
fn mesh(layout: &mut Layout, drawn: &FieldPicture) -> bool {
    if drawn.triangles > MOST_TRIANGLES {
        return false;
    }
    let scale = layout.scale;
    let line = |[a, b]: &[Point; 2]| format!("M{}L{}", pair(scale.point(*a)), pair(scale.point(*b)));
    let lines: String = drawn.edges.iter().map(line).collect();
    layout.canvas.path("mesh", &lines);
    true
}

/// The contour lines; false where some are left out.
fn contours(layout: &mut Layout, drawn: &FieldPicture) -> bool {
    let scale = layout.scale;
    let mut left = MOST_CHORDS;
    let mut data = String::new();
    for contour in &drawn.contours {
        let points: Vec<Point> = contour.iter().map(|p| scale.point(*p)).collect();
        let chords = simplified(&points);
        if chords.len() > left {
            layout.canvas.path("contour", &data);
            return false;
        }
        left -= chords.len();
        for (k, p) in chords.into_iter().enumerate() {
            data.push(if k == 0 { 'M' } else { 'L' });
            data.push_str(&pair(p));
        }
    }
    layout.canvas.path("contour", &data);
    true
}

/// The ends of chords that keep near to all points of a line, which are taken from its start on.
fn simplified(points: &[Point]) -> Vec<Point> {
    let Some((first, rest)) = points.split_first() else { return Vec::new() };
    let mut kept = vec![*first];
    let mut from = 0;
    for (k, next) in rest.iter().enumerate() {
        let start = points[from];
        let chord = *next - start;
        let length = chord.length();
        let off = |p: &Point| match length > 0.0 {
            true => chord.cross(*p - start).abs() / length,
            false => p.distance(start),
        };
        // The point before this one ends a chord where the next would leave something aside.
        if points[from + 1..=k].iter().any(|p| off(p) > CHORDS) {
            kept.push(points[k]);
            from = k;
        }
    }
    kept.extend(rest.last());
    kept
}

/// Draws the shear centre and names it; what is said of it.
fn shear_centre(layout: &mut Layout, at: Point) -> String {
    let column = |key: ColumnKey| layout.words.column(key).unwrap_or_default();
    let words = format!("x = {}, y = {}", column(ColumnKey::ShearCentreX), column(ColumnKey::ShearCentreY));
    let error = layout.words.rounded(ColumnKey::ShearCentreError, ERROR_DIGITS).unwrap_or_default();
    let place = layout.scale.point(at);
    // Far outside its section it has no room in the picture, and words alone.
    let reach = axes::reach(&layout.scale);
    let is_inside = reach.meets(&crate::geometry::Bounds::around([place]));
    let sign = |name: &str| format!("shear centre {name}at {words}, within {error}");
    if is_inside {
        let stroke = |to: Point| format!("M{}L{}", pair(place - to * CROSS), pair(place + to * CROSS));
        let cross = [Point::new(0.7, 0.7), Point::new(0.7, -0.7)].map(stroke).concat();
        layout.canvas.path("shear-centre", &cross);
        let side = Point::new(reach.max.x, place.y);
        layout.label(Side::Right, side, "shear-centre-name", "shear centre".to_owned());
        layout.sign(true, sign(""), |canvas| canvas.path("shear-centre", "M15 2L25 12M15 12L25 2"));
    } else {
        layout.notes.push(sign("beside the picture "));
    }
    format!(" Shear centre at {words}, within {error}.")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn chords_keep_near_to_what_they_stand_for() {
        let points: Vec<Point> = (0..=200).map(|k| Point::at_angle(f64::from(k) * 0.01) * 100.0).collect();
        let chords = simplified(&points);
        assert!(chords.len() > 5 && chords.len() < 40, "{}", chords.len());
        assert_eq!((chords.first(), chords.last()), (points.first(), points.last()));
        for p in &points {
            let near = chords.windows(2).any(|pair| {
                let chord = pair[1] - pair[0];
                chord.cross(*p - pair[0]).abs() <= CHORDS * chord.length() + 1e-9
            });
            assert!(near, "{p:?}");
        }
        assert!(simplified(&[]).is_empty());
        let straight: Vec<Point> = (0..50).map(|k| Point::new(f64::from(k), 1.0)).collect();
        assert_eq!(simplified(&straight).len(), 2);
    }
}
