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
