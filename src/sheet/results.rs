//! The results in words, each with its symbol and the letters that are used for it on both sides of the Atlantic: S, W
//! and Z are confused.

use super::figures::{self, unit_markup};
use super::markup::escaped;
use super::math;
use crate::measure::Measurement;
use crate::schedule::{Column, Quantity, Style};

/// A figure of the schedule in words.
struct Row {
    /// The schedule's column.
    key: &'static str,
    words: &'static str,
    /// Letter and what stands below it, on this sheet.
    symbol: (&'static str, &'static str),
    /// The same with the letters of EN 1993-1-1, 1.6 and 1.7, and EN 10365: y is the axis to the right and z the upright
    /// one there, u and v are the principal axes. From memory. Empty where there is no customary one.
    european: (&'static str, &'static str),
    /// The same with the letters of the American steel manual: w is the axis of the larger and z that of the smaller
    /// principal second moment. From memory.
    american: (&'static str, &'static str),
}

type Letters = (&'static str, &'static str);

const NONE: Letters = ("", "");

const fn row(
    key: &'static str,
    words: &'static str,
    symbol: Letters,
    european: Letters,
    american: Letters,
) -> Row {
    Row { key, words, symbol, european, american }
}

/// In the order of the schedule; its texts, which stand elsewhere on the sheet, are left out.
const ROWS: [Row; 40] = [
    row("parts", "separate solid parts", NONE, NONE, NONE),
    row("holes", "holes", NONE, NONE, NONE),
    row("area", "area", ("A", ""), ("A", ""), ("A", "")),
    row("perimeter", "length of all edges, holes included", ("p", ""), NONE, NONE),
    row("x_min", "leftmost point", ("x", "min"), NONE, NONE),
    row("x_max", "rightmost point", ("x", "max"), NONE, NONE),
    row("y_min", "lowest point", ("y", "min"), NONE, NONE),
    row("y_max", "uppermost point", ("y", "max"), NONE, NONE),
    row("centroid_x", "centroid, to the right", ("x", "C"), NONE, NONE),
    row("centroid_y", "centroid, upwards", ("y", "C"), NONE, NONE),
    row("second_moment_x", "second moment about x (axis to the right)", ("I", "x"), ("I", "y"), ("I", "x")),
    row("second_moment_y", "second moment about y (upright axis)", ("I", "y"), ("I", "z"), ("I", "y")),
    row("product_moment_xy", "product moment", ("I", "xy"), ("I", "yz"), ("I", "xy")),
    row(
        "second_moment_1",
        "larger principal second moment, about axis 1",
        ("I", "1"),
        ("I", "u"),
        ("I", "w"),
    ),
    row(
        "second_moment_2",
        "smaller principal second moment, about axis 2",
        ("I", "2"),
        ("I", "v"),
        ("I", "z"),
    ),
    row("principal_angle", "angle from +x anticlockwise to axis 1", ("θ", ""), ("α", ""), ("α", "")),
    row("gyration_x", "radius of gyration about x", ("i", "x"), ("i", "y"), ("r", "x")),
    row("gyration_y", "radius of gyration about y", ("i", "y"), ("i", "z"), ("r", "y")),
    row("gyration_1", "radius of gyration about axis 1", ("i", "1"), ("i", "u"), ("r", "w")),
    row("gyration_2", "radius of gyration about axis 2", ("i", "2"), ("i", "v"), ("r", "z")),
    row("elastic_modulus_x_top", "elastic modulus about x, top", ("W", "x,top"), ("W", "el,y"), ("S", "x")),
    row(
        "elastic_modulus_x_bottom",
        "elastic modulus about x, bottom",
        ("W", "x,bottom"),
        ("W", "el,y"),
        ("S", "x"),
    ),
    row(
        "elastic_modulus_y_left",
        "elastic modulus about y, left",
        ("W", "y,left"),
        ("W", "el,z"),
        ("S", "y"),
    ),
    row(
        "elastic_modulus_y_right",
        "elastic modulus about y, right",
        ("W", "y,right"),
        ("W", "el,z"),
        ("S", "y"),
    ),
    row(
        "elastic_modulus_1_top",
        "elastic modulus about axis 1, top*",
        ("W", "1,top"),
        ("W", "el,u"),
        ("S", "w"),
    ),
    row(
        "elastic_modulus_1_bottom",
        "elastic modulus about axis 1, bottom*",
        ("W", "1,bottom"),
        ("W", "el,u"),
        ("S", "w"),
    ),
    row(
        "elastic_modulus_2_left",
        "elastic modulus about axis 2, left*",
        ("W", "2,left"),
        ("W", "el,v"),
        ("S", "z"),
    ),
    row(
        "elastic_modulus_2_right",
        "elastic modulus about axis 2, right*",
        ("W", "2,right"),
        ("W", "el,v"),
        ("S", "z"),
    ),
    row("plastic_modulus_x", "plastic modulus about x", ("W", "pl,x"), ("W", "pl,y"), ("Z", "x")),
    row("plastic_modulus_y", "plastic modulus about y", ("W", "pl,y"), ("W", "pl,z"), ("Z", "y")),
    row("plastic_modulus_1", "plastic modulus about axis 1", ("W", "pl,1"), ("W", "pl,u"), ("Z", "w")),
    row("plastic_modulus_2", "plastic modulus about axis 2", ("W", "pl,2"), ("W", "pl,v"), ("Z", "z")),
    row("plastic_axis_y", "equal-area axis parallel to x, its y", ("y", "pl"), NONE, NONE),
    row("plastic_axis_x", "equal-area axis parallel to y, its x", ("x", "pl"), NONE, NONE),
    row("mass_per_length", "mass per length", ("m", ""), ("m", ""), NONE),
    row("strip_check", "largest relative difference between integrals and strips", NONE, NONE, NONE),
    row("thickness", "thickness of the plate", ("t", ""), ("t", ""), ("t", "")),
    row("mass", "mass of the plate", NONE, NONE, NONE),
    row("cut_length", "length of all cuts", NONE, NONE, NONE),
    row("pierces", "cuts begun", NONE, NONE, NONE),
];

