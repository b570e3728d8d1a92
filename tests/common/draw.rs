//! Outlines written as DXF text. Coordinates keep every bit: they are written so that they read back as the same f64.

use std::f64::consts::{PI, TAU};
use std::fmt::Write as _;

/// A corner and the bulge of the edge that leaves it: the tangent of a quarter of the edge's included angle, positive
/// when the edge turns anticlockwise.
pub type Vertex = [f64; 3];

/// A piece of an outline that is not made of lines and arcs alone.
#[derive(Clone, Debug)]
pub enum Piece {
    Line([f64; 2], [f64; 2]),
    /// Centre, longer half-diameter, ratio of the shorter one to it, parameter at the start and at the end.
    Ellipse {
        center: [f64; 2],
        major: [f64; 2],
        ratio: f64,
        t0: f64,
        t1: f64,
    },
    /// The control points of one Bézier span.
    Bezier(Vec<[f64; 2]>),
}

/// Closed rings, in millimetres.
#[derive(Clone, Debug)]
pub enum Outline {
    Loops(Vec<Vec<Vertex>>),
    Pieces(Vec<Vec<Piece>>),
}

/// How an outline is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Dress {
    /// Closed LWPOLYLINE with bulges (pieces: LINE, ELLIPSE, SPLINE one after another).
    Closed,
    /// Loose LINE and ARC, shuffled, every second line backwards.
    Loose,
    /// In a block with a base point, whose mirrored and turned insert brings the figure back to its place.
    Block,
    /// In inches.
    Inches,
    /// R12 POLYLINE, VERTEX, SEQEND.
    R12,
    /// 1e6 mm right of the origin and as far below it.
    Far,
}

impl Dress {
    pub const ALL: [Dress; 6] =
        [Dress::Closed, Dress::Loose, Dress::Block, Dress::Inches, Dress::R12, Dress::Far];

    /// Whether the outline can be drawn in this dress: R12 knows neither ellipses nor splines.
    pub fn suits(self, outline: &Outline) -> bool {
        self != Dress::R12 || matches!(outline, Outline::Loops(_))
    }

    /// How far the figure is moved from where the outline says.
    pub fn offset(self) -> [f64; 2] {
        if self == Dress::Far { [1e6, -1e6] } else { [0.0, 0.0] }
    }
}

/// The text of a drawing of one layer, `PLATE`, that shows the outline in the given dress.
pub fn draw(outline: &Outline, dress: Dress) -> String {
    let inches = 1.0 / 25.4;
    match dress {
        Dress::Closed => drawing(4, "", &entities(outline, false)),
        Dress::R12 => {
            let Outline::Loops(loops) = outline else { panic!("R12 has no ellipses or splines") };
            format!(
                "0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\nAC1009\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n{}0\nENDSEC\n0\nEOF\n",
                loops.iter().map(|l| old_polyline(l)).collect::<String>()
            )
        }
        Dress::Loose => drawing(4, "", &entities(outline, true)),
        Dress::Inches => {
            drawing(1, "", &entities(&outline.mapped(|p| [p[0] * inches, p[1] * inches], inches), false))
        }
        Dress::Far => {
            let [dx, dy] = dress.offset();
            drawing(4, "", &entities(&outline.mapped(|p| [p[0] + dx, p[1] + dy], 1.0), false))
        }
        Dress::Block => {
            let place = Insert { at: [137.0, -59.0], base: [11.0, 23.0], angle: 37.0 };
            let block = format!(
                "0\nBLOCK\n8\n0\n2\nFIGURE\n70\n0\n10\n{:?}\n20\n{:?}\n30\n0.0\n{}0\nENDBLK\n8\n0\n",
                place.base[0],
                place.base[1],
                entities(&place.undone(outline), false)
            );
            let insert = format!(
                "0\nINSERT\n8\nPLATE\n2\nFIGURE\n10\n{:?}\n20\n{:?}\n30\n0.0\n41\n-1.0\n42\n1.0\n43\n1.0\n50\n{:?}\n",
                place.at[0], place.at[1], place.angle
            );
            drawing(4, &block, &insert)
        }
    }
}

/// A drawing with the given $INSUNITS, blocks and entities.
pub fn drawing(units: i32, blocks: &str, entities: &str) -> String {
    let header =
        format!("0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\nAC1027\n9\n$INSUNITS\n70\n{units}\n0\nENDSEC\n");
    let blocks =
        if blocks.is_empty() { String::new() } else { format!("0\nSECTION\n2\nBLOCKS\n{blocks}0\nENDSEC\n") };
    format!("{header}{blocks}0\nSECTION\n2\nENTITIES\n{entities}0\nENDSEC\n0\nEOF\n")
}

