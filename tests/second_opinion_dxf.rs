//! The `dxf` crate as a second opinion: on every fixture both readers must agree on entities, layers, handles and
//! coordinates. What differs, and why, stands in one table.

use std::collections::BTreeSet;
use std::f64::consts::TAU;
use std::path::{Path, PathBuf};

use dxf::entities::{Entity as Other, EntityType};
use tracearm::drawing::{Drawing, Entity, EntityKind};
use tracearm::geometry::{Affine, Curve, Point};

/// A difference that is known: in which fixture (`*` for any), a part of the message, and the reason. One that no
/// longer occurs fails the test, unless its fixture is gone.
const KNOWN: &[(&str, &str, &str)] = &[
    ("*", "handle within a block", "the dxf crate numbers the entities of blocks anew"),
    (
        "line-ends-cr.dxf",
        "does not read it",
        "the dxf crate knows no lines that end in a carriage return alone",
    ),
    ("truncated.dxf", "does not read it", "the dxf crate gives nothing of a file that ends early"),
    (
        "bad-numbers.dxf",
        "does not read it",
        "the dxf crate gives nothing of a file with a value that is no number",
    ),
    ("region.dxf", "by the dxf crate 0", "the dxf crate hands out the text of a region as it is written"),
    ("damaged-binary-cut.dxf", "does not read it", "the dxf crate gives nothing of a file that ends early"),
    (
        "damaged-slip.dxf",
        "does not read it",
        "the dxf crate gives nothing of a file with a line where a group code should stand",
    ),
    (
        "bad-header.dxf",
        "does not read it",
        "the dxf crate gives nothing of a file with a header variable that is no number",
    ),
    (
        "block-array-too-large.dxf",
        "only the dxf crate reads it",
        "the dxf crate expands no references to blocks",
    ),
    (
        "block-within-itself.dxf",
        "1 entities, by the dxf crate 20",
        "this test follows the reference within the block until it is deep enough",
    ),
    (
        "codepage-932.dxf",
        "by the dxf crate",
        "the dxf crate knows no code pages and takes the second byte for an escape",
    ),
    ("comments-and-blanks.dxf", "does not read it", "the dxf crate knows no section names in small letters"),
    (
        "counts-that-lie.dxf",
        "does not read it",
        "the dxf crate gives nothing of a file with a count out of range",
    ),
    ("escaped-multibyte.dxf", "by the dxf crate", "the dxf crate leaves \\M+nXXXX as it is"),
    ("handles.dxf", "does not read it", "the dxf crate gives nothing of a file with a handle that is none"),
    (
        "numbers-out-of-range.dxf",
        "2 entities, by the dxf crate 6",
        "the dxf crate hands out numbers as they are written",
    ),
    (
        "repeated-sections.dxf",
        "does not read it",
        "the dxf crate gives nothing of a file with pairs outside its sections",
    ),
    ("*", "handle None", "the dxf crate gives a number to an entity without a handle"),
];

/// Places agree within this share of the drawing's reach: both readers round differently when they place blocks.
const AGREEMENT: f64 = 1e-12;

/// An entity as the other reader gives it, put into the drawing plane: points in travel order that must lie on it.
struct Expected {
    kind: EntityKind,
    layer: String,
    handle: u64,
    in_block: bool,
    points: Vec<Point>,
}

#[test]
fn both_readers_agree_on_every_fixture() {
    let mut differences = BTreeSet::new();
    let mut compared = 0;
    let fixtures = fixtures();
    for path in &fixtures {
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        match differing(path) {
            Ok((count, list)) => {
                compared += count;
                differences.extend(list.into_iter().map(|text| (name.clone(), text)));
            }
            Err(text) => drop(differences.insert((name.clone(), text))),
        }
    }
    let known = |name: &str, text: &str| {
        KNOWN.iter().any(|row| (row.0 == "*" || row.0 == name) && text.contains(row.1))
    };
    let unexplained: Vec<_> = differences.iter().filter(|(name, text)| !known(name, text)).collect();
    assert!(unexplained.is_empty(), "{unexplained:#?}");
    for (name, part, reason) in KNOWN {
        let there = fixtures.iter().any(|path| *name == "*" || path.ends_with(name));
        let is_here = |other: &str| *name == "*" || other == *name;
        let occurs = differences.iter().any(|(other, text)| is_here(other) && text.contains(part));
        assert!(!there || occurs, "{name} no longer differs in “{part}” ({reason}): take it off the table");
    }
    println!("{compared} entities compared in {} fixtures", fixtures.len());
    assert!(fixtures.is_empty() || compared > 0);
}

