//! Bodies put together record by record, as versions from 106 to 21800 write them: topology and straight edges as
//! ezdxf 1.4 reads them, ellipses, splines and the versions before 400 from memory.

use std::f64::consts::{FRAC_1_SQRT_2, FRAC_PI_2, PI, TAU};

use super::*;
use crate::drawing::plane::{Map3, Point3, UP};
use crate::drawing::shape::Shape;
use crate::drawing::{Drawing, EntityKind};
use crate::geometry::Point;

/// One side of a loop, from its corner to the next one's.
#[derive(Clone)]
struct Side {
    corner: Point3,
    curve: &'static str,
    data: String,
    parameters: [f64; 2],
    edge_reversed: bool,
    coedge_reversed: bool,
}

fn straight(corner: Point3) -> Side {
    let (data, parameters) = ("0 0 0 1 0 0 I I".to_owned(), [0.0, 1.0]);
    Side { corner, curve: "straight-curve", data, parameters, edge_reversed: false, coedge_reversed: false }
}

fn round(corner: Point3, data: &str, parameters: [f64; 2]) -> Side {
    Side { curve: "ellipse-curve", data: format!("{data} I I"), parameters, ..straight(corner) }
}

fn spline(corner: Point3, data: &str, parameters: [f64; 2]) -> Side {
    Side { curve: "intcurve-curve", data: data.to_owned(), parameters, ..straight(corner) }
}

fn polygon(corners: &[(f64, f64)]) -> Vec<Side> {
    corners.iter().map(|(x, y)| straight([*x, *y, 0.0])).collect()
}

const LEVEL: &str = "plane-surface # 12 7 0 0 0 1 1 0 0 forward_v I I I I";

/// The text of a body of faces, each with its surface and loops.
fn text(version: u32, faces: &[(&str, Vec<Vec<Side>>)], transform: &str) -> String {
    let head = if version < 700 { "$-1" } else { "$-1 -1 $-1" };
    let lines = if version < 200 { "" } else { "@5 maker @4 ACIS\n1 9.9999999999999995e-007 1e-010\n" };
    let mut out = format!("{version} 0 1 0\n{lines}");
    let mut put = |record: String| out.push_str(&format!("{record} #\n"));
    put(format!("body {head} $1 $-1 {}", if transform.is_empty() { "$-1" } else { "$3" }));
    put(format!("lump {head} $-1 $2 $0"));
    put(format!("shell {head} $-1 $-1 $4 $-1 $1"));
    let head_of_transform = if version < 700 { "$-1" } else { "$-1 -1" };
    put(format!("transform {head_of_transform} {transform}"));
    let mut at = 4;
    for (k, (surface, loops)) in faces.iter().enumerate() {
        let size: usize = 2 + loops.iter().map(|sides| 1 + 5 * sides.len()).sum::<usize>();
        let next = if k + 1 < faces.len() { format!("${}", at + size) } else { "$-1".to_owned() };
        put(format!("face {head} {next} ${} $2 $-1 ${} forward single", at + 2, at + 1));
        put(surface.replace('#', head));
        let mut first = at + 2;
        for (j, sides) in loops.iter().enumerate() {
            let n = sides.len();
            let next = if j + 1 < loops.len() { format!("${}", first + 1 + 5 * n) } else { "$-1".to_owned() };
            put(format!("loop {head} {next} ${} ${at}", first + 1));
            let [coedges, edges, vertices, points, curves] = [0, 1, 2, 3, 4].map(|kind| first + 1 + kind * n);
            let sense = |reversed| match (version < 200, reversed) {
                (true, reversed) => {
                    if reversed {
                        "1"
                    } else {
                        "0"
                    }
                }
                (false, true) => "reversed",
                (false, false) => "forward",
            };
            for (i, side) in sides.iter().enumerate() {
                let [after, before] = [(i + 1) % n, (i + n - 1) % n].map(|i| coedges + i);
                let sense = sense(side.coedge_reversed);
                put(format!("coedge {head} ${after} ${before} $-1 ${} {sense} ${first} $-1", edges + i));
            }
            for (i, side) in sides.iter().enumerate() {
                let (mut a, mut b) = (vertices + i, vertices + (i + 1) % n);
                if side.coedge_reversed {
                    std::mem::swap(&mut a, &mut b);
                }
                let [from, to] = side.parameters;
                let (from, to) = if version < 500 {
                    (String::new(), String::new())
                } else {
                    (from.to_string(), to.to_string())
                };
                let (sense, tail) =
                    (sense(side.edge_reversed), if version < 700 { "" } else { "@7 unknown" });
                put(format!(
                    "edge {head} ${a} {from} ${b} {to} ${} ${} {sense} {tail}",
                    coedges + i,
                    curves + i
                ));
            }
            for i in 0..n {
                put(format!("vertex {head} ${} ${}", edges + i, points + i));
            }
            for Side { corner: [x, y, z], .. } in sides {
                put(format!("point {head} {x} {y} {z}"));
            }
            for side in sides {
                put(format!("{} {head} {}", side.curve, side.data));
            }
            first += 1 + 5 * n;
        }
        at += size;
    }
    out.push_str("End-of-ACIS-data\n");
    out
}

