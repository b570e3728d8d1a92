//! What an entity draws, kept small: curves are made on demand.

use std::f64::consts::TAU;

use super::widths::{EdgeWidths, Squeezed};
use crate::geometry::{Affine, Arc, Bounds, Curve, EllipseArc, Point};

/// What an entity draws, in world coordinates of the drawing plane and in drawing units.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum Shape {
    /// A straight line.
    Line {
        /// Where it begins.
        start: Point,
        /// Where it ends.
        end: Point,
    },
    /// A full circle.
    Circle {
        /// Its centre.
        center: Point,
        /// Its radius, above 0.
        radius: f64,
    },
    /// An arc of a circle.
    Arc {
        /// Centre of the circle.
        center: Point,
        /// Radius, above 0.
        radius: f64,
        /// Direction from the centre to the start, radians anticlockwise from +x.
        start_angle: f64,
        /// Turning in radians, anticlockwise positive, within ±2π.
        sweep: f64,
    },
    /// An ellipse or an arc of one.
    Ellipse(Box<EllipseArc>),
    /// Straight lines and arcs from vertex to vertex.
    Polyline(Polyline),
    /// Any other chain of curves, each of which begins where the one before it ends.
    Chain(Box<Chain>),
    /// Several of the other kinds, drawn by one entity: the loops of a hatch, the lines of a multiline.
    Several(Box<[Shape]>),
}

/// A polyline of straight lines and circular arcs.
#[derive(Clone, Debug, PartialEq)]
pub struct Polyline {
    /// The vertices, in travel order.
    pub vertices: Box<[Point]>,
    /// The bulge of the edge that follows each vertex: the tangent of a quarter of its included angle,
    /// anticlockwise positive. `None` where all edges are straight.
    pub bulges: Option<Box<[f64]>>,
    /// How wide its edges are drawn; `None` where none has a width. Its curves are those of its centre line.
    pub widths: Option<Box<EdgeWidths>>,
    /// An edge leads from the last vertex to the first.
    pub closed: bool,
}

/// Coordinates and radii beyond this are left out: two numbers that follow each other are more than an eighth of a
/// drawing unit apart there, so that nothing drawn has a shape, and beside it nothing else on its layer has one.
const LARGEST: f64 = 1e15;

/// A chain of curves of any kind.
#[derive(Clone, Debug, PartialEq)]
pub struct Chain {
    /// The curves, in travel order; none is without length.
    pub curves: Box<[Curve]>,
    /// It ends where it begins.
    pub closed: bool,
    /// It was drawn as a polyline.
    pub polyline: bool,
    /// Where that has a width, the polyline as it was drawn.
    pub wide: Option<Box<Squeezed>>,
}

impl Polyline {
    /// Start, end and bulge of each edge, the closing one included.
    pub(super) fn edges(&self) -> impl Iterator<Item = (Point, Point, f64)> {
        let count = match self.vertices.len() {
            0 => 0,
            n => n - usize::from(!self.closed),
        };
        let next = self.vertices.iter().skip(1).chain(self.vertices.first());
        let bulge = |i: usize| self.bulges.as_ref().and_then(|bulges| bulges.get(i)).copied().unwrap_or(0.0);
        self.vertices.iter().zip(next).enumerate().take(count).map(move |(i, (a, b))| (*a, *b, bulge(i)))
    }

    /// The edges that have length.
    fn curves(&self) -> impl Iterator<Item = Curve> {
        self.edges().filter(|(a, b, _)| a != b).map(|(a, b, bulge)| Curve::from_bulge(a, b, bulge))
    }

    fn transformed(self, map: &Affine) -> Shape {
        let scale = map.similarity();
        if scale.is_none() && (self.bulges.is_some() || self.widths.is_some()) {
            let curves = self.curves().map(|curve| curve.transformed(map)).collect();
            let (closed, is_wide) = (self.closed, self.widths.is_some());
            let wide = is_wide.then(|| Box::new(Squeezed { polyline: self, map: *map }));
            return Shape::Chain(Box::new(Chain { curves, closed, polyline: true, wide }));
        }
        let mut moved = self;
        if let (Some(widths), Some(scale)) = (&mut moved.widths, scale) {
            widths.scale(scale);
        }
        moved.vertices.iter_mut().for_each(|vertex| *vertex = map.point(*vertex));
        if map.determinant() < 0.0 {
            moved.bulges.iter_mut().flat_map(|bulges| bulges.iter_mut()).for_each(|bulge| *bulge = -*bulge);
        }
        Shape::Polyline(moved)
    }
}

impl Shape {
    /// The chains of curves that it is made of: itself, or each of several.
    pub fn chains(&self) -> &[Shape] {
        match self {
            Shape::Several(shapes) => shapes,
            one => std::slice::from_ref(one),
        }
    }