fn fixtures() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures");
    let Ok(entries) = std::fs::read_dir(folder) else { return Vec::new() };
    let paths = entries.map(|entry| entry.unwrap().path());
    let is_dxf = |path: &PathBuf| path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("dxf"));
    let mut list: Vec<PathBuf> = paths.filter(is_dxf).collect();
    list.sort();
    list
}

/// How many entities were compared, and what differs; or why there is no comparison.
fn differing(path: &Path) -> Result<(usize, Vec<String>), String> {
    let own = Drawing::open(path);
    let other = dxf::Drawing::load_file(path);
    let (own, other) = match (own, other) {
        (Ok(own), Ok(other)) => (own, other),
        (Err(error), Ok(_)) => return Err(format!("only the dxf crate reads it: {error}")),
        (Ok(_), Err(error)) => return Err(format!("the dxf crate does not read it: {error}")),
        // Neither takes it for a drawing.
        (Err(_), Err(_)) => return Ok((0, Vec::new())),
    };
    // It gives nothing of hatches and polygons, and of multilines not what their lines are made of: ezdxf compares these
    // (tests/second_opinion/drawn.py).
    let is_compared =
        |e: &&Entity| !matches!(e.kind, EntityKind::Hatch | EntityKind::Mpolygon | EntityKind::Mline);
    let own_entities: Vec<&Entity> = own.entities.iter().filter(is_compared).collect();
    let mut expected = Vec::new();
    for entity in other.entities().filter(|entity| !entity.common.is_in_paper_space) {
        collect(entity, &other, &Affine::IDENTITY, None, 0, &mut expected);
    }
    let mut list = Vec::new();
    if own_entities.len() != expected.len() {
        list.push(format!("{} entities, by the dxf crate {}", own_entities.len(), expected.len()));
    }
    let reach = own.entities.iter().map(|entity| entity.shape.bounds().reach()).fold(1.0, f64::max);
    for (own_entity, expected) in own_entities.iter().copied().zip(&expected) {
        if let Some(text) = compare(&own, own_entity, expected, AGREEMENT * reach) {
            let handle = expected.handle;
            list.push(format!(
                "{} of {} (handle {handle:X}): {text}",
                own_entity.kind,
                own_entity.position()
            ));
        }
    }
    Ok((own_entities.len().min(expected.len()), list))
}

fn compare(drawing: &Drawing, own: &Entity, expected: &Expected, tolerance: f64) -> Option<String> {
    if own.kind != expected.kind {
        return Some(format!("{} by the dxf crate", expected.kind));
    }
    let layer = &drawing.layer(own.layer).name;
    if layer.to_lowercase() != expected.layer.to_lowercase() {
        return Some(format!("layer {layer}, by the dxf crate {}", expected.layer));
    }
    let curves = own.shape.curves();
    if curves.is_empty() {
        let alone = expected.points.windows(2).all(|pair| pair[0] == pair[1]);
        if !alone {
            return Some("nothing drawn".to_owned());
        }
    } else if !own.shape.is_closed() {
        let ends = [curves[0].start(), curves[curves.len() - 1].end()];
        let others = [expected.points[0], expected.points[expected.points.len() - 1]];
        for (end, other) in ends.iter().zip(others) {
            if end.distance(other) > tolerance {
                return Some(format!("end {end:?}, by the dxf crate {other:?}"));
            }
        }
    }
    for point in expected.points.iter().filter(|_| !curves.is_empty()) {
        let gap = curves.iter().map(|curve| distance(curve, *point)).fold(f64::INFINITY, f64::min);
        if gap > tolerance {
            return Some(format!("{point:?} by the dxf crate lies {gap} off"));
        }
    }
    // The dxf crate has 0 for none.
    if own.handle().unwrap_or(0) != expected.handle {
        let place = if expected.in_block { " within a block" } else { "" };
        return Some(format!("handle{place} {:X?}, by the dxf crate {:X}", own.handle(), expected.handle));
    }
    None
}

