//! The pieces of a section: areas, own second moments, and their transfer to the section's centroid.

use super::edges::{self, Edges};
use super::hand::{Hand, letter};
use super::shapes::Shape;
use crate::geometry::Point;
use crate::measure::Measurement;
use crate::outline::Ring;
use crate::schedule::PieceRow;
use crate::section::{SecondMoments, Section};
use crate::sheet::figures::column_head;
use crate::sheet::markup::{Markup, html};
use crate::sheet::wide;

/// More pieces than this are summed, but not listed one by one.
const MOST_LISTED: usize = 60;

/// Less than this share of the area is not said to be shared: it is the rounding of sums.
const OVERLAP: f64 = 1e-9;

/// A piece as it is written, or what several come to.
pub(super) struct Line<'a> {
    /// Number of the piece; 0 for several.
    number: usize,
    pub name: Markup,
    /// How often it counts: less than 0 for a void.
    count: Option<f64>,
    shape: Option<Shape>,
    /// Centroid.
    pub centroid: Point,
    /// A, A·x′, A·y′.
    pub area: [f64; 3],
    /// Own I_x, I_y, I_xy.
    own: [f64; 3],
    edges: Option<Edges>,
    /// Its outlines, each with how often it counts; none for what is the rest of a sum.
    pub outlines: Vec<(f64, &'a Ring)>,
}

/// What stands on one line.
enum Unit<'a, 'b> {
    One(&'b PieceRow<'a>),
    /// A circle and one about the same centre that is cut out of it.
    Ring(&'b PieceRow<'a>, &'b PieceRow<'a>, Shape),
}

/// The sums over pieces.
pub(super) struct Sums<'a> {
    pub lines: Vec<Line<'a>>,
    /// A, A·x′, A·y′.
    pub area: [f64; 3],
    pub centroid: Point,
    pub own: [f64; 3],
    /// d_x, d_y, A·d_y², A·d_x², A·d_x·d_y of each line.
    transfers: Vec<[f64; 5]>,
    pub transfer: [f64; 3],
}

