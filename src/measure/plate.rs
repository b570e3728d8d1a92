//! Sections as flat plates cut from sheet.

use super::stock::StockRectangle;
use crate::geometry::Point;
use crate::outline::Ring;
use crate::region::Region;
use crate::section::Section;

/// What a fabricator must know of a flat plate, in drawing units and drawing coordinates.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Plate {
    /// Thickness, in length.
    pub thickness: f64,
    /// Area × thickness, in length³. Times the density it is the mass.
    pub volume: f64,
    /// Length of all edges that are cut, holes included: the perimeter of the section, in length, less what is cut with others
    /// ([`Options::common_cuts`](super::Options::common_cuts)).
    pub cut_length: f64,
    /// Length of the outer edges alone, shared ones included, in length.
    pub outer_perimeter: f64,
    /// Length of the edges of holes, in length; 0 without holes. Both together are the perimeter of the section.
    pub inner_perimeter: f64,
    /// Number of closed cuts, each of which begins with a pierce: one for each outer edge and one for each hole.
    pub pierces: usize,
    /// The smallest rectangle that the plate can be cut from, turned freely, without allowance for the cut.
    pub stock: StockRectangle,
    /// The point over which the plate balances: its centroid.
    pub balance: Point,
}

impl Plate {
    /// The region, whose properties are `section`, as a plate of `thickness` (drawing units).
    ///
    /// `None` where the thickness is not above 0, or a figure is too large or too small for a 64-bit number.
    pub fn of(region: &Region, section: &Section, thickness: f64) -> Option<Plate> {
        let volume = section.area * thickness;
        let sound = thickness > 0.0 && thickness.is_finite() && volume > 0.0 && volume.is_finite();
        if !sound {
            return None;
        }
        Some(Plate {
            thickness,
            volume,
            cut_length: section.perimeter,
            outer_perimeter: region.parts.iter().map(|part| part.edge.length()).sum(),
            inner_perimeter: region.parts.iter().flat_map(|part| &part.holes).map(Ring::length).sum(),
            pierces: region.rings().count(),
            stock: StockRectangle::around(region)?,
            balance: section.centroid,
        })
    }
}
