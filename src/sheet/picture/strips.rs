//! A section cut into strips, each a rectangle as high as the solid at the strip's middle.

use super::canvas::BASELINE;
use super::layout::Layout;
use super::path::{MOST_PIECES, pair};
use super::place::text_width;
use super::scale::{SIZES, Scale};
use super::{StripDirection, canvas::Anchor};
use crate::geometry::Point;
use crate::region::Region;

/// Strips as they are drawn.
pub(super) struct Strips {
    /// Which way they stand.
    direction: StripDirection,
    /// Middle of each, and from where to where it is solid there, in drawing units.
    pub(super) heights: Vec<(f64, Vec<(f64, f64)>)>,
    /// Width of each in drawing units.
    pub(super) width: f64,
}

impl Strips {
    /// `region` cut into `count` strips of equal width.
    pub(super) fn of(region: &Region, direction: StripDirection, count: usize) -> Strips {
        let bounds = region.bounds();
        let (low, high) = match direction {
            StripDirection::Upright => (bounds.min.x, bounds.max.x),
            StripDirection::Flat => (bounds.min.y, bounds.max.y),
        };
        let width = (high - low) / count as f64;
        let heights = (0..count).map(|k| {
            let middle = low + (high - low) * ((k as f64 + 0.5) / count as f64);
            (middle, solid_at(region, direction, middle))
        });
        Strips { direction, heights: heights.collect(), width }
    }

    /// Area of all rectangles in drawing units squared.
    pub(super) fn area(&self) -> f64 {
        let lengths = self.heights.iter().flat_map(|(_, pairs)| pairs).map(|(low, high)| high - low);
        lengths.sum::<f64>() * self.width
    }

    /// Draws rectangles, middles and numbers; false where some rectangles are left out.
    pub(super) fn draw(&self, layout: &mut Layout) -> bool {
        let scale = layout.scale;
        let mut left = MOST_PIECES;
        for (middle, pairs) in &self.heights {
            let (mut rectangles, mut middles) = (String::new(), String::new());
            for (low, high) in pairs.iter().take(left) {
                let corner = |across: f64, along: f64| pair(self.place(&scale, middle + across, along));
                let half = 0.5 * self.width;
                let [a, b, c, d] = [(-half, *low), (half, *low), (half, *high), (-half, *high)]
                    .map(|(across, along)| corner(across, along));
                rectangles.push_str(&format!("M{a}L{b}L{c}L{d}Z"));
                middles.push_str(&format!("M{}L{}", corner(0.0, *low), corner(0.0, *high)));
            }
            left = left.saturating_sub(pairs.len());
            layout.canvas.path("strip", &rectangles);
            layout.canvas.path("middle", &middles);
        }
        self.numbers(layout);
        left > 0
    }

    /// A place of the drawing by its distances across the strips and along them.
    fn place(&self, scale: &Scale, across: f64, along: f64) -> Point {
        scale.point(match self.direction {
            StripDirection::Upright => Point::new(across, along),
            StripDirection::Flat => Point::new(along, across),
        })
    }

    /// The strips' numbers below them or on their left: all, or every second, fifth, tenth ...
    fn numbers(&self, layout: &mut Layout) {
        let scale = layout.scale;
        let wide = |number: usize| text_width(&number.to_string(), SIZES.letter);
        let room = match self.direction {
            StripDirection::Upright => wide(self.heights.len()) + 6.0,
            StripDirection::Flat => SIZES.line,
        };
        let strip = self.width * if self.direction == StripDirection::Upright { scale.x } else { scale.y };
        let Some(step) = [1_usize, 2, 5, 10, 20, 50].into_iter().find(|step| *step as f64 * strip >= room)
        else {
            return;
        };
        let upright = self.direction == StripDirection::Upright;
        let mut last = f64::NEG_INFINITY;
        for (k, (middle, _)) in self.heights.iter().enumerate().step_by(step) {
            let at = self.place(&scale, *middle, 0.0);
            // Clear of the lines to the dimensions; from the first strip on, that is to the right and upwards.
            let (along, all) =
                if upright { (at.x, scale.width) } else { (scale.height - at.y, scale.height) };
            let half = 0.5 * if upright { wide(k + 1) + 6.0 } else { SIZES.line };
            let along = along.min(all - half).max(half);
            if along - last < room {
                continue;
            }
            last = along;
            let text = (k + 1).to_string();
            if upright {
                let below = Point::new(along, scale.height + SIZES.overhang + 2.0);
                layout.canvas.text("principal-name", below, Anchor::Middle, &text);
            } else {
                let beside = Point::new(-10.0, scale.height - along) + BASELINE;
                layout.canvas.text("principal-name", beside, Anchor::End, &text);
            }
        }
    }
}

/// From where to where the line at `level`, upright or flat, runs through solid: the heights of the outlines above it in
/// their order, taken in pairs.
pub(super) fn solid_at(region: &Region, direction: StripDirection, level: f64) -> Vec<(f64, f64)> {
    let across = match direction {
        StripDirection::Upright => Point::new(1.0, 0.0),
        StripDirection::Flat => Point::new(0.0, 1.0),
    };
    let along = |p: Point| if direction == StripDirection::Upright { p.y } else { p.x };
    let mut heights: Vec<f64> = Vec::new();
    for (_, ring) in region.rings() {
        for (curve, bounds) in ring.curves().iter().zip(&ring.boxes()) {
            let (low, high) = (across.dot(bounds.min), across.dot(bounds.max));
            if level < low || level > high {
                continue;
            }
            let stations: Vec<(f64, f64)> =
                curve.monotone_stations(across).into_iter().map(|(t, p)| (t, across.dot(p))).collect();
            for ends in stations.windows(2) {
                let ((from, first), (to, last)) = (ends[0], ends[1]);
                // Half-open, so that two curves which follow on each other at this very level count as one.
                if (first <= level) != (last <= level) {
                    heights.push(along(curve.at(curve.parameter_where(across, level, from, to))));
                }
            }
        }
    }
    heights.sort_by(f64::total_cmp);
    let pairs = heights.as_chunks::<2>().0;
    pairs.iter().map(|[low, high]| (*low, *high)).filter(|(low, high)| high > low).collect()
}
