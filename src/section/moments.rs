//! What a section is measured by: second moments, principal axes, moduli.
//!
//! Moments about turned axes by the sine and cosine of twice the angle (Mohr's circle).

use crate::geometry::Point;

/// Second moments of area about two axes at right angles through one point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SecondMoments {
    /// ∬y² dA, about the axis parallel to x, in length⁴; never negative.
    pub x: f64,
    /// ∬x² dA, about the axis parallel to y, in length⁴; never negative.
    pub y: f64,
    /// ∬xy dA, in length⁴; positive when most of the area lies up right and down left.
    pub xy: f64,
}

/// Principal axes: those about which the product moment vanishes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PrincipalAxes {
    /// The larger principal second moment, about axis 1, in length⁴.
    pub i_1: f64,
    /// The smaller principal second moment, about axis 2, in length⁴.
    pub i_2: f64,
    /// From +x anticlockwise to axis 1, in radians within (−π/2, π/2]; 0 where both moments are equal within 1e-9.
    pub angle: f64,
}

/// Elastic moduli about a pair of axes through the centroid, x to the right and y up: the second moment about the one
/// axis over the distance from it to a fibre farthest from it, in length³. Each is named by where its fibre lies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ElasticModuli {
    /// About the axis parallel to x, at the uppermost fibre.
    pub top: f64,
    /// About the axis parallel to x, at the lowest fibre.
    pub bottom: f64,
    /// About the axis parallel to y, at the leftmost fibre.
    pub left: f64,
    /// About the axis parallel to y, at the rightmost fibre.
    pub right: f64,
}

/// Plastic moduli about the equal-area axes parallel to x and to y, the plastic neutral axes, and where these lie.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlasticModuli {
    /// About the equal-area axis parallel to x: ∬|y − neutral_y| dA, in length³.
    pub about_x: f64,
    /// About the equal-area axis parallel to y: ∬|x − neutral_x| dA, in length³.
    pub about_y: f64,
    /// y of the equal-area axis parallel to x.
    pub neutral_y: f64,
    /// x of the equal-area axis parallel to y.
    pub neutral_x: f64,
}

impl SecondMoments {
    /// The second moments about axes turned by `angle` radians anticlockwise.
    pub fn turned(&self, angle: f64) -> SecondMoments {
        let (sine, cosine) = (2.0 * angle).sin_cos();
        let (mean, half) = (0.5 * (self.x + self.y), 0.5 * (self.x - self.y));
        SecondMoments {
            x: mean + half * cosine - self.xy * sine,
            y: mean - half * cosine + self.xy * sine,
            xy: half * sine + self.xy * cosine,
        }
    }

    /// The second moments about parallel axes through a point at `offset` from the centroid, for the given area:
    /// I + A·d².
    pub fn about(&self, offset: Point, area: f64) -> SecondMoments {
        SecondMoments {
            x: self.x + area * offset.y * offset.y,
            y: self.y + area * offset.x * offset.x,
            xy: self.xy + area * offset.x * offset.y,
        }
    }
}
