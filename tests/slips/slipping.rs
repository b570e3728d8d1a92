//! How pieces slip: each slip leaves a gap, an overlap or a crossing at its joint that is at least as large as what it
//! moves, and none is larger than what is joined.

use std::f64::consts::TAU;

use crate::common::shapes::Random;

use super::class::Class;
use super::clearance::clearance;
use super::exact::edges;
use super::outlines::Shape;
use super::plan::{LONG, TOLERANCE};
use super::stroke::{Place, Side, Stroke, distance};

/// Directions that differ by less than this sine go on in each other: what overshoots there does not cross.
const SMOOTH: f64 = 0.087;

/// How an end slips.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum EntityKind {
    Miss,
    Overshoot,
    BothSides,
    Oblique,
}

/// One ring whose pieces slip.
struct Slipped {
    clean: Vec<Stroke>,
    edges: Vec<Stroke>,
    /// Joint k lies at the start of edge k; it is free until something slips there.
    free: Vec<bool>,
    /// Edges that are drawn as they are in `more` instead.
    replaced: Vec<bool>,
    /// What is drawn besides the edges.
    more: Vec<Stroke>,
}

/// A drawing whose pieces slip.
pub struct Slipping {
    pub random: Random,
    class: Class,
    rings: Vec<Slipped>,
    /// The largest slip.
    most: f64,
    /// The largest slip to the side: walls do not reach each other.
    most_aside: f64,
    decimals: Option<usize>,
    /// What slipped, in words.
    pub slips: Vec<String>,
}

impl Slipping {
    pub fn new(random: Random, class: Class, shape: &Shape, decimals: Option<usize>) -> Slipping {
        let rings = shape
            .rings
            .iter()
            .map(|ring| {
                let edges: Vec<Stroke> = edges(ring).map(|(a, b)| Stroke::between(a, b)).collect();
                let n = edges.len();
                Slipped {
                    clean: edges.clone(),
                    edges,
                    free: vec![true; n],
                    replaced: vec![false; n],
                    more: Vec::new(),
                }
            })
            .collect();
        // Centre, radius and angles of two arcs at a joint are rounded.
        let rounding = decimals.map_or(0.0, |decimals| 3.0 * 0.1_f64.powi(decimals as i32));
        let most = 0.999 * TOLERANCE - rounding;
        let most_aside = most.min(0.45 * clearance(&shape.rings));
        Slipping { random, class, rings, most, most_aside, decimals, slips: Vec::new() }
    }

    pub fn strokes(&self) -> Vec<Stroke> {
        let mut all = Vec::new();
        for ring in &self.rings {
            let drawn = ring.edges.iter().zip(&ring.replaced).filter(|(_, replaced)| !**replaced);
            all.extend(drawn.map(|(edge, _)| edge.clone()));
            all.extend(ring.more.iter().cloned());
        }
        all
    }

    pub fn slip(&mut self) {
        if self.class.is_clean() || self.class == Class::Rounded {
            return;
        }
        let share = [0.1, 0.3, 0.6, 1.0][self.random.below(4)];
        self.pass(share);
        if self.slips.is_empty() {
            self.pass(1.0);
        }
        self.check();
    }

    fn pass(&mut self, share: f64) {
        let all = self.class.has_all();
        for ring in 0..self.rings.len() {
            let share_of_edges = if all { 0.1 } else { share };
            for edge in 0..self.rings[ring].edges.len() {
                if self.chance(share_of_edges) && (all || self.class == Class::ArcMoved) {
                    self.move_arc(ring, edge);
                }
                if self.chance(share_of_edges) && (all || self.class == Class::Twice) {
                    self.draw_twice(ring, edge);
                }
                if self.chance(share_of_edges) && (all || self.class == Class::Strokes) {
                    self.draw_in_strokes(ring, edge);
                }
            }
            for joint in 0..self.rings[ring].edges.len() {
                if !self.chance(share) {
                    continue;
                }
                let kinds =
                    [EntityKind::Miss, EntityKind::Overshoot, EntityKind::BothSides, EntityKind::Oblique];
                match self.class {
                    Class::Miss => self.slip_joint(ring, joint, EntityKind::Miss),
                    Class::Overshoot => self.slip_joint(ring, joint, EntityKind::Overshoot),
                    Class::BothSides => self.slip_joint(ring, joint, EntityKind::BothSides),
                    Class::Oblique => self.slip_joint(ring, joint, EntityKind::Oblique),
                    Class::Cut if !self.is_cut(ring, joint) => {}
                    Class::Cut | Class::Mixed | Class::Small => {
                        let kind = kinds[self.random.below(4)];
                        self.slip_joint(ring, joint, kind);
                    }
                    _ => {}
                }
            }
        }
    }