/// Distance from a point to a curve: the nearest of many places, then halved steps around them. Several are tried,
/// since a closed curve has the place where it begins twice.
fn distance(curve: &Curve, point: Point) -> f64 {
    const PLACES: u32 = 64;
    let at = |t: f64| curve.at(t.clamp(0.0, 1.0)).distance(point);
    let mut places: Vec<f64> = shares(PLACES).collect();
    places.sort_by(|a, b| at(*a).total_cmp(&at(*b)));
    let nearest = |start: &f64| {
        let mut best = (at(*start), *start);
        let mut step = 1.0 / f64::from(PLACES);
        while step > 1e-17 {
            match [best.1 - step, best.1 + step].into_iter().find(|t| at(*t) < best.0) {
                Some(t) => best = (at(t), t.clamp(0.0, 1.0)),
                None => step *= 0.5,
            }
        }
        best.0
    };
    places.iter().take(4).map(nearest).fold(f64::INFINITY, f64::min)
}

/// The entity, or what a block reference shows, in the order of the file.
fn collect(
    entity: &Other,
    drawing: &dxf::Drawing,
    map: &Affine,
    layer_of_insert: Option<&str>,
    depth: u32,
    expected: &mut Vec<Expected>,
) {
    let own_layer = entity.common.layer.as_str();
    let layer = layer_of_insert.filter(|_| own_layer == "0").unwrap_or(own_layer);
    if let EntityType::Insert(insert) = &entity.specific {
        let named = |block: &&dxf::Block| block.name.eq_ignore_ascii_case(&insert.name);
        let Some(block) = drawing.blocks().find(named).filter(|_| depth < 20) else { return };
        let Some(own_plane) = plane(&insert.extrusion_direction, insert.location.z) else { return };
        let turn = Affine::rotation(insert.rotation.to_radians());
        for row in 0..insert.row_count.max(1) {
            for column in 0..insert.column_count.max(1) {
                let spacing = Point::new(
                    f64::from(column) * insert.column_spacing,
                    f64::from(row) * insert.row_spacing,
                );
                let place = Point::new(insert.location.x, insert.location.y);
                // The spacing comes after scaling and before turning: it is turned, not scaled.
                let map = Affine::translation(-flat(&block.base_point))
                    .then(&Affine::scaling(insert.x_scale_factor, insert.y_scale_factor))
                    .then(&Affine::translation(spacing))
                    .then(&turn)
                    .then(&Affine::translation(place))
                    .then(&own_plane)
                    .then(map);
                for inner in &block.entities {
                    collect(inner, drawing, &map, Some(layer), depth + 1, expected);
                }
            }
        }
        return;
    }
    let Some((kind, own_plane, points)) = drawn(&entity.specific, entity.common.elevation) else { return };
    let map = own_plane.then(map);
    expected.push(Expected {
        kind,
        layer: layer.to_owned(),
        handle: entity.common.handle.0,
        in_block: layer_of_insert.is_some(),
        points: points.into_iter().map(|point| map.point(point)).collect(),
    });
}

fn flat(point: &dxf::Point) -> Point {
    Point::new(point.x, point.y)
}