impl Outline {
    /// Every point by a map that keeps angles and turning directions; lengths grow by `scale`.
    pub fn mapped(&self, map: impl Fn([f64; 2]) -> [f64; 2], scale: f64) -> Outline {
        match self {
            Outline::Loops(loops) => Outline::Loops(
                loops
                    .iter()
                    .map(|l| {
                        l.iter()
                            .map(|v| {
                                let p = map([v[0], v[1]]);
                                [p[0], p[1], v[2]]
                            })
                            .collect()
                    })
                    .collect(),
            ),
            Outline::Pieces(rings) => Outline::Pieces(
                rings
                    .iter()
                    .map(|ring| {
                        ring.iter()
                            .map(|piece| match piece {
                                Piece::Line(p, q) => Piece::Line(map(*p), map(*q)),
                                Piece::Bezier(points) => {
                                    Piece::Bezier(points.iter().map(|p| map(*p)).collect())
                                }
                                Piece::Ellipse { center, major, ratio, t0, t1 } => Piece::Ellipse {
                                    center: map(*center),
                                    major: [major[0] * scale, major[1] * scale],
                                    ratio: *ratio,
                                    t0: *t0,
                                    t1: *t1,
                                },
                            })
                            .collect()
                    })
                    .collect(),
            ),
        }
    }
}

/// An insert with x scale −1.
struct Insert {
    at: [f64; 2],
    base: [f64; 2],
    angle: f64,
}

impl Insert {
    /// The figure in the block whose insert looks like `outline`: moved, turned and mirrored backwards.
    fn undone(&self, outline: &Outline) -> Outline {
        let (sine, cosine) = self.angle.to_radians().sin_cos();
        let back = |p: [f64; 2]| {
            let [x, y] = [p[0] - self.at[0], p[1] - self.at[1]];
            [self.base[0] - (cosine * x + sine * y), self.base[1] + (cosine * y - sine * x)]
        };
        match outline.mapped(back, 1.0) {
            Outline::Loops(mut loops) => {
                loops.iter_mut().flatten().for_each(|v| v[2] = -v[2]);
                Outline::Loops(loops)
            }
            Outline::Pieces(mut rings) => {
                for piece in rings.iter_mut().flatten() {
                    if let Piece::Ellipse { major: [x, y], t0, t1, .. } = piece {
                        // The mirror turns the parameter's direction about.
                        (*x, *y) = (-(cosine * *x + sine * *y), cosine * *y - sine * *x);
                        (*t0, *t1) = (-*t1, -*t0);
                    }
                }
                Outline::Pieces(rings)
            }
        }
    }
}

fn entities(outline: &Outline, loose: bool) -> String {
    match outline {
        Outline::Loops(loops) if !loose => loops.iter().map(|l| lwpolyline("PLATE", l)).collect(),
        Outline::Loops(loops) => shuffled(loops.iter().flat_map(|l| loose_edges("PLATE", l)).collect()),
        Outline::Pieces(rings) => {
            let all: Vec<String> =
                rings.iter().flatten().enumerate().map(|(i, p)| piece(p, loose && i % 2 == 0)).collect();
            if loose { shuffled(all) } else { all.concat() }
        }
    }
}

/// Entities in an order that looks random and is the same every time.
pub fn shuffled(mut entities: Vec<String>) -> String {
    let mut state = 0x2545_f491_4f6c_dd1d_u64;
    for i in (1..entities.len()).rev() {
        // Marsaglia's xorshift, enough to shuffle with.
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        entities.swap(i, (state % (i as u64 + 1)) as usize);
    }
    entities.concat()
}

/// A closed LWPOLYLINE.
pub fn lwpolyline(layer: &str, vertices: &[Vertex]) -> String {
    let mut text = format!("0\nLWPOLYLINE\n8\n{layer}\n90\n{}\n70\n1\n", vertices.len());
    for [x, y, bulge] in vertices {
        let _ = write!(text, "10\n{x:?}\n20\n{y:?}\n");
        if *bulge != 0.0 {
            let _ = write!(text, "42\n{bulge:?}\n");
        }
    }
    text
}

fn old_polyline(vertices: &[Vertex]) -> String {
    let mut text = "0\nPOLYLINE\n8\nPLATE\n66\n1\n70\n1\n10\n0.0\n20\n0.0\n30\n0.0\n".to_owned();
    for [x, y, bulge] in vertices {
        let _ = write!(text, "0\nVERTEX\n8\nPLATE\n10\n{x:?}\n20\n{y:?}\n30\n0.0\n");
        if *bulge != 0.0 {
            let _ = write!(text, "42\n{bulge:?}\n");
        }
    }
    text + "0\nSEQEND\n8\nPLATE\n"
}

