//! EdgeWidths of polylines, kept only where there are any.

use super::shape::Polyline;
use crate::geometry::{Affine, Curve};

/// How wide the edges of a polyline are, in the units of its vertices.
#[derive(Clone, Debug, PartialEq)]
pub enum EdgeWidths {
    /// All edges alike.
    Constant(f64),
    /// Each edge at its start and at its end, growing evenly between them; as many as there are edges.
    PerEdge(Box<[[f64; 2]]>),
}

/// A polyline with a width whose plane was squeezed on the way into the drawing plane, as it was before.
#[derive(Clone, Debug, PartialEq)]
pub struct Squeezed {
    /// In coordinates in which its arcs are arcs and its width is one length whatever the direction.
    pub polyline: Polyline,
    /// From those to the drawing plane.
    pub map: Affine,
}

/// Where along its length a polyline has a width.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Wide {
    /// Along all of it; at single points it may taper to nothing.
    Whole,
    /// On some of its edges, while others are lines without width.
    Partly,
}

impl EdgeWidths {
    /// The widths of edges as they are read, one pair for each; `None` where none has any.
    pub(super) fn of(edges: &[[f64; 2]]) -> Option<Box<EdgeWidths>> {
        let first = edges.first()?[0];
        if edges.iter().flatten().all(|width| *width == first) {
            return (first > 0.0).then(|| Box::new(EdgeWidths::Constant(first)));
        }
        Some(Box::new(EdgeWidths::PerEdge(edges.into())))
    }

    /// Width at the start and at the end of an edge, counted from 0.
    pub fn of_edge(&self, edge: usize) -> [f64; 2] {
        match self {
            EdgeWidths::Constant(width) => [*width; 2],
            EdgeWidths::PerEdge(edges) => edges.get(edge).copied().unwrap_or_default(),
        }
    }

    /// The largest.
    pub(super) fn largest(&self) -> f64 {
        match self {
            EdgeWidths::Constant(width) => *width,
            EdgeWidths::PerEdge(edges) => edges.iter().flatten().copied().fold(0.0, f64::max),
        }
    }

    pub(super) fn scale(&mut self, scale: f64) {
        match self {
            EdgeWidths::Constant(width) => *width *= scale,
            EdgeWidths::PerEdge(edges) => edges.iter_mut().flatten().for_each(|width| *width *= scale),
        }
    }
}

impl Polyline {
    /// Where it has a width; `None` where it is a line and nothing more.
    pub fn wide(&self) -> Option<Wide> {
        let widths = self.widths.as_deref()?;
        let (mut with, mut without) = (false, false);
        for (k, (start, end, _)) in self.edges().enumerate() {
            if start != end {
                let wide = widths.of_edge(k).iter().any(|width| *width > 0.0);
                (with, without) = (with || wide, without || !wide);
            }
        }
        match (with, without) {
            (false, _) => None,
            (true, false) => Some(Wide::Whole),
            (true, true) => Some(Wide::Partly),
        }
    }

    /// The edges that have length, each with its width at its start and at its end.
    pub(crate) fn wide_edges(&self) -> impl Iterator<Item = (Curve, [f64; 2])> {
        let width = |k: usize| self.widths.as_ref().map_or([0.0; 2], |widths| widths.of_edge(k));
        self.edges()
            .enumerate()
            .filter(|(_, (start, end, _))| start != end)
            .map(move |(k, (start, end, bulge))| (Curve::from_bulge(start, end, bulge), width(k)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::Shape;
    use crate::geometry::Point;

    fn polyline(widths: &[[f64; 2]], closed: bool) -> Polyline {
        let vertices = [(0.0, 0.0), (30.0, 0.0), (30.0, 0.0), (30.0, 40.0)].map(|(x, y)| Point::new(x, y));
        Polyline { vertices: vertices.into(), bulges: None, widths: EdgeWidths::of(widths), closed }
    }

    #[test]
    fn a_width_counts_where_an_edge_has_length() {
        assert_eq!(polyline(&[[2.0; 2], [0.0; 2], [2.0, 0.0]], false).wide(), Some(Wide::Whole));
        assert_eq!(polyline(&[[0.0; 2], [2.0; 2], [0.0; 2]], false).wide(), None);
        assert_eq!(polyline(&[[2.0; 2], [2.0; 2], [0.0; 2]], false).wide(), Some(Wide::Partly));
        let closed = polyline(&[[2.0; 2]; 4], true);
        assert_eq!(closed.wide(), Some(Wide::Whole));
        assert_eq!(closed.widths, Some(Box::new(EdgeWidths::Constant(2.0))));
        assert_eq!(polyline(&[[0.0; 2]; 4], true).widths, None);
    }

    #[test]
    fn widths_grow_with_the_polyline_and_stay_with_one_that_is_squeezed() {
        let drawn = Shape::Polyline(polyline(&[[2.0; 2], [2.0; 2], [4.0, 1.0]], false));
        let mirrored = drawn.clone().transformed(&Affine::scaling(-3.0, 3.0));
        let (seen, map) = mirrored.wide().expect("a width");
        assert_eq!((seen.widths.as_ref().expect("widths").of_edge(2), map), ([12.0, 3.0], Affine::IDENTITY));
        let (first, second) = (Affine::scaling(2.0, 0.5), Affine::rotation(0.3));
        let squeezed = drawn.clone().transformed(&first).transformed(&second);
        let (before, map) = squeezed.wide().expect("a width");
        assert_eq!((Shape::Polyline(before.clone()), map), (drawn, first.then(&second)));
        assert_eq!(squeezed.curves().len(), 2);
    }
}