    /// The curves in travel order, the closing edge of a closed polyline included; those of several chains one chain
    /// after the other. Pieces without length are left out, so there may be none.
    pub fn curves(&self) -> Vec<Curve> {
        match self {
            Shape::Line { start, end } if start == end => Vec::new(),
            Shape::Line { start, end } => vec![Curve::line(*start, *end)],
            Shape::Circle { center, radius } => vec![Arc::circle(*center, *radius).into()],
            Shape::Arc { center, radius, start_angle, sweep } => {
                vec![Arc::new(*center, *radius, *start_angle, *sweep).into()]
            }
            Shape::Ellipse(arc) => vec![Curve::Ellipse(arc.clone())],
            Shape::Polyline(polyline) => {
                let mut curves = Vec::with_capacity(polyline.vertices.len());
                curves.extend(polyline.curves());
                curves
            }
            Shape::Chain(chain) => chain.curves.to_vec(),
            Shape::Several(shapes) => shapes.iter().flat_map(Shape::curves).collect(),
        }
    }

    /// It is closed in itself: a circle or a full ellipse, a polyline drawn as closed, an arc of a full turn, a
    /// spline that ends where it begins, several chains that are each closed.
    pub fn is_closed(&self) -> bool {
        match self {
            Shape::Line { .. } => false,
            Shape::Circle { .. } => true,
            Shape::Arc { sweep, .. } => sweep.abs() >= TAU,
            Shape::Ellipse(arc) => arc.sweep.abs() >= TAU,
            Shape::Polyline(polyline) => polyline.closed,
            Shape::Chain(chain) => chain.closed,
            Shape::Several(shapes) => shapes.iter().all(Shape::is_closed),
        }
    }

    /// It was drawn as a polyline: several edges in one entity.
    pub fn is_polyline(&self) -> bool {
        match self {
            Shape::Polyline(_) => true,
            Shape::Chain(chain) => chain.polyline,
            _ => false,
        }
    }

    /// The polyline with a width that it is, if it is one, and how it lies in the drawing plane where it was squeezed.
    pub fn wide(&self) -> Option<(&Polyline, Affine)> {
        match self {
            Shape::Polyline(polyline) => polyline.widths.is_some().then_some((polyline, Affine::IDENTITY)),
            Shape::Chain(chain) => chain.wide.as_ref().map(|wide| (&wide.polyline, wide.map)),
            _ => None,
        }
    }

    /// The smallest box around it, exact for curves; around the centre line where it has a width.
    pub fn bounds(&self) -> Bounds {
        match self {
            Shape::Line { start, end } => Bounds::around([*start, *end]),
            Shape::Circle { center, radius } => {
                let reach = Point::new(*radius, *radius);
                Bounds { min: *center - reach, max: *center + reach }
            }
            Shape::Polyline(polyline) if polyline.bulges.is_none() => {
                Bounds::around(polyline.vertices.iter().copied())
            }
            _ => self.curves().iter().fold(Bounds::EMPTY, |bounds, curve| bounds.union(curve.bounds())),
        }
    }

    /// A box around it that is quick to have: beside arcs it is wider than [`Shape::bounds`].
    pub(crate) fn rough_bounds(&self) -> Bounds {
        match self {
            Shape::Arc { center, radius, .. } => Shape::Circle { center: *center, radius: *radius }.bounds(),
            Shape::Polyline(polyline) => polyline.edges().fold(
                Bounds::around(polyline.vertices.iter().copied()),
                |bounds, (start, end, bulge)| match bulge {
                    0.0 => bounds,
                    // An arc rises from its chord by half the chord times the bulge, and reaches less far beside it.
                    _ => bounds
                        .union(Bounds::around([start, end]).grown(0.5 * bulge.abs() * start.distance(end))),
                },
            ),
            Shape::Several(shapes) => {
                shapes.iter().fold(Bounds::EMPTY, |bounds, shape| bounds.union(shape.rough_bounds()))
            }
            other => other.bounds(),
        }
    }

    /// How many points, lines, arcs or spans.
    pub(crate) fn pieces(&self) -> u64 {
        match self {
            Shape::Polyline(polyline) => polyline.vertices.len().max(1) as u64,
            Shape::Chain(chain) => chain.curves.len().max(1) as u64,
            Shape::Several(shapes) => shapes.iter().map(Shape::pieces).sum(),
            _ => 1,
        }
    }

    /// Its image under an affine map. A map that squeezes circles turns arcs into ellipse arcs.
    pub(super) fn transformed(self, map: &Affine) -> Shape {
        if *map == Affine::IDENTITY {
            return self;
        }
        match self {
            Shape::Line { start, end } => Shape::Line { start: map.point(start), end: map.point(end) },
            Shape::Circle { center, radius } => match map.similarity() {
                Some(scale) => Shape::Circle { center: map.point(center), radius: radius * scale },
                None => Shape::squeezed(center, radius, 0.0, TAU, map),
            },
            Shape::Arc { center, radius, start_angle, sweep } => match map.similarity() {
                Some(scale) => {
                    let turned = map.vector(Point::new(1.0, 0.0)).angle();
                    let mirror = map.determinant().signum();
                    Shape::Arc {
                        center: map.point(center),
                        radius: radius * scale,
                        start_angle: turned + mirror * start_angle,
                        sweep: mirror * sweep,
                    }
                }
                None => Shape::squeezed(center, radius, start_angle, sweep, map),
            },
            Shape::Ellipse(arc) => {
                let (center, u, v) = (map.point(arc.center), map.vector(arc.u), map.vector(arc.v));
                Shape::Ellipse(Box::new(EllipseArc::new(center, u, v, arc.start_parameter, arc.sweep)))
            }
            Shape::Polyline(polyline) => polyline.transformed(map),
            Shape::Chain(mut chain) => {
                chain.curves.iter_mut().for_each(|curve| *curve = curve.transformed(map));
                if let Some(wide) = &mut chain.wide {
                    wide.map = wide.map.then(map);
                }
                Shape::Chain(chain)
            }
            Shape::Several(shapes) => {
                Shape::Several(shapes.into_iter().map(|shape| shape.transformed(map)).collect())
            }
        }
    }

