//! Torsion, warping and shear: a picture of the fields, figures with their bounds in words, and what they are and are not.

use super::figures;
use super::markup::{self, Markup, html};
use super::picture::{self, Look};
use crate::field::TorsionalStress;
use crate::measure::Measurement;
use crate::schedule::{ColumnKey, Digits, FIELD_CAUTION, Style};

/// An estimate of an error has no more digits than these.
pub(super) const ERROR_DIGITS: Digits = Digits::rounded::<2>();

/// What is to be said of the constants that come of fields of the section with that number; nothing where there are none.
pub(super) fn in_words(number: usize, measurement: &Measurement, style: Style) -> Markup {
    let Some(field) = measurement.field() else { return Markup::default() };
    let digits = |key: ColumnKey, style: Style| {
        let column = key.column();
        let text = figures::cell(column, measurement, style);
        let unit = figures::unit_markup(column.quantity, style.units());
        html! { (figures::grouped(&text)) @if let Some(unit) = unit { " " (unit) } }
    };
    let figure = |key: ColumnKey| digits(key, style);
    let error = |key: ColumnKey| digits(key, Style { digits: ERROR_DIGITS, ..style });
    let within = |value: ColumnKey, of_it: ColumnKey| html! { (figure(value)) ", within " (error(of_it)) };
    let picture = picture::field(measurement, &style, Look::Page, &format!("section-{number}-field"));
    html! {
        h3 { "Torsion, warping and shear" }
        @if let Some(picture) = &picture {
            figure style={ "--width:" (picture.width.ceil()) "px" } { (markup::picture(picture)) }
        }
        p {
            "The torsion constant is at least " (figure(ColumnKey::TorsionConstantLower)) " (by the stress function) and at most "
            (figure(ColumnKey::TorsionConstantUpper)) " (by the warping function); the value used is half-way between them, "
            (figure(ColumnKey::TorsionConstant)) "."
            @if field.shear_centre.is_some() {
                " The shear centre lies at x = " (figure(ColumnKey::ShearCentreX)) ", y = "
                (within(ColumnKey::ShearCentreY, ColumnKey::ShearCentreError)) ". The warping constant is "
                (within(ColumnKey::WarpingConstant, ColumnKey::WarpingConstantError)) "."
            } @else {
                " The section is in separate bodies, so there is no shear centre and nothing that depends on one."
            }
        }
        @if field.shear_areas.is_some() {
            p {
                "Shear areas: " (within(ColumnKey::ShearAreaX, ColumnKey::ShearAreaXError)) ", for forces along x; "
                (within(ColumnKey::ShearAreaY, ColumnKey::ShearAreaYError)) ", along y; "
                (within(ColumnKey::ShearArea1, ColumnKey::ShearArea1Error)) ", along axis 1; "
                (within(ColumnKey::ShearArea2, ColumnKey::ShearArea2Error)) ", along axis 2. Monosymmetry constants: "
                (within(ColumnKey::Monosymmetry1, ColumnKey::Monosymmetry1Error)) ", about axis 1; "
                (within(ColumnKey::Monosymmetry2, ColumnKey::Monosymmetry2Error)) ", about axis 2."
            }
        }
        p {
            @match &field.stress {
                TorsionalStress::Largest { .. } => {
                    "The largest shear stress of torsion is the torque times "
                    (within(ColumnKey::TorsionStress, ColumnKey::TorsionStressError)) ", and acts at x = "
                    (figure(ColumnKey::TorsionStressX)) ", y = " (figure(ColumnKey::TorsionStressY)) "."
                }
                TorsionalStress::Unbounded { .. } => {
                    "The shear stress of torsion has no bound at x = " (figure(ColumnKey::TorsionStressX)) ", y = "
                    (figure(ColumnKey::TorsionStressY)) ", a sharp re-entrant corner. With a fillet there it would have one."
                }
                TorsionalStress::OfMaterials => {
                    "Each material has its own shear stress of torsion, so the largest is not given."
                }
            }
        }
        p class="small" {
            "Both functions were solved on curved triangles with " (field.unknowns) " unknowns. The figure after “within” is an \
             estimate of the error. Values in handbooks differ, sometimes by a few per cent. Their torsion constant is the sum \
             of length × thickness³ / 3 over all plates, with allowances for fillets and ends from tests. Their warping constants \
             and shear centres are those of walls without thickness. Their shear area is often that of the web alone. Here the \
             outline is measured as drawn, with its fillets and thicknesses. "
            (FIELD_CAUTION)
        }
    }
}
