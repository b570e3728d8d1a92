//! Materials and densities as they stand in a table: that of the project, or a job file.

use std::collections::BTreeMap;
use std::fmt;

use serde::Deserialize;
use serde::de::{Error, Visitor};

use super::density::Density;
use super::materials::{Material, Materials};
use crate::field::LARGEST_POISSON;

/// The table of the project, with its sources.
const TABLE: &str = include_str!("../../../shared/materials.toml");

impl Materials {
    /// The materials of the project's table, shared/materials.toml.
    pub fn common() -> Materials {
        // A test holds that the table can be read; if it could not, there would be no common materials.
        let table: BTreeMap<String, WrittenMaterial> = toml::from_str(TABLE).unwrap_or_default();
        let mut materials = Materials::default();
        for (name, material) in table {
            materials.insert(&name, material.material());
        }
        materials
    }
}

/// A material.
#[derive(Deserialize)]
#[serde(deny_unknown_fields, expecting = "struct Material")]
pub(super) struct WrittenMaterial {
    pub(super) density: Option<WrittenDensity>,
    pub(super) modulus: Option<f64>,
    pub(super) shear_modulus: Option<f64>,
    pub(super) poisson: Option<f64>,
}

impl WrittenMaterial {
    /// What is wrong with its moduli.
    pub(super) fn fault(&self) -> Option<&'static str> {
        let is_wrong = |modulus: Option<f64>| modulus.is_some_and(|v| !v.is_finite() || v <= 0.0);
        let is_ratio = |ratio: &f64| (0.0..=LARGEST_POISSON).contains(ratio);
        match (self.poisson, self.shear_modulus, self.modulus) {
            _ if is_wrong(self.modulus) => Some("density and modulus must be above 0"),
            _ if is_wrong(self.shear_modulus) => Some("shear_modulus must be above 0, in N/mm²"),
            (Some(ratio), ..) if !is_ratio(&ratio) => {
                Some("poisson must be a ratio from 0 to 0.5, such as poisson = 0.3")
            }
            (Some(_), Some(_), _) => Some(
                "give shear_modulus or poisson, not both: with the modulus of elasticity each follows from the other",
            ),
            (Some(_), None, None) => {
                Some("poisson gives a shear modulus beside a modulus of elasticity alone: state modulus too")
            }
            _ => None,
        }
    }

    pub(super) fn material(self) -> Material {
        let of_poisson =
            self.modulus.zip(self.poisson).map(|(modulus, ratio)| modulus / (2.0 * (1.0 + ratio)));
        Material {
            density: self.density.map(|written| written.0.kilograms()),
            modulus: self.modulus,
            shear_modulus: self.shear_modulus.or(of_poisson),
        }
    }
}

/// A density: a number in kg/m³, or text with a unit.
pub(super) struct WrittenDensity(pub(super) Density);

impl<'de> Deserialize<'de> for WrittenDensity {
    /// A number in kg/m³, or text with a unit.
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<WrittenDensity, D::Error> {
        struct Written;

        impl Visitor<'_> for Written {
            type Value = WrittenDensity;

            fn expecting(&self, f: &mut fmt::Formatter) -> fmt::Result {
                f.write_str("a density: a number in kg/m³, or text such as \"490 lb/ft3\"")
            }

            fn visit_f64<E: Error>(self, value: f64) -> Result<WrittenDensity, E> {
                Density::new(value)
                    .map(WrittenDensity)
                    .ok_or_else(|| E::custom(format!("density must be above 0, which {value} is not")))
            }

            fn visit_i64<E: Error>(self, value: i64) -> Result<WrittenDensity, E> {
                self.visit_f64(value as f64)
            }

            fn visit_str<E: Error>(self, text: &str) -> Result<WrittenDensity, E> {
                text.parse().map(WrittenDensity).map_err(E::custom)
            }
        }

        deserializer.deserialize_any(Written)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_can_be_read() {
        let table: BTreeMap<String, WrittenMaterial> = toml::from_str(TABLE).unwrap();
        assert!(table.len() >= 10);
        assert!(table.values().all(|m| {
            m.density.as_ref().is_some_and(|d| d.0.kilograms() > 1000.0 && d.0.kilograms() < 10_000.0)
        }));
        let materials = Materials::common();
        // EN 1993-1-1:2005, 3.2.6 and EN 1992-1-1:2004, table 3.1 (from memory).
        assert_eq!(materials.get("Steel").unwrap().modulus, Some(210_000.0));
        assert_eq!(materials.get("C30/37").unwrap().modulus, Some(33_000.0));
        // EN 1993-1-1:2005, 3.2.6 and EN 1992-1-1:2004, 3.1.3(4) (from memory).
        let near = |name: &str, shear: f64| {
            let got = materials.get(name).and_then(|m| m.shear_modulus).unwrap();
            assert!((got / shear - 1.0).abs() < 5e-3, "{name}: {got}");
        };
        near("steel", 81_000.0);
        near("aluminium", 27_000.0);
        near("C30/37", 33_000.0 / 2.4);
        assert_eq!(materials.get("wood"), None);
    }
}
