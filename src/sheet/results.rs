//! The results in words, each with its symbol and the letters that are used for it on both sides of the Atlantic: S, W
//! and Z are confused.

use super::figures::{self, unit_markup};
use super::in_words::{Figure, Letter};
use super::markup::{Markup, html};
use super::shape::{self, Along, Lie};
use super::wide;
use crate::measure::Measurement;
use crate::schedule::{Column, ColumnKey, Quantity, Style};

/// A figure of the schedule in words.
struct Row {
    /// The schedule's column.
    key: ColumnKey,
    words: &'static str,
    /// Letter and what stands below it, on this sheet.
    symbol: Letters,
    /// The same with the letters of EN 1993-1-1, 1.6 and 1.7, and EN 10365, from memory; `*` is the letter of the axis. Empty
    /// where there is no customary one.
    european: Letters,
    /// The same with the letters of the American steel manual, from memory.
    american: Letters,
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
    row(K::SecondMomentX, "second moment about x (axis to the right)", ("I", "x"), ("I", "*"), ("I", "*")),
    row(K::SecondMomentY, "second moment about y (upright axis)", ("I", "y"), ("I", "*"), ("I", "*")),
    row(K::ProductMomentXy, "product moment", ("I", "xy"), ("I", "*"), ("I", "*")),
    row(K::SecondMoment1, "larger principal second moment, about axis 1", ("I", "1"), ("I", "*"), ("I", "*")),
    row(
        K::SecondMoment2,
        "smaller principal second moment, about axis 2",
        ("I", "2"),
        ("I", "*"),
        ("I", "*"),
    ),
    row(K::PrincipalAngle, "angle from +x anticlockwise to axis 1", ("θ", ""), NONE, NONE),
    row(K::GyrationX, "radius of gyration about x", ("i", "x"), ("i", "*"), ("r", "*")),
    row(K::GyrationY, "radius of gyration about y", ("i", "y"), ("i", "*"), ("r", "*")),
    row(K::Gyration1, "radius of gyration about axis 1", ("i", "1"), ("i", "*"), ("r", "*")),
    row(K::Gyration2, "radius of gyration about axis 2", ("i", "2"), ("i", "*"), ("r", "*")),
    row(K::ElasticModulusXTop, "elastic modulus about x, top", ("W", "x,top"), ("W", "el,*"), ("S", "*")),
    row(
        K::ElasticModulusXBottom,
        "elastic modulus about x, bottom",
        ("W", "x,bottom"),
        ("W", "el,*"),
        ("S", "*"),
    ),
    row(K::ElasticModulusYLeft, "elastic modulus about y, left", ("W", "y,left"), ("W", "el,*"), ("S", "*")),
    row(
        K::ElasticModulusYRight,
        "elastic modulus about y, right",
        ("W", "y,right"),
        ("W", "el,*"),
        ("S", "*"),
    ),
    row(
        K::ElasticModulus1Top,
        "elastic modulus about axis 1, top*",
        ("W", "1,top"),
        ("W", "el,*"),
        ("S", "*"),
    ),
    row(
        K::ElasticModulus1Bottom,
        "elastic modulus about axis 1, bottom*",
        ("W", "1,bottom"),
        ("W", "el,*"),
        ("S", "*"),
    ),
    row(
        K::ElasticModulus2Left,
        "elastic modulus about axis 2, left*",
        ("W", "2,left"),
        ("W", "el,*"),
        ("S", "*"),
    ),
    row(
        K::ElasticModulus2Right,
        "elastic modulus about axis 2, right*",
        ("W", "2,right"),
        ("W", "el,*"),
        ("S", "*"),
    ),
    row(K::PlasticModulusX, "plastic modulus about x", ("W", "pl,x"), ("W", "pl,*"), ("Z", "*")),
    row(K::PlasticModulusY, "plastic modulus about y", ("W", "pl,y"), ("W", "pl,*"), ("Z", "*")),
    row(K::PlasticModulus1, "plastic modulus about axis 1", ("W", "pl,1"), ("W", "pl,*"), ("Z", "*")),
    row(K::PlasticModulus2, "plastic modulus about axis 2", ("W", "pl,2"), ("W", "pl,*"), ("Z", "*")),
    row(K::PlasticAxisY, "equal-area axis parallel to x, its y", ("y", "pl"), NONE, NONE),
    row(K::PlasticAxisX, "equal-area axis parallel to y, its x", ("x", "pl"), NONE, NONE),
    row(K::MassPerLength, "mass per length", ("m", ""), ("m", ""), NONE),
    row(K::StripCheck, "boundary integrals and strips both ways", NONE, NONE, NONE),
    row(K::Thickness, "thickness of the plate", ("t", ""), ("t", ""), ("t", "")),
    row(K::Mass, "mass of the plate", NONE, NONE, NONE),
    row(K::CutLength, "length of all cuts", NONE, NONE, NONE),
    row(K::Pierces, "cuts begun", NONE, NONE, NONE),
    row(K::TorsionConstant, "torsion constant", ("I", "T"), ("I", "T"), ("J", "")),
    row(K::WarpingConstant, "warping constant", ("I", "w"), ("I", "w"), ("C", "w")),
    row(K::ShearCentreX, "shear centre, to the right", ("x", "S"), NONE, NONE),
    row(K::ShearCentreY, "shear centre, upwards", ("y", "S"), NONE, NONE),
    row(K::ShearCentreFromCentroidX, "shear centre, to the right of the centroid", ("e", "x"), NONE, NONE),
    row(K::ShearCentreFromCentroidY, "shear centre, above the centroid", ("e", "y"), NONE, NONE),
    // What codes call a shear area is a rule for a shape, and not this.
    row(K::ShearAreaX, "shear area for forces along x", ("A", "s,x"), NONE, NONE),
    row(K::ShearAreaY, "shear area for forces along y", ("A", "s,y"), NONE, NONE),
    row(K::ShearArea1, "shear area for forces along axis 1", ("A", "s,1"), NONE, NONE),
    row(K::ShearArea2, "shear area for forces along axis 2", ("A", "s,2"), NONE, NONE),
    row(K::Monosymmetry1, "monosymmetry constant about axis 1", ("β", "1"), NONE, NONE),
    row(K::Monosymmetry2, "monosymmetry constant about axis 2", ("β", "2"), NONE, NONE),
    row(K::TorsionStress, "largest shear stress of torsion for each unit of torque", NONE, NONE, NONE),
    row(K::SharpCorners, "sharp re-entrant corners, where that stress has no bound", NONE, NONE, NONE),
];