/// The table of results; figures that are not known are left out.
pub(super) fn table(measurement: &Measurement, style: Style) -> String {
    let mut out = String::from(
        "<div class=\"wide\" tabindex=\"0\" role=\"region\" aria-label=\"Results\"><table class=\"results\"><caption>Results</caption>\
         <thead><tr><th scope=\"col\">Quantity</th><th scope=\"col\" class=\"n\">Value</th><th scope=\"col\">Unit</th>\
         <th scope=\"col\">Symbol here</th><th scope=\"col\">EN 1993-1-1</th><th scope=\"col\">US usage</th></tr></thead>\
         <tbody>",
    );
    for column in style.columns() {
        let text = figures::cell(column, measurement, style);
        if text.is_empty() || column.quantity == Quantity::Text {
            continue;
        }
        let (words, symbol, european, american) = in_words(column);
        out.push_str(&format!(
            "<tr data-column=\"{}\"><th scope=\"row\">{words}</th><td class=\"n\">{}</td><td>{}</td><td>{}</td><td>{}</td><td>{}</td></tr>",
            column.key,
            figures::grouped(&text),
            unit_markup(column.quantity, style.unit),
            letters(symbol),
            letters(european),
            letters(american)
        ));
    }
    out.push_str("</tbody></table></div>");
    let turned = measurement.properties.as_ref().is_some_and(|s| s.principal.angle != 0.0);
    let page =
        if turned { "with the page turned so that axis 1 runs to the right" } else { "as for x and y here" };
    out.push_str(&format!(
        "<p class=\"small\">x runs to the right and y up, as drawn. EN 1993-1-1 calls the axis to the right y and the \
         upright one z. W is an elastic modulus in Europe and a weight in American tables; Z is a plastic modulus there \
         and was an elastic one in older British tables; S is an elastic modulus there and a plastic or a first moment \
         elsewhere: go by the words. * Top, bottom, left and right {page}.</p>"
    ));
    out
}

fn letters((name, below): Letters) -> String {
    if name.is_empty() { "–".to_owned() } else { math::inline(&math::sub(name, below)) }
}

fn in_words(column: &Column) -> (String, Letters, Letters, Letters) {
    match ROWS.iter().find(|row| row.key == column.key) {
        Some(row) => (escaped(row.words), row.symbol, row.european, row.american),
        None => (escaped(column.definition), NONE, NONE, NONE),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::schedule::COLUMNS;

    #[test]
    fn every_figure_of_the_schedule_is_in_words() {
        let figures = COLUMNS.iter().filter(|column| column.quantity != Quantity::Text);
        for column in figures {
            assert!(ROWS.iter().any(|row| row.key == column.key), "{}", column.key);
        }
        for (k, row) in ROWS.iter().enumerate() {
            assert!(ROWS[..k].iter().all(|other| other.key != row.key), "{} twice", row.key);
        }
    }
}