/// The edges of a closed ring as LINE and ARC, every second line backwards.
pub fn loose_edges(layer: &str, vertices: &[Vertex]) -> Vec<String> {
    (0..vertices.len())
        .map(|i| {
            let ([x0, y0, bulge], [x1, y1, _]) = (vertices[i], vertices[(i + 1) % vertices.len()]);
            if bulge == 0.0 {
                return if i % 2 == 0 { line(layer, [x0, y0], [x1, y1]) } else { line(layer, [x1, y1], [x0, y0]) };
            }
            let (dx, dy) = (x1 - x0, y1 - y0);
            let off = (1.0 - bulge * bulge) / (4.0 * bulge);
            let (cx, cy) = (0.5 * (x0 + x1) - off * dy, 0.5 * (y0 + y1) + off * dx);
            let radius = dx.hypot(dy) * (1.0 + bulge * bulge) / (4.0 * bulge.abs());
            let angle = |x: f64, y: f64| (y - cy).atan2(x - cx).to_degrees().rem_euclid(360.0);
            let (mut begin, mut end) = (angle(x0, y0), angle(x1, y1));
            if bulge < 0.0 {
                std::mem::swap(&mut begin, &mut end);
            }
            format!(
                "0\nARC\n8\n{layer}\n10\n{cx:?}\n20\n{cy:?}\n30\n0.0\n40\n{radius:?}\n50\n{begin:?}\n51\n{end:?}\n"
            )
        })
        .collect()
}

fn line(layer: &str, p: [f64; 2], q: [f64; 2]) -> String {
    format!(
        "0\nLINE\n8\n{layer}\n10\n{:?}\n20\n{:?}\n30\n0.0\n11\n{:?}\n21\n{:?}\n31\n0.0\n",
        p[0], p[1], q[0], q[1]
    )
}

fn piece(piece: &Piece, backwards: bool) -> String {
    match piece {
        Piece::Line(p, q) if backwards => line("PLATE", *q, *p),
        Piece::Line(p, q) => line("PLATE", *p, *q),
        Piece::Bezier(points) => {
            let mut points = points.clone();
            if backwards {
                points.reverse();
            }
            bezier(&points)
        }
        Piece::Ellipse { center, major, ratio, t0, t1 } => ellipse(*center, *major, *ratio, *t0, *t1),
    }
}

/// An ELLIPSE from parameter t0 to t1. The minor half-diameter must not be the longer one.
fn ellipse(center: [f64; 2], major: [f64; 2], ratio: f64, t0: f64, t1: f64) -> String {
    assert!(ratio <= 1.0 && t1 > t0 && t1 - t0 <= TAU, "an ellipse that DXF can hold");
    format!(
        "0\nELLIPSE\n8\nPLATE\n10\n{:?}\n20\n{:?}\n30\n0.0\n11\n{:?}\n21\n{:?}\n31\n0.0\n40\n{ratio:?}\n41\n{t0:?}\n42\n{t1:?}\n",
        center[0], center[1], major[0], major[1]
    )
}

/// One Bézier span as a clamped SPLINE.
fn bezier(points: &[[f64; 2]]) -> String {
    let degree = points.len() - 1;
    let mut text = format!(
        "0\nSPLINE\n8\nPLATE\n70\n8\n71\n{degree}\n72\n{}\n73\n{}\n74\n0\n",
        2 * points.len(),
        points.len()
    );
    text += &"40\n0.0\n".repeat(points.len());
    text += &"40\n1.0\n".repeat(points.len());
    for [x, y] in points {
        let _ = write!(text, "10\n{x:?}\n20\n{y:?}\n30\n0.0\n");
    }
    text
}

/// The control points of x(t), y(t) given by coefficients, constant term first, t from 0 to 1.
pub fn control_points(x: &[f64], y: &[f64]) -> Vec<[f64; 2]> {
    let degree = x.len().max(y.len()) - 1;
    let binomial = |n: usize, k: usize| (0..k).fold(1.0, |b, i| b * (n - i) as f64 / (i + 1) as f64);
    let point = |c: &[f64], i: usize| -> f64 {
        c.iter().enumerate().take(i + 1).map(|(k, v)| v * binomial(i, k) / binomial(degree, k)).sum()
    };
    (0..=degree).map(|i| [point(x, i), point(y, i)]).collect()
}

/// A full circle as a ring of two half circles.
pub fn circle(x: f64, y: f64, r: f64) -> Vec<Vertex> {
    vec![[x + r, y, 1.0], [x - r, y, 1.0]]
}

/// A bulge for an arc of the given included angle.
pub fn bulge(angle: f64) -> f64 {
    assert!(angle.abs() < 2.0 * PI);
    (angle / 4.0).tan()
}