    fn squeezed(center: Point, radius: f64, start_angle: f64, sweep: f64, map: &Affine) -> Shape {
        let (u, v) = (map.vector(Point::new(radius, 0.0)), map.vector(Point::new(0.0, radius)));
        Shape::Ellipse(Box::new(EllipseArc::new(map.point(center), u, v, start_angle, sweep)))
    }

    /// No number in it is beyond [`LARGEST`].
    pub(super) fn is_in_range(&self) -> bool {
        let point = |p: &Point| p.x.abs() <= LARGEST && p.y.abs() <= LARGEST;
        let ellipse = |arc: &EllipseArc| [arc.start, arc.end, arc.center, arc.u, arc.v].iter().all(point);
        match self {
            Shape::Line { start, end } => point(start) && point(end),
            Shape::Circle { center, radius } | Shape::Arc { center, radius, .. } => {
                point(center) && *radius <= LARGEST
            }
            Shape::Ellipse(arc) => ellipse(arc),
            // The radius of an edge is less than its length times its bulge, or its length over its bulge; the least
            // bulge that is not straight leaves that far from where numbers end.
            Shape::Polyline(polyline) => {
                let reach = polyline.vertices.iter().map(|p| p.x.abs().max(p.y.abs())).fold(0.0, f64::max);
                let bulge = |bulge: &f64| bulge.abs() * reach <= LARGEST;
                polyline.vertices.iter().all(point)
                    && polyline.bulges.iter().flatten().all(bulge)
                    && polyline.widths.iter().all(|widths| widths.largest() <= LARGEST)
            }
            Shape::Chain(chain) => chain.curves.iter().all(|curve| match curve {
                Curve::Line(c) => point(&c.start) && point(&c.end),
                Curve::Arc(c) => point(&c.center) && c.radius <= LARGEST,
                Curve::Ellipse(c) => ellipse(c),
                Curve::Span(c) => c.points().iter().all(point),
            }),
            Shape::Several(shapes) => shapes.iter().all(Shape::is_in_range),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    fn d_shape() -> Polyline {
        let vertices = [(1.0, 2.0), (4.0, 2.0), (4.0, 2.0), (4.0, 8.0)].map(|(x, y)| Point::new(x, y));
        let bulges = Some([0.0, 0.5, 1.0, 0.0].into());
        Polyline { vertices: vertices.into(), bulges, widths: None, closed: true }
    }

    #[test]
    fn edges_without_length_are_left_out_and_the_closing_edge_is_not() {
        let curves = Shape::Polyline(d_shape()).curves();
        assert_eq!(curves.len(), 3);
        assert!(matches!(&curves[1], Curve::Arc(arc) if arc.radius == 3.0));
        assert_eq!(curves[2].end(), Point::new(1.0, 2.0));
        let open = Polyline { closed: false, ..d_shape() };
        assert_eq!(Shape::Polyline(open).curves().len(), 2);
    }

    #[test]
    fn a_mirrored_polyline_bulges_the_other_way() {
        let map = Affine::scaling(-2.0, 2.0);
        let direct: Vec<Curve> = d_shape().curves().map(|c| c.transformed(&map)).collect();
        for (a, b) in Shape::Polyline(d_shape()).transformed(&map).curves().iter().zip(&direct) {
            assert!(a.at(0.3).distance(b.at(0.3)) < 1e-14);
        }
    }

    #[test]
    fn unequal_scaling_makes_ellipse_arcs() {
        let map = Affine::scaling(2.0, 0.5).then(&Affine::rotation(0.3));
        let squeezed = Shape::Polyline(d_shape()).transformed(&map);
        assert!(squeezed.is_closed() && squeezed.is_polyline());
        assert!(matches!(squeezed.curves()[1], Curve::Ellipse(_)));
        let circle = Shape::Circle { center: Point::new(1.0, 1.0), radius: 2.0 }.transformed(&map);
        assert!(circle.is_closed() && matches!(circle, Shape::Ellipse(_)));
        let arc = Shape::Arc { center: Point::ORIGIN, radius: 2.0, start_angle: 0.0, sweep: PI };
        assert!(!arc.is_closed());
    }

    #[test]
    fn a_shape_is_small() {
        // Drawings hold hundreds of thousands; the memory limit counts on this.
        assert!(size_of::<Shape>() <= 48, "{}", size_of::<Shape>());
    }
}