    fn chance(&mut self, share: f64) -> bool {
        self.random.within(0.0, 1.0) < share
    }

    /// A size up to `most`: the whole of it, evenly spread, or each decade as often.
    fn size(&mut self, most: f64) -> f64 {
        match self.random.below(4) {
            0 => most,
            1 => most * self.random.within(1e-3_f64.ln(), 0.0).exp(),
            _ => self.random.within(0.0, most),
        }
    }

    fn vector(&mut self, most: f64) -> Place {
        let (size, angle) = (self.size(most), self.random.within(0.0, TAU));
        [size * angle.cos(), size * angle.sin()]
    }

    /// The two edges of a joint: the one that ends there and the one that begins there.
    fn pair(&self, ring: usize, joint: usize) -> [(usize, Side); 2] {
        let n = self.rings[ring].edges.len();
        [((joint + n - 1) % n, Side::End), (joint, Side::Start)]
    }

    /// Whether two lines go on in each other there.
    fn is_cut(&self, ring: usize, joint: usize) -> bool {
        let edges = &self.rings[ring].edges;
        let [(a, _), (b, _)] = self.pair(ring, joint);
        edges[a].is_line() && edges[b].is_line() && self.sine(ring, joint).abs() < SMOOTH && {
            let (u, v) = (edges[a].direction(Side::End), edges[b].direction(Side::Start));
            u[0] * v[0] + u[1] * v[1] > 0.0
        }
    }

    /// Of the turn at a joint.
    fn sine(&self, ring: usize, joint: usize) -> f64 {
        let clean = &self.rings[ring].clean;
        let [(a, _), (b, _)] = self.pair(ring, joint);
        let (u, v) = (clean[a].direction(Side::End), clean[b].direction(Side::Start));
        u[0] * v[1] - u[1] * v[0]
    }

    /// Takes both joints of an edge, where they are free.
    fn take_ends(&mut self, ring: usize, edge: usize) -> bool {
        let free = &mut self.rings[ring].free;
        let next = (edge + 1) % free.len();
        let both = free[edge] && free[next];
        if both {
            (free[edge], free[next]) = (false, false);
        }
        both
    }

    fn move_arc(&mut self, ring: usize, edge: usize) {
        if self.rings[ring].edges[edge].is_line() || !self.take_ends(ring, edge) {
            return;
        }
        let by = self.vector(self.most_aside);
        let moved = self.rings[ring].edges[edge].moved(Side::Start, by);
        self.rings[ring].edges[edge] = moved;
        self.note(ring, edge, &format!("arc moved by {:.5},{:.5}", by[0], by[1]));
    }

    fn draw_twice(&mut self, ring: usize, edge: usize) {
        if !self.take_ends(ring, edge) {
            return;
        }
        let clean = self.rings[ring].edges[edge].clone();
        let mut copy = clean.clone();
        let slips = self.random.below(3);
        if slips > 0 && !clean.is_line() && self.random.below(3) == 0 {
            let by = self.vector(self.most_aside);
            copy = copy.moved(Side::Start, by);
        } else {
            let sides = [&[][..], &[Side::End], &[Side::Start, Side::End]][slips];
            for side in sides {
                copy = self.one_end(&clean, &copy, *side);
            }
        }
        self.note(ring, edge, &format!("drawn again as {copy:?}"));
        self.rings[ring].more.push(copy);
    }

    /// A piece with one end drawn short, on, or aside.
    fn one_end(&mut self, clean: &Stroke, stroke: &Stroke, side: Side) -> Stroke {
        match self.random.below(if clean.is_line() { 3 } else { 2 }) {
            0 => {
                let by = self.size(self.most.min(clean.room_within()));
                stroke.lengthened(side, -by)
            }
            1 => {
                let by = self.size(self.most.min(clean.room_beyond()));
                stroke.lengthened(side, by)
            }
            _ => {
                let by = self.vector(self.most_aside.min(clean.room_within()));
                stroke.moved(side, by)
            }
        }
    }