fn read(text: &str) -> Result<RawShape, Problem> {
    let mut lines = Text::default();
    text.lines().for_each(|line| lines.line(line.as_bytes()));
    drawn(lines)
}

/// Seen from above, its loops one by one.
fn seen(text: &str) -> Vec<Shape> {
    let drawn = read(text).unwrap_or_else(|problem| panic!("{problem:?} in\n{text}"));
    drawn.placed([0.3, 0.1, 2.0], &Map3::IDENTITY).unwrap().seen.chains().to_vec()
}

fn problem(text: &str) -> String {
    match read(text) {
        Ok(drawn) => panic!("{drawn:?} of\n{text}"),
        Err(Problem::Damaged(message)) => format!("damaged: {message}"),
        Err(Problem::NotRead(message)) => format!("not read: {message}"),
    }
}

/// The area that a loop encloses; its curves must join exactly.
fn area(shape: &Shape) -> f64 {
    assert!(shape.is_closed());
    let curves = shape.curves();
    for (i, curve) in curves.iter().enumerate() {
        assert_eq!(curve.end(), curves[(i + 1) % curves.len()].start());
    }
    curves.iter().map(|curve| curve.swept_area(Point::new(20.0, 10.0))).sum::<f64>().abs()
}

fn close(found: f64, expected: f64) {
    assert!((found - expected).abs() < 1e-12 * expected.abs(), "{found} for {expected}");
}

const PLATE: [(f64, f64); 4] = [(12.0, 7.0), (52.0, 7.0), (52.0, 32.0), (12.0, 32.0)];

/// A plate of 40 by 25 with a round hole of radius 6.
fn plate_with_hole() -> Vec<Vec<Side>> {
    vec![polygon(&PLATE), vec![round([33.0, 18.0, 0.0], "27 18 0 0 0 1 6 0 0 1", [0.0, TAU])]]
}

#[test]
fn a_plate_with_a_round_hole_in_every_version() {
    for version in [106, 107, 200, 400, 500, 600, 700, 20800, 21800] {
        let loops = seen(&text(version, &[(LEVEL, plate_with_hole())], ""));
        assert_eq!(loops.len(), 2, "{version}");
        close(area(&loops[0]) - area(&loops[1]), 1000.0 - 36.0 * PI);
        let hole = Shape::Circle { center: Point::new(27.0, 18.0), radius: 6.0 };
        assert_eq!(loops[1], hole, "{version}");
        assert_eq!(loops[0].curves()[1].end(), Point::new(52.0, 32.0));
    }
}

