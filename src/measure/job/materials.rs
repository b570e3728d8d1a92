//! Materials: densities and moduli of elasticity, by name.

use std::collections::BTreeMap;

/// What of a material counts for a section.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Material {
    /// Density in kg/m³.
    pub density: Option<f64>,
    /// Modulus of elasticity in N/mm².
    pub modulus: Option<f64>,
    /// Shear modulus in N/mm², as it is stated or as the modulus of elasticity E and a Poisson ratio ν give it: E/(2(1 + ν)).
    pub shear_modulus: Option<f64>,
}

/// Materials by name; upper and lower case are the same.
#[derive(Clone, Debug, Default)]
pub struct Materials(BTreeMap<String, (String, Material)>);

impl Materials {
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
