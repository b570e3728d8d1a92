//! A section that was chosen: its figures in words, its axes, its strips, the lines of torsion over it.

use serde_json::{Value, json};
use tracearm::field::{FieldOptions, FieldPicture, FieldProperties};
use tracearm::geometry::Point;
use tracearm::measure::Measurement;
use tracearm::schedule::{CAUTION, FIELD_CAUTION, PIECE_COLUMNS, PieceColumn, Quantity, Style, piece_cells};
use tracearm::section::{StripDirection, strip_sum};
use tracearm::sheet::{self, Letter};

use crate::curves::{Drawn, Numbers};
use crate::options::Refusal;

/// More pieces than this are not listed; a schedule's `--pieces` has all.
const MOST_PIECES: usize = 200;

fn letter(letter: &Option<Letter>) -> Value {
    match letter {
        Some(letter) => json!([letter.name, letter.below]),
        None => Value::Null,
    }
}

fn point(point: Point) -> Value {
    json!([point.x, point.y])
}

/// The heading of a column of pieces.
fn in_words(column: &PieceColumn, style: Style) -> String {
    let words = column.key.replace('_', " ");
    column.quantity.unit_text(style.units()).map_or(words.clone(), |unit| format!("{words}, {unit}"))
}

/// The figures of a section as on the sheet, and what is drawn on it.
pub fn chosen(measurement: &Measurement, style: Style) -> Value {
    let figures = sheet::figures(measurement, style).into_iter().map(|figure| {
        json!({
            "key": figure.column.name(),
            "words": figure.words,
            "value": figure.value,
            "unit": figure.unit.map(|(symbol, power)| json!([symbol, power])),
            "letter": letter(&figure.letter),
            "european": letter(&figure.european),
            "american": letter(&figure.american),
            "least": figure.is_least,
        })
    });
    let axes = measurement.properties().map(|section| {
        let (min, max) = (section.extent.min, section.extent.max);
        // The farthest fibres on the page turned so that axis 1 runs to the right: from the centroid, second moment over modulus.
        let turned = &section.elastic_principal;
        let principal = &section.principal;
        json!({
            "centroid": point(section.centroid),
            "extent": [min.x, min.y, max.x, max.y],
            "angle": principal.angle,
            "fibres": [
                principal.i_1 / turned.top,
                principal.i_1 / turned.bottom,
                principal.i_2 / turned.left,
                principal.i_2 / turned.right,
            ],
            "plastic": section.plastic.map(|plastic| [plastic.neutral_x, plastic.neutral_y]),
            "turned": section.plastic_principal.map(|plastic| [plastic.neutral_x, plastic.neutral_y]),
            "shearCentre": measurement.field().and_then(|field| field.shear_centre).map(|centre| point(centre.at)),
        })
    });
    let factor = Quantity::Length(1).factor(measurement.unit, style.units());
    let pieces = piece_cells(measurement, style);
    json!({
        "pieces": {
            "count": pieces.len(),
            "headings": PIECE_COLUMNS.iter().map(|column| in_words(column, style)).collect::<Vec<_>>(),
            "definitions": PIECE_COLUMNS.iter().map(|column| column.definition).collect::<Vec<_>>(),
            "rows": pieces.into_iter().take(MOST_PIECES).collect::<Vec<_>>(),
        },
        "figures": figures.collect::<Vec<_>>(),
        "axes": axes,
        "notes": measurement.properties().map(|_| sheet::about_letters(measurement, style)),
        "caution": CAUTION,
        "fieldCaution": measurement.field().map(|_| FIELD_CAUTION),
        "unit": style.unit.symbol(),
        "factor": factor,
    })
}

/// What the curves of a field belong to.
const MESH: usize = 0;
const CONTOURS: usize = 1;

/// The mesh and the contour lines of torsion, and what they are in words. They are found once more for the section that is chosen:
/// kept for every section of a large drawing they would take more memory than there is.
pub fn field(measurement: &Measurement, options: Option<&FieldOptions>) -> Result<(Value, Drawn), Refusal> {
    let none = || Refusal::of("the section has no torsion, warping and shear constants");
    let (Some(region), Some(section), Some(options)) =
        (measurement.region(), measurement.properties(), options)
    else {
        return Err(none());
    };
    let mut options = *options;
    options.picture = true;
    let field = FieldProperties::of(region, section, &options).map_err(|_| none())?;
    let picture = field.picture.ok_or_else(none)?;
    let mut numbers = Numbers::default();
    picture.edges.iter().for_each(|edge| numbers.chords(MESH, edge));
    numbers.end(MESH);
    picture.contours.iter().for_each(|contour| numbers.chords(CONTOURS, contour));
    numbers.end(CONTOURS);
    let words =
        [FieldPicture::CONTOURS_IN_WORDS.to_owned(), picture.mesh_in_words(!picture.edges.is_empty())];
    Ok((json!({ "words": words }), numbers.all()))
}

/// What strips come to beside the exact figures, in the unit of the schedule.
pub fn strips(
    measurement: &Measurement,
    style: Style,
    direction: StripDirection,
    count: usize,
) -> Result<Value, Refusal> {
    /// So many at most can be asked for.
    const MOST: usize = 1024;
    let (Some(region), Some(section)) = (measurement.region(), measurement.properties()) else {
        return Err(Refusal::of("the section was not measured"));
    };
    let sum = strip_sum(region, direction, count.clamp(1, MOST));
    let sum = sum.ok_or_else(|| Refusal::of("no strip meets the solid"))?;
    let factor = |power: i32| Quantity::Length(power).factor(measurement.unit, style.units());
    let (along, second) = match direction {
        StripDirection::Upright => ("y", section.second_moments.y),
        StripDirection::Flat => ("x", section.second_moments.x),
    };
    let line = |words: String, letter: [&str; 2], power: i32, by_strips: f64, exact: f64, scale: f64| {
        let text = |value: f64| style.digits.text(value * factor(power), scale * factor(power));
        json!({
            "words": words,
            "letter": letter,
            "power": power,
            "strips": text(by_strips),
            "exact": text(exact),
            "difference": (by_strips - exact) / scale,
        })
    };
    let size = section.extent.size();
    Ok(json!({
        "count": sum.count,
        "unit": style.unit.symbol(),
        "lines": [
            line("area".to_owned(), ["A", ""], 2, sum.area, section.area, section.area),
            line("centroid, to the right".to_owned(), ["x", "C"], 1, sum.centroid.x, section.centroid.x, size),
            line("centroid, upwards".to_owned(), ["y", "C"], 1, sum.centroid.y, section.centroid.y, size),
            line(format!("second moment about {along}"), ["I", along], 4, sum.second_moment, second, second),
        ],
    }))
}