/// Told beside the picture of the fields: bounds, errors, places, and what it took.
const BESIDE_THE_FIELDS: &[ColumnKey] = &[
    K::TorsionConstantLower,
    K::TorsionConstantUpper,
    K::WarpingConstantError,
    K::ShearCentreError,
    K::ShearAreaXError,
    K::ShearAreaYError,
    K::ShearArea1Error,
    K::ShearArea2Error,
    K::Monosymmetry1Error,
    K::Monosymmetry2Error,
    K::TorsionStressError,
    K::TorsionStressX,
    K::TorsionStressY,
    K::FieldUnknowns,
];

/// Pairs of elastic moduli about one axis, of which the lesser decides.
const PAIRS: &[(ColumnKey, ColumnKey)] = &[
    (K::ElasticModulusXTop, K::ElasticModulusXBottom),
    (K::ElasticModulusYLeft, K::ElasticModulusYRight),
    (K::ElasticModulus1Top, K::ElasticModulus1Bottom),
    (K::ElasticModulus2Left, K::ElasticModulus2Right),
];

/// Places in the drawing, whose noise of rounding is written as 0.
const PLACES: &[ColumnKey] = &[
    K::XMin,
    K::XMax,
    K::YMin,
    K::YMax,
    K::CentroidX,
    K::CentroidY,
    K::PlasticAxisX,
    K::PlasticAxisY,
    K::BalanceX,
    K::BalanceY,
];

