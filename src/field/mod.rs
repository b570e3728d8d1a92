//! Constants that need a field over the section: torsion, warping, shear.
//!
//! Elastic theory of a prismatic bar (Saint-Venant): the material is of one kind, isotropic and linear, the bar is straight
//! and its section the same all along, and free to warp.
//!
//! Each part of a region is filled with triangles, whose edges along curves are cubic arches. On one mesh two problems are
//! solved with cubic fields: that of the warping function, whose energy is never below the torsion constant, and that of the
//! stress function, whose energy is never above it. The mesh is made finer where both differ until the bounds are as near
//! to each other as is wanted. What arches leave beside the curves is added to the bounds. The other figures have no
//! bounds; how much they changed from one mesh to the next is their estimate of error.

#[cfg(feature = "field")]
mod adapt;
#[cfg(feature = "field")]
mod bodies;
#[cfg(feature = "field")]
mod boundary;
#[cfg(feature = "field")]
mod corners;
#[cfg(feature = "field")]
mod cusps;
#[cfg(feature = "field")]
mod dissection;
#[cfg(feature = "field")]
mod drawn;
#[cfg(feature = "field")]
mod element;
mod error;
#[cfg(feature = "field")]
mod fields;
#[cfg(feature = "field")]
mod figures;
#[cfg(feature = "field")]
mod halving;
#[cfg(feature = "field")]
mod mesh;
#[cfg(feature = "field")]
mod solver;
#[cfg(feature = "field")]
mod triangulate;
#[cfg(feature = "field")]
mod whole;
mod words;

pub use error::{FieldError, FieldErrorKind};
#[cfg(feature = "field")]
pub(crate) use error::{MeshTrouble, Trouble};
pub use words::{OutOfRange, PoissonRatio, Tolerance};

use crate::geometry::Point;
use crate::region::Region;
use crate::section::Section;
#[cfg(feature = "field")]
use whole::{solved, solved_bodies};

/// How near to each other the bounds of the torsion constant are to come unless something else is asked for, as a share of
/// it.
pub const DEFAULT_TOLERANCE: f64 = 1e-3;

/// The finest tolerance that can be asked for: below it rounding shows.
pub const FINEST_TOLERANCE: f64 = 1e-7;

/// The coarsest.
pub const COARSEST_TOLERANCE: f64 = 0.01;

/// The largest Poisson ratio of a material that is the same in all directions: it keeps its volume.
pub const LARGEST_POISSON: f64 = 0.5;

/// Parts of one section at the most; each is meshed and solved by itself.
pub const MOST_PARTS: usize = 1_000;

/// What is asked for.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub struct FieldOptions {
    /// How near to each other the bounds of the torsion constant are to come, as a share of it: from
    /// [`FINEST_TOLERANCE`] to [`COARSEST_TOLERANCE`].
    pub tolerance: f64,
    /// Poisson ratio of the material, from 0 to 0.5. It matters for shear areas alone; 0 is the usual choice, since other
    /// values make wide flats seem soft.
    pub poisson: f64,
    /// Keep what a picture shows of the mesh and of the stress function.
    pub picture: bool,
}

impl Default for FieldOptions {
    fn default() -> FieldOptions {
        FieldOptions { tolerance: DEFAULT_TOLERANCE, poisson: 0.0, picture: false }
    }
}

impl FieldOptions {
    /// These options.
    pub fn new(tolerance: f64, poisson: f64) -> FieldOptions {
        FieldOptions { tolerance, poisson, picture: false }
    }

    fn is_in_range(&self) -> bool {
        (FINEST_TOLERANCE..=COARSEST_TOLERANCE).contains(&self.tolerance)
            && (0.0..=LARGEST_POISSON).contains(&self.poisson)
    }
}

/// A body of one material in a section of several.
#[derive(Clone, Copy, Debug)]
pub struct FieldBody<'a> {
    /// Where it is.
    pub region: &'a Region,
    /// The elastic modulus of its material over that of the reference material.
    pub elastic: f64,
    /// The shear modulus of its material over that of the reference material.
    pub shear: f64,
}

/// A figure and how far it may be off: twice what it changed from the mesh before the last to the last, with what curves
/// leave beside the mesh. It is an estimate, no bound.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Estimated {
    /// The figure.
    pub value: f64,
    /// How far it may be off.
    pub error: f64,
}

