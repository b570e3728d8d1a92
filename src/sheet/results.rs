//! The results in words, each with its symbol and the letters that are used for it on both sides of the Atlantic: S, W
//! and Z are confused.

use super::figures::{self, unit_markup};
use super::markup::{Markup, html};
use super::{math, wide};
use crate::measure::Measurement;
use crate::schedule::{Column, ColumnKey, Quantity, Style};

/// A figure of the schedule in words.
struct Row {
    /// The schedule's column.
    key: ColumnKey,
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

use ColumnKey as K;

type Letters = (&'static str, &'static str);

const NONE: Letters = ("", "");

const fn row(
    key: ColumnKey,
    words: &'static str,
    symbol: Letters,
    european: Letters,
    american: Letters,
) -> Row {
    Row { key, words, symbol, european, american }
}

/// In the order of the schedule; its texts, which stand elsewhere on the sheet, are left out.
const ROWS: &[Row] = &[
    row(K::Parts, "separate solid parts", NONE, NONE, NONE),
    row(K::Holes, "holes", NONE, NONE, NONE),
    row(K::Area, "area", ("A", ""), ("A", ""), ("A", "")),
    row(K::Perimeter, "length of all edges, holes included", ("p", ""), NONE, NONE),
    row(K::XMin, "leftmost point", ("x", "min"), NONE, NONE),
    row(K::XMax, "rightmost point", ("x", "max"), NONE, NONE),
    row(K::YMin, "lowest point", ("y", "min"), NONE, NONE),
    row(K::YMax, "uppermost point", ("y", "max"), NONE, NONE),
    row(K::CentroidX, "centroid, to the right", ("x", "C"), NONE, NONE),
    row(K::CentroidY, "centroid, upwards", ("y", "C"), NONE, NONE),
    row(K::SecondMomentX, "second moment about x (axis to the right)", ("I", "x"), ("I", "y"), ("I", "x")),
    row(K::SecondMomentY, "second moment about y (upright axis)", ("I", "y"), ("I", "z"), ("I", "y")),
    row(K::ProductMomentXy, "product moment", ("I", "xy"), ("I", "yz"), ("I", "xy")),
    row(K::SecondMoment1, "larger principal second moment, about axis 1", ("I", "1"), ("I", "u"), ("I", "w")),
    row(
        K::SecondMoment2,
        "smaller principal second moment, about axis 2",
        ("I", "2"),
        ("I", "v"),
        ("I", "z"),
    ),
    row(K::PrincipalAngle, "angle from +x anticlockwise to axis 1", ("θ", ""), ("α", ""), ("α", "")),
    row(K::GyrationX, "radius of gyration about x", ("i", "x"), ("i", "y"), ("r", "x")),
    row(K::GyrationY, "radius of gyration about y", ("i", "y"), ("i", "z"), ("r", "y")),
    row(K::Gyration1, "radius of gyration about axis 1", ("i", "1"), ("i", "u"), ("r", "w")),
    row(K::Gyration2, "radius of gyration about axis 2", ("i", "2"), ("i", "v"), ("r", "z")),
    row(K::ElasticModulusXTop, "elastic modulus about x, top", ("W", "x,top"), ("W", "el,y"), ("S", "x")),
    row(
        K::ElasticModulusXBottom,
        "elastic modulus about x, bottom",
        ("W", "x,bottom"),
        ("W", "el,y"),
        ("S", "x"),
    ),
    row(K::ElasticModulusYLeft, "elastic modulus about y, left", ("W", "y,left"), ("W", "el,z"), ("S", "y")),
    row(
        K::ElasticModulusYRight,
        "elastic modulus about y, right",
        ("W", "y,right"),
        ("W", "el,z"),
        ("S", "y"),
    ),
    row(
        K::ElasticModulus1Top,
        "elastic modulus about axis 1, top*",
        ("W", "1,top"),
        ("W", "el,u"),
        ("S", "w"),
    ),
    row(
        K::ElasticModulus1Bottom,
        "elastic modulus about axis 1, bottom*",
        ("W", "1,bottom"),
        ("W", "el,u"),
        ("S", "w"),
    ),
    row(
        K::ElasticModulus2Left,
        "elastic modulus about axis 2, left*",
        ("W", "2,left"),
        ("W", "el,v"),
        ("S", "z"),
    ),
    row(
        K::ElasticModulus2Right,
        "elastic modulus about axis 2, right*",
        ("W", "2,right"),
        ("W", "el,v"),
        ("S", "z"),
    ),
    row(K::PlasticModulusX, "plastic modulus about x", ("W", "pl,x"), ("W", "pl,y"), ("Z", "x")),
    row(K::PlasticModulusY, "plastic modulus about y", ("W", "pl,y"), ("W", "pl,z"), ("Z", "y")),
    row(K::PlasticModulus1, "plastic modulus about axis 1", ("W", "pl,1"), ("W", "pl,u"), ("Z", "w")),
    row(K::PlasticModulus2, "plastic modulus about axis 2", ("W", "pl,2"), ("W", "pl,v"), ("Z", "z")),
    row(K::PlasticAxisY, "equal-area axis parallel to x, its y", ("y", "pl"), NONE, NONE),
    row(K::PlasticAxisX, "equal-area axis parallel to y, its x", ("x", "pl"), NONE, NONE),
    row(K::MassPerLength, "mass per length", ("m", ""), ("m", ""), NONE),
    row(K::StripCheck, "largest relative difference between integrals and strips", NONE, NONE, NONE),
    row(K::Thickness, "thickness of the plate", ("t", ""), ("t", ""), ("t", "")),
    row(K::Mass, "mass of the plate", NONE, NONE, NONE),
    row(K::CutLength, "length of all cuts", NONE, NONE, NONE),
    row(K::Pierces, "cuts begun", NONE, NONE, NONE),
];

/// The table of results; figures that are not known are left out.
pub(super) fn table(measurement: &Measurement, style: Style) -> Markup {
    let figure = |column: &Column| {
        let text = figures::cell(column, measurement, style);
        if text.is_empty() || column.quantity == Quantity::Text {
            return Markup::default();
        }
        let (words, symbol, european, american) = in_words(column);
        html! {
            tr data-column=(column.key) {
                th scope="row" { (words) }
                td class="n" { (figures::grouped(&text)) }
                td { @if let Some(unit) = unit_markup(column.quantity, style.units()) { (unit) } }
                @for symbol in [symbol, european, american] { td { (letters(symbol)) } }
            }
        }
    };
    let turned = measurement.properties().is_some_and(|s| s.principal.angle != 0.0);
    let page =
        if turned { "with the page turned so that axis 1 runs to the right" } else { "as for x and y here" };
    html! {
        (wide("Results", &html! {
            table class="results" {
                caption { "Results" }
                thead {
                    tr {
                        th scope="col" { "Quantity" }
                        th scope="col" class="n" { "Value" }
                        @for head in ["Unit", "Symbol here", "EN 1993-1-1", "US usage"] { th scope="col" { (head) } }
                    }
                }
                tbody { @for column in style.columns() { (figure(column)) } }
            }
        }))
        p class="small" {
            "x runs to the right and y up, as drawn. EN 1993-1-1 calls the axis to the right y and the upright one z. W \
             is an elastic modulus in Europe and a weight in American tables; Z is a plastic modulus there and was an \
             elastic one in older British tables; S is an elastic modulus there and a plastic or a first moment \
             elsewhere: go by the words. * Top, bottom, left and right " (page) "."
        }
    }
}

fn letters((name, below): Letters) -> Markup {
    if name.is_empty() {
        html! { "–" }
    } else {
        math::inline(&math::sub(name, below))
    }
}

fn in_words(column: &Column) -> (&str, Letters, Letters, Letters) {
    match ROWS.iter().find(|row| row.key == column.key) {
        Some(row) => (row.words, row.symbol, row.european, row.american),
        None => (column.definition, NONE, NONE, NONE),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::schedule::Group;

    #[test]
    fn every_figure_of_the_schedule_is_in_words() {
        let figures = Group::Common.columns().filter(|column| column.quantity != Quantity::Text);
        for column in figures {
            assert!(ROWS.iter().any(|row| row.key == column.key), "{}", column.key);
        }
        for (k, row) in ROWS.iter().enumerate() {
            assert!(ROWS[..k].iter().all(|other| other.key != row.key), "{} twice", row.key);
        }
    }
}