/// A half circle of radius 12.5 on the right of the plate, in each of the four ways to write it.
#[test]
fn arcs_travelled_either_way() {
    let half = |x: f64, normal: f64, [from, to]: [f64; 2], edge_reversed, coedge_reversed| {
        let mut sides = polygon(&PLATE);
        let curve = format!("52 19.5 0 0 0 {normal} {x} 0 0 1");
        sides[1] = Side { edge_reversed, coedge_reversed, ..round(sides[1].corner, &curve, [from, to]) };
        for version in [400, 700] {
            let loops = seen(&text(version, &[(LEVEL, vec![sides.clone()])], ""));
            assert_eq!(loops.len(), 1);
            close(area(&loops[0]), 1000.0 + 0.5 * PI * 12.5 * 12.5);
        }
    };
    half(12.5, 1.0, [-FRAC_PI_2, FRAC_PI_2], false, false);
    half(12.5, 1.0, [-FRAC_PI_2, FRAC_PI_2], true, true);
    half(12.5, -1.0, [-FRAC_PI_2, FRAC_PI_2], true, false);
    half(12.5, -1.0, [-FRAC_PI_2, FRAC_PI_2], false, true);
    half(-12.5, 1.0, [FRAC_PI_2, 1.5 * PI], false, false);
    half(-12.5, -1.0, [FRAC_PI_2, 1.5 * PI], false, true);
}

#[test]
fn ellipses_whole_and_in_part() {
    // A quarter of an ellipse with half-diameters 9 and 4, turned, between its two axes; and a whole one.
    let (sine, cosine) = 0.3_f64.sin_cos();
    let at = |x: f64, y: f64| [20.0 + x * cosine - y * sine, 10.0 + x * sine + y * cosine, 3.0];
    let curve = format!("20 10 3 0 0 1 {} {} 0 {}", 9.0 * cosine, 9.0 * sine, 4.0 / 9.0);
    let quarter =
        vec![straight(at(0.0, 0.0)), round(at(9.0, 0.0), &curve, [0.0, FRAC_PI_2]), straight(at(0.0, 4.0))];
    let whole = vec![round(at(9.0, 0.0), &curve, [0.0, TAU])];
    for (sides, expected) in [(quarter, 9.0 * PI), (whole, 36.0 * PI)] {
        for version in [400, 700] {
            let loops = seen(&text(version, &[(LEVEL, vec![sides.clone()])], ""));
            close(area(&loops[0]), expected);
        }
    }
}

/// A quarter circle about (20, 10) as a rational spline of degree 2 from (26, 10) to (20, 16).
const QUARTER: &str = "full nurbs 2 open 2 0 2 1 2 26 10 0 1 26 16 0 0.70710678118654757 20 16 0 1 0 null_surface \
                       null_surface nullbs nullbs I I } I I";

#[test]
fn splines_that_are_given_exactly() {
    let center = [20.0, 10.0, 0.0];
    let sector = |from: Point3, data: &str, parameters, to: Point3, edge_reversed, coedge_reversed| {
        let arc = Side { edge_reversed, coedge_reversed, ..spline(from, data, parameters) };
        seen(&text(700, &[(LEVEL, vec![vec![straight(center), arc, straight(to)]])], "")).remove(0)
    };
    let (right, top) = ([26.0, 10.0, 0.0], [20.0, 16.0, 0.0]);
    let (along, against) =
        (format!("forward {{ exactcur {QUARTER}"), format!("reversed {{ exactcur {QUARTER}"));
    close(area(&sector(right, &along, [0.0, 1.0], top, false, false)), 9.0 * PI);
    close(area(&sector(top, &along, [-1.0, 0.0], right, true, false)), 9.0 * PI);
    close(area(&sector(top, &along, [0.0, 1.0], right, false, true)), 9.0 * PI);
    close(area(&sector(top, &against, [-1.0, 0.0], right, false, false)), 9.0 * PI);
    close(area(&sector(right, &against, [0.0, 1.0], top, true, false)), 9.0 * PI);
    // Half of it: at the middle parameter it stands at 45 degrees.
    let middle = [20.0 + 6.0 * FRAC_1_SQRT_2, 10.0 + 6.0 * FRAC_1_SQRT_2, 0.0];
    close(area(&sector(right, &along, [0.0, 0.5], middle, false, false)), 4.5 * PI);
    // A whole ellipse's worth of cubic: a closed spline with one knot within, against its Bézier spans by hand.
    let closed =
        "forward { exactcur full nubs 3 closed 3 0 3 1 1 2 3 20 10 0 30 10 0 34 22 0 18 24 0 20 10 0 0 } I I";
    let sides = vec![spline([20.0, 10.0, 0.0], closed, [0.0, 2.0])];
    let shape = seen(&text(700, &[(LEVEL, vec![sides])], "")).remove(0);
    assert_eq!(shape.curves().len(), 2);
    // The spans meet in a quarter of (30, 10) + 2·(34, 22) + (18, 24).
    assert_eq!(shape.curves()[0].end(), Point::new(29.0, 19.5));
    assert!(area(&shape) > 50.0);
}

