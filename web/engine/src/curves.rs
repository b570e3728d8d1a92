//! Curves as numbers, as the page draws them.
//!
//! A record begins with its kind: 0 to go to a point (x, y), 1 a line to a point, 2 an arc (centre, radius, angle at which it
//! begins, turn, end), 3 an arc of an ellipse (centre, both half axes, parameter at which it begins, turn, end), 4 a
//! span (degree, its points but the first), 5 a rational span (degree, its weights, its points but the first).
//!
//! Records stand in runs, so that what lies beside the view is passed over at once. Of each run a table has its layer,
//! section or kind of line, its first number, the number behind its last, and the box around it.

use tracearm::geometry::{Bounds, Curve, Line, Point};

/// So many curves stand in a run, about.
const IN_RUN: usize = 256;

/// Numbers of a curve, but of spans with very many points.
const MOST_NUMBERS: usize = 64;

/// Curves as numbers, in runs.
#[derive(Default)]
pub struct Numbers {
    records: Vec<f64>,
    runs: Vec<f64>,
    from: usize,
    count: usize,
    bounds: Option<Bounds>,
    at: Option<Point>,
}

impl Numbers {
    /// Adds curves that follow on each other.
    pub fn chain(&mut self, owner: usize, curves: &[Curve]) {
        self.at = None;
        for curve in curves {
            self.curve(curve);
        }
        if self.count >= IN_RUN {
            self.end(owner);
        }
    }

    fn curve(&mut self, curve: &Curve) {
        if !curve.is_sound() {
            return;
        }
        // Drawings are large: room for half as many again is more than there is to spare.
        if self.records.capacity() - self.records.len() < MOST_NUMBERS {
            self.records.reserve_exact(self.records.len() / 8 + 1024);
        }
        let start = curve.start();
        if self.at != Some(start) {
            self.records.extend([0.0, start.x, start.y]);
        }
        let end = curve.end();
        match curve {
            Curve::Line(_) => self.records.extend([1.0, end.x, end.y]),
            Curve::Arc(arc) => {
                let (center, radius) = (arc.center, arc.radius);
                self.records.extend([
                    2.0,
                    center.x,
                    center.y,
                    radius,
                    arc.start_angle,
                    arc.sweep,
                    end.x,
                    end.y,
                ]);
            }
            Curve::Ellipse(arc) => {
                let (center, u, v) = (arc.center, arc.u, arc.v);
                self.records.extend([3.0, center.x, center.y, u.x, u.y, v.x, v.y]);
                self.records.extend([arc.start_parameter, arc.sweep, end.x, end.y]);
            }
            Curve::Span(span) => {
                self.records.extend([if span.weights().is_some() { 5.0 } else { 4.0 }, span.degree() as f64]);
                self.records.extend(span.weights().into_iter().flatten());
                self.records.extend(span.points().iter().skip(1).flat_map(|point| [point.x, point.y]));
            }
        }
        self.at = Some(end);
        self.count += 1;
        self.bounds = Some(self.bounds.unwrap_or(Bounds::EMPTY).union(curve.bounds()));
    }

    /// Adds chords between points that follow on each other.
    pub fn chords(&mut self, owner: usize, points: &[Point]) {
        let chord = |ends: &[Point]| match *ends {
            [start, end] => Some(Curve::Line(Line { start, end })),
            _ => None,
        };
        let chords: Vec<Curve> = points.windows(2).filter_map(chord).collect();
        self.chain(owner, &chords);
    }

    /// Ends a run, which belongs to one layer or section.
    pub fn end(&mut self, owner: usize) {
        if let Some(bounds) = self.bounds.take() {
            let (min, max) = (bounds.min, bounds.max);
            self.runs.extend([owner as f64, self.from as f64, self.records.len() as f64]);
            self.runs.extend([min.x, min.y, max.x, max.y]);
        }
        (self.from, self.count, self.at) = (self.records.len(), 0, None);
    }

    /// The records, and the table of the runs.
    pub fn all(self) -> Drawn {
        Drawn { records: self.records, runs: self.runs }
    }
}

/// Curves as they are handed over.
#[derive(Default)]
pub struct Drawn {
    pub records: Vec<f64>,
    pub runs: Vec<f64>,
}
