//! The pieces of a section: areas, own second moments, and their transfer to the section's centroid.

use super::hand::{Hand, letter};
use super::shapes::Shape;
use crate::geometry::{Curve, Point};
use crate::measure::Measurement;
use crate::schedule::PieceRow;
use crate::section::{self, SecondMoments, Section};
use crate::sheet::figures::unit_below;
use crate::sheet::markup::{Markup, html};
use crate::sheet::wide;

/// More pieces than this are summed, but not listed one by one.
const MOST_LISTED: usize = 60;

/// Edges of a piece of more curves than this are not listed.
const MOST_EDGES: usize = 32;

/// Less than this share of the area is not said to be shared: it is the rounding of sums.
const OVERLAP: f64 = 1e-9;

/// A piece as it is written, or what several come to.
pub(super) struct Line {
    name: Markup,
    /// How often it counts: less than 0 for a void.
    count: Option<f64>,
    /// Centroid; `None` for what is summed already.
    centroid: Option<Point>,
    /// A, A·x′, A·y′.
    area: [f64; 3],
    /// Own I_x, I_y, I_xy.
    own: [f64; 3],
    edges: Option<Edges>,
}

/// The sums over pieces.
pub(super) struct Sums {
    pub lines: Vec<Line>,
    /// A, A·x′, A·y′.
    pub area: [f64; 3],
    pub centroid: Point,
    pub own: [f64; 3],
    /// d_x, d_y, A·d_y², A·d_x², A·d_x·d_y of each line.
    transfers: Vec<[f64; 5]>,
    pub transfer: [f64; 3],
}

/// The edge of a piece, summed along its edges.
struct Edges {
    number: usize,
    rows: Vec<(String, Point, [f64; 6])>,
    sums: [f64; 6],
}

impl Sums {
    /// The pieces of a section, measured from `corner` in units `factor` times as small as the drawing's; `None` without
    /// pieces.
    pub(super) fn of(
        measurement: &Measurement,
        section: &Section,
        corner: Point,
        factor: f64,
        hand: &Hand,
    ) -> Option<Sums> {
        let rows = PieceRow::all(measurement);
        if rows.is_empty() {
            return None;
        }
        let (listed, more) = rows.split_at(rows.len().min(MOST_LISTED));
        let mut lines: Vec<Line> = listed.iter().map(|row| Line::of(row, corner, factor, hand)).collect();
        let exact = |rows: &[PieceRow]| {
            let mut sums = [0.0; 6];
            for row in rows {
                let weight = row.piece().ratio * row.sign();
                let enclosed = row.enclosed();
                let at = (enclosed.centroid - corner) * factor;
                let area = weight * enclosed.area * factor.powi(2);
                let own = enclosed.second_moments;
                let about = |i: f64, product: f64| weight * i * factor.powi(4) + area * product;
                let terms = [
                    area,
                    area * at.x,
                    area * at.y,
                    about(own.x, at.y * at.y),
                    about(own.y, at.x * at.x),
                    about(own.xy, at.x * at.y),
                ];
                sums.iter_mut().zip(terms).for_each(|(sum, term)| *sum += term);
            }
            sums
        };
        if !more.is_empty() {
            lines.push(Line::given(html! { (more.len()) " more, together" }, exact(more), hand));
        }
        let center = (section.centroid - corner) * factor;
        let area = section.area * factor.powi(2);
        let SecondMoments { x, y, xy } = section.second_moments;
        let whole = [
            area,
            area * center.x,
            area * center.y,
            x * factor.powi(4) + area * center.y * center.y,
            y * factor.powi(4) + area * center.x * center.x,
            xy * factor.powi(4) + area * center.x * center.y,
        ];
        let all = exact(&rows);
        let shared: Vec<f64> = whole.iter().zip(all).map(|(whole, sum)| whole - sum).collect();
        let most = lines.iter().map(|line| line.area[0].abs()).fold(area, f64::max);
        if shared[0].abs() > OVERLAP * most {
            let [a, b, c, d, e, f] = *shared.as_slice() else { return None };
            let name = html! { "less what is counted twice, or is void outside the solid" };
            lines.push(Line::given(name, [a, b, c, d, e, f], hand));
        }
        let sums = [(0, 2), (1, 3), (2, 3)]
            .map(|(k, power)| hand.sum(lines.iter().map(|line: &Line| line.area[k]), power));
        let centroid = Point::new(hand.value(sums[1] / sums[0], 1), hand.value(sums[2] / sums[0], 1));
        let transfer = |line: &Line| {
            let at = line.centroid?;
            let (x, y) = (hand.difference(at.x, centroid.x), hand.difference(at.y, centroid.y));
            let area = line.area[0];
            Some([
                x,
                y,
                hand.value(area * y * y, 4),
                hand.value(area * x * x, 4),
                hand.value(area * x * y, 4),
            ])
        };
        let transfers: Vec<[f64; 5]> = lines.iter().map(|line| transfer(line).unwrap_or_default()).collect();
        let own = [0, 1, 2].map(|k| hand.sum(lines.iter().map(|line| line.own[k]), 4));
        let transfer = [2, 3, 4].map(|k| hand.sum(transfers.iter().map(|terms| terms[k]), 4));
        Some(Sums { lines, area: sums, centroid, own, transfers, transfer })
    }

