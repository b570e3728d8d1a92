//! How much the slips of drafting that were mended can change the figures.

use crate::finding::{Code, Finding, Value};
use crate::geometry::Point;
use crate::outline::{Ring, Slip};
use crate::section::Section;

/// Slips below this share of the joining tolerance are the rounding of a drawing program, and are not told.
const WORTH_TELLING: f64 = 0.1;

/// A section whose area or second moments may be off by more than this share is a warning.
const DOUBTFUL: f64 = 1e-3;

/// What mended slips can change at most, as shares of the figures.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct Bound {
    area: f64,
    /// The largest of the shares of the second moments about x, y and both principal axes.
    second_moments: f64,
}

impl Bound {
    /// The sum over all slips.
    fn of<'a>(slips: impl Iterator<Item = (f64, &'a Slip)>, section: &Section) -> Bound {
        let along = Point::at_angle(section.principal.angle);
        let axes = [
            (Point::new(0.0, 1.0), section.second_moments.x),
            (Point::new(1.0, 0.0), section.second_moments.y),
            (along.quarter_turned(), section.principal.i_1),
            (along, section.principal.i_2),
        ];
        let (mut area, mut swept) = (0.0, [0.0; 4]);
        for (ratio, slip) in slips {
            area += ratio * slip.area();
            for (sum, (across, _)) in swept.iter_mut().zip(&axes) {
                *sum += ratio * slip.second_moment(section.centroid, *across);
            }
        }
        let shares = swept.iter().zip(&axes).map(|(sum, (_, moment))| sum / moment);
        Bound { area: area / section.area, second_moments: shares.fold(0.0, f64::max) }
    }
}

/// What is to be said of the slips on the outlines of a section, each with its modular ratio.
pub(super) fn finding<'a>(
    rings: impl Iterator<Item = (f64, &'a Ring)> + Clone,
    section: &Section,
    tolerance: f64,
) -> Option<Finding> {
    let slips = || rings.clone().flat_map(|(ratio, ring)| ring.slips().iter().map(move |slip| (ratio, slip)));
    let largest = slips().map(|(_, slip)| slip).max_by(|p, q| {
        let place = |slip: &Slip| (slip.place.x, slip.place.y);
        let ((px, py), (qx, qy)) = (place(p), place(q));
        p.apart.total_cmp(&q.apart).then(qx.total_cmp(&px)).then(qy.total_cmp(&py))
    })?;
    let bound = Bound::of(slips(), section);
    let doubtful = bound.area.max(bound.second_moments) > DOUBTFUL;
    if !doubtful && largest.apart <= WORTH_TELLING * tolerance {
        return None;
    }
    let code = if doubtful { Code::SlipsDoubtful } else { Code::SlipsMended };
    Some(
        mended(code, slips().map(|(_, slip)| slip), largest)
            .with("area", Value::Bound(bound.area))
            .with("second_moments", Value::Bound(bound.second_moments)),
    )
}

/// What is to be said of slips where there is no figure.
pub(super) fn without_figures<'a>(rings: impl Iterator<Item = &'a Ring>, tolerance: f64) -> Option<Finding> {
    let slips: Vec<&Slip> = rings.flat_map(Ring::slips).collect();
    let largest = slips.iter().max_by(|p, q| p.apart.total_cmp(&q.apart))?;
    if largest.apart <= WORTH_TELLING * tolerance {
        return None;
    }
    Some(mended(Code::SlipsMended, slips.iter().copied(), largest))
}

/// What was mended, at the largest of the slips.
fn mended<'a>(code: Code, slips: impl Iterator<Item = &'a Slip>, largest: &Slip) -> Finding {
    let (mut count, mut gap, mut overhang) = (0_usize, 0.0_f64, 0.0_f64);
    for slip in slips {
        count += 1;
        gap = gap.max(slip.gap);
        overhang = overhang.max(slip.overhang);
    }
    let length = |length: f64| Some(Value::Length(length)).filter(|_| length > 0.0);
    Finding::of(code)
        .with("count", count)
        .with("apart", Value::Length(largest.apart))
        .with_some("gap", length(gap))
        .with_some("overhang", length(overhang))
        .at(largest.place)
}
