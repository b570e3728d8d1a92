//! Torsion, warping and shear constants of measured sections, and what is to be said of them.

use super::compose::Shear;
use super::{MeasuredSection, Measurement};
use crate::drawing::LengthUnit;
use crate::field::{FieldBody, FieldError, FieldErrorKind, FieldOptions, FieldProperties, TorsionalStress};
use crate::finding::{Code, Finding, Value};
use crate::section::WeightedRegion;

impl Measurement {
    /// The measurement with torsion, warping and shear constants, where it was measured as one body in one material. A
    /// section of several materials keeps those that it was composed with.
    pub fn with_field(mut self, options: &FieldOptions) -> Measurement {
        let Ok(section) = &mut self.result else { return self };
        if section.bodies.is_empty() {
            let field = FieldProperties::of(&section.region, &section.properties, options);
            let findings = add(section, field, options);
            self.findings.extend(in_unit(findings, self.unit));
        }
        self
    }

    /// The same for bodies of several materials.
    pub(super) fn with_field_of(
        mut self,
        regions: &[WeightedRegion],
        shear: &Shear,
        options: &FieldOptions,
    ) -> Measurement {
        let Ok(section) = &mut self.result else { return self };
        if let Some(missing) = shear.missing() {
            self.findings.extend(in_unit(vec![missing.clone()], self.unit));
            return self;
        }
        let bodies: Vec<FieldBody<'_>> = regions
            .iter()
            .zip(&shear.ratios)
            .map(|(part, shear)| FieldBody { region: &part.region, elastic: part.ratio, shear: *shear })
            .collect();
        let field = FieldProperties::of_bodies(&bodies, &section.properties, options);
        let mut findings = Vec::new();
        if let Ok(field) = &field
            && bodies.iter().any(|body| body.elastic != 1.0 || body.shear != 1.0)
        {
            findings.push(shear.finding(field.stress == TorsionalStress::OfMaterials));
        }
        findings.extend(add(section, field, options));
        self.findings.extend(in_unit(findings, self.unit));
        self
    }
}

fn in_unit(findings: Vec<Finding>, unit: LengthUnit) -> impl Iterator<Item = Finding> {
    findings.into_iter().map(move |finding| finding.in_unit(unit))
}

/// Adds the constants to a section; what is to be said of them.
fn add(
    section: &mut MeasuredSection,
    field: Result<FieldProperties, FieldError>,
    options: &FieldOptions,
) -> Vec<Finding> {
    let field = match field {
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
    section.field = Some(Box::new(field));
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
