//! The working by hand: from the pieces to every figure, each step with its numbers put in.
//!
//! Every value is rounded as it is written, and the next is reckoned from the written ones, so that whoever follows with
//! the printed digits arrives at the printed values. As many digits are written as it takes to end in the figures of the
//! results.

mod edges;
mod halves;
mod hand;
mod pieces;
mod shapes;

pub(super) use edges::MOST_EDGES;
use halves::{Axis, Halves};
use hand::{Hand, Step, letter};
use pieces::Sums;
pub(super) use shapes::Shape;

use super::figures::{cell, grouped, length_markup};
use super::markup::{Markup, html};
use crate::geometry::{Affine, Point};
use crate::measure::Measurement;
use crate::schedule::{ColumnKey, Style};
use crate::section::Section;

/// Digits beyond those of the results that the working begins with.
const BEYOND: u8 = 3;

/// The working from the pieces; empty for a section that was not measured.
pub(super) fn working(measurement: &Measurement, style: Style, appendix: Option<&str>) -> Markup {
    let Some(section) = measurement.properties() else { return Markup::default() };
    let wanted = Hand::wanted(style);
    let mut last = None;
    for digits in (wanted + BEYOND).min(hand::MOST)..=hand::MOST {
        let Some(reckoned) = Reckoning::of(measurement, section, style, digits) else {
            return Markup::default();
        };
        let ends = reckoned.ends_in_results(measurement);
        last = Some(reckoned);
        if ends {
            break;
        }
    }
    last.map(|reckoned| reckoned.written(measurement, appendix)).unwrap_or_default()
}

/// A result that the working ends in.
struct Result {
    key: ColumnKey,
    value: f64,
}

struct Reckoning<'a> {
    hand: Hand,
    sums: Sums<'a>,
    place: Vec<Step>,
    moments: Vec<Step>,
    principal: Vec<Step>,
    moduli: Vec<Step>,
    plastic: Vec<Step>,
    halves: Vec<Markup>,
    results: Vec<Result>,
}

