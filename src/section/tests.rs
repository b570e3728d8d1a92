//! Sections that numbers do not hold.

use std::f64::consts::TAU;

use super::*;
use crate::geometry::{Arc, Curve};
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