    /// The tables of pieces.
    pub(super) fn tables(&self, hand: &Hand) -> Markup {
        html! {
            @for edges in self.lines.iter().filter_map(|line| line.edges.as_ref()) { (edges.tables(hand)) }
            (self.areas(hand))
            @if self.lines.len() > 1 || self.lines.iter().all(|line| line.edges.is_none()) { (self.own_moments(hand)) }
        }
    }

    fn areas(&self, hand: &Hand) -> Markup {
        let counted = self.lines.iter().any(|line| line.count.is_some_and(|count| count != 1.0));
        let head = |what: Markup, power: i32| {
            html! { th scope="col" class="n" { (what) br; (unit_below(hand.style.unit, power)) } }
        };
        let place = |value: Option<f64>| match value {
            Some(value) => hand.cell(value, 1),
            None => html! { td class="n" {} },
        };
        wide(
            "Pieces",
            &html! {
                table class="figures areas" {
                    caption { "Pieces" }
                    thead {
                        tr {
                            th scope="col" { "Piece" }
                            @if counted { th scope="col" class="n" { "counts" br; "n" } }
                            (head(letter("A", ""), 2)) (head(letter("x′", ""), 1)) (head(letter("y′", ""), 1))
                            (head(html! { (letter("A", "")) "·" (letter("x′", "")) }, 3))
                            (head(html! { (letter("A", "")) "·" (letter("y′", "")) }, 3))
                        }
                    }
                    tbody {
                        @for line in &self.lines {
                            tr {
                                th scope="row" { (line.name) }
                                @if counted {
                                    td class="n" { @if let Some(count) = line.count { (hand.show(count, 0)) } }
                                }
                                (hand.cell(line.area[0], 2))
                                (place(line.centroid.map(|at| at.x))) (place(line.centroid.map(|at| at.y)))
                                (hand.cell(line.area[1], 3)) (hand.cell(line.area[2], 3))
                            }
                        }
                    }
                    tfoot {
                        tr {
                            th scope="row" { "Sum" }
                            @if counted { td {} }
                            (hand.cell(self.area[0], 2)) td {} td {}
                            (hand.cell(self.area[1], 3)) (hand.cell(self.area[2], 3))
                        }
                    }
                }
            },
        )
    }

    fn own_moments(&self, hand: &Hand) -> Markup {
        let head = |what: Markup| {
            html! { th scope="col" class="n" { (what) br; (unit_below(hand.style.unit, 4)) } }
        };
        let own = |below: &str| head(html! { "own " (letter("I", below)) });
        html! {
            p class="small" {
                "Own second moments about the piece’s own centroid, times n where a piece counts otherwise than once: rectangle \
                 b × h: b·h³/12, h·b³/12, 0; circle of diameter d: π·d⁴/64 twice, 0; right triangle b × h: b·h³/36, h·b³/36, \
                 ∓b²·h²/72; all others by the sums over their edges."
            }
            (wide("Own second moments", &html! {
                table class="figures own" {
                    caption { "Own second moments" }
                    thead { tr { th scope="col" { "Piece" } (own("x")) (own("y")) (own("xy")) } }
                    tbody {
                        @for line in &self.lines {
                            tr { th scope="row" { (line.name) } @for term in line.own { (hand.cell(term, 4)) } }
                        }
                    }
                    tfoot { tr { th scope="row" { "Sum" } @for term in self.own { (hand.cell(term, 4)) } } }
                }
            }))
        }
    }

