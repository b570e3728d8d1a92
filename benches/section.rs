//! From drawn curves to section properties.

use std::f64::consts::{FRAC_PI_2, PI, TAU};
use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use tracearm::geometry::{Arc, Curve, Point};
use tracearm::outline::{self, Drawn, Origin};
use tracearm::region;
use tracearm::section::Section;

fn loose(curves: Vec<Curve>) -> Vec<Drawn> {
    curves.into_iter().map(|c| Drawn { curves: vec![c], closed: false, origin: Origin::default() }).collect()
}

fn closed(curves: Vec<Curve>) -> Drawn {
    Drawn { curves, closed: true, origin: Origin::default() }
}

fn polygon(points: &[(f64, f64)]) -> Drawn {
    let next = points.iter().cycle().skip(1);
    let at = |p: &(f64, f64)| Point::new(p.0, p.1);
    closed(points.iter().zip(next).map(|(a, b)| Curve::line(at(a), at(b))).collect())
}

fn circle(x: f64, y: f64, radius: f64) -> Drawn {
    closed(vec![Arc::circle(Point::new(x, y), radius).into()])
}

/// An I-profile with root fillets, 200 high and 100 wide, as loose lines and arcs.
fn filleted_i() -> Vec<Drawn> {
    let (b, h, tw, tf, r) = (50.0, 100.0, 2.8, 8.5, 12.0);
    let line = |x1: f64, y1: f64, x2: f64, y2: f64| Curve::line(Point::new(x1, y1), Point::new(x2, y2));
    let fillet = |x: f64, y: f64, start: f64| Curve::Arc(Arc::new(Point::new(x, y), r, start, FRAC_PI_2));
    let (inner, root) = (h - tf, tw + r);
    loose(vec![
        line(-b, -h, b, -h),
        line(b, -h, b, -inner),
        line(b, -inner, root, -inner),
        fillet(root, -inner + r, PI),
        line(tw, -inner + r, tw, inner - r),
        fillet(root, inner - r, FRAC_PI_2),
        line(root, inner, b, inner),
        line(b, inner, b, h),
        line(b, h, -b, h),
        line(-b, h, -b, inner),
        line(-b, inner, -root, inner),
        fillet(-root, inner - r, 0.0),
        line(-tw, inner - r, -tw, -inner + r),
        fillet(-root, -inner + r, -FRAC_PI_2),
        line(-root, -inner, -b, -inner),
        line(-b, -inner, -b, -h),
    ])
}

fn covered_i() -> Vec<Drawn> {
    let mut drawn = filleted_i();
    for (low, high) in [(100.0, 110.0), (-110.0, -100.0)] {
        drawn.push(polygon(&[(-40.0, low), (40.0, low), (40.0, high), (-40.0, high)]));
    }
    for x in [-30.0, 30.0] {
        for y in [95.0, 105.0, -95.0, -105.0] {
            drawn.push(circle(x, y, 3.0));
        }
    }
    drawn
}

fn perforated(count: usize) -> Vec<Drawn> {
    let columns = (count as f64).sqrt().ceil() as usize;
    let rows = count.div_ceil(columns);
    let (w, h) = (20.0 * (columns + 1) as f64, 17.0 * (rows + 1) as f64);
    let mut drawn = vec![polygon(&[(0.0, 0.0), (w, 0.0), (w, h), (0.0, h)])];
    drawn.extend((0..count).map(|k| {
        circle(20.0 * (k % columns + 1) as f64, 17.0 * (k / columns + 1) as f64, 5.0 + (k % 7) as f64 * 0.2)
    }));
    drawn
}

/// Two wavy wheels of `edges` straight edges in all that overlap.
fn wheels(edges: usize) -> Vec<Drawn> {
    let wheel = |x: f64| {
        let count = edges / 2;
        let points: Vec<(f64, f64)> = (0..count)
            .map(|k| {
                let angle = TAU * k as f64 / count as f64;
                let radius = 100.0 + 3.0 * (9.0 * angle).sin();
                (x + radius * angle.cos(), radius * angle.sin())
            })
            .collect();
        polygon(&points)
    };
    vec![wheel(0.0), wheel(71.3)]
}

fn measure(drawn: &[Drawn]) -> Section {
    let traced = outline::trace(drawn, 0.01);
    let resolved = region::resolve(&traced.rings, &[]);
    Section::of(&resolved.region.expect("a region")).expect("a section")
}

fn benches(c: &mut Criterion) {
    let mut group = c.benchmark_group("section");
    group.sample_size(20);
    for (name, drawn) in [
        ("filleted I, loose pieces", filleted_i()),
        ("filleted I with cover plates and eight holes", covered_i()),
        ("3,000 holes", perforated(3000)),
        ("wheels of 1,000 edges", wheels(1_000)),
        ("wheels of 10,000 edges", wheels(10_000)),
        ("wheels of 100,000 edges", wheels(100_000)),
    ] {
        group.bench_function(name, |b| b.iter(|| measure(black_box(&drawn))));
    }
    group.finish();
}

criterion_group!(section, benches);
criterion_main!(section);