#[test]
fn a_transform_turns_scales_and_moves() {
    let faces = [(LEVEL, plate_with_hole())];
    let quarter_turn = |factor: f64| format!("0 {factor} 0 -{factor} 0 0 0 0 {factor} 100 50 4");
    for (matrix, scale) in [(quarter_turn(1.0), 1.0), (quarter_turn(1.0), 2.0), (quarter_turn(2.0), 2.0)] {
        let loops = seen(&text(700, &faces, &format!("{matrix} {scale} rotate no_reflect no_shear")));
        close(area(&loops[0]) - area(&loops[1]), scale * scale * (1000.0 - 36.0 * PI));
        assert_eq!(loops[0].curves()[0].start(), Point::new(100.0 - 7.0 * scale, 50.0 + 12.0 * scale));
    }
    let found = problem(&text(700, &faces, "1 0 0 0 1 0 0 0 1.5 0 0 0 1 no_rotate no_reflect shear"));
    assert!(found.starts_with("not read: a transform") && found.contains("record 3"), "{found}");
}

#[test]
fn a_plane_that_is_turned() {
    // The plate in the plane of x and z: upright, and laid down by the map of a block.
    let upright =
        |sides: &[(f64, f64)]| sides.iter().map(|(x, z)| straight([*x, 5.0, *z])).collect::<Vec<_>>();
    let hole = vec![round([33.0, 5.0, 18.0], "27 5 18 0 1 0 6 0 0 1", [0.0, TAU])];
    let face = vec![upright(&PLATE), hole];
    let surface = "plane-surface # 0 5 0 0 1 0 1 0 0 forward_v I I I I";
    let drawn = read(&text(700, &[(surface, face)], "")).unwrap();
    assert!(drawn.clone().placed(UP, &Map3::IDENTITY).is_err());
    let axes = crate::drawing::plane::Axes { x: [1.0, 0.0, 0.0], y: [0.0, 0.0, 1.0], z: [0.0, 1.0, 0.0] };
    let view = drawn.placed(UP, &Map3 { axes, offset: [0.0; 3] }).unwrap();
    assert!(!view.tilted);
    let loops = view.seen.chains();
    close(area(&loops[0]) - area(&loops[1]), 1000.0 - 36.0 * PI);
    assert!(
        matches!(loops[1], Shape::Circle { center, .. } if center.distance(Point::new(27.0, 18.0)) < 1e-12)
    );
    // Facing down, the coordinates are the same.
    let down = "plane-surface # 0 0 0 0 0 -1 1 0 0 reverse_v I I I I";
    assert_eq!(
        seen(&text(700, &[(down, plate_with_hole())], "")),
        seen(&text(700, &[(LEVEL, plate_with_hole())], ""))
    );
}

#[test]
fn several_faces_give_all_their_loops() {
    let other = vec![polygon(&[(60.0, 7.0), (75.0, 8.0), (66.0, 21.0)])];
    let loops = seen(&text(400, &[(LEVEL, plate_with_hole()), (LEVEL, other.clone())], ""));
    assert_eq!(loops.len(), 3);
    close(area(&loops[2]), 0.5 * (15.0 * 14.0 - 6.0));
    let above: Vec<Side> =
        other[0].iter().map(|side| straight([side.corner[0], side.corner[1], 1.0])).collect();
    let found = problem(&text(400, &[(LEVEL, plate_with_hole()), (LEVEL, vec![above])], ""));
    assert!(found.starts_with("not read: ") && found.contains("several planes"), "{found}");
}