/// A plane at an elevation along its normal, seen from above; `None` on edge, where the reader passes it over. Its x
/// axis is y × n where n is within 1/64 of z, else z × n (arbitrary-axis rule of DXF); its y axis is n × x.
fn plane(normal: &dxf::Vector, elevation: f64) -> Option<Affine> {
    let length = normal.x.hypot(normal.y).hypot(normal.z);
    let [nx, ny, nz] = [normal.x, normal.y, normal.z].map(|part| part / length);
    if nz.abs() < 1e-3 {
        return None;
    }
    let near_z = nx.abs() < 1.0 / 64.0 && ny.abs() < 1.0 / 64.0;
    let [x, y, z] = if near_z { [nz, 0.0, -nx] } else { [-ny, nx, 0.0] };
    let size = x.hypot(y).hypot(z);
    let [x, y, z] = [x / size, y / size, z / size];
    let offset = Point::new(nx, ny) * elevation;
    Some(Affine { xx: x, xy: ny * z - nz * y, yx: y, yy: nz * x - nx * z, offset })
}

/// Points on what is drawn, in the entity's own plane; `elevation` is that of a light polyline.
fn drawn(entity: &EntityType, elevation: f64) -> Option<(EntityKind, Affine, Vec<Point>)> {
    const WORLD: Affine = Affine::IDENTITY;
    Some(match entity {
        // The reader passes over what stands upright.
        EntityType::Line(line) if flat(&line.p1) == flat(&line.p2) && line.p1.z != line.p2.z => return None,
        EntityType::Line(line) => (EntityKind::Line, WORLD, vec![flat(&line.p1), flat(&line.p2)]),
        // It passes over circles without a radius too, with a warning.
        EntityType::Circle(circle) if circle.radius == 0.0 => return None,
        EntityType::Arc(arc) => {
            let sweep = match (arc.end_angle - arc.start_angle).rem_euclid(360.0) {
                0.0 => 360.0,
                sweep => sweep,
            };
            let at = |share: f64| {
                flat(&arc.center)
                    + Point::at_angle((arc.start_angle + sweep * share).to_radians()) * arc.radius
            };
            (EntityKind::Arc, plane(&arc.normal, arc.center.z)?, shares(7).map(at).collect())
        }
        EntityType::Circle(circle) => {
            let at = |share: f64| flat(&circle.center) + Point::at_angle(TAU * share) * circle.radius;
            (EntityKind::Circle, plane(&circle.normal, circle.center.z)?, shares(8).map(at).collect())
        }
        EntityType::Ellipse(ellipse) => {
            let mirror = plane(&ellipse.normal, 0.0)?.determinant();
            let major = Point::new(ellipse.major_axis.x, ellipse.major_axis.y);
            let minor = major.quarter_turned() * (ellipse.minor_axis_ratio * mirror);
            let sweep = match (ellipse.end_parameter - ellipse.start_parameter).rem_euclid(TAU) {
                sweep if sweep < 1e-6 => TAU,
                sweep => sweep,
            };
            let at = |share: f64| {
                let parameter = ellipse.start_parameter + sweep * share;
                flat(&ellipse.center) + major * parameter.cos() + minor * parameter.sin()
            };
            (EntityKind::Ellipse, WORLD, shares(8).map(at).collect())
        }
        EntityType::LwPolyline(polyline) => {
            let vertices: Vec<_> =
                polyline.vertices.iter().map(|v| (Point::new(v.x, v.y), v.bulge)).collect();
            let own_plane = plane(&polyline.extrusion_direction, elevation)?;
            (EntityKind::LwPolyline, own_plane, bulged(&vertices, polyline.is_closed()))
        }
        EntityType::Polyline(polyline) => {
            let kept: Vec<_> = polyline.vertices().filter(|vertex| vertex.flags & 16 == 0).collect();
            let spatial = polyline.flags & 8 != 0;
            if polyline.flags & (16 | 64) != 0 {
                return None;
            }
            let bulge = |bulge: f64| if spatial { 0.0 } else { bulge };
            let vertices: Vec<_> =
                kept.iter().map(|vertex| (flat(&vertex.location), bulge(vertex.bulge))).collect();
            let own_plane = if spatial { WORLD } else { plane(&polyline.normal, polyline.location.z)? };
            (EntityKind::Polyline, own_plane, bulged(&vertices, polyline.flags & 1 != 0))
        }
        EntityType::Spline(spline) => (EntityKind::Spline, WORLD, on_spline(spline)),
        EntityType::Face3D(face) => {
            let corners = [&face.first_corner, &face.second_corner, &face.third_corner, &face.fourth_corner];
            let flat = corners.map(flat);
            // One that stands upright has no area from above, and is passed over.
            let seen = (flat[2] - flat[0]).cross(flat[3] - flat[1]);
            if seen == 0.0 {
                return None;
            }
            (EntityKind::Face, WORLD, flat.to_vec())
        }
        EntityType::Solid(solid) => {
            let corners =
                [&solid.first_corner, &solid.second_corner, &solid.fourth_corner, &solid.third_corner];
            (
                EntityKind::Solid,
                plane(&solid.extrusion_direction, solid.first_corner.z)?,
                corners.map(flat).to_vec(),
            )
        }
        EntityType::Trace(trace) => {
            let corners =
                [&trace.first_corner, &trace.second_corner, &trace.fourth_corner, &trace.third_corner];
            (
                EntityKind::Trace,
                plane(&trace.extrusion_direction, trace.first_corner.z)?,
                corners.map(flat).to_vec(),
            )
        }
        _ => return None,
    })
}

