//! Materials and densities as they stand in a table: that of the project, or a job file.

use std::collections::BTreeMap;
use std::fmt;

use serde::Deserialize;
use serde::de::{Error, Visitor};

use super::density::Density;
use super::materials::{Material, Materials};

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
}

impl WrittenMaterial {
    pub(super) fn material(self) -> Material {
        Material { density: self.density.map(|written| written.0.kilograms()), modulus: self.modulus }
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
        assert_eq!(materials.get("wood"), None);
    }
}
