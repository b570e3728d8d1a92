//! Sections that numbers do not hold.

use std::f64::consts::TAU;

use super::*;
use crate::geometry::{Arc, Curve, EllipseArc, Span};
use crate::outline::Origin;
use crate::region;

/// A washer of outer radius `size` and inner radius 0.4 of it, its centre at (`at`, 2·`size`).
fn washer(size: f64, at: f64) -> Option<Region> {
    let ring = |radius: f64| {
        let arc = Arc::new(Point::new(at, 2.0 * size), radius, 0.3, TAU);
        Ring::new(vec![Curve::Arc(arc)], Origin::default())
    };
    region::resolve(&[ring(size)?, ring(0.4 * size)?], &[]).region
}

#[test]
fn sections_too_large_or_too_small_have_no_figures_and_end() {
    for size in [1e300, 1e154, 1e80, 1e-82, 1e-154, 1e-300, 1e-310] {
        if let Some(region) = washer(size, 3.0 * size) {
            assert!(Section::of(&region).is_err(), "{size}");
        }
    }
    for size in [1e15, 1.0, 1e-15] {
        let section = Section::of(&washer(size, 3.0 * size).expect("a washer")).expect("a section");
        let area = 0.5 * TAU * (1.0 - 0.16) * size * size;
        assert!((section.area / area - 1.0).abs() < 1e-12, "{size}: {}", section.area);
    }
}

/// Curves of every kind, some of them long, which reach many bands.
#[test]
fn what_is_too_much_to_be_kept_is_measured_to_the_same_bit() {
    let at = |x: f64, y: f64| Point::new(x, y);
    let ring = |curves: Vec<Curve>| Ring::new(curves, Origin::default()).expect("a ring");
    let corners = [at(-20.0, -35.0), at(400.0, -35.0), at(430.0, 260.0), at(-20.0, 270.0)];
    let edges = (0..4).map(|k| Curve::line(corners[k], corners[(k + 1) % 4]));
    let mut rings = vec![ring(edges.collect())];
    for k in 0..300_u32 {
        let place =
            at(f64::from(k % 20) * 19.3 + f64::from(k % 3), f64::from(k / 20) * 15.7 + f64::from(k % 7));
        let size = 2.0 + 0.01 * f64::from(k);
        rings.push(match k % 4 {
            0 => ring(vec![EllipseArc::new(place, at(size, 1.0), at(-0.4, 0.7 * size), 0.3, TAU).into()]),
            1 => {
                let (from, to) = (place - at(size, 0.3), place + at(size, 0.3));
                let controls = vec![to, to + at(0.0, 2.0), from + at(0.4, 4.0), from];
                let span = Span::polynomial(controls).expect("a span");
                ring(vec![Curve::line(from, to), span.into()])
            }
            _ => ring(vec![Curve::Arc(Arc::new(place, size, 0.1 * f64::from(k), TAU))]),
        });
    }
    let plate = region::resolve(&rings, &[]).region.expect("a plate");
    assert_eq!(plate.parts.first().map(|part| part.holes.len()), Some(300));
    // The holes alone lie in rows with gaps between them, and on no axis of symmetry.
    let loose = region::resolve(&rings[1..], &[]).region.expect("parts");
    for region in [plate, loose] {
        let kept = Section::measured(&[(1.0, &region)], MOST_KEPT).expect("a section");
        let drawn = Section::measured(&[(1.0, &region)], 0).expect("a section");
        assert_eq!(format!("{drawn:?}"), format!("{kept:?}"));
        assert!(kept.principal.angle != 0.0);
    }
    let washer = washer(10.0, 30.0).expect("a washer");
    let kept = Section::measured(&[(1.0, &washer)], MOST_KEPT).expect("a section");
    let drawn = Section::measured(&[(1.0, &washer)], 0).expect("a section");
    assert_eq!(format!("{drawn:?}"), format!("{kept:?}"));
}

/// A region that is none, since its edge crosses itself: what resolves outlines never makes such a one.
#[test]
fn a_contradiction_says_where_it_begins() {
    let corners =
        [(10.0, 5.0), (60.0, 5.0), (60.0, 25.0), (45.0, 25.0), (80.0, -30.0), (90.0, 40.0), (10.0, 40.0)];
    let at = |k: usize| Point::new(corners[k % 7].0, corners[k % 7].1);
    let edges = (0..7).map(|k| Curve::line(at(k), at(k + 1))).collect();
    let edge = Ring::new(edges, Origin::default()).expect("a ring");
    let region = Region { parts: vec![region::Part { edge, holes: Vec::new() }] };
    let Err(error @ SectionError::Contradiction { first: Some(first) }) = Section::of(&region) else {
        panic!("{:?}", Section::of(&region));
    };
    // The bottom edge from 45 on, where the edge from 45,25 to 80,-30 has passed over it.
    assert!(!first.is_flat && (first.point.x - 45.0).abs() < 1e-9, "{first:?}");
    let finding = error.finding().in_unit(crate::drawing::LengthUnit::Millimetre).to_string();
    assert!(finding.contains("first differ at the station x = 45"), "{finding}");
    // Turned by a quarter and out of the way.
    let turned = region.parts[0].edge.curves().into_iter().map(|curve| {
        curve.transformed(
            &Affine::rotation(std::f64::consts::FRAC_PI_2).then(&Affine::translation(Point::new(7.0, 300.0))),
        )
    });
    let edge = Ring::new(turned.collect(), Origin::default()).expect("a ring");
    let turned = Region { parts: vec![region::Part { edge, holes: Vec::new() }] };
    let contradiction = Section::of(&turned);
    assert!(
        matches!(contradiction, Err(SectionError::Contradiction { first: Some(_) })),
        "{contradiction:?}"
    );
}