/// The figures of a section as they stand on the sheet, those that are known.
pub(super) struct Figures<'a> {
    measurement: &'a Measurement,
    style: Style,
    lie: Lie,
}

impl<'a> Figures<'a> {
    pub(super) fn of(measurement: &'a Measurement, style: Style) -> Figures<'a> {
        let lie = measurement.region().map_or(Lie::Unknown, shape::lie);
        Figures { measurement, style, lie }
    }

    /// The columns that stand in the table.
    fn columns(&self) -> Vec<&'static Column> {
        let is_plate = self.measurement.plate().is_some();
        let shown = |column: &&'static Column| {
            // A plate has a mass, and what runs on for ever none.
            let is_told_elsewhere = column.quantity == Quantity::Text
                || BESIDE_THE_FIELDS.contains(&column.key)
                || is_plate && column.key == K::MassPerLength;
            !is_told_elsewhere && !self.text(column).is_empty()
        };
        self.style.columns().filter(shown).collect()
    }

    /// The figure as the schedule has it; 0 for a place that differs from 0 by rounding.
    fn text(&self, column: &Column) -> String {
        /// A place nearer to 0 than this share of the size is there.
        const NOISE: f64 = 1e-9;
        let text = figures::cell(column, self.measurement, self.style);
        let size = self.measurement.properties().map_or(0.0, |section| section.extent.size());
        let factor = self.measurement.unit.millimetres() / self.style.unit.millimetres();
        let is_noise = |text: &str| text.parse().is_ok_and(|value: f64| value.abs() <= NOISE * size * factor);
        if PLACES.contains(&column.key) && is_noise(&text) { "0".to_owned() } else { text }
    }

    fn value(&self, column: &Column) -> Markup {
        match column.key {
            K::StripCheck => html! { (agreement(self.measurement)) },
            _ => figures::grouped(&self.text(column)),
        }
    }

    /// Whether an elastic modulus is the lesser of the two about its axis, in the digits shown.
    fn is_least(&self, key: ColumnKey) -> bool {
        let other = PAIRS.iter().find_map(|(a, b)| match key {
            key if key == *a => Some(*b),
            key if key == *b => Some(*a),
            _ => None,
        });
        let number = |key: ColumnKey| self.text(key.column()).parse::<f64>().ok();
        match other.map(|other| (number(key), number(other))) {
            Some((Some(own), Some(other))) => own < other,
            _ => false,
        }
    }

    /// The letter of the European code for an axis of this sheet: `x`, `y`, `1`, `2` or `xy`; `None` where the code has none
    /// for it.
    fn axis(&self, own: &str) -> Option<&'static str> {
        let y_at = match self.lie {
            Lie::Unknown => {
                return Some(match own {
                    "x" => "y",
                    "y" => "z",
                    "1" => "u",
                    "2" => "v",
                    _ => "yz",
                });
            }
            Lie::Square(_, Along::X) => 0.0,
            Lie::Square(_, Along::Y) => std::f64::consts::FRAC_PI_2,
            Lie::Turned(_, angle) => angle,
        };
        let square = match self.lie {
            Lie::Square(_, along) => Some(along),
            _ => None,
        };
        match (own, square) {
            ("x", Some(Along::X)) | ("y", Some(Along::Y)) => Some("y"),
            ("y", Some(Along::X)) | ("x", Some(Along::Y)) => Some("z"),
            ("xy", Some(Along::X)) => Some("yz"),
            ("1" | "2", _) => {
                let axis = self.measurement.properties()?.principal.angle;
                let quarter = std::f64::consts::FRAC_PI_2;
                // Quarter turns from y-y to axis 1; no whole number of them where it is an axis of its own.
                let turns = (axis - y_at) / quarter;
                let whole = turns.round();
                if (turns - whole).abs() > SAME_AXIS {
                    return Some(if own == "1" { "u" } else { "v" });
                }
                let first_is_y = whole.rem_euclid(2.0) < 0.5;
                Some(if first_is_y == (own == "1") { "y" } else { "z" })
            }
            // About axes that are none of the profile's own, the code has no letters.
            _ => None,
        }
    }

    /// Letters of a code, with its letter for the axis and the side that the modulus belongs to.
    fn coded(&self, symbol: Letters, code: Letters, american: bool) -> Markup {
        match self.code_letters(symbol, code, american) {
            Some((letter, below)) => lettered(letter, &below),
            None => html! { "–" },
        }
    }

    /// The same letters and what stands below them; `None` where the code has none.
    fn code_letters(
        &self,
        symbol: Letters,
        (letter, below): Letters,
        american: bool,
    ) -> Option<(&'static str, String)> {
        if letter.is_empty() {
            return None;
        }
        if !below.contains('*') {
            return Some((letter, below.to_owned()));
        }
        let mut own = symbol.1.split(',');
        let (axis, side) = (own.find(|part| AXES.contains(part))?, own.next());
        let axis = self.axis(axis)?;
        let axis = if american { american_axis(axis) } else { axis };
        let side = side.map(|side| format!(", {side}")).unwrap_or_default();
        Some((letter, format!("{}{side}", below.replace('*', axis))))
    }

    /// The figures with their words and letters, for whoever shows them elsewhere.
    pub(super) fn list(&self) -> Vec<Figure> {
        let letter = |(name, below): (&'static str, String)| Letter { name, below };
        let figure = |column: &'static Column| {
            let (words, symbol, european, american) = in_words(column);
            let own = Some((symbol.0, symbol.1.to_owned())).filter(|(name, _)| !name.is_empty());
            Figure {
                column: column.key,
                words,
                value: match column.key {
                    K::StripCheck => agreement(self.measurement),
                    _ => self.text(column),
                },
                unit: figures::unit_parts(column.quantity, self.style.units()),
                letter: own.map(letter),
                european: self.code_letters(symbol, european, false).map(letter),
                american: self.code_letters(symbol, american, true).map(letter),
                is_least: self.is_least(column.key),
            }
        };
        self.columns().into_iter().map(figure).collect()
    }

    /// The table of results.
    pub(super) fn table(&self) -> Markup {
        let figure = |column: &Column| {
            let (words, symbol, european, american) = in_words(column);
            html! {
                tr data-column=(column.key) {
                    th scope="row" { (words) @if self.is_least(column.key) { " – " strong { "the least" } } }
                    td class="n" { (self.value(column)) }
                    td { @if let Some(unit) = unit_markup(column.quantity, self.style.units()) { (unit) } }
                    td { (letters(symbol)) }
                    td { (self.coded(symbol, european, false)) }
                    td { (self.coded(symbol, american, true)) }
                }
            }
        };
        html! {
            (wide("Results", &html! {
                table class="results" {
                    caption { "Results" }
                    thead {
                        tr {
                            th scope="col" { "Quantity" }
                            th scope="col" class="n" { "Value" }
                            @for head in ["Unit", "Letter here", "EN 1993-1-1", "US manual"] {
                                th scope="col" { (head) }
                            }
                        }
                    }
                    tbody { @for column in self.columns() { (figure(column)) } }
                }
            }))
            (self.notes())
        }
    }

    /// The same in two tables beside each other, without the letters of the codes.
    pub(super) fn short_table(&self) -> Markup {
        let columns = self.columns();
        let (left, right) = columns.split_at(columns.len().div_ceil(2));
        let figure = |column: &Column| {
            let (words, symbol, ..) = in_words(column);
            html! {
                tr data-column=(column.key) {
                    th scope="row" { (words) }
                    td class="n" {
                        @if self.is_least(column.key) { strong { (self.value(column)) } } @else { (self.value(column)) }
                    }
                    td { @if let Some(unit) = unit_markup(column.quantity, self.style.units()) { (unit) } }
                    td { (letters(symbol)) }
                }
            }
        };
        html! {
            div class="halves" {
                @for (name, half) in [("Results", left), ("Results, continued", right)] {
                    @if !half.is_empty() {
                        (wide(name, &html! {
                            table class="results" {
                                caption { (name) }
                                tbody { @for column in half { (figure(column)) } }
                            }
                        }))
                    }
                }
            }
            p class="small" { "Bold: the smaller of the two sides. " (self.turned_page()) }
        }
    }

    /// What the sides of moduli about principal axes are.
    fn turned_page(&self) -> &'static str {
        if self.measurement.properties().is_some_and(|s| s.principal.angle != 0.0) {
            "* Top, bottom, left and right on the page turned so that axis 1 runs to the right."
        } else {
            "* Top, bottom, left and right as for x and y."
        }
    }

    /// What the letters mean, and where they are from.
    fn notes(&self) -> Markup {
        html! { p class="small" { (self.notes_text()) } }
    }

    /// The same as text.
    pub(super) fn notes_text(&self) -> String {
        let codes = match self.lie {
            Lie::Square(profile, along) => format!(
                "The section is recognised as {}. In EN 1993-1-1, 1.7, y-y is parallel to {}, which is the axis {} here; the \
                 American manual calls that axis x.",
                profile.name(),
                profile.guide(),
                match along {
                    Along::X => "x",
                    Along::Y => "y",
                }
            ),
            Lie::Turned(profile, angle) => format!(
                "The section is recognised as {}, turned by {}°. The codes have letters only for its own axes, not for \
                 axes x and y of the drawing.",
                profile.name(),
                figures::grouped_text(&self.style.digits.text(angle.to_degrees(), 360.0))
            ),
            Lie::Unknown => {
                "The letters of the codes hold if the section is drawn upright as in the code: flanges, or the smaller leg of \
                 an angle, along x."
                    .to_owned()
            }
        };
        format!(
            "x runs to the right and y up, as drawn. {codes} Sources: EN 1993-1-1:2005, 1.6 and 1.7; the American steel \
             construction manual, tables of dimensions and properties. Letters differ: W is an elastic modulus in Europe and a \
             weight in American tables, where Z is a plastic modulus and S an elastic one. Go by the names. {}",
            self.turned_page()
        )
    }
}