impl<'a> Reckoning<'a> {
    fn of(
        measurement: &'a Measurement,
        section: &Section,
        style: Style,
        digits: u8,
    ) -> Option<Reckoning<'a>> {
        let factor = measurement.unit.millimetres() / style.unit.millimetres();
        let corner = section.extent.min;
        let hand = Hand::new(style, digits, section.extent.size() * factor);
        let sums = Sums::of(measurement, section, corner, factor, &hand)?;
        let mut of = Reckoning {
            hand,
            sums,
            place: Vec::new(),
            moments: Vec::new(),
            principal: Vec::new(),
            moduli: Vec::new(),
            plastic: Vec::new(),
            halves: Vec::new(),
            results: Vec::new(),
        };
        of.result(ColumnKey::Area, of.sums.area[0]);
        of.centroid(corner * factor);
        let [x, y, xy] = of.second_moments();
        let axes = of.principal_axes([x, y, xy], section);
        of.radii([x, y], axes);
        let size = Point::new(section.extent.width(), section.extent.height()) * factor;
        of.elastic([x, y], size);
        if let Some((one, two)) = axes {
            of.elastic_principal([one, two], measurement, section, (corner, factor));
        }
        of.plastic(section, (corner, factor), axes.is_some());
        Some(of)
    }

    fn unit(&self, power: i32) -> Markup {
        length_markup(self.hand.style.unit, power)
    }

    fn result(&mut self, key: ColumnKey, value: f64) {
        self.results.push(Result { key, value });
    }

    /// A step whose value is a power of length, and that value as it is written.
    fn step(&self, name: Markup, letters: Markup, numbers: Markup, value: f64, power: i32) -> (Step, f64) {
        let value_shown = self.hand.show(value, power);
        let step = Step {
            name,
            letters,
            numbers,
            value: value_shown,
            unit: self.unit(power),
            note: Markup::default(),
        };
        (step, self.hand.value(value, power))
    }

    fn centroid(&mut self, corner: Point) {
        let h = self.hand;
        let [area, x, y] = self.sums.area;
        for (name, first, from, at, key) in [
            ("x", x, corner.x, self.sums.centroid.x, ColumnKey::CentroidX),
            ("y", y, corner.y, self.sums.centroid.y, ColumnKey::CentroidY),
        ] {
            let own = format!("{name}′");
            let sum = html! { "Σ " i { "A" } "·" i { (own) } " / Σ " i { "A" } };
            let numbers = html! { (h.operand(first, 3)) " / " (h.show(area, 2)) };
            let (step, _) = self.step(letter(&own, "C"), sum, numbers, first / area, 1);
            self.place.push(step);
            // The corner is where it is, however far from the origin.
            let from = h.place(from);
            let start: f64 = from.parse().unwrap_or_default();
            let sum = h.place(start + at);
            let value = sum.parse().unwrap_or_default();
            let from = if start < 0.0 {
                html! { "(" (grouped(&from)) ")" }
            } else {
                grouped(&from)
            };
            self.place.push(Step {
                name: letter(name, "C"),
                letters: html! { (letter(name, "min")) " + " (letter(&own, "C")) },
                numbers: html! { (from) " + " (h.operand(at, 1)) },
                value: grouped(&sum),
                unit: self.unit(1),
                note: Markup::default(),
            });
            self.result(key, value);
        }
    }

    fn second_moments(&mut self) -> [f64; 3] {
        let h = self.hand;
        let area = self.sums.area[0];
        let at = self.sums.centroid;
        let mut found = [0.0; 3];
        for (k, (below, product, key)) in [
            ("x", html! { (letter("d", "y")) "²" }, ColumnKey::SecondMomentX),
            ("y", html! { (letter("d", "x")) "²" }, ColumnKey::SecondMomentY),
            ("xy", html! { (letter("d", "x")) "·" (letter("d", "y")) }, ColumnKey::ProductMomentXy),
        ]
        .into_iter()
        .enumerate()
        {
            let (own, transfer) = (self.sums.own[k], self.sums.transfer[k]);
            let letters = html! { "Σ own " (letter("I", below)) " + Σ " i { "A" } "·" (product) };
            let numbers = html! { (h.operand(own, 4)) " + " (h.operand(transfer, 4)) };
            let (step, value) = self.step(letter("I", below), letters, numbers, own + transfer, 4);
            self.moments.push(step);
            found[k] = value;
            self.result(key, value);
        }
        let corner = [("x′", found[0], at.y, at.y, "y"), ("y′", found[1], at.x, at.x, "x")];
        for (below, own, a, b, across) in corner {
            let across = letter(&format!("{across}′"), "C");
            let letters =
                html! { (letter("I", below.trim_end_matches('′'))) " + " i { "A" } "·" (across) "²" };
            let numbers = html! { (h.operand(own, 4)) " + " (h.show(area, 2)) " × " (h.operand(a, 1)) "²" };
            let (step, _) = self.step(letter("I", below), letters, numbers, own + area * a * b, 4);
            self.moments.push(step);
        }
        let letters =
            html! { (letter("I", "xy")) " + " i { "A" } "·" (letter("x′", "C")) "·" (letter("y′", "C")) };
        let numbers = html! {
            (h.operand(found[2], 4)) " + " (h.show(area, 2)) " × " (h.operand(at.x, 1)) " × " (h.operand(at.y, 1))
        };
        let (step, _) = self.step(letter("I", "x′y′"), letters, numbers, found[2] + area * at.x * at.y, 4);
        self.moments.push(step);
        found
    }

    /// Principal second moments; `None` where they are those about x and y.
    fn principal_axes(&mut self, [x, y, xy]: [f64; 3], section: &Section) -> Option<(f64, f64)> {
        let angle = section.principal.angle;
        if lie_along_xy(section) {
            return None;
        }
        let h = self.hand;
        let (ix, iy, ixy) = (letter("I", "x"), letter("I", "y"), letter("I", "xy"));
        let root = ((x - y) / 2.0).hypot(xy);
        let mut pair = [0.0; 2];
        for (k, (below, sign, key)) in
            [("1", "+", ColumnKey::SecondMoment1), ("2", "−", ColumnKey::SecondMoment2)]
                .into_iter()
                .enumerate()
        {
            let letters = html! {
                "(" (ix) " + " (iy) ") / 2 " (sign) " √(((" (ix) " − " (iy) ") / 2)² + " (ixy) "²)"
            };
            let (a, b, c) = (h.show(x, 4), h.show(y, 4), h.operand(xy, 4));
            let numbers =
                html! { "(" (a) " + " (b) ") / 2 " (sign) " √(((" (a) " − " (b) ") / 2)² + " (c) "²)" };
            let value = 0.5 * (x + y) + if k == 0 { root } else { -root };
            let (step, value) = self.step(letter("I", below), letters, numbers, value, 4);
            self.principal.push(step);
            pair[k] = value;
            self.result(key, value);
        }
        let one = pair[0];
        // The one of the two formulas in which less is lost.
        let flat = angle.abs() <= std::f64::consts::FRAC_PI_4;
        let (letters, above, below, numbers) = if flat {
            (
                html! { "arctan(" (ixy) " / (" (iy) " − " (letter("I", "1")) "))" },
                xy,
                y - one,
                html! { "arctan(" (h.operand(xy, 4)) " / (" (h.show(y, 4)) " − " (h.show(one, 4)) "))" },
            )
        } else {
            (
                html! { "arctan((" (ix) " − " (letter("I", "1")) ") / " (ixy) ")" },
                x - one,
                xy,
                html! { "arctan((" (h.show(x, 4)) " − " (h.show(one, 4)) ") / " (h.operand(xy, 4)) ")" },
            )
        };
        let degrees = (above / below).atan().to_degrees();
        let value = h.value(degrees, 0);
        self.principal.push(Step {
            name: letter("θ", ""),
            letters,
            numbers,
            value: h.show(degrees, 0),
            unit: html! { "°" },
            note: Markup::default(),
        });
        self.result(ColumnKey::PrincipalAngle, value);
        Some((one, pair[1]))
    }

    fn radii(&mut self, [x, y]: [f64; 2], axes: Option<(f64, f64)>) {
        let h = self.hand;
        let area = self.sums.area[0];
        let mut all = vec![("x", x, ColumnKey::GyrationX), ("y", y, ColumnKey::GyrationY)];
        if let Some((one, two)) = axes {
            all.push(("1", one, ColumnKey::Gyration1));
            all.push(("2", two, ColumnKey::Gyration2));
        }
        for (below, moment, key) in all {
            let letters = html! { "√(" (letter("I", below)) " / " i { "A" } ")" };
            let numbers = html! { "√(" (h.show(moment, 4)) " / " (h.show(area, 2)) ")" };
            let (step, value) = self.step(letter("i", below), letters, numbers, (moment / area).sqrt(), 1);
            self.principal.push(step);
            self.result(key, value);
        }
    }

    fn elastic(&mut self, [x, y]: [f64; 2], size: Point) {
        let h = self.hand;
        let at = self.sums.centroid;
        let (width, height) = (h.value(size.x, 1), h.value(size.y, 1));
        for (below, whole, from, moment, key) in [
            ("x,top", Some(height), at.y, x, ColumnKey::ElasticModulusXTop),
            ("x,bottom", None, at.y, x, ColumnKey::ElasticModulusXBottom),
            ("y,left", None, at.x, y, ColumnKey::ElasticModulusYLeft),
            ("y,right", Some(width), at.x, y, ColumnKey::ElasticModulusYRight),
        ] {
            let (axis, side) = below.split_once(',').unwrap_or((below, ""));
            let across = if axis == "x" { "y" } else { "x" };
            let center = letter(&format!("{across}′"), "C");
            let distance = match whole {
                Some(whole) => {
                    let letters = html! { (letter(&format!("{across}′"), "max")) " − " (center) };
                    let numbers = html! { (h.show(whole, 1)) " − " (h.operand(from, 1)) };
                    let (step, value) = self.step(letter("e", side), letters, numbers, whole - from, 1);
                    self.moduli.push(step);
                    value
                }
                None => {
                    let numbers = html! { (h.show(from, 1)) " − 0" };
                    let letters = html! { (center) " − " (letter(&format!("{across}′"), "min")) };
                    let (step, value) = self.step(letter("e", side), letters, numbers, from, 1);
                    self.moduli.push(step);
                    value
                }
            };
            let letters = html! { (letter("I", axis)) " / " (letter("e", side)) };
            let numbers = html! { (h.show(moment, 4)) " / " (h.show(distance, 1)) };
            let (step, value) = self.step(letter("W", below), letters, numbers, moment / distance, 3);
            self.moduli.push(step);
            self.result(key, value);
        }
    }

    /// About the principal axes, each with the point that is farthest.
    fn elastic_principal(
        &mut self,
        [one, two]: [f64; 2],
        measurement: &Measurement,
        section: &Section,
        (corner, factor): (Point, f64),
    ) {
        let h = self.hand;
        let axis = Point::at_angle(section.principal.angle);
        let degrees = h.value(section.principal.angle.to_degrees(), 0);
        let (sine, cosine) = degrees.to_radians().sin_cos();
        let at = self.sums.centroid;
        for (below, outwards, moment, key) in [
            ("1,top", axis.quarter_turned(), one, ColumnKey::ElasticModulus1Top),
            ("1,bottom", -axis.quarter_turned(), one, ColumnKey::ElasticModulus1Bottom),
            ("2,left", -axis, two, ColumnKey::ElasticModulus2Left),
            ("2,right", axis, two, ColumnKey::ElasticModulus2Right),
        ] {
            let Some(point) = farthest(measurement, outwards) else { continue };
            let point = (point - corner) * factor;
            let (px, py) = (h.value(point.x, 1), h.value(point.y, 1));
            let (is_first, is_positive) =
                (below.starts_with('1'), below.ends_with("top") || below.ends_with("right"));
            let (x, y) = (px - at.x, py - at.y);
            let along = if is_first { y * cosine - x * sine } else { x * cosine + y * sine };
            let distance = if is_positive { along } else { -along };
            let (first, second) = if is_first { ("y", "x") } else { ("x", "y") };
            let (p, q) = if is_first { (py, px) } else { (px, py) };
            let (pc, qc) = if is_first { (at.y, at.x) } else { (at.x, at.y) };
            let operator = if is_first { "−" } else { "+" };
            let sign = if is_positive { "" } else { "−1 × " };
            let theta = h.operand(degrees, 0);
            let letters = html! { (sign) "(" (first) " × cos θ " (operator) " " (second) " × sin θ)" };
            let numbers = html! {
                (sign) "((" (h.operand(p, 1)) " − " (h.operand(pc, 1)) ") × cos(" (theta) ") " (operator) " ("
                (h.operand(q, 1)) " − " (h.operand(qc, 1)) ") × sin(" (theta) "))"
            };
            let name = html! { (letter("e", below)) " to P (" (h.show(px, 1)) ", " (h.show(py, 1)) ")" };
            let (step, distance) = self.step(name, letters, numbers, distance, 1);
            self.moduli.push(step);
            let number = below.split(',').next().unwrap_or_default();
            let letters = html! { (letter("I", number)) " / " (letter("e", below)) };
            let numbers = html! { (h.show(moment, 4)) " / " (h.show(distance, 1)) };
            let (step, value) = self.step(letter("W", below), letters, numbers, moment / distance, 3);
            self.moduli.push(step);
            self.result(key, value);
        }
    }

    /// Plastic moduli from both halves: their areas, and how far their centroids lie from the equal-area axis.
    fn plastic(&mut self, section: &Section, (corner, factor): (Point, f64), turned: bool) {
        let h = self.hand;
        let (Some(square), Some(principal)) = (section.plastic, section.plastic_principal) else { return };
        let area = self.sums.area[0];
        let half = h.value(area / 2.0, 2);
        let letters = html! { i { "A" } " / 2" };
        let (step, _) =
            self.step(letter("A", "half"), letters, html! { (h.show(area, 2)) " / 2" }, area / 2.0, 2);
        self.plastic.push(step);
        let center = section.centroid;
        let mut axes = vec![
            (
                "x",
                square.about_x,
                square.neutral_y - center.y,
                Some(square.neutral_y - corner.y),
                ColumnKey::PlasticModulusX,
            ),
            (
                "y",
                square.about_y,
                square.neutral_x - center.x,
                Some(square.neutral_x - corner.x),
                ColumnKey::PlasticModulusY,
            ),
        ];
        if turned {
            axes.push(("1", principal.about_x, principal.neutral_y, None, ColumnKey::PlasticModulus1));
            axes.push(("2", principal.about_y, principal.neutral_x, None, ColumnKey::PlasticModulus2));
        }
        let angle = section.principal.angle;
        let quarter = std::f64::consts::FRAC_PI_2;
        let turned_center = |turn: f64| Affine::rotation(turn).point(center - corner).y;
        for (below, modulus, level, from_corner, key) in axes {
            // The first moments of the halves about the axis differ by that of the whole, and come to the modulus.
            let whole = -section.area * level;
            let where_it_lies = match from_corner {
                Some(level) => {
                    html! { "equal-area axis at " (if below == "x" { "y′" } else { "x′" }) " = " (h.show(level * factor, 1)) }
                }
                None => html! { "equal-area axis, " (h.show(level * factor, 1)) " from axis " (below) },
            };
            let name = letter("W", &format!("pl,{below}"));
            if self.sums.lines.len() > 1 {
                let turn = match below {
                    "x" => 0.0,
                    "y" => quarter,
                    "1" => -angle,
                    _ => quarter - angle,
                };
                let axis = Axis {
                    name: below,
                    turn,
                    level: (turned_center(turn) + level) * factor,
                    area: section.area * factor.powi(2),
                    firsts: [modulus + whole, modulus - whole].map(|twice| twice / 2.0 * factor.powi(3)),
                };
                let halves = Halves::of(&self.sums, &axis, corner, factor, &h);
                let [above, under] = halves.firsts;
                self.halves.push(halves.rows(&axis, &where_it_lies, &h));
                let sum = |side: &str| html! { "Σ " (letter("A", side)) "·" (letter("a", side)) };
                let letters = html! { (sum("1")) " + " (sum("2")) };
                let numbers = html! { (h.operand(above, 3)) " + " (h.operand(under, 3)) };
                let (step, value) = self.step(name, letters, numbers, above + under, 3);
                self.plastic.push(step);
                self.result(key, value);
                continue;
            }
            let distance = |first: f64| h.value(first / section.area * factor, 1);
            let (above, under) = (distance(modulus + whole), distance(modulus - whole));
            let letters =
                html! { (letter("A", "half")) "·(" (letter("a", "1")) " + " (letter("a", "2")) ")" };
            let numbers = html! { (h.show(half, 2)) " × (" (h.show(above, 1)) " + " (h.show(under, 1)) ")" };
            let (mut step, value) = self.step(name, letters, numbers, half * (above + under), 3);
            step.note = html! { " (" (where_it_lies) ")" };
            self.plastic.push(step);
            self.result(key, value);
        }
    }

    /// Whether the working ends in the figures of the results, within a unit of their last digit.
    fn ends_in_results(&self, measurement: &Measurement) -> bool {
        self.results.iter().all(|result| {
            let text = cell(result.key.column(), measurement, self.hand.style);
            let Ok(figure) = text.parse::<f64>() else { return true };
            figure == 0.0
                || (result.value - figure).abs() <= last_digit(figure, Hand::wanted(self.hand.style))
        })
    }

    /// What is said of pieces with more edges than are listed.
    fn unlisted(&self, appendix: Option<&str>) -> Markup {
        let unlisted: Vec<(usize, usize)> = self.sums.unlisted().collect();
        html! {
            @for (piece, edges) in &unlisted {
                p {
                    "Piece " (piece) " has " (grouped(&edges.to_string())) " edges, too many for this sheet. "
                    @match appendix {
                        Some(name) => { "They are listed in the file " bdi { (name) } " beside this sheet." }
                        None => { "Only their sums are given." }
                    }
                }
            }
        }
    }

    fn written(&self, measurement: &Measurement, appendix: Option<&str>) -> Markup {
        let hand = &self.hand;
        let ends = self.ends_in_results(measurement);
        let steps = |head: &str, steps: &[Step]| {
            html! {
                @if !steps.is_empty() {
                    @if !head.is_empty() { h4 { (head) } }
                    div class="steps" { @for step in steps { (step.line()) } }
                }
            }
        };
        let any_axes = measurement.properties().is_some_and(lie_along_xy);
        html! {
            h4 { "Areas and centroid" }
            @if !ends {
                p {
                    "This working loses some digits of the results, because the section is very slender or figures nearly cancel. \
                     The results themselves are not affected: they are integrated about their own axes."
                }
            }
            (self.sums.tables(hand))
            (self.unlisted(appendix))
            (steps("Centroid", &self.place))
            (self.sums.transfers(hand))
            (steps("Second moments about the centroid and the corner", &self.moments))
            (steps("Principal axes and radii of gyration", &self.principal))
            @if any_axes { p { "Axes 1 and 2 lie along x and y: their figures are those about x and y." } }
            (steps("Elastic moduli, with the distance e to each outermost fibre", &self.moduli))
            @if !any_axes && !self.moduli.is_empty() {
                p class="small" {
                    "P is the outermost point; x and y in the formulas with θ are its x′ less " (letter("x′", "C"))
                    " and its y′ less " (letter("y′", "C")) "."
                }
            }
            @if self.halves.is_empty() {
                (steps("Plastic moduli: each half has half of the area A; their centroids lie a₁ and a₂ from the equal-area axis", &self.plastic))
            } @else {
                (halves::table(&self.halves, hand))
                (steps("", &self.plastic))
            }
        }
    }
}

/// Principal axes nearer to x and y than this (radians) lie along them: what is left of an angle is rounding.
const ALONG_XY: f64 = 1e-9;

fn lie_along_xy(section: &Section) -> bool {
    let angle = section.principal.angle.abs();
    angle < ALONG_XY || (angle - std::f64::consts::FRAC_PI_2).abs() < ALONG_XY
}

/// One unit of the last of so many digits of a value, and a little for rounding.
fn last_digit(value: f64, digits: u8) -> f64 {
    let first = value.abs().max(f64::MIN_POSITIVE).log10().floor();
    10_f64.powf(first + 1.0 - f64::from(digits)) * (1.0 + 1e-6)
}

/// The point of a section farthest along a direction.
fn farthest(measurement: &Measurement, outwards: Point) -> Option<Point> {
    let region = measurement.region()?;
    let curves = region.parts.iter().flat_map(|part| part.edge.curves());
    let points = curves.flat_map(|curve| {
        let inner = curve.extremes(outwards).into_iter().map(|t| curve.at(t));
        inner.chain([curve.start(), curve.end()]).collect::<Vec<Point>>()
    });
    points.max_by(|a, b| a.dot(outwards).total_cmp(&b.dot(outwards)))
}