    /// The transfer to the centroid.
    pub(super) fn transfers(&self, hand: &Hand) -> Markup {
        if self.lines.len() == 1 {
            return html! { p { "There is one piece: its centroid is the section’s, so that nothing is transferred." } };
        }
        let head = |what: Markup, power: i32| {
            html! { th scope="col" class="n" { (what) br; (unit_below(hand.style.unit, power)) } }
        };
        let (dx, dy) = (letter("d", "x"), letter("d", "y"));
        wide(
            "Transfer to the centroid",
            &html! {
                table class="figures transfer" {
                    caption { "Transfer to the centroid: " (dx) " = " i { "x′" } " − " (letter("x′", "C")) ", "
                        (dy) " = " i { "y′" } " − " (letter("y′", "C")) }
                    thead {
                        tr {
                            th scope="col" { "Piece" }
                            (head(dx.clone(), 1)) (head(dy.clone(), 1))
                            (head(html! { (letter("A", "")) "·" (dy) "²" }, 4))
                            (head(html! { (letter("A", "")) "·" (dx) "²" }, 4))
                            (head(html! { (letter("A", "")) "·" (dx) "·" (dy) }, 4))
                        }
                    }
                    tbody {
                        @for (line, terms) in self.lines.iter().zip(&self.transfers) {
                            tr {
                                th scope="row" { (line.name) }
                                @for (term, power) in terms.iter().zip([1, 1, 4, 4, 4]) { (hand.cell(*term, power)) }
                            }
                        }
                    }
                    tfoot {
                        tr {
                            th scope="row" { "Sum" }
                            td {} td {}
                            @for term in self.transfer { (hand.cell(term, 4)) }
                        }
                    }
                }
            },
        )
    }
}

impl Line {
    fn of(row: &PieceRow, corner: Point, factor: f64, hand: &Hand) -> Line {
        let piece = row.piece();
        let count = hand.value(piece.ratio * row.sign(), 0);
        let ring = &piece.piece.ring;
        let shape = Shape::of(ring, corner, factor).map(|shape| shape.written(|v| hand.value(v, 1)));
        let enclosed = row.enclosed();
        let edges = match shape {
            Some(_) => None,
            None => Edges::of(row.number(), ring.curves(), corner, factor, hand),
        };
        // As the formula or the sums give them, each reckoned from what is written before it.
        let (area, at, own) = match (shape, &edges) {
            (Some(shape), _) => (shape.area(), shape.centroid(), shape.own()),
            (None, Some(edges)) => edges.result(hand),
            (None, None) => {
                let own = enclosed.second_moments;
                let own = [own.x, own.y, own.xy].map(|i| i * factor.powi(4));
                (enclosed.area * factor.powi(2), (enclosed.centroid - corner) * factor, own)
            }
        };
        let area = hand.value(count * area, 2);
        let at = Point::new(hand.value(at.x, 1), hand.value(at.y, 1));
        let own = own.map(|i| hand.value(count * i, 4));
        let void = if row.sign() < 0.0 { ", void" } else { "" };
        let length = |v: f64| hand.show(v, 1);
        let name = html! {
            (row.number()) " "
            @match shape {
                Some(Shape::Rectangle(_, b, h)) => { "rectangle " (length(b)) " × " (length(h)) }
                Some(Shape::Circle(_, d)) => { "circle ⌀" (length(d)) }
                Some(Shape::RightTriangle(_, b, h)) => {
                    "right triangle " (length(b.abs())) " × " (length(h.abs()))
                }
                None => { "outline of " (ring.curves().len()) " edges" }
            }
            (void)
            @if !piece.material.is_empty() { ", " bdi { (piece.material) } }
        };
        let moments = [area, hand.value(area * at.x, 3), hand.value(area * at.y, 3)];
        Line { name, count: Some(count), centroid: Some(at), area: moments, own, edges }
    }

    /// What is summed already: area, first moments and second moments, all about the corner.
    fn given(name: Markup, [area, x, y, xx, yy, xy]: [f64; 6], hand: &Hand) -> Line {
        let area = hand.value(area, 2);
        let at = Point::new(hand.value(x / area, 1), hand.value(y / area, 1));
        let own = [xx - area * at.y * at.y, yy - area * at.x * at.x, xy - area * at.x * at.y];
        Line {
            name,
            count: None,
            centroid: Some(at),
            area: [area, hand.value(area * at.x, 3), hand.value(area * at.y, 3)],
            own: own.map(|i| hand.value(i, 4)),
            edges: None,
        }
    }
}

/// Powers of length of what is summed along edges.
const POWERS: [i32; 6] = [2, 3, 3, 4, 4, 4];

