//! Materials: densities and moduli of elasticity, from the project's own table or a job file.

use std::collections::BTreeMap;

use serde::Deserialize;

use super::density::Density;

/// What of a material counts for a section.
#[derive(Clone, Copy, Debug, Default, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Material {
    /// Density in kg/m³.
    #[serde(default, deserialize_with = "density")]
    pub density: Option<f64>,
    /// Modulus of elasticity in N/mm².
    pub modulus: Option<f64>,
}

/// A number in kg/m³, or text with a unit.
fn density<'de, D: serde::Deserializer<'de>>(deserializer: D) -> Result<Option<f64>, D::Error> {
    Ok(Some(Density::deserialize(deserializer)?.kilograms()))
}

/// Materials by name; upper and lower case are the same.
#[derive(Clone, Debug, Default)]
pub struct Materials(BTreeMap<String, (String, Material)>);

/// The table of the project, with its sources.
const TABLE: &str = include_str!("../../../shared/materials.toml");

impl Materials {
    /// The materials of the project's table, shared/materials.toml.
    pub fn common() -> Materials {
        // A test holds that the table can be read; if it could not, there would be no common materials.
        let table: BTreeMap<String, Material> = toml::from_str(TABLE).unwrap_or_default();
        let mut materials = Materials::default();
        for (name, material) in table {
            materials.insert(&name, material);
        }
        materials
    }

    /// Adds a material, or replaces one.
    pub fn insert(&mut self, name: &str, material: Material) {
        self.0.insert(name.to_lowercase(), (name.to_owned(), material));
    }

    /// The material of this name.
    pub fn get(&self, name: &str) -> Option<Material> {
        self.0.get(&name.to_lowercase()).map(|(_, material)| *material)
    }

    /// The name of the material as it stands in the table, whatever its letter case here.
    pub fn name(&self, name: &str) -> Option<&str> {
        self.0.get(&name.to_lowercase()).map(|(name, _)| name.as_str())
    }

    /// All names, sorted.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.0.values().map(|(name, _)| name.as_str())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_can_be_read() {
        let table: BTreeMap<String, Material> = toml::from_str(TABLE).unwrap();
        assert!(table.len() >= 10);
        assert!(table.values().all(|m| m.density.is_some_and(|d| d > 1000.0 && d < 10_000.0)));
        let materials = Materials::common();
        // EN 1993-1-1:2005, 3.2.6 and EN 1992-1-1:2004, table 3.1 (from memory).
        assert_eq!(materials.get("Steel").unwrap().modulus, Some(210_000.0));
        assert_eq!(materials.get("C30/37").unwrap().modulus, Some(33_000.0));
        assert_eq!(materials.get("wood"), None);
    }
}