/// A place, how far either of its coordinates may be off.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EstimatedPlace {
    /// In drawing coordinates.
    pub at: Point,
    /// The same from the centroid.
    pub from_centroid: Point,
    /// How far the place may be off: an estimate, no bound.
    pub error: f64,
}

/// The torsion constant J, in length⁴: a torque T twists the bar by T/(G·J) for each unit of length.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TorsionConstant {
    /// Half-way between the bounds.
    pub value: f64,
    /// It is no less than this: 2∫φ + 2Σ φₖ·Aₖ of the stress function φ, with its value φₖ on the edge of each hole of the
    /// area Aₖ.
    pub lower: f64,
    /// It is no more than this: ∫(∂ω/∂x − y)² + (∂ω/∂y + x)² of the warping function ω.
    pub upper: f64,
}

impl TorsionConstant {
    /// Half of the distance of the bounds.
    pub fn error(&self) -> f64 {
        0.5 * (self.upper - self.lower)
    }
}

/// Shear areas: a shear force V bends a bar sideways, beyond what bending moments do, by V/(G·area) for each unit of length.
/// In length².
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ShearAreas {
    /// For forces along x.
    pub x: Estimated,
    /// For forces along y.
    pub y: Estimated,
    /// For forces along principal axis 1.
    pub axis_1: Estimated,
    /// For forces along principal axis 2.
    pub axis_2: Estimated,
}

/// Monosymmetry constants, in length. With u along axis 1 and v along axis 2, from the centroid, and the shear centre at
/// (u₀, v₀):
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Monosymmetry {
    /// ∫v(u² + v²)/second_moment_1 − 2v₀.
    pub about_1: Estimated,
    /// ∫u(u² + v²)/second_moment_2 − 2u₀.
    pub about_2: Estimated,
}

/// The largest shear stress of torsion.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum TorsionalStress {
    /// It is so many times the torque, in 1/length³.
    Largest {
        /// Stress over torque.
        per_torque: Estimated,
        /// Where it acts, in drawing coordinates.
        at: Point,
    },
    /// In elastic theory it grows without bound towards a sharp re-entrant corner.
    Unbounded {
        /// The sharpest such corner; of equally sharp ones the leftmost, then the lowest.
        at: Point,
        /// How many such corners there are.
        corners: usize,
    },
    /// It is not looked for: the section has materials of different shear moduli, of which each bears another stress, and in
    /// whose common corners it may have no bound.
    OfMaterials,
}

/// What a picture of a field shows, in drawing coordinates.
#[derive(Clone, Debug, Default, PartialEq)]
#[non_exhaustive]
pub struct FieldPicture {
    /// The edges between triangles; none where there are too many to be told apart.
    pub edges: Vec<[Point; 2]>,
    /// Lines along which the stress function of torsion has the same value, each in chords: the shear stress runs along them, the
    /// larger the nearer they lie to each other.
    pub contours: Vec<Vec<Point>>,
    /// How many triangles there are.
    pub triangles: usize,
}

impl FieldPicture {
    /// What the contour lines are, in words for whoever shows them.
    pub const CONTOURS_IN_WORDS: &str = "contour lines of the stress function of torsion: the shear stress runs along them, and is \
                                         larger where they lie nearer to each other";

    /// The same of the mesh, which is shown or left out.
    pub fn mesh_in_words(&self, is_shown: bool) -> String {
        let mesh = format!("mesh of {} triangles", self.triangles);
        if is_shown { mesh } else { format!("the {mesh} is left out: they could not be told apart") }
    }
}

