//! Torsion, warping and shear constants of measured sections, and what is to be said of them.

use super::{MeasuredSection, Measurement};
use crate::drawing::LengthUnit;
use crate::field::{FieldError, FieldErrorKind, FieldOptions, FieldProperties, TorsionalStress};
use crate::finding::{Code, Finding, Value};

impl Measurement {
    /// The measurement with torsion, warping and shear constants, where it was measured. A section of several regions that are not
    /// of one piece, as of several materials, has none.
    pub fn with_field(mut self, options: &FieldOptions) -> Measurement {
        let Ok(section) = &mut self.result else { return self };
        let findings = match section.bodies.is_empty() {
            true => add(section, options),
            false => vec![Finding::of(Code::ConstantsOfMaterials)],
        };
        self.findings.extend(in_unit(findings, self.unit));
        self
    }

    /// The measurement with the finding that it has no such constants since it is of several materials or bodies.
    pub(super) fn without_field(mut self) -> Measurement {
        if self.result.is_ok() {
            self.findings.extend(in_unit(vec![Finding::of(Code::ConstantsOfMaterials)], self.unit));
        }
        self
    }
}

fn in_unit(findings: Vec<Finding>, unit: LengthUnit) -> impl Iterator<Item = Finding> {
    findings.into_iter().map(move |finding| finding.in_unit(unit))
}

/// Adds the constants to a section; what is to be said of them.
fn add(section: &mut MeasuredSection, options: &FieldOptions) -> Vec<Finding> {
    let field = match FieldProperties::of(&section.region, &section.properties, options) {
        Ok(field) => field,
        Err(error) => return vec![refused(error)],
    };
    let mut findings = Vec::new();
    if field.bodies > 1 {
        findings.push(Finding::of(Code::NotOfOnePiece).with("count", field.bodies));
    }
    if !field.is_within_tolerance {
        let apart = 2.0 * field.torsion.error() / field.torsion.value;
        findings.push(
            Finding::of(Code::ConstantsCoarse)
                .with("apart", Value::Ratio(apart))
                .with("wanted", Value::Ratio(options.tolerance)),
        );
    }
    if let TorsionalStress::Unbounded { at, corners } = field.stress {
        findings.push(Finding::of(Code::StressUnbounded).with("count", corners).at(at));
    }
    section.field = Some(field);
    findings
}

/// Why there are no constants.
fn refused(error: FieldError) -> Finding {
    let code = match error.kind() {
        FieldErrorKind::TooLarge => Code::ConstantsTooLarge,
        FieldErrorKind::NotBuiltIn => Code::ConstantsNotBuiltIn,
        _ => Code::ConstantsNotMeshed,
    };
    let finding = Finding::of(code);
    match error.at() {
        Some(at) => finding.at(at),
        None => finding,
    }
}
