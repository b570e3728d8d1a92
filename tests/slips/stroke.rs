//! What is drawn in one go, a LINE or an ARC, with ends that can slip.

use crate::common::shapes::Corner;

use super::exact::{Circle, circle};

pub type Place = [f64; 2];

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    Start,
    End,
}

/// A piece of an outline in its direction of travel.
#[derive(Clone, Debug)]
pub enum Stroke {
    Line {
        from: Place,
        to: Place,
    },
    /// Angles in radians; it turns anticlockwise where `to` is above `from`.
    Arc {
        center: Place,
        radius: f64,
        from: f64,
        to: f64,
    },
}

impl Stroke {
    /// The clean piece from one corner to the next.
    pub fn between(a: Corner, b: Corner) -> Stroke {
        match circle(a, b) {
            None => Stroke::Line { from: [a[0], a[1]], to: [b[0], b[1]] },
            Some(Circle { center, radius, sweep }) => {
                let from = (a[1] - center[1]).atan2(a[0] - center[0]);
                Stroke::Arc { center, radius, from, to: from + sweep }
            }
        }
    }

    pub fn is_line(&self) -> bool {
        matches!(self, Stroke::Line { .. })
    }

    pub fn length(&self) -> f64 {
        match self {
            Stroke::Line { from, to } => distance(*from, *to),
            Stroke::Arc { radius, from, to, .. } => radius * (to - from).abs(),
        }
    }

    pub fn place(&self, side: Side) -> Place {
        match self {
            Stroke::Line { from, to } => *pick(side, from, to),
            Stroke::Arc { center, radius, from, to } => {
                let (sine, cosine) = pick(side, from, to).sin_cos();
                [center[0] + radius * cosine, center[1] + radius * sine]
            }
        }
    }

    /// The direction of travel at an end.
    pub fn direction(&self, side: Side) -> Place {
        match self {
            Stroke::Line { from, to } => {
                let length = distance(*from, *to);
                [(to[0] - from[0]) / length, (to[1] - from[1]) / length]
            }
            Stroke::Arc { from, to, .. } => {
                let (sine, cosine) = pick(side, from, to).sin_cos();
                let sign = (to - from).signum();
                [-sign * sine, sign * cosine]
            }
        }
    }

    /// How much an end can be drawn too far without the piece becoming another one: an arc must not close or turn back.
    pub fn room_beyond(&self) -> f64 {
        match self {
            Stroke::Line { .. } => f64::INFINITY,
            Stroke::Arc { radius, from, to, .. } => {
                let left = std::f64::consts::TAU - (to - from).abs();
                radius * left.min(1.0) * 0.4
            }
        }
    }

    /// How much an end can be drawn short, or moved, without the piece turning round or vanishing.
    pub fn room_within(&self) -> f64 {
        0.4 * self.length()
    }

    /// Drawn on beyond its end by this much along itself; short of it where that is negative.
    pub fn lengthened(&self, side: Side, by: f64) -> Stroke {
        let outward = if side == Side::End { by } else { -by };
        let mut longer = self.clone();
        match &mut longer {
            Stroke::Line { from, to } => {
                let [ux, uy] = self.direction(side);
                let place = if side == Side::End { to } else { from };
                *place = [place[0] + outward * ux, place[1] + outward * uy];
            }
            Stroke::Arc { radius, from, to, .. } => {
                let turn = (*to - *from).signum() * outward / *radius;
                *(if side == Side::End { to } else { from }) += turn;
            }
        }
        longer
    }

    /// A line with one end elsewhere; an arc as a whole elsewhere.
    pub fn moved(&self, side: Side, [dx, dy]: Place) -> Stroke {
        let mut moved = self.clone();
        let place = match &mut moved {
            Stroke::Line { from, to } => {
                if side == Side::End {
                    to
                } else {
                    from
                }
            }
            Stroke::Arc { center, .. } => center,
        };
        *place = [place[0] + dx, place[1] + dy];
        moved
    }

    /// The entity with so many decimals of its lengths; all digits where that is `None`. A line may be drawn backwards.
    pub fn dxf(&self, handle: usize, backwards: bool, decimals: Option<usize>) -> String {
        let n = |value: f64| written(value, decimals);
        match self {
            Stroke::Line { from, to } => {
                let (from, to) = if backwards { (to, from) } else { (from, to) };
                format!(
                    "0\nLINE\n5\n{handle:X}\n8\nPLATE\n10\n{}\n20\n{}\n30\n0.0\n11\n{}\n21\n{}\n31\n0.0\n",
                    n(from[0]),
                    n(from[1]),
                    n(to[0]),
                    n(to[1])
                )
            }
            Stroke::Arc { center, radius, from, to } => {
                let (begin, end) = if to > from { (from, to) } else { (to, from) };
                let angle = |a: &f64| written(a.to_degrees().rem_euclid(360.0), angle_decimals(decimals));
                format!(
                    "0\nARC\n5\n{handle:X}\n8\nPLATE\n10\n{}\n20\n{}\n30\n0.0\n40\n{}\n50\n{}\n51\n{}\n",
                    n(center[0]),
                    n(center[1]),
                    n(*radius),
                    angle(begin),
                    angle(end)
                )
            }
        }
    }

    /// The stroke as it is read back from its entity.
    pub fn as_written(&self, decimals: Option<usize>) -> Stroke {
        let n = |value: f64| rounded(value, decimals);
        let place = |p: &Place| [n(p[0]), n(p[1])];
        let angle = |a: f64| rounded(a.to_degrees(), angle_decimals(decimals)).to_radians();
        match self {
            Stroke::Line { from, to } => Stroke::Line { from: place(from), to: place(to) },
            Stroke::Arc { center, radius, from, to } => {
                Stroke::Arc { center: place(center), radius: n(*radius), from: angle(*from), to: angle(*to) }
            }
        }
    }
}

/// Degrees have two decimals more than lengths: on a radius of a metre their rounding then moves an end no farther.
fn angle_decimals(decimals: Option<usize>) -> Option<usize> {
    decimals.map(|decimals| decimals + 2)
}

fn written(value: f64, decimals: Option<usize>) -> String {
    match decimals {
        Some(decimals) => format!("{value:.decimals$}"),
        None => format!("{value:?}"),
    }
}

pub fn rounded(value: f64, decimals: Option<usize>) -> f64 {
    written(value, decimals).parse().expect("a number")
}

pub fn distance(a: Place, b: Place) -> f64 {
    (a[0] - b[0]).hypot(a[1] - b[1])
}

fn pick<'a, T>(side: Side, start: &'a T, end: &'a T) -> &'a T {
    if side == Side::Start { start } else { end }
}
