//! Section properties, by exact integrals over the boundary curves.

mod bands;
mod error;
mod integrals;
mod local_boundary;
mod mid_ordinates;
mod moments;
mod plastic;
mod stretches;
mod strips;
#[cfg(test)]
mod tests;
mod tops;

pub use error::{SectionError, Station};
pub use integrals::Moments;
#[cfg(feature = "sheet")]
pub(crate) use integrals::curve_moments;
pub use mid_ordinates::{StripDirection, StripSum, strip_sum, strip_sums};
pub use moments::{ElasticModuli, PlasticModuli, PrincipalAxes, SecondMoments};
#[cfg(feature = "sheet")]
pub(crate) use plastic::part_below;

use crate::finding::{Code, Finding, Value};
use crate::geometry::{Affine, Bounds, Point};
use crate::outline::Ring;
use crate::region::Region;
use local_boundary::{LocalBoundary, MOST_KEPT};

/// All properties of a section, in drawing units and drawing coordinates.
///
/// Accuracy: 1e-12 of each value's natural scale or better for sections of any kind of curve, as long as the
/// coordinates are no larger than about 1e3 times the section's size; beyond that the rounding of the coordinates
/// themselves shows.
#[derive(Clone, Debug)]
#[must_use]
#[non_exhaustive]
pub struct Section {
    /// Number of separate solid parts.
    pub parts: usize,
    /// Number of holes.
    pub holes: usize,
    /// ∬dA, in length².
    pub area: f64,
    /// Length of all boundary, holes included.
    pub perimeter: f64,
    /// Extent of the solid.
    pub extent: Bounds,
    /// (∬x dA / ∬dA, ∬y dA / ∬dA).
    pub centroid: Point,
    /// About the axes through the centroid, parallel to the drawing axes.
    pub second_moments: SecondMoments,
    /// Principal axes through the centroid.
    pub principal: PrincipalAxes,
    /// About the centroid axes parallel to the drawing axes.
    pub elastic: ElasticModuli,
    /// About the principal axes, with the page turned so that axis 1 runs to the right.
    pub elastic_principal: ElasticModuli,
    /// About equal-area axes parallel to the drawing axes, which lie at these drawing coordinates. `None` for a section
    /// of several stiffnesses, which yields in an order that geometry does not tell.
    pub plastic: Option<PlasticModuli>,
    /// About equal-area axes parallel to axes 1 and 2, on the turned page with the centroid as origin.
    pub plastic_principal: Option<PlasticModuli>,
    /// The largest relative difference between the boundary integrals and both strip integrations.
    pub strip_check: f64,
    /// What the reader must know.
    pub findings: Vec<Finding>,
}

/// Principal second moments that differ by less than this share are equal, and every axis is principal.
pub(crate) const EQUAL: f64 = 1e-9;

/// Strips and boundary integrals that differ by more than this share disagree; both are good to about 1e-12.
const STRIPS_AGREE: f64 = 1e-8;

/// Beyond this difference the two are not one figure with rounding but two different shapes.
const CONTRADICTION: f64 = 1e-6;

/// A region of one material.
#[derive(Clone, Debug)]
pub struct WeightedRegion {
    /// Its modular ratio: the modulus of its material over that of the reference material; above 0.
    pub ratio: f64,
    /// What it covers.
    pub region: Region,
}

impl Section {
    /// The properties of `region`.
    ///
    /// # Errors
    /// Where it has no area, its figures are beyond what numbers hold, or integrals and strips contradict each other.
    pub fn of(region: &Region) -> Result<Section, SectionError> {
        Section::measured(&[(1.0, region)], MOST_KEPT)
    }

    /// The transformed section of regions that do not overlap: every area counts as often as its modular ratio says, and
    /// the elastic moduli are those for stresses in the reference material. There are no plastic moduli unless all ratios
    /// are 1.
    ///
    /// # Errors
    /// As [`Section::of`].
    pub fn transformed(regions: &[WeightedRegion]) -> Result<Section, SectionError> {
        let parts: Vec<(f64, &Region)> = regions.iter().map(|part| (part.ratio, &part.region)).collect();
        Section::measured(&parts, MOST_KEPT)
    }