#[test]
fn what_is_not_read_is_named() {
    let plate = || vec![polygon(&PLATE)];
    let cone = "cone-surface # 0 0 0 0 0 1 1 0 0 1 I I 0 1 1 forward I I I I";
    let whole = text(700, &[(LEVEL, plate_with_hole())], "");
    let half_turned = {
        let mut sides = polygon(&PLATE);
        sides[1] = round(sides[1].corner, "52 19.5 0 0 0 1 12.5 0 0 1", [0.0, 1.0]);
        text(700, &[(LEVEL, vec![sides])], "")
    };
    let approximate = {
        let mut sides = polygon(&PLATE);
        sides[1] = spline(sides[1].corner, "forward { surfintcur full nubs 3 } I I", [0.0, 1.0]);
        text(700, &[(LEVEL, vec![sides])], "")
    };
    for (text, part) in [
        (text(700, &[(cone, plate())], ""), "not read: a face that is not plane: cone-surface (record 5)"),
        (half_turned, "parameters are not those of its vertices"),
        (approximate, "a spline that is not given exactly: intcurve-curve"),
        (whole.replace("straight-curve", "helix-curve"), "a curve of this kind: helix-curve"),
        (
            whole
                .replace("shell $-1 -1 $-1 $-1 $-1", "shell $-1 -1 $-1 $-1 $3")
                .replace("transform", "subshell"),
            "a part of a shell",
        ),
        (whole.replace("lump $-1 -1 $-1 $-1 $2 $0", "lump $-1 -1 $-1 $-1 $-1 $0"), "no face"),
        (
            whole.replace("coedge $-1 -1 $-1 $8", "coedge $-1 -1 $-1 $-1"),
            "a loop that is not closed: coedge (record 7)",
        ),
        (
            text(700, &[(LEVEL, vec![])], "").replace("face $-1 -1 $-1 $-1 $6", "face $-1 -1 $-1 $-1 $-1"),
            "a face without bounds",
        ),
    ] {
        let found = problem(&text);
        assert!(found.starts_with("not read: ") && found.contains(part), "{part} in {found}");
    }
}

#[test]
fn damage_is_named_with_its_record() {
    let whole = text(700, &[(LEVEL, plate_with_hole())], "");
    for (from, to, part) in [
        ("coedge $-1 -1 $-1 $8", "coedge $-1 -1 $-1 $99", "$99 refers to no record in the coedge (record 7)"),
        ("coedge $-1 -1 $-1 $8", "coedge $-1 -1 $-1 $2", "$2 is no coedge in the coedge (record 7)"),
        ("$10 $8 $-1", "$8 $8 $-1", "a chain that comes back in the coedge (record 8)"),
        ("lump $-1 -1 $-1 $-1", "lump $-1 -1 $-1 $1", "a chain that comes back in the lump (record 1)"),
        ("loop $-1 -1 $-1 $-1", "loop $-1 -1 $-1 $6", "a chain that comes back in the loop (record 6)"),
        (
            "point $-1 -1 $-1 52 7 0",
            "point $-1 -1 $-1 52 x 0",
            "“x” where a number should stand in the point",
        ),
        ("27 18 0 0 0 1 6", "27 18 0 0 0 0 6", "an axis of no length in the ellipse-curve"),
        ("27 18 0 0 0 1 6", "28 18 0 0 0 1 6", "an end that is not on its ellipse"),
        ("0 0 0 1 0 0 I I #\nstraight", "#\nstraight", ""),
        ("forward single", "sideways single", ""),
        (
            "6.283185307179586 $28 $32 forward",
            "6.283185307179586 $28 $32 sideways",
            "“sideways” where a sense should stand",
        ),
    ] {
        let text = whole.replacen(from, to, 1);
        assert_ne!(text, whole, "{from}");
        if part.is_empty() {
            // Of no weight: where a straight edge lies is told by its vertices, and which side is material by nesting.
            assert_eq!(seen(&text), seen(&whole));
            continue;
        }
        let found = problem(&text);
        assert!(found.contains(part), "{part} in {found}");
    }
}

