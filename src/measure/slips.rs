//! How much the slips of drafting that were mended can change the figures.

use crate::finding::{self, Finding};
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
    let message = format!(
        "{}: the area may be off by up to {} %, the second moments by up to {} %",
        mended(slips().map(|(_, slip)| slip), largest),
        per_cent(bound.area),
        per_cent(bound.second_moments)
    );
    let finding = if doubtful {
        Finding::warning(message).hint("draw the ends so that they meet; inspect lists the largest")
    } else {
        Finding::note(message)
    };
    Some(finding.at(largest.place))
}

/// What is to be said of slips where there is no figure.
pub(super) fn without_figures<'a>(rings: impl Iterator<Item = &'a Ring>, tolerance: f64) -> Option<Finding> {
    let slips: Vec<&Slip> = rings.flat_map(Ring::slips).collect();
    let largest = slips.iter().max_by(|p, q| p.apart.total_cmp(&q.apart))?;
    if largest.apart <= WORTH_TELLING * tolerance {
        return None;
    }
    Some(Finding::note(mended(slips.iter().copied(), largest)).at(largest.place))
}

/// What was mended, in words.
fn mended<'a>(slips: impl Iterator<Item = &'a Slip>, largest: &Slip) -> String {
    let (mut count, mut gap, mut overhang) = (0_usize, 0.0_f64, 0.0_f64);
    for slip in slips {
        count += 1;
        gap = gap.max(slip.gap);
        overhang = overhang.max(slip.overhang);
    }
    let mut done = Vec::new();
    if gap > 0.0 {
        done.push(format!("gaps of up to {} were closed", finding::short(gap)));
    }
    if overhang > 0.0 {
        done.push(format!("overhangs of up to {} were cut off", finding::short(overhang)));
    }
    let joints = if count == 1 { "a joint lie".to_owned() } else { format!("{count} joints lie up to") };
    let done = if done.is_empty() { String::new() } else { format!("; {}", done.join(", ")) };
    format!("the ends of {joints} {} apart{done} (drawing units)", finding::short(largest.apart))
}

/// A share in per cent with two significant digits, rounded up, so that it stays a bound.
fn per_cent(share: f64) -> String {
    let value = 100.0 * share;
    if !(value > 0.0 && value.is_finite()) {
        return if value == 0.0 { "0".to_owned() } else { "any".to_owned() };
    }
    let step = 10_f64.powf(value.log10().floor() - 1.0);
    // A figure that is two digits but for rounding stays.
    let rounded = (value / step * (1.0 - 1e-12)).ceil() * step;
    if rounded < 1e-4 {
        return format!("{rounded:.1e}");
    }
    let decimals = (1.0 - rounded.log10().floor()).max(0.0) as usize;
    format!("{rounded:.decimals$}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_are_rounded_up_to_two_digits() {
        let shown: Vec<String> = [0.0, 1.234e-4, 0.002, 0.10001, 3.2, 4.1e-8, 9.96e-4].map(per_cent).to_vec();
        assert_eq!(shown, ["0", "0.013", "0.20", "11", "320", "4.1e-6", "0.10"]);
    }
}