impl Edges {
    /// `None` where there are too many.
    fn of(number: usize, curves: &[Curve], corner: Point, factor: f64, hand: &Hand) -> Option<Edges> {
        if curves.len() > MOST_EDGES {
            return None;
        }
        let place = |p: Point| {
            let p = (p - corner) * factor;
            Point::new(hand.value(p.x, 1), hand.value(p.y, 1))
        };
        let row = |(k, curve): (usize, &Curve)| {
            let (a, b) = (place(curve.start()), place(curve.end()));
            let (name, terms) = match curve {
                Curve::Line(_) => {
                    let c = hand.value(a.x * b.y - b.x * a.y, 2);
                    let terms = [
                        c,
                        c * (a.x + b.x),
                        c * (a.y + b.y),
                        c * (a.y * a.y + a.y * b.y + b.y * b.y),
                        c * (a.x * a.x + a.x * b.x + b.x * b.x),
                        c * (2.0 * a.x * a.y + a.x * b.y + b.x * a.y + 2.0 * b.x * b.y),
                    ];
                    (format!("{}", k + 1), terms)
                }
                other => {
                    let moments = section::curve_moments(&other.translated(-corner));
                    let terms = [
                        2.0 * moments.area * factor.powi(2),
                        6.0 * moments.first_x * factor.powi(3),
                        6.0 * moments.first_y * factor.powi(3),
                        12.0 * moments.yy * factor.powi(4),
                        12.0 * moments.xx * factor.powi(4),
                        24.0 * moments.xy * factor.powi(4),
                    ];
                    (format!("{} curved", k + 1), terms)
                }
            };
            let mut written = terms;
            written.iter_mut().zip(POWERS).for_each(|(term, power)| *term = hand.value(*term, power));
            (name, a, written)
        };
        let rows: Vec<_> = curves.iter().enumerate().map(row).collect();
        let sums = [0, 1, 2, 3, 4, 5].map(|k| {
            hand.sum(rows.iter().map(|(_, _, terms): &(String, Point, [f64; 6])| terms[k]), POWERS[k])
        });
        Some(Edges { number, rows, sums })
    }

    /// Area, centroid, and second moments about it.
    fn result(&self, hand: &Hand) -> (f64, Point, [f64; 3]) {
        let [c, x, y, xx, yy, xy] = self.sums;
        let area = hand.value(c / 2.0, 2);
        let at = Point::new(hand.value(x / (3.0 * c), 1), hand.value(y / (3.0 * c), 1));
        // What cancels but for the digits that are written is 0.
        let less = |whole: f64, moved: f64| hand.sum([whole, -moved].into_iter(), 4);
        let own = [
            less(xx / 12.0, area * at.y * at.y),
            less(yy / 12.0, area * at.x * at.x),
            less(xy / 24.0, area * at.x * at.y),
        ];
        (area, at, own)
    }

    fn tables(&self, hand: &Hand) -> Markup {
        let unit = hand.style.unit;
        let head = |what: &str, power: i32| {
            html! { th scope="col" class="n" { (what) br; (unit_below(unit, power)) } }
        };
        let first =
            format!("Piece {}: edges, each from its corner 1 to the corner 2 of the next row", self.number);
        let second = format!("Piece {}: second moments of its edges about the corner", self.number);
        let curved = self.rows.iter().any(|(name, ..)| name.ends_with("curved"));
        let total = |range: std::ops::Range<usize>| {
            html! { @for k in range { (hand.cell(self.sums[k], POWERS[k])) } }
        };
        html! {
            (wide(&first, &html! {
                table class="figures edges" {
                    caption { (first) }
                    thead {
                        tr {
                            th scope="col" { "Edge" }
                            (head("x′₁", 1)) (head("y′₁", 1))
                            (head("c = x′₁·y′₂ − x′₂·y′₁", 2))
                            (head("c·(x′₁ + x′₂)", 3)) (head("c·(y′₁ + y′₂)", 3))
                        }
                    }
                    tbody {
                        @for (name, at, terms) in &self.rows {
                            tr {
                                th scope="row" { (name) }
                                (hand.cell(at.x, 1)) (hand.cell(at.y, 1))
                                @for k in 0..3 { (hand.cell(terms[k], POWERS[k])) }
                            }
                        }
                    }
                    tfoot { tr { th scope="row" { "Sum" } td {} td {} (total(0..3)) } }
                }
            }))
            (wide(&second, &html! {
                table class="figures edge-moments" {
                    caption { (second) }
                    thead {
                        tr {
                            th scope="col" { "Edge" }
                            (head("c·(y′₁² + y′₁·y′₂ + y′₂²)", 4)) (head("c·(x′₁² + x′₁·x′₂ + x′₂²)", 4))
                            (head("c·(2x′₁y′₁ + x′₁y′₂ + x′₂y′₁ + 2x′₂y′₂)", 4))
                        }
                    }
                    tbody {
                        @for (name, _, terms) in &self.rows {
                            tr { th scope="row" { (name) } @for k in 3..6 { (hand.cell(terms[k], POWERS[k])) } }
                        }
                    }
                    tfoot { tr { th scope="row" { "Sum" } (total(3..6)) } }
                }
            }))
            p class="small" {
                "Area: half of the first sum. x′ and y′ of the centroid: the second and third sum over three times the first. Own \
                 I" sub { "x" } ", I" sub { "y" } ": a twelfth of the sums less A·y′² and A·x′²; own I" sub { "xy" }
                ": a twenty-fourth less A·x′·y′."
                @if curved {
                    " Rows of curved edges hold the same integrals along the curve itself: 2, 6 and 6, 12, 12 and 24 times what \
                     the line from the corner sweeps over, its first moments and its second moments."
                }
            }
        }
    }
}