    /// Of no more than `most` curves all are kept as they are measured.
    fn measured(parts: &[(f64, &Region)], most: usize) -> Result<Section, SectionError> {
        let yields_at_once = parts.iter().all(|(ratio, _)| *ratio == 1.0);
        let regions = || parts.iter().map(|(_, region)| *region);
        let extent = regions().fold(Bounds::EMPTY, |all, region| all.union(region.bounds()));
        let origin = extent.center();
        let boundary = LocalBoundary::of(parts, origin, most);
        let quarter_turned = boundary.quarter_turned();
        let (mut by_upright, mut by_flat) = (Moments::default(), Moments::default());
        // Strips know nothing of signs and ratios: each material by itself.
        let mut first = 0;
        for (ratio, region) in parts {
            let count: usize = region.rings().map(|(_, ring)| ring.curves().len()).sum();
            let curves = first..first + count;
            by_upright += strips::upright(&boundary, curves.clone()).scaled(*ratio);
            by_flat += strips::flat(&quarter_turned, curves).scaled(*ratio);
            first += count;
        }
        let moments = boundary.moments();
        // Coordinates whose powers overflow or underflow have moments that are no numbers, or 0.
        if !moments.is_finite() {
            return Err(SectionError::OutOfRange);
        }
        if moments.area <= 0.0 {
            return Err(SectionError::NoArea);
        }
        let local = moments.centroid();
        let mut findings = Vec::new();
        let strip_check =
            largest_difference(&moments, &by_upright).max(largest_difference(&moments, &by_flat));

        let about = about_centroid(&boundary, &moments);
        let measurable = about.is_finite() && about.area > 0.0 && about.xx > 0.0 && about.yy > 0.0;
        if !measurable {
            return Err(SectionError::OutOfRange);
        }
        let second_moments = SecondMoments { x: about.yy, y: about.xx, xy: about.xy };
        let axes = Axes::of(&boundary, &quarter_turned, &moments, &second_moments);
        let angle = principal_angle(&second_moments);
        let (principal_moments, principal_axes) = if angle == 0.0 {
            (second_moments, axes.clone())
        } else if angle == std::f64::consts::FRAC_PI_2 {
            let SecondMoments { x, y, xy } = second_moments;
            (SecondMoments { x: y, y: x, xy: -xy }, axes.turned_back())
        } else {
            // Integrated again on the turned page: i_2 of a sliver by invariants would be rounding.
            let turned = boundary.transformed(&Affine::rotation(-angle));
            let moments = turned.moments();
            let about = about_centroid(&turned, &moments);
            let second_moments = SecondMoments { x: about.yy, y: about.xx, xy: about.xy };
            (second_moments, Axes::of(&turned, &turned.quarter_turned(), &moments, &second_moments))
        };

        let centroid = origin + local;
        for (gap, axis, at) in [(axes.gap_y, "x", centroid.y), (axes.gap_x, "y", centroid.x)] {
            if let Some((low, high)) = gap.filter(|_| yields_at_once) {
                findings.push(
                    Finding::of(Code::AxisInGap)
                        .with("axis", axis)
                        .with("low", Value::Length(low + at))
                        .with("high", Value::Length(high + at)),
                );
            }
        }
        if strip_check > CONTRADICTION {
            return Err(SectionError::Contradiction { first: first_contradiction(parts, origin, most) });
        }
        if strip_check > STRIPS_AGREE {
            findings.push(Finding::of(Code::StripsDiffer).with("difference", Value::Ratio(strip_check)));
        }
        let section = Section {
            parts: regions().map(|r| r.parts.len()).sum(),
            holes: regions().flat_map(|r| &r.parts).map(|p| p.holes.len()).sum(),
            area: about.area,
            perimeter: regions().flat_map(Region::rings).map(|(_, ring)| ring.length()).sum(),
            extent,
            centroid,
            second_moments,
            principal: PrincipalAxes { i_1: principal_moments.x, i_2: principal_moments.y, angle },
            elastic: axes.elastic,
            elastic_principal: principal_axes.elastic,
            plastic: yields_at_once.then_some(PlasticModuli {
                neutral_x: axes.plastic.neutral_x + centroid.x,
                neutral_y: axes.plastic.neutral_y + centroid.y,
                ..axes.plastic
            }),
            plastic_principal: yields_at_once.then_some(principal_axes.plastic),
            strip_check,
            findings,
        };
        if section.is_finite() { Ok(section) } else { Err(SectionError::OutOfRange) }
    }