impl<'a> Sums<'a> {
    /// The pieces of a section, measured from `corner` in units `factor` times as small as the drawing's; `None` without
    /// pieces.
    pub(super) fn of(
        measurement: &'a Measurement,
        section: &Section,
        corner: Point,
        factor: f64,
        hand: &Hand,
    ) -> Option<Sums<'a>> {
        let rows = PieceRow::all(measurement);
        if rows.is_empty() {
            return None;
        }
        let (listed, more) = rows.split_at(rows.len().min(MOST_LISTED));
        let mut lines: Vec<Line> =
            units(listed, corner, factor).iter().map(|unit| Line::of(unit, corner, factor, hand)).collect();
        let exact = |rows: &[PieceRow]| {
            let mut sums = [0.0; 6];
            for row in rows {
                let weight = row.piece().ratio() * row.sign();
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
            let name = html! { (more.len()) " more, together" };
            let mut line = Line::given(name, exact(more), hand);
            line.outlines = more.iter().map(outline).collect();
            lines.push(line);
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
            .map(|(k, power)| hand.sum(lines.iter().map(|line: &Line<'a>| line.area[k]), power));
        let centroid = Point::new(hand.value(sums[1] / sums[0], 1), hand.value(sums[2] / sums[0], 1));
        let transfer = |line: &Line| {
            let at = line.centroid;
            let (x, y) = (hand.difference(at.x, centroid.x), hand.difference(at.y, centroid.y));
            let area = line.area[0];
            [x, y, hand.value(area * y * y, 4), hand.value(area * x * x, 4), hand.value(area * x * y, 4)]
        };
        let transfers: Vec<[f64; 5]> = lines.iter().map(transfer).collect();
        let own = [0, 1, 2].map(|k| hand.sum(lines.iter().map(|line| line.own[k]), 4));
        let transfer = [2, 3, 4].map(|k| hand.sum(transfers.iter().map(|terms| terms[k]), 4));
        Some(Sums { lines, area: sums, centroid, own, transfers, transfer })
    }

    /// The numbers of pieces whose edges are too many to be listed, and how many they are.
    pub(super) fn unlisted(&self) -> impl Iterator<Item = (usize, usize)> + '_ {
        let is_unlisted = |line: &&Line| line.shape.is_none() && line.edges.is_none();
        self.lines.iter().filter(is_unlisted).filter_map(|line| match *line.outlines.as_slice() {
            [(_, ring)] => Some((line.number, ring.curves().len())),
            _ => None,
        })
    }

    /// The pieces that are summed along their edges.
    fn edges(&self) -> impl Iterator<Item = &Edges> {
        self.lines.iter().filter_map(|line| line.edges.as_ref())
    }

    /// The tables of pieces.
    pub(super) fn tables(&self, hand: &Hand) -> Markup {
        html! {
            @for edges in self.edges() { (edges.tables(hand)) }
            @if self.edges().next().is_some() { (edges::note(self.edges().any(Edges::any_curved))) }
            (self.areas(hand))
            @if self.lines.len() > 1 || self.lines.iter().all(|line| line.edges.is_none()) { (self.own_moments(hand)) }
        }
    }

    fn areas(&self, hand: &Hand) -> Markup {
        let counted = self.lines.iter().any(|line| line.count.is_some_and(|count| count != 1.0));
        let head = |what: Markup, power: i32| column_head(&what, hand.style.unit, power);
        wide(
            "Pieces",
            &html! {
                table class="figures areas" {
                    caption { "Pieces" }
                    thead {
                        tr {
                            th scope="col" { "Piece" }
                            @if counted { th scope="col" class="n" { "counts " br; "n" } }
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
                                (hand.cell(line.centroid.x, 1)) (hand.cell(line.centroid.y, 1))
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
        let head = |what: Markup| column_head(&what, hand.style.unit, 4);
        let own = |below: &str| head(html! { "own " (letter("I", below)) });
        html! {
            (self.formulas())
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

    /// The formulas of the shapes that there are.
    fn formulas(&self) -> Markup {
        let shapes: Vec<Option<Shape>> = self.lines.iter().map(|line| line.shape).collect();
        let any = |is: fn(&Shape) -> bool| shapes.iter().flatten().any(is);
        let with_sums = shapes.iter().any(Option::is_none);
        let counted = self.lines.iter().any(|line| line.count.is_some_and(|count| count != 1.0));
        html! {
            p class="small" {
                "Own " (letter("I", "x")) ", " (letter("I", "y")) ", " (letter("I", "xy")) " about the piece’s own centroid"
                @if counted { ", times n" }
                ":"
                @if any(|shape| matches!(shape, Shape::Rectangle(..))) { " rectangle b × h: b·h³/12, h·b³/12, 0;" }
                @if any(|shape| matches!(shape, Shape::Circle(..))) { " circle ⌀d: π·d⁴/64 twice, 0;" }
                @if any(|shape| matches!(shape, Shape::Ring(..))) {
                    " ring ⌀D/d: A = π·(D² − d²)/4, π·(D⁴ − d⁴)/64 twice, 0;"
                }
                @if any(|shape| matches!(shape, Shape::RightTriangle(..))) {
                    " right triangle b × h: b·h³/36, h·b³/36, ∓b²·h²/72;"
                }
                @if any(|shape| matches!(shape, Shape::Segment(..))) {
                    " segment of radius r whose arc turns by φ (in radians in the formulas): A = r²·(φ − sin φ)/2; its centroid lies e \
                     = 4·r·sin³(φ/2) / (3·(φ − sin φ)) from the centre M, in the direction β to the middle of the arc; along and \
                     across that direction I" sub { "a" } " = r⁴·((φ − sin φ)/8 − sin³(φ/2)·cos(φ/2)/6) and I" sub { "b" }
                    " = r⁴·((φ + sin φ)/8 − cos³(φ/2)·sin(φ/2)/2) − A·e²; turned: I" sub { "b" } "·sin²β + I" sub { "a" }
                    "·cos²β, I" sub { "b" } "·cos²β + I" sub { "a" } "·sin²β, (I" sub { "b" } " − I" sub { "a" }
                    ")·sin β·cos β;"
                }
                @if with_sums { " all others by the sums over their edges." }
            }
        }
    }

    /// The transfer to the centroid.
    pub(super) fn transfers(&self, hand: &Hand) -> Markup {
        if self.lines.len() == 1 {
            return html! { p { "There is one piece: its centroid is that of the section, so nothing is transferred." } };
        }
        let head = |what: Markup, power: i32| column_head(&what, hand.style.unit, power);
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

/// How often the outline of a piece counts, and that outline.
fn outline<'a>(row: &PieceRow<'a>) -> (f64, &'a Ring) {
    let piece = row.piece();
    (piece.ratio() * row.sign(), &piece.piece.ring)
}

/// The lines of these pieces: each by itself, or two circles as a ring.
fn units<'a, 'b>(rows: &'b [PieceRow<'a>], corner: Point, factor: f64) -> Vec<Unit<'a, 'b>> {
    let shapes: Vec<Option<Shape>> =
        rows.iter().map(|row| Shape::of(&row.piece().piece.ring, corner, factor)).collect();
    let mut taken = vec![false; rows.len()];
    let mut units = Vec::with_capacity(rows.len());
    let ring = |k: usize, taken: &mut Vec<bool>| {
        let outer = shapes.get(k).copied().flatten()?;
        let fits = |(j, row): (usize, &'b PieceRow<'a>)| {
            let is_cut_out = row.sign() < 0.0 && rows[k].sign() > 0.0 && !taken[j];
            let (ratio, own) = (row.piece().ratio(), rows[k].piece().ratio());
            let shape = if is_cut_out && ratio == own { Shape::ring(outer, shapes[j]?) } else { None };
            shape.map(|shape| (j, shape))
        };
        let (j, shape) = rows.iter().enumerate().find_map(fits)?;
        taken[j] = true;
        Some((&rows[j], shape))
    };
    // A ring stands where its outer circle does, which may come after the inner one.
    let rings: Vec<_> = (0..rows.len()).map(|k| ring(k, &mut taken)).collect();
    for ((row, ring), taken) in rows.iter().zip(rings).zip(taken) {
        match ring {
            Some((inner, shape)) => units.push(Unit::Ring(row, inner, shape)),
            None if !taken => units.push(Unit::One(row)),
            None => {}
        }
    }
    units
}

impl<'a> Line<'a> {
    fn of(unit: &Unit<'a, '_>, corner: Point, factor: f64, hand: &Hand) -> Line<'a> {
        let (row, shape, inner) = match unit {
            Unit::One(row) => (*row, Shape::of(&row.piece().piece.ring, corner, factor), None),
            Unit::Ring(outer, inner, shape) => (*outer, Some(*shape), Some(*inner)),
        };
        let piece = row.piece();
        let count = hand.value(piece.ratio() * row.sign(), 0);
        let ring = &piece.piece.ring;
        let shape = shape.map(|shape| shape.written(|v| hand.value(v, 1), |v| hand.value(v, 0)));
        let enclosed = row.enclosed();
        let edges = match shape {
            Some(_) => None,
            None => Edges::of(row.number(), &ring.curves(), corner, factor, hand),
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
        let angle = |v: f64| hand.show(v, 0);
        let name = html! {
            (row.number()) @if let Some(inner) = inner { "+" (inner.number()) } " "
            @match shape {
                Some(Shape::Rectangle(_, b, h)) => { "rectangle " (length(b)) " × " (length(h)) }
                Some(Shape::Circle(_, d)) => { "circle ⌀" (length(d)) }
                Some(Shape::Ring(_, outer, inner)) => { "ring ⌀" (length(outer)) "/" (length(inner)) }
                Some(Shape::Segment(m, r, turn, towards)) => {
                    "segment r " (length(r)) ", φ " (angle(turn)) "°, β " (angle(towards)) "°, M (" (length(m.x)) ", "
                    (length(m.y)) ")"
                }
                Some(Shape::RightTriangle(_, b, h)) => {
                    "right triangle " (length(b.abs())) " × " (length(h.abs()))
                }
                None => { "outline of " (ring.curves().len()) " edges" }
            }
            (void)
            @if !piece.material().is_empty() { ", " bdi { (piece.material()) } }
        };
        let moments = [area, hand.value(area * at.x, 3), hand.value(area * at.y, 3)];
        let outlines = std::iter::once(row).chain(inner).map(outline).collect();
        let number = row.number();
        Line { number, name, count: Some(count), shape, centroid: at, area: moments, own, edges, outlines }
    }

    /// What is summed already: area, first moments and second moments, all about the corner.
    fn given(name: Markup, [area, x, y, xx, yy, xy]: [f64; 6], hand: &Hand) -> Line<'a> {
        let area = hand.value(area, 2);
        let at = Point::new(hand.value(x / area, 1), hand.value(y / area, 1));
        let own = [xx - area * at.y * at.y, yy - area * at.x * at.x, xy - area * at.x * at.y];
        Line {
            number: 0,
            name,
            count: None,
            shape: None,
            centroid: at,
            area: [area, hand.value(area * at.x, 3), hand.value(area * at.y, 3)],
            own: own.map(|i| hand.value(i, 4)),
            edges: None,
            outlines: Vec::new(),
        }
    }
}