/// Whatever word is another, whatever place the text ends at: an answer, and no panic.
#[test]
fn damage_anywhere_gives_an_answer() {
    let mut sides = polygon(&PLATE);
    sides[1] = round(sides[1].corner, "52 19.5 0 0 0 1 12.5 0 0 1", [-FRAC_PI_2, FRAC_PI_2]);
    let quarter = spline([26.0, 10.0, 0.0], &format!("forward {{ exactcur {QUARTER}"), [0.0, 1.0]);
    let sector = vec![straight([20.0, 10.0, 0.0]), quarter, straight([20.0, 16.0, 0.0])];
    let whole =
        text(700, &[(LEVEL, vec![sides, sector])], "1 0 0 0 1 0 0 0 1 0 0 0 1 no_rotate no_reflect no_shear");
    seen(&whole);
    for end in (0..whole.len()).step_by(3) {
        let _ = read(&whole[..end]);
    }
    let words: Vec<&str> = whole.split(' ').collect();
    let mut read_all_the_same = 0;
    for i in 0..words.len() {
        for other in ["$5", "$-1", "0", "-1", "1e308", "9007199254740991", "#", "@4"] {
            let mut words = words.clone();
            words[i] = other;
            read_all_the_same += u32::from(read(&words.join(" ")).is_ok());
        }
    }
    assert!(read_all_the_same > 0);
}

/// Put together, written and hidden by ezdxf (tests/second_opinion/body.py): a plate with two cut-outs and a second
/// face beside it, turned and moved, in the version that most drawings have.
#[test]
fn a_body_that_another_program_wrote() {
    let mut lines = Text::default();
    include_str!("../../../tests/second_opinion/body.txt")
        .lines()
        .for_each(|line| lines.line(line.as_bytes()));
    let loops = drawn(lines).unwrap().placed(UP, &Map3::IDENTITY).unwrap().seen.chains().to_vec();
    let areas: Vec<f64> = loops.iter().map(area).collect();
    // 120 x 80, 20 x 30, a triangle of 24 x 15 over 2, 35 x 18.
    for (found, expected) in areas.iter().zip([9600.0, 600.0, 180.0, 630.0]) {
        close(*found, expected);
    }
    assert_eq!(areas.len(), 4);
    // (10, 20) turned by a quarter and moved by (300, 40).
    assert_eq!(loops[0].curves()[0].start(), Point::new(280.0, 50.0));
}

/// A drawing with one entity that holds a text, in lines and continued lines.
fn drawing(entity: &str, text: &str) -> Drawing {
    let mut out =
        format!("0\nSECTION\n2\nENTITIES\n0\n{entity}\n5\nA7\n8\nPlate\n100\nAcDbModelerGeometry\n70\n1\n");
    for line in text.lines() {
        let (first, rest) = line.split_at(line.len().min(30));
        out.push_str(&format!("1\n{first}\n"));
        if !rest.is_empty() {
            out.push_str(&format!("3\n{rest}\n"));
        }
    }
    out.push_str("0\nENDSEC\n0\nEOF\n");
    Drawing::read(out.as_bytes()).unwrap()
}

#[test]
fn regions_and_bodies_in_a_drawing() {
    for (name, kind) in [("REGION", EntityKind::Region), ("BODY", EntityKind::Body)] {
        let read = drawing(name, &text(700, &[(LEVEL, plate_with_hole())], ""));
        assert_eq!((read.entities.len(), read.findings.len()), (1, 0), "{:?}", read.findings);
        let entity = &read.entities[0];
        assert_eq!((entity.kind, entity.handle(), entity.shape.chains().len()), (kind, Some(0xA7), 2));
    }
    let cone = "cone-surface # 0 0 0 0 0 1 1 0 0 1 I I 0 1 1 forward I I I I";
    let curved = text(700, &[(cone, vec![polygon(&PLATE)])], "");
    let damaged = text(700, &[(LEVEL, plate_with_hole())], "").replace("$-1 52 7 0", "$-1 52 7");
    for (text, reason, part) in [
        (curved.as_str(), Reason::NotReadYet, "cone-surface (record 5)"),
        (damaged.as_str(), Reason::BadValue, "point (record"),
        ("", Reason::NotReadYet, "binary body, which is not read"),
    ] {
        let read = drawing("REGION", text);
        assert!(read.entities.is_empty());
        assert_eq!((read.passed_over[0].reason, read.passed_over[0].places[0].handle), (reason, Some(0xA7)));
        let messages: Vec<String> = read.findings.iter().map(ToString::to_string).collect();
        assert_eq!(messages.len(), 1);
        for part in ["REGION left out", part, "handle A7", "layer Plate"] {
            assert!(messages[0].contains(part), "{part} in {messages:?}");
        }
    }
}