    /// √(second_moments.x / area), the radius of gyration about the axis parallel to x.
    pub fn gyration_x(&self) -> f64 {
        (self.second_moments.x / self.area).sqrt()
    }

    /// √(second_moments.y / area).
    pub fn gyration_y(&self) -> f64 {
        (self.second_moments.y / self.area).sqrt()
    }

    /// √(i_1 / area).
    pub fn gyration_1(&self) -> f64 {
        (self.principal.i_1 / self.area).sqrt()
    }

    /// √(i_2 / area).
    pub fn gyration_2(&self) -> f64 {
        (self.principal.i_2 / self.area).sqrt()
    }

    /// Every figure is a number, and those that cannot be 0 are not.
    fn is_finite(&self) -> bool {
        let elastic = |e: &ElasticModuli| [e.top, e.bottom, e.left, e.right];
        let plastic = |p: Option<PlasticModuli>| {
            p.map_or([0.0; 4], |p| [p.about_x, p.about_y, p.neutral_x, p.neutral_y])
        };
        let figures = [
            self.area,
            self.perimeter,
            self.centroid.x,
            self.centroid.y,
            self.second_moments.x,
            self.second_moments.y,
            self.second_moments.xy,
            self.principal.i_1,
            self.principal.i_2,
            self.principal.angle,
            self.strip_check,
        ];
        let moduli = [elastic(&self.elastic), elastic(&self.elastic_principal)];
        let levels = [plastic(self.plastic), plastic(self.plastic_principal)];
        figures.iter().chain(moduli.as_flattened()).chain(levels.as_flattened()).all(|v| v.is_finite())
            && self.principal.i_1 > 0.0
            && self.principal.i_2 > 0.0
    }
}

/// Where strips first contradict boundary integrals, upright ones before flat ones.
fn first_contradiction(parts: &[(f64, &Region)], origin: Point, most: usize) -> Option<Station> {
    let boundaries: Vec<LocalBoundary> =
        parts.iter().map(|(_, region)| LocalBoundary::of(&[(1.0, *region)], origin, most)).collect();
    let first = |points: &mut dyn Iterator<Item = Point>| points.min_by(|p, q| p.x.total_cmp(&q.x));
    let upright = first(&mut boundaries.iter().filter_map(strips::first_contradiction));
    if let Some(point) = upright {
        return Some(Station { is_flat: false, point: origin + point });
    }
    let turned: Vec<LocalBoundary> = boundaries.iter().map(LocalBoundary::quarter_turned).collect();
    // Turned x' = −y runs downwards: the same stretches, from the other end.
    let flat = first(&mut turned.iter().filter_map(strips::first_contradiction))?;
    Some(Station { is_flat: true, point: origin + Point::new(flat.y, -flat.x) })
}

/// The angle from +x to the axis of the larger second moment.
fn principal_angle(i: &SecondMoments) -> f64 {
    /// An axis nearer than this (radians) to the downward upright is given as the upward one: the sign of a
    /// product moment that is only rounding must not swap top and bottom.
    const UPRIGHT: f64 = 1e-9;
    let half = 0.5 * (i.x - i.y);
    let radius = half.hypot(i.xy);
    let larger = 0.5 * (i.x + i.y) + radius;
    if 2.0 * radius <= EQUAL * larger {
        return 0.0;
    }
    let angle = 0.5 * (-i.xy).atan2(half);
    if angle <= UPRIGHT - 0.5 * std::f64::consts::PI {
        (angle + std::f64::consts::PI).min(std::f64::consts::FRAC_PI_2)
    } else {
        angle
    }
}

/// Area, centroid and second moments of what a ring goes round, whatever lies inside it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Enclosed {
    /// ∬dA.
    pub area: f64,
    /// (∬x dA / ∬dA, ∬y dA / ∬dA), drawing coordinates.
    pub centroid: Point,
    /// About axes through its own centroid, parallel to the drawing axes.
    pub second_moments: SecondMoments,
}