    fn draw_in_strokes(&mut self, ring: usize, edge: usize) {
        let Stroke::Line { from, to } = self.rings[ring].edges[edge] else { return };
        if distance(from, to) < LONG || !self.take_ends(ring, edge) {
            return;
        }
        let at = |t: f64| [from[0] + t * (to[0] - from[0]), from[1] + t * (to[1] - from[1])];
        let (early, late) = (self.random.within(0.1, 0.45), self.random.within(0.55, 0.9));
        let mut one = Stroke::Line { from, to: at(late) };
        let two = Stroke::Line { from: at(early), to };
        let aside = self.random.below(2) == 0;
        if aside {
            let by = self.vector(self.most_aside);
            one = one.moved(Side::End, by);
        }
        self.note(ring, edge, &format!("drawn in two strokes{}", if aside { ", one aside" } else { "" }));
        self.rings[ring].replaced[edge] = true;
        self.rings[ring].more.extend([one, two]);
    }

    fn slip_joint(&mut self, ring: usize, joint: usize, kind: EntityKind) {
        if !self.rings[ring].free[joint] {
            return;
        }
        let pair = self.pair(ring, joint);
        let first = self.random.below(2);
        if kind == EntityKind::BothSides {
            let over = [self.random.below(2) == 0, self.random.below(2) == 0];
            let crosses = over == [true; 2] && self.sine(ring, joint).abs() > SMOOTH;
            let most = if crosses { self.most } else { 0.5 * self.most };
            for ((edge, side), over) in pair.into_iter().zip(over) {
                self.lengthen(ring, edge, side, over, most);
            }
        } else {
            let is_line = |k: usize| self.rings[ring].edges[pair[k].0].is_line();
            let Some(one) =
                [first, 1 - first].into_iter().find(|k| kind != EntityKind::Oblique || is_line(*k))
            else {
                return;
            };
            let (edge, side) = pair[one];
            if kind == EntityKind::Oblique {
                let by = self.vector(self.most_aside.min(self.rings[ring].clean[edge].room_within()));
                let moved = self.rings[ring].edges[edge].moved(side, by);
                self.rings[ring].edges[edge] = moved;
                self.note(ring, edge, &format!("{side:?} moved by {:.5},{:.5}", by[0], by[1]));
            } else {
                self.lengthen(ring, edge, side, kind == EntityKind::Overshoot, self.most);
            }
        }
        self.rings[ring].free[joint] = false;
    }

    fn lengthen(&mut self, ring: usize, edge: usize, side: Side, over: bool, most: f64) {
        let clean = &self.rings[ring].clean[edge];
        let room = if over { clean.room_beyond() } else { clean.room_within() };
        let by = self.size(most.min(room));
        let by = if over { by } else { -by };
        let longer = self.rings[ring].edges[edge].lengthened(side, by);
        self.rings[ring].edges[edge] = longer;
        self.note(ring, edge, &format!("{side:?} lengthened by {by:.5}"));
    }

    fn note(&mut self, ring: usize, edge: usize, what: &str) {
        self.slips.push(format!("ring {ring}, edge {edge}: {what}"));
    }

    /// What is drawn at a joint is no farther apart than what is joined, as written; pieces that cross there are no
    /// farther than that from the corner.
    fn check(&self) {
        for ring in &self.rings {
            let n = ring.edges.len();
            for joint in 0..n {
                let (before, after) = ((joint + n - 1) % n, joint);
                let corner = ring.clean[after].place(Side::Start);
                let [a, b] = [(before, Side::End), (after, Side::Start)].map(|(edge, side)| {
                    // What is drawn in strokes or twice stands clean in `edges`.
                    ring.edges[edge].as_written(self.decimals).place(side)
                });
                let apart = distance(a, b).min(distance(a, corner).max(distance(b, corner)));
                assert!(apart <= TOLERANCE, "the drawing does not close at {corner:?}: {apart}");
            }
        }
    }
}
