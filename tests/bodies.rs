//! Solids of several bodies, each nested by itself: what fills an outline, or repeats it, counts once. Areas by hand.

use crate::common;

use common::shapes::{Corner, Curves, disc, rectangle, ring, turned};
use tracearm::finding::Code;
use tracearm::geometry::Affine;
use tracearm::outline::Ring;
use tracearm::region::{Piece, resolve_bodies};
use tracearm::section::Section;

/// What may differ from a closed form, as a share of it.
const NEAR: f64 = 1e-12;

fn body(shapes: &[Vec<Corner>]) -> Vec<Ring> {
    let placed = |shape: &Vec<Corner>| turned(shape, 0.37, [410.0, -95.0]);
    shapes.iter().map(|s| ring(&placed(s), Curves::Arcs, &Affine::IDENTITY)).collect()
}

/// The same rings with coordinates of six decimals, as a writer of DXF leaves them.
fn rounded(shapes: &[Vec<Corner>]) -> Vec<Ring> {
    let round = |x: f64| (x * 1e6).round() / 1e6;
    shapes
        .iter()
        .map(|s| {
            let corners = turned(s, 0.37, [410.0, -95.0]);
            let corners: Vec<Corner> = corners.iter().map(|c| c.map(round)).collect();
            ring(&corners, Curves::Arcs, &Affine::IDENTITY)
        })
        .collect()
}

/// Area and pieces of the union of bodies, which must resolve with strips that agree.
fn union(bodies: &[&[Ring]]) -> (f64, Vec<Piece>) {
    let resolved = resolve_bodies(bodies, &[], &[], 0.0);
    let said = &resolved.findings;
    assert!(!said.iter().any(|finding| finding.code == Code::OutlinesCross), "{said:?}");
    let region = resolved.region.unwrap_or_else(|| panic!("{said:?}"));
    assert!(region.check());
    let section = Section::of(&region).unwrap();
    assert!(section.strip_check <= 1e-8, "strips {:e}", section.strip_check);
    (section.area, resolved.pieces)
}

fn holds(what: &str, area: f64, expected: f64) {
    assert!((area / expected - 1.0).abs() <= NEAR, "{what}: {area}, must be {expected}");
}

#[test]
fn a_body_that_repeats_the_outline_counts_once() {
    let plate = [rectangle(0.0, 0.0, 120.0, 80.0), rectangle(30.0, 20.0, 40.0, 25.0), disc(95.0, 40.0, 12.0)];
    let outline = body(&plate);
    let area = 120.0 * 80.0 - 40.0 * 25.0 - 144.0 * std::f64::consts::PI;
    for (what, again) in [("to the digit", body(&plate)), ("six decimals", rounded(&plate))] {
        let (got, pieces) = union(&[&outline, &again]);
        holds(what, got, area);
        assert_eq!(pieces.iter().map(|p| p.solid).collect::<Vec<_>>(), [true, false, false], "{what}");
    }
}

#[test]
fn a_body_inside_an_outline_is_no_hole() {
    let outline = body(&[rectangle(0.0, 0.0, 120.0, 80.0)]);
    let fill = body(&[rectangle(30.0, 20.0, 40.0, 25.0)]);
    holds("inside", union(&[&outline, &fill]).0, 120.0 * 80.0);
    // As one body it would be one.
    let both: Vec<Ring> = [outline, fill].concat();
    holds("nested", union(&[&both]).0, 120.0 * 80.0 - 40.0 * 25.0);
}

#[test]
fn a_body_fills_the_hole_of_another() {
    let frame = body(&[rectangle(0.0, 0.0, 120.0, 80.0), rectangle(30.0, 20.0, 40.0, 25.0)]);
    let half = body(&[rectangle(30.0, 20.0, 18.0, 25.0)]);
    holds("half filled", union(&[&frame, &half]).0, 120.0 * 80.0 - 22.0 * 25.0);
    let whole = body(&[rectangle(30.0, 20.0, 40.0, 25.0)]);
    holds("filled", union(&[&frame, &whole]).0, 120.0 * 80.0);
}

#[test]
fn two_frames_across_each_other() {
    // Each 100 × 60 with an opening of 80 × 40, the second moved by (50, 30).
    let first = body(&[rectangle(0.0, 0.0, 100.0, 60.0), rectangle(10.0, 10.0, 80.0, 40.0)]);
    let second = body(&[rectangle(50.0, 30.0, 100.0, 60.0), rectangle(60.0, 40.0, 80.0, 40.0)]);
    // They share the corner (50..100) × (30..60) less both openings: 50 · 30 − 40 · 20 (first's, from (50, 30) to
    // (90, 50)) − 40 · 20 (second's, from (60, 40) to (100, 60)) + 30 · 10 (in both).
    let shared = 50.0 * 30.0 - 40.0 * 20.0 - 40.0 * 20.0 + 30.0 * 10.0;
    let frame = 100.0 * 60.0 - 80.0 * 40.0;
    holds("frames", union(&[&first, &second]).0, 2.0 * frame - shared);
}

#[test]
fn the_other_bodies_are_each_cut_by_their_own_nesting() {
    let plate = body(&[rectangle(0.0, 0.0, 120.0, 80.0)]);
    let frame = body(&[rectangle(20.0, 10.0, 60.0, 50.0), rectangle(30.0, 20.0, 40.0, 30.0)]);
    let core = body(&[rectangle(40.0, 25.0, 10.0, 8.0)]);
    let resolved = resolve_bodies(&[&plate], &[&frame, &core], &[], 0.0);
    let area = Section::of(&resolved.region.unwrap()).unwrap().area;
    holds("less others", area, 120.0 * 80.0 - (60.0 * 50.0 - 40.0 * 30.0) - 80.0);
}