/// Axes of this sheet that the codes have letters for.
const AXES: [&str; 5] = ["x", "y", "1", "2", "xy"];

/// Axes nearer to each other than this share of a quarter turn are one.
const SAME_AXIS: f64 = 1e-6;

/// The letter of the American manual for an axis that EN 1993-1-1 calls so.
fn american_axis(european: &str) -> &'static str {
    match european {
        "y" => "x",
        "z" => "y",
        "u" => "w",
        "v" => "z",
        _ => "xy",
    }
}

/// To how many digits the integrals along the edge agree with those by strips, in words.
fn agreement(measurement: &Measurement) -> String {
    /// No more are in 64 bits.
    const MOST: f64 = 15.0;
    let Some(section) = measurement.properties() else { return String::new() };
    let digits = if section.strip_check > 0.0 { (-section.strip_check.log10()).floor() } else { MOST };
    format!("agree to {} digits", digits.clamp(0.0, MOST))
}

fn letters((name, below): Letters) -> Markup {
    if name.is_empty() {
        html! { "–" }
    } else {
        lettered(name, below)
    }
}

/// A letter with what stands below it.
fn lettered(name: &str, below: &str) -> Markup {
    html! { i { (name) } @if !below.is_empty() { sub { (below) } } }
}

fn in_words(column: &Column) -> (&'static str, Letters, Letters, Letters) {
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
        let groups = [Group::Common, Group::Field].into_iter();
        let figures = groups.flat_map(Group::columns).filter(|column| column.quantity != Quantity::Text);
        for column in figures {
            let is_row = ROWS.iter().any(|row| row.key == column.key);
            assert!(is_row != BESIDE_THE_FIELDS.contains(&column.key), "{}", column.key);
        }
        for (k, row) in ROWS.iter().enumerate() {
            assert!(ROWS[..k].iter().all(|other| other.key != row.key), "{} twice", row.key);
        }
    }
}
