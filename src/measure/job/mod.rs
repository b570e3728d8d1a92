//! Jobs: sections composed from the layers of drawings, with their materials.

mod density;
mod materials;
#[cfg(feature = "job-files")]
mod read;
#[cfg(feature = "job-files")]
mod written;

use std::path::PathBuf;

pub use density::{Density, DensityError};
pub use materials::{Material, Materials};
#[cfg(feature = "job-files")]
pub use read::JobError;

use super::choice::Patterns;
use super::length::Length;
use crate::drawing::LengthUnit;
use crate::geometry::Point;

/// A job: which sections to measure, from which layers.
#[derive(Clone, Debug)]
pub struct Job {
    /// The drawing of sections that name none of their own, beside the job file.
    pub drawing: Option<PathBuf>,
    /// Unit of the figures.
    pub units: Option<LengthUnit>,
    /// Joining tolerance; a bare number is in `units`.
    pub join: Option<Length>,
    /// The material that others are transformed to; without it that of the first layers of each section.
    pub reference: Option<String>,
    /// The materials that sections can name.
    pub materials: Materials,
    /// The sections in their order.
    pub sections: Vec<JobSection>,
}

/// A section of a job.
#[derive(Clone, Debug)]
pub struct JobSection {
    /// Its name.
    pub name: String,
    /// Its drawing, beside the job file.
    pub drawing: Option<PathBuf>,
    /// Patterns for the layers of its solid. Where bodies of different materials overlap, the layers that come first
    /// are kept whole.
    pub solid: Vec<Patterns>,
    /// Patterns for the layers whose closed outlines are cut out.
    pub void: Patterns,
    /// The material of layers that `materials` does not name.
    pub material: Option<String>,
    /// Patterns for layers, with their materials; a name without wild cards goes before the others.
    pub materials: Vec<(Patterns, String)>,
    /// Density in kg/m³ where no material gives one.
    pub density: Option<f64>,
    /// Axes for moments besides those of the drawing: turned anticlockwise by this angle in degrees …
    pub turned: Option<f64>,
    /// … and through this point, in the drawing's units; through the centroid without it.
    pub about: Option<Point>,
}

impl JobSection {
    /// The place among the patterns of `solid` of the first that names the layer.
    pub(in crate::measure) fn solid_rank(&self, layer: &str) -> Option<usize> {
        self.solid.iter().position(|p| p.match_any(layer))
    }

    /// The section has the layer by its own name, without wild cards.
    pub(in crate::measure) fn names(&self, layer: &str) -> bool {
        self.void.name(layer) || self.names_solid(layer)
    }

    /// `solid` has the layer by its own name.
    fn names_solid(&self, layer: &str) -> bool {
        self.solid.iter().any(|p| p.name(layer))
    }

    /// Both `solid` and `void` have the layer by its own name: it can't be told what is meant.
    pub(in crate::measure) fn names_twice(&self, layer: &str) -> bool {
        self.void.name(layer) && self.names_solid(layer)
    }

    /// The layer is cut out: `void` has it, and not by a pattern alone where `solid` has its name.
    pub(in crate::measure) fn is_void(&self, layer: &str) -> bool {
        self.void.match_any(layer) && (self.void.name(layer) || !self.names_solid(layer))
    }

    /// What the section names and none of these layers is, each with the key that names it.
    pub(in crate::measure) fn unmatched<'a>(
        &self,
        layers: impl Iterator<Item = &'a str> + Clone,
    ) -> Vec<(&'static str, String)> {
        let solid = self.solid.iter().map(|patterns| ("solid", patterns));
        let materials = self.materials.iter().map(|(patterns, _)| ("materials", patterns));
        let keys = solid.chain([("void", &self.void)]).chain(materials);
        let unmatched = |(key, patterns): (&'static str, &'_ Patterns)| -> Vec<(&'static str, String)> {
            patterns.unmatched(layers.clone()).into_iter().map(|name| (key, name.to_owned())).collect()
        };
        keys.flat_map(unmatched).collect()
    }

    /// The material of a layer.
    pub(in crate::measure) fn material_of(&self, layer: &str) -> Option<&str> {
        let named = self.materials.iter().find(|(pattern, _)| pattern.match_any(layer));
        named.map(|(_, material)| material.as_str()).or(self.material.as_deref())
    }
}