impl Enclosed {
    /// What `ring` goes round.
    pub fn by(ring: &Ring) -> Enclosed {
        let origin = ring.bounds().center();
        let boundary = LocalBoundary::about_ring(ring, origin);
        let moments = boundary.moments();
        let about = about_centroid(&boundary, &moments);
        Enclosed {
            area: about.area,
            centroid: origin + moments.centroid(),
            second_moments: SecondMoments { x: about.yy, y: about.xx, xy: about.xy },
        }
    }
}

/// The moments of a boundary about its centroid, from those about its origin.
fn about_centroid(boundary: &LocalBoundary, moments: &Moments) -> Moments {
    /// Moved from axes about which a second moment is no more than so many times as large, it keeps its digits but one.
    const NEAR: f64 = 10.0;
    let centroid = moments.centroid();
    let about = moments.about(centroid);
    if moments.xx <= NEAR * about.xx && moments.yy <= NEAR * about.yy {
        about
    } else {
        boundary.transformed(&Affine::translation(-centroid)).moments()
    }
}

/// What is measured about a pair of axes through the centroid. Levels are told from the centroid.
#[derive(Clone)]
struct Axes {
    elastic: ElasticModuli,
    plastic: PlasticModuli,
    gap_x: Option<(f64, f64)>,
    gap_y: Option<(f64, f64)>,
}

impl Axes {
    /// What is measured on the page turned by a quarter turn clockwise, on which the upright axis runs to the right: what
    /// was to the left is above.
    fn turned_back(&self) -> Axes {
        let Axes { elastic, plastic, gap_x, gap_y } = self;
        Axes {
            elastic: ElasticModuli {
                top: elastic.left,
                bottom: elastic.right,
                left: elastic.bottom,
                right: elastic.top,
            },
            plastic: PlasticModuli {
                about_x: plastic.about_y,
                about_y: plastic.about_x,
                neutral_y: -plastic.neutral_x,
                neutral_x: plastic.neutral_y,
            },
            gap_x: *gap_y,
            gap_y: gap_x.map(|(low, high)| (-high, -low)),
        }
    }

    /// From a boundary, the same turned by a quarter, its moments about its origin and its second moments about the centroid.
    fn of(
        boundary: &LocalBoundary,
        quarter_turned: &LocalBoundary,
        moments: &Moments,
        second: &SecondMoments,
    ) -> Axes {
        let centroid = moments.centroid();
        let about_x = plastic::equal_area(boundary, moments);
        // There the upright axis lies flat, and what was to its right is above it.
        let about_y = plastic::equal_area(quarter_turned, &moments.quarter_turned());
        let from = |place: f64| move |(low, high): (f64, f64)| (low - place, high - place);
        let (bottom, top) = from(centroid.y)(about_x.extent);
        let (left, rightmost) = from(centroid.x)(about_y.extent);
        Axes {
            elastic: ElasticModuli {
                top: second.x / top,
                bottom: second.x / -bottom,
                left: second.y / -left,
                right: second.y / rightmost,
            },
            plastic: PlasticModuli {
                about_x: about_x.modulus,
                about_y: about_y.modulus,
                neutral_y: about_x.level - centroid.y,
                neutral_x: about_y.level - centroid.x,
            },
            gap_x: about_y.gap.map(from(centroid.x)),
            gap_y: about_x.gap.map(from(centroid.y)),
        }
    }
}

/// The largest difference between two integrations of one section, each relative to its natural scale.
fn largest_difference(a: &Moments, b: &Moments) -> f64 {
    let polar = (a.xx + a.yy).sqrt();
    let product = a.xx.sqrt() * a.yy.sqrt();
    let pairs = [
        (a.area, b.area, a.area),
        (a.first_x, b.first_x, polar * a.area.sqrt()),
        (a.first_y, b.first_y, polar * a.area.sqrt()),
        (a.xx, b.xx, a.xx),
        (a.yy, b.yy, a.yy),
        (a.xy, b.xy, product),
    ];
    pairs.iter().map(|(a, b, scale)| ((a - b) / scale).abs()).fold(0.0, f64::max)
}
