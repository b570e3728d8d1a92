//! From drawn curves to section properties: a rolled profile, a built-up one, a plate with thousands of holes, and
//! rings of up to 10⁵ edges that cross; and from regions to torsion and shear constants.

use std::hint::black_box;
use std::time::Duration;

use criterion::{BenchmarkId, Criterion, criterion_group, criterion_main};
use tracearm::field::{FieldOptions, FieldProperties};
use tracearm::geometry::{Arc, Curve, Point};
use tracearm::outline::{InputPath, Origin, trace};
use tracearm::region::resolve;
use tracearm::section::Section;

/// Ends are joined within this, in millimetres.
const JOIN: f64 = 0.01;

fn drawn(curves: Vec<Curve>, closed: bool) -> InputPath {
    InputPath::new(curves, closed, Origin::default())
}

fn polyline(corners: &[[f64; 3]]) -> Vec<Curve> {
    (0..corners.len())
        .map(|k| {
            let ([x, y, bulge], [to_x, to_y, _]) = (corners[k], corners[(k + 1) % corners.len()]);
            Curve::from_bulge(Point::new(x, y), Point::new(to_x, to_y), bulge)
        })
        .collect()
}

fn circle(x: f64, y: f64, radius: f64) -> InputPath {
    drawn(vec![Arc::circle(Point::new(x, y), radius).into()], true)
}

fn rectangle(x: f64, y: f64, width: f64, height: f64) -> InputPath {
    let corners = [[x, y, 0.0], [x + width, y, 0.0], [x + width, y + height, 0.0], [x, y + height, 0.0]];
    drawn(polyline(&corners), true)
}

/// A filleted I-profile 180 wide and 400 high, lower left corner at the origin.
fn profile() -> Vec<Curve> {
    let q = -(std::f64::consts::PI / 8.0).tan();
    polyline(&[
        [0.0, 0.0, 0.0],
        [180.0, 0.0, 0.0],
        [180.0, 13.5, 0.0],
        [115.3, 13.5, q],
        [94.3, 34.5, 0.0],
        [94.3, 365.5, q],
        [115.3, 386.5, 0.0],
        [180.0, 386.5, 0.0],
        [180.0, 400.0, 0.0],
        [0.0, 400.0, 0.0],
        [0.0, 386.5, 0.0],
        [64.7, 386.5, q],
        [85.7, 365.5, 0.0],
        [85.7, 34.5, q],
        [64.7, 13.5, 0.0],
        [0.0, 13.5, 0.0],
    ])
}

fn measured(drawing: &[InputPath]) -> f64 {
    let outline = trace(drawing, JOIN);
    let region = resolve(&outline.rings, &[]).region.expect("a region");
    Section::of(&region).expect("a section").principal.i_1
}

/// Two combs whose teeth cross all along, of `edges` edges together.
fn combs(edges: usize) -> Vec<InputPath> {
    let teeth = edges / 8;
    let comb = |x: f64, y: f64, up: f64| {
        let mut corners = vec![[x, y, 0.0]];
        for k in 0..teeth {
            let at = x + 4.0 * k as f64;
            corners.extend([[at, y + up, 0.0], [at + 2.0, y + up, 0.0], [at + 2.0, y + 0.25 * up, 0.0]]);
            corners.push([at + 4.0, y + 0.25 * up, 0.0]);
        }
        corners.push([x + 4.0 * teeth as f64, y, 0.0]);
        drawn(polyline(&corners), true)
    };
    vec![comb(0.0, 0.0, 8.0), comb(1.0, 14.0, -8.0)]
}

fn profiles(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("section");
    let mut loose: Vec<InputPath> = profile().into_iter().map(|c| drawn(vec![c], false)).collect();
    loose.rotate_left(5);
    group.bench_function("filleted I of loose lines and arcs", |b| b.iter(|| measured(black_box(&loose))));
    let mut built = vec![drawn(profile(), true)];
    built.extend([rectangle(-10.0, -15.0, 200.0, 15.0), rectangle(15.0, 400.0, 150.0, 20.0)]);
    for k in 0..4 {
        let y = 90.0 + 70.0 * f64::from(k);
        built.extend([circle(90.0, y, 3.0), circle(20.0 + 35.0 * f64::from(k), -7.0, 4.0)]);
    }
    group.bench_function("filleted I, two cover plates, eight holes", |b| {
        b.iter(|| measured(black_box(&built)));
    });
    group.sample_size(10).measurement_time(Duration::from_secs(5));
    let mut sieve = vec![rectangle(0.0, 0.0, 610.0, 510.0)];
    sieve.extend(
        (0..3000).map(|k| circle(10.0 + 10.0 * f64::from(k % 60), 10.0 + 10.0 * f64::from(k / 60), 3.2)),
    );
    group.bench_function("plate with 3,000 holes", |b| b.iter(|| measured(black_box(&sieve))));
    group.finish();
}

/// Region and section apart: 10³, 10⁴ and 10⁵ edges.
fn long_rings(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("two rings that cross all along");
    group.sample_size(10).measurement_time(Duration::from_secs(5));
    for edges in [1_000, 10_000, 100_000] {
        let rings = trace(&combs(edges), JOIN).rings;
        group.bench_with_input(BenchmarkId::new("region", edges), &rings, |b, rings| {
            b.iter(|| resolve(black_box(rings), &[]).region.map(|r| r.parts.len()));
        });
        let region = resolve(&rings, &[]).region.expect("a region");
        group.bench_with_input(BenchmarkId::new("section", edges), &region, |b, region| {
            b.iter(|| Section::of(black_box(region)).map(|s| s.area));
        });
    }
    group.finish();
}

/// Torsion, warping and shear constants: a filleted I, and a plate with 200 holes.
fn fields(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("field");
    group.sample_size(10).measurement_time(Duration::from_secs(5));
    let mut plate = vec![rectangle(0.0, 0.0, 2000.0, 1000.0)];
    plate.extend(
        (0..200).map(|k| circle(50.0 + 100.0 * f64::from(k % 20), 50.0 + 100.0 * f64::from(k / 20), 30.0)),
    );
    for (name, drawing) in [("filleted I", vec![drawn(profile(), true)]), ("plate with 200 holes", plate)] {
        let region = resolve(&trace(&drawing, JOIN).rings, &[]).region.expect("a region");
        let section = Section::of(&region).expect("a section");
        group.bench_function(name, |b| {
            b.iter(|| {
                FieldProperties::of(black_box(&region), &section, &FieldOptions::default())
                    .map(|field| field.torsion.value)
            });
        });
    }
    group.finish();
}

criterion_group!(benches, profiles, long_rings, fields);
criterion_main!(benches);