/// What fields over a section tell of it, in drawing units.
///
/// A section of several bodies that do not hang together has the torsion constant of all, twisted alike; where forces would
/// act on it nobody can tell, so it has no shear centre and nothing that depends on one.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct FieldProperties {
    /// J.
    pub torsion: TorsionConstant,
    /// The largest stress of torsion.
    pub stress: TorsionalStress,
    /// Γ = ∫ω² about the shear centre, with the mean of ω taken off, in length⁶: resistance to warping.
    pub warping: Option<Estimated>,
    /// Where a force bends the bar without twisting it, as Trefftz defines it: it does not depend on Poisson's ratio.
    pub shear_centre: Option<EstimatedPlace>,
    /// For the Poisson ratio of the options.
    pub shear_areas: Option<ShearAreas>,
    /// About principal axes.
    pub monosymmetry: Option<Monosymmetry>,
    /// Bodies that hang together by more than points.
    pub bodies: usize,
    /// Unknowns of the last mesh, of one problem.
    pub unknowns: usize,
    /// The bounds of the torsion constant came as near to each other as the tolerance asks.
    pub is_within_tolerance: bool,
    /// What a picture shows of the fields, where it was to be kept.
    pub picture: Option<FieldPicture>,
}

impl FieldProperties {
    /// The constants of `region`, whose section is `section`.
    ///
    /// # Errors
    /// Where the options are out of range, the region cannot be filled with triangles, or has too many parts.
    pub fn of(
        region: &Region,
        section: &Section,
        options: &FieldOptions,
    ) -> Result<FieldProperties, FieldError> {
        if !options.is_in_range() {
            return Err(FieldError::new(FieldErrorKind::Options, None));
        }
        if region.parts.len() > MOST_PARTS {
            return Err(FieldError::new(FieldErrorKind::TooLarge, None));
        }
        solved(region, section, options)
    }

    /// The constants of a section composed of bodies of several materials, which touch and do not overlap; `section` is
    /// the transformed one. Each elastic modulus is over that of the material that `section` refers to, each shear modulus over
    /// the shear modulus of that material. The torsion constant and the shear areas count for this shear modulus, the warping
    /// constant and the monosymmetry constants for this elastic modulus.
    ///
    /// # Errors
    /// As [`FieldProperties::of`], and where moduli are not above 0.
    pub fn of_bodies(
        bodies: &[FieldBody<'_>],
        section: &Section,
        options: &FieldOptions,
    ) -> Result<FieldProperties, FieldError> {
        let is_modulus = |modulus: f64| modulus > 0.0 && modulus.is_finite();
        if !options.is_in_range()
            || !bodies.iter().all(|body| is_modulus(body.elastic) && is_modulus(body.shear))
        {
            return Err(FieldError::new(FieldErrorKind::Options, None));
        }
        if bodies.iter().map(|body| body.region.parts.len()).sum::<usize>() > MOST_PARTS {
            return Err(FieldError::new(FieldErrorKind::TooLarge, None));
        }
        solved_bodies(bodies, section, options)
    }

    /// Bounds stand the right way round, and every figure is a number.
    pub fn check(&self) -> bool {
        let estimated = |e: &Estimated| e.value.is_finite() && e.error >= 0.0 && e.error.is_finite();
        let place = |p: &Point| p.is_finite();
        let TorsionConstant { value, lower, upper } = self.torsion;
        let stress = match &self.stress {
            TorsionalStress::Largest { per_torque, at } => {
                estimated(per_torque) && per_torque.value > 0.0 && place(at)
            }
            TorsionalStress::Unbounded { at, corners } => *corners > 0 && place(at),
            TorsionalStress::OfMaterials => true,
        };
        lower > 0.0
            && lower <= value
            && value <= upper
            && upper.is_finite()
            && stress
            && self.warping.iter().all(|w| estimated(w) && w.value >= 0.0)
            && self
                .shear_centre
                .iter()
                .all(|c| place(&c.at) && place(&c.from_centroid) && c.error.is_finite())
            && self.shear_areas.iter().all(|a| {
                [&a.x, &a.y, &a.axis_1, &a.axis_2].into_iter().all(|e| estimated(e) && e.value > 0.0)
            })
            && self.monosymmetry.iter().all(|m| estimated(&m.about_1) && estimated(&m.about_2))
    }
}

#[cfg(not(feature = "field"))]
fn solved_bodies(_: &[FieldBody<'_>], _: &Section, _: &FieldOptions) -> Result<FieldProperties, FieldError> {
    Err(FieldError::new(FieldErrorKind::NotBuiltIn, None))
}

#[cfg(not(feature = "field"))]
fn solved(_: &Region, _: &Section, _: &FieldOptions) -> Result<FieldProperties, FieldError> {
    Err(FieldError::new(FieldErrorKind::NotBuiltIn, None))
}
