//! Shear moduli of the bodies of a section over that of the reference material.

use super::bodies::Body;
use crate::finding::{Code, Finding, Value, short};
use crate::measure::job::Job;

/// The shear moduli of those bodies that a section has in the end, or why they are not known.
#[derive(Clone, Debug, Default)]
pub(in crate::measure) struct Shear {
    /// The material that they refer to.
    reference: Option<String>,
    names: Vec<String>,
    pub ratios: Vec<f64>,
    missing: Option<Finding>,
}

/// For each body its shear modulus over that of the reference material. Where no material has one they are as the moduli of
/// elasticity: one Poisson ratio holds for all.
pub(super) fn shear_ratios(bodies: &[Body], ratios: &[f64], job: &Job) -> Shear {
    let reference = job.reference.clone().or_else(|| bodies.first()?.material.clone());
    let names = bodies.iter().map(|body| body.material.clone().unwrap_or_default()).collect();
    let mut shear = Shear { reference, names, ratios: ratios.to_vec(), missing: None };
    let first = bodies.first().and_then(|body| body.shear_modulus);
    if ratios.iter().all(|ratio| *ratio == 1.0) && bodies.iter().all(|body| body.shear_modulus == first) {
        return shear;
    }
    let known = shear.reference.as_deref().and_then(|name| job.materials.get(name));
    let of_reference = known.and_then(|material| material.shear_modulus);
    if of_reference.is_none() && bodies.iter().all(|body| body.shear_modulus.is_none()) {
        return shear;
    }
    let missing = |name: Option<&str>| {
        let name = name.map(|name| Value::Name(name.to_owned()));
        Finding::of(Code::ConstantsOfMaterials).with_some("material", name)
    };
    let Some(of_reference) = of_reference else {
        shear.missing = Some(missing(shear.reference.as_deref()));
        return shear;
    };
    for (ratio, body) in shear.ratios.iter_mut().zip(bodies) {
        match body.shear_modulus {
            Some(modulus) => *ratio = modulus / of_reference,
            None => shear.missing = Some(missing(body.material.as_deref())),
        }
    }
    shear
}

impl Shear {
    /// Takes body `k` of all.
    pub(super) fn push(&mut self, all: &Shear, k: usize) {
        self.reference.clone_from(&all.reference);
        self.missing.clone_from(&all.missing);
        self.names.extend(all.names.get(k).cloned());
        self.ratios.extend(all.ratios.get(k));
    }

    /// Why they are not known.
    pub fn missing(&self) -> Option<&Finding> {
        self.missing.as_ref()
    }

    /// Constants differ by what they refer to.
    pub fn finding(&self, is_mixed: bool) -> Finding {
        const MIXED: &str = "the largest stress of torsion is left out, for each material bears its own";
        let ratio = |(name, ratio): (&String, &f64)| format!("{name} {}", short(*ratio));
        let ratios: Vec<String> = self.names.iter().zip(&self.ratios).map(ratio).collect();
        Finding::of(Code::ConstantsTransformed)
            .with_some("material", self.reference.clone().map(Value::Name))
            .with("ratios", ratios.join(", "))
            .with_some("mixed", is_mixed.then(|| Value::Text(MIXED.to_owned())))
    }
}
