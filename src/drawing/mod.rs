//! Reading DXF drawings.
//!
//! A drawing is read once, from any source of bytes, into the entities of model space that draw outlines: in world
//! coordinates of the drawing plane, blocks expanded, layers named. What else the drawing holds is counted and the
//! reason given; what is wrong in it becomes a finding. DXF from R12 to 2018 is read, text and binary.

mod acis;
mod blocks;
mod dos_pages;
mod entities;
mod entity;
mod error;
mod findings;
mod fit_points;
mod groups;
mod header;
mod lettering;
mod limits;
mod number;
mod options;
mod pairs;
mod passed_over;
mod plane;
mod reader;
mod shape;
mod sniff;
mod spline;
mod tables;
#[cfg(test)]
mod tests;
mod text;
mod units;
mod widths;

use std::fs::File;
use std::io::Read;
use std::path::Path;

pub use entity::{Entity, EntityKind};
pub use error::{ReadError, ReadErrorKind};
pub use header::{Encoding, Version};
pub use lettering::Text;
pub use limits::{Limits, UnknownLimit};
pub use options::{ReadOptions, Space};
pub use passed_over::{EntityPlace, PassedOver, Reason};
pub use shape::{Chain, Polyline, Shape};
pub use tables::{Layer, LayerIndex};
pub use units::Units;
pub use widths::{EdgeWidths, Squeezed, Wide};

use crate::finding::Finding;
pub use crate::unit::{LengthUnit, UnknownUnit};

/// A drawing: what its model space draws, and what else is to be known of it.
#[derive(Clone, Debug, PartialEq)]
#[must_use]
#[non_exhaustive]
pub struct Drawing {
    /// Text or binary.
    pub form: Encoding,
    /// The version of DXF it was written in.
    pub version: Version,
    /// What the header says about units.
    pub units: Units,
    /// $DWGCODEPAGE as written; `None` where the header has none.
    pub code_page: Option<String>,
    /// Layers: those of the LAYER table in its order, then those that only entities name.
    pub layers: Vec<Layer>,
    /// Entities that draw outlines, in the order of the file; those of a block stand where it is referred to.
    pub entities: Vec<Entity>,
    /// What is written in model space, in the order of the file; it is among what is passed over too.
    pub texts: Vec<Text>,
    /// What is passed over, by kind, layer name and reason.
    pub passed_over: Vec<PassedOver>,
    /// What must be known of the drawing: entities left out for bad values, missing blocks, an early end.
    pub findings: Vec<Finding>,
    /// So many bytes of memory may be taken to measure it: what reading has left of the limit.
    pub(crate) memory_left: u64,
}

impl Drawing {
    /// Reads the drawing in a file.
    ///
    /// # Errors
    /// Where the file cannot be read, goes over one of the default [`Limits`], or is no DXF; the error says what it is
    /// instead.
    pub fn open(path: impl AsRef<Path>) -> Result<Drawing, ReadError> {
        Drawing::open_with(path, &ReadOptions::default())
    }

    /// Reads the drawing in a file, what is asked for and within the limits.
    ///
    /// # Errors
    /// Where the file cannot be read, goes over a limit, or is no DXF; the error says what it is instead.
    pub fn open_with(path: impl AsRef<Path>, options: &ReadOptions) -> Result<Drawing, ReadError> {
        let file = Drawing::file(path)?;
        // What is read is counted too; this only spares the reading.
        let limits = &options.limits;
        if file.metadata().is_ok_and(|data| data.is_file() && data.len() > limits.file_size) {
            return Err(limits.exceeded(limits::Limit::FileSize, "the file"));
        }
        Drawing::read_with(file, options)
    }

    /// Opens the file of a drawing. What is no file is refused: a pipe would be waited for.
    ///
    /// # Errors
    /// Where there is no file, or it can't be opened.
    pub fn file(path: impl AsRef<Path>) -> Result<File, ReadError> {
        let path = path.as_ref();
        let open = || {
            let kind = std::fs::metadata(path)?.file_type();
            if !kind.is_file() && !kind.is_dir() {
                return Err(std::io::Error::other("it is a pipe or a device, and a drawing is a file"));
            }
            File::open(path)
        };
        open().map_err(|error| ReadError::opening(path, error))
    }

    /// Reads a drawing from its bytes. The source needs no buffer of its own.
    ///
    /// # Errors
    /// Where the source cannot be read, goes over one of the default [`Limits`], or is no DXF; the error says what it is
    /// instead.
    pub fn read(source: impl Read) -> Result<Drawing, ReadError> {
        Drawing::read_with(source, &ReadOptions::default())
    }

    /// Reads a drawing from its bytes, what is asked for and within the limits.
    ///
    /// # Errors
    /// Where the source cannot be read, goes over a limit, or is no DXF; the error says what it is instead.
    pub fn read_with(mut source: impl Read, options: &ReadOptions) -> Result<Drawing, ReadError> {
        reader::Reader::new(pairs::Pairs::new(&mut source, &options.limits)?, options).read()
    }

    /// The layer with this index.
    ///
    /// # Panics
    /// For an index from another drawing with more layers.
    pub fn layer(&self, index: LayerIndex) -> &Layer {
        &self.layers[index.index()]
    }

    /// All layers, in the order of [`Drawing::layers`].
    pub(crate) fn layer_indices(&self) -> impl Iterator<Item = LayerIndex> {
        LayerIndex::first(self.layers.len())
    }
}
