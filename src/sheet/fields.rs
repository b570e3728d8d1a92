//! Torsion, warping and shear in words: bounds, and what the figures are and are not.

use super::figures;
use super::markup::{Markup, html};
use crate::measure::Measurement;
use crate::schedule::{ColumnKey, FIELD_CAUTION, Style};

/// What is to be said of the constants that come of fields; nothing where there are none.
pub(super) fn in_words(measurement: &Measurement, style: Style) -> Markup {
    let Some(field) = measurement.field() else { return Markup::default() };
    let figure = |key: ColumnKey| {
        let column = key.column();
        let text = figures::cell(column, measurement, style);
        let unit = figures::unit_markup(column.quantity, style.units());
        html! { (figures::grouped(&text)) @if let Some(unit) = unit { " " (unit) } }
    };
    html! {
        h3 { "Torsion, warping and shear" }
        p {
            "The torsion constant is no less than " (figure(ColumnKey::TorsionConstantLower)) ", by the stress function, and no \
             more than " (figure(ColumnKey::TorsionConstantUpper)) ", by the warping function; half-way lies "
            (figure(ColumnKey::TorsionConstant)) "."
            @if field.shear_centre.is_some() {
                " The shear centre lies at x = " (figure(ColumnKey::ShearCentreX)) ", y = " (figure(ColumnKey::ShearCentreY))
                ", within " (figure(ColumnKey::ShearCentreError)) ". The warping constant is "
                (figure(ColumnKey::WarpingConstant)) ", within " (figure(ColumnKey::WarpingConstantError)) "."
            } @else {
                " The bodies do not hang together: there is no shear centre, nor what depends on one."
            }
        }
        p class="small" {
            "Both fields were solved on curved triangles with " (field.unknowns) " unknowns. What stands after “within” is an \
             estimate. Tables of rolled shapes print torsion constants by approximate formulas, which may be some per cent off. "
            (FIELD_CAUTION)
        }
    }
}