fn shares(count: u32) -> impl Iterator<Item = f64> {
    (0..=count).map(move |i| f64::from(i) / f64::from(count))
}

/// The vertices, and the middle of each edge: beside its chord by the bulge times half the chord.
fn bulged(vertices: &[(Point, f64)], closed: bool) -> Vec<Point> {
    let mut points = Vec::new();
    for (i, (start, bulge)) in vertices.iter().enumerate() {
        points.push(*start);
        if i + 1 < vertices.len() || closed {
            let end = vertices[(i + 1) % vertices.len()].0;
            points.push(start.towards(end, 0.5) - (end - *start).quarter_turned() * (0.5 * bulge));
        }
    }
    points
}

/// Points by the basis functions' recursive definition; for one by fit points alone, these.
fn on_spline(spline: &dxf::entities::Spline) -> Vec<Point> {
    let (knots, points, degree) =
        (&spline.knot_values, &spline.control_points, spline.degree_of_curve.max(0) as usize);
    if points.is_empty() {
        return spline.fit_points.iter().map(flat).collect();
    }
    if knots.len() != points.len() + degree + 1 {
        return vec![flat(&points[0]), flat(&points[points.len() - 1])];
    }
    let (first, last) = (knots[degree], knots[points.len()]);
    let at = |share: f64| {
        let t = if share < 1.0 { first + (last - first) * share } else { last };
        let (mut sum, mut weights) = (Point::ORIGIN, 0.0);
        for (i, point) in points.iter().enumerate() {
            let weight =
                spline.weight_values.get(i).copied().unwrap_or(1.0) * basis(knots, last, i, degree, t);
            sum += flat(point) * weight;
            weights += weight;
        }
        sum * (1.0 / weights)
    };
    shares(16).map(at).collect()
}

fn basis(knots: &[f64], last: f64, i: usize, degree: usize, t: f64) -> f64 {
    if degree == 0 {
        let (low, high) = (knots[i], knots[i + 1]);
        // The end of the domain belongs to its last interval.
        return f64::from(u8::from(low <= t && t < high || t == last && low < high && high == last));
    }
    let part = |share: f64, width: f64, rest: f64| if width == 0.0 { 0.0 } else { share / width * rest };
    part(t - knots[i], knots[i + degree] - knots[i], basis(knots, last, i, degree - 1, t))
        + part(
            knots[i + degree + 1] - t,
            knots[i + degree + 1] - knots[i + 1],
            basis(knots, last, i + 1, degree - 1, t),
        )
}
