//! Drawings written by hand, one for each trap.

mod binary;
mod blocks;
mod damaged;
mod hatch;
mod limits;
mod multiline;
mod slips;
mod spaces;

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use super::*;
use crate::finding::{Code, Finding, Position, Severity, Value};
use crate::geometry::{Curve, Point};

/// A block `HOLE` with base point (1, 2): a line on layer 0 from the base to (4, 2), and an arc on layer Drill.
const HOLE: &str = "0 BLOCK|8 0|2 Hole|70 0|10 1|20 2|30 0|3 Hole|1 |0 LINE|5 E1|8 0|10 1|20 2|11 4|21 2|\
                    0 ARC|5 E2|8 Drill|10 1|20 2|40 2|50 0|51 90|0 ENDBLK|5 E3|8 0|";

/// A drawing of the given entities, each written as `code value` pairs separated by `|`.
fn drawing(entities: &str) -> Drawing {
    with_blocks("", entities)
}

fn pairs(text: &str) -> String {
    let pair = |pair: &str| {
        let (code, value) = pair.trim_start().split_once(' ').unwrap_or((pair.trim(), ""));
        format!("{code}\n{value}\n")
    };
    text.split('|').filter(|pair| !pair.trim().is_empty()).map(pair).collect()
}

fn text_with_blocks(blocks: &str, entities: &str) -> String {
    pairs(&format!("0 SECTION|2 BLOCKS|{blocks}|0 ENDSEC|0 SECTION|2 ENTITIES|{entities}|0 ENDSEC|0 EOF"))
}

fn with_blocks(blocks: &str, entities: &str) -> Drawing {
    Drawing::read(text_with_blocks(blocks, entities).as_bytes()).unwrap()
}

fn only(drawing: &Drawing) -> &Entity {
    assert_eq!(drawing.entities.len(), 1, "{:?} {:?}", drawing.passed_over, drawing.findings);
    &drawing.entities[0]
}

fn near(a: Point, x: f64, y: f64) {
    assert!(a.distance(Point::new(x, y)) < 1e-12, "{a:?} for {x},{y}");
}

/// The one thing passed over: kind, reason, count.
fn passed(drawing: &Drawing) -> (&str, Reason, u64) {
    assert_eq!(drawing.passed_over.len(), 1, "{:?}", drawing.passed_over);
    let row = &drawing.passed_over[0];
    (&row.kind, row.reason, row.count)
}

fn warning(drawing: &Drawing) -> String {
    only_warning(drawing).to_string()
}

fn only_warning(drawing: &Drawing) -> &Finding {
    let list: Vec<_> = drawing.findings.iter().filter(|f| f.severity == Severity::Warning).collect();
    assert_eq!(list.len(), 1, "{:?}", drawing.findings);
    assert!(list[0].code.advice().is_some());
    list[0]
}

/// The text of a value that a finding has.
fn text_of<'a>(finding: &'a Finding, key: &str) -> &'a str {
    match finding.value(key) {
        Some(Value::Text(text) | Value::Name(text)) => text,
        other => panic!("{key}: {other:?} in {finding:?}"),
    }
}

#[test]
fn a_line_with_everything_around_it() {
    let read = drawing(
        "999 a remark|0 LINE|5 1aF|102 {ACAD_REACTORS|330 1F|102 }|100 AcDbEntity|8 Plate|62 3|100 AcDbLine|\
         10   +1.|20 2.5E+000|30 0|11 4|21 -6|31 0.0|1001 OTHER|1010 99|1020 99|1040 nan",
    );
    let line = only(&read);
    assert_eq!(line.shape, Shape::Line { start: Point::new(1.0, 2.5), end: Point::new(4.0, -6.0) });
    assert_eq!((line.kind, line.handle(), line.hidden), (EntityKind::Line, Some(0x1AF), false));
    assert_eq!(read.layer(line.layer).name, "Plate");
    assert!(!read.layer(line.layer).declared);
    assert_eq!(line.position(), Position::Line(13));
    assert!(read.findings.is_empty());
}

#[test]
fn lowercase_sections_blanks_and_pairs_outside() {
    let text = "10\n1\n  0\nsection \n  2\n entities\n  0\nline\n 8\n  A \n 10\n 1\n 20\n 2\n 11\n 3\n 21\n 4\n  0\nendsec\n 5\nx\n 0\neof\n";
    for text in
        [text.to_owned(), format!("\u{feff}{text}"), text.replace('\n', "\r\n"), text.replace('\n', "\r")]
    {
        let read = Drawing::read(text.as_bytes()).unwrap();
        assert_eq!(read.layer(only(&read).layer).name, "A");
        assert!(read.findings.is_empty(), "{:?}", read.findings);
    }
}

#[test]
fn header_version_units_and_code_page() {
    let text = pairs(
        "0 SECTION|2 HEADER|9 $ACADVER|1 AC1015|9 $STRANGE|70 x,y|9 $DWGCODEPAGE|3 ANSI_1252|9 $INSUNITS|70 1.0|\
         9 $MEASUREMENT|70 0|9 $EXTMIN|10 1e20|20 |0 ENDSEC|0 SECTION|2 ENTITIES|0 ENDSEC|0 EOF",
    );
    let read = Drawing::read(text.as_bytes()).unwrap();
    assert_eq!(read.version.to_string(), "R2000 (AC1015)");
    assert_eq!(read.units, Units { insunits: Some(1), measurement: Some(0), unit: Some(LengthUnit::Inch) });
    assert_eq!(read.code_page.as_deref(), Some("ANSI_1252"));
    let bare = drawing("");
    assert_eq!(bare.version.to_string(), "R12 or older (no version given)");
    assert_eq!(bare.units, Units::default());
}

#[test]
fn layers_and_their_state() {
    let text = pairs(
        "0 SECTION|2 TABLES|0 TABLE|2 LAYER|70 3|0 LAYER|2 Plate|70 0|62 7|0 LAYER|2 Off|62 -3|70 4|\
         0 LAYER|2 FROZEN|70 1|62 1|290 0|0 ENDTAB|0 ENDSEC|0 SECTION|2 ENTITIES|\
         0 POINT|8 PLATE|0 POINT|8 frozen|0 POINT|8 New|0 POINT|8 off|0 ENDSEC|0 EOF",
    );
    let read = Drawing::read(text.as_bytes()).unwrap();
    let names: Vec<&str> = read.layers.iter().map(|l| l.name.as_str()).collect();
    assert_eq!(names, ["Plate", "Off", "FROZEN", "New"]);
    let states: Vec<_> =
        read.layers.iter().map(|l| (l.off, l.frozen, l.locked, l.plotted, l.declared)).collect();
    assert_eq!(states[0], (false, false, false, true, true));
    assert_eq!(states[1], (true, false, true, true, true));
    assert_eq!(states[2], (false, true, false, false, true));
    assert_eq!(states[3], (false, false, false, true, false));
    assert!(read.layers[1].is_hidden() && read.layers[2].is_hidden() && !read.layers[0].is_hidden());
}

#[test]
fn layer_names_in_a_code_page() {
    let mut bytes =
        pairs("0 SECTION|2 HEADER|9 $ACADVER|1 AC1015|9 $DWGCODEPAGE|3 ANSI_1252|0 ENDSEC").into_bytes();
    bytes.extend_from_slice(
        b"0\nSECTION\n2\nENTITIES\n0\nPOINT\n8\nSchwei\xdfnaht\n0\nPOINT\n8\nSCHWEI\\U+00DFNAHT\n",
    );
    bytes.extend_from_slice(b"0\nENDSEC\n0\nEOF\n");
    let read = Drawing::read(&bytes[..]).unwrap();
    assert_eq!(read.layers.len(), 1);
    assert_eq!(read.layers[0].name, "Schweißnaht");
    assert!(read.findings.is_empty());
}

#[test]
fn a_code_page_that_is_not_known_is_named() {
    for (version, page, messages) in
        [("AC1015", "johab", true), ("AC1032", "johab", false), ("AC1009", "dos850", false)]
    {
        let text = pairs(&format!(
            "0 SECTION|2 HEADER|9 $ACADVER|1 {version}|9 $DWGCODEPAGE|3 {page}|0 ENDSEC|0 SECTION|2 ENTITIES|\
             0 ENDSEC|0 EOF"
        ));
        let read = Drawing::read(text.as_bytes()).unwrap();
        let named = |f: &Finding| f.code == Code::CodePageUnknown && f.message().contains("“johab”");
        assert_eq!(read.findings.iter().any(named), messages, "{version} {page}");
    }
}

#[test]
fn an_arc_past_zero_degrees_and_one_of_a_full_turn() {
    let read = drawing("0 ARC|10 3|20 -2|40 5|50 350|51 10|0 ARC|10 1|20 1|40 2|50 90|51 450");
    let curves = read.entities[0].shape.curves();
    assert!(matches!(&curves[0], Curve::Arc(arc) if (arc.sweep - 20_f64.to_radians()).abs() < 1e-15));
    near(curves[0].at(0.5), 8.0, -2.0);
    assert!(!read.entities[0].shape.is_closed());
    assert!(read.entities[1].shape.is_closed());
    near(read.entities[1].shape.curves()[0].start(), 1.0, 3.0);
}

#[test]
fn a_normal_pointing_down_mirrors_arcs_but_not_lines() {
    let read = drawing(
        "0 ARC|10 3|20 2|40 5|50 0|51 90|210 0|220 0|230 -1|0 LINE|10 3|20 2|11 5|21 7|210 0|220 0|230 -1|\
         0 CIRCLE|10 3|20 2|40 1|230 -1.0",
    );
    let arc = &read.entities[0].shape.curves()[0];
    near(arc.start(), -8.0, 2.0);
    near(arc.end(), -3.0, 7.0);
    assert!(matches!(arc, Curve::Arc(arc) if arc.sweep < 0.0));
    assert_eq!(
        read.entities[1].shape,
        Shape::Line { start: Point::new(3.0, 2.0), end: Point::new(5.0, 7.0) }
    );
    assert_eq!(read.entities[2].shape, Shape::Circle { center: Point::new(-3.0, 2.0), radius: 1.0 });
}

#[test]
fn ellipses_by_parameters_and_in_world_coordinates() {
    let read = drawing(
        "0 ELLIPSE|10 3|20 2|11 0|21 4|40 0.5|41 0|42 1.5707963267948966|\
         0 ELLIPSE|10 3|20 2|11 4|21 0|40 0.5|41 0|42 1.5707963267948966|210 0|220 0|230 -1|\
         0 ELLIPSE|10 3|20 2|11 4|21 0|40 0.25|41 0|42 6.283185",
    );
    let curve = &read.entities[0].shape.curves()[0];
    near(curve.start(), 3.0, 6.0);
    near(curve.end(), 1.0, 2.0);
    near(curve.at(0.5), 3.0 - 2.0_f64.sqrt(), 2.0 + 8.0_f64.sqrt());
    // The minor axis stands on the other side where the normal points down.
    let mirrored = &read.entities[1].shape.curves()[0];
    near(mirrored.start(), 7.0, 2.0);
    near(mirrored.end(), 3.0, 0.0);
    assert!(read.entities[2].shape.is_closed());
}

#[test]
fn light_polylines() {
    let read = drawing(
        "0 LWPOLYLINE|90 4000000000|70 1|43 0.0|38 7.5|10 1|20 2|10 5|20 2|42 1.0|10 5|20 6|10 1|20 6|42 -1|91 5|\
         0 LWPOLYLINE|70 0|10 1|20 2|42 1e-17|10 1|20 2|10 4|20 2|42 0.5|40 2|41 2",
    );
    let closed = &read.entities[0];
    assert!(closed.shape.is_closed() && closed.shape.is_polyline());
    let curves = closed.shape.curves();
    assert_eq!(curves.len(), 4);
    near(curves[1].at(0.5), 7.0, 4.0);
    // The bulge of the closing edge turns clockwise.
    near(curves[3].at(0.5), 3.0, 4.0);
    let bounds = closed.shape.bounds();
    assert!((bounds.max.x - 7.0).abs() < 1e-12);
    // No edge without length, no closing edge, and a bulge of nothing is a line.
    let open = read.entities[1].shape.curves();
    assert_eq!(open, vec![Curve::line(Point::new(1.0, 2.0), Point::new(4.0, 2.0))]);
    // A width at the last vertex of an open polyline is that of no edge.
    assert!(read.entities.iter().all(|entity| entity.shape.wide().is_none()));
}

#[test]
fn rough_boxes_hold_the_exact_ones() {
    for bulge in [0.0, 1e-14, -0.3, 0.9, -1.0, 1.2, 3.0, -20.0] {
        for (x, y) in [(7.0, 3.0), (-2.0, 9.0), (4.0, -1.0)] {
            let read = drawing(&format!(
                "0 LWPOLYLINE|10 4|20 3|42 {bulge}|10 {x}|20 {y}|0 ARC|10 {x}|20 {y}|40 2|50 20|51 130"
            ));
            for entity in &read.entities {
                let (exact, rough) = (entity.shape.bounds(), entity.shape.rough_bounds());
                assert!(rough.grown(1e-12).contains(&exact), "{bulge} {x} {y}: {exact:?} {rough:?}");
                assert!(rough.size() <= 3.0 * exact.size() + 4.0, "{bulge} {x} {y}: {exact:?} {rough:?}");
            }
        }
    }
}

#[test]
fn widths_of_polylines() {
    let widths = |text: &str| {
        let read = drawing(text);
        assert!(read.findings.is_empty(), "{:?}", read.findings);
        let Shape::Polyline(polyline) = only(&read).shape.clone() else { panic!("no polyline") };
        polyline.widths.map(|widths| *widths)
    };
    let light = "10 0|20 0|10 5|20 0|10 9|20 3";
    assert_eq!(widths(&format!("0 LWPOLYLINE|70 1|43 0|{light}")), None);
    assert_eq!(widths(&format!("0 LWPOLYLINE|70 1|43 2.5|{light}")), Some(EdgeWidths::Constant(2.5)));
    // A constant width above 0 counts, wherever it stands; one that is filled in does not.
    let both = "0 LWPOLYLINE|10 0|20 0|40 1|41 2|10 5|20 0|40 2|41 0|10 9|20 3|40 7|41 7|43";
    assert_eq!(widths(&format!("{both} 4")), Some(EdgeWidths::Constant(4.0)));
    let edges = EdgeWidths::PerEdge([[1.0, 2.0], [2.0, 0.0]].into());
    assert_eq!(widths(&format!("{both} 0")), Some(edges));
    // The last vertex of an open polyline has no edge, and a width below 0 is none.
    assert_eq!(widths("0 LWPOLYLINE|10 0|20 0|40 -1|10 5|20 0|40 7|41 7"), None);
    let old = "0 POLYLINE|66 1|70 0|40 4|41 3|0 VERTEX|10 0|20 0|0 VERTEX|10 5|20 0|40 0|41 1|\
               0 VERTEX|10 5|20 4|41 6|0 VERTEX|10 0|20 4|0 SEQEND";
    let edges = EdgeWidths::PerEdge([[4.0, 3.0], [0.0, 1.0], [4.0, 6.0]].into());
    assert_eq!(widths(old), Some(edges));
    // Polylines in space have none, and one beyond what coordinates may be is left out.
    assert!(only(&drawing(&old.replace("70 0", "70 8"))).shape.wide().is_none());
    let read = drawing("0 LWPOLYLINE|43 2e15|10 0|20 0|10 5|20 0");
    assert!(read.entities.is_empty() && warning(&read).contains("beyond 1e15"));
    assert_eq!(only_warning(&read).code, Code::EntityBad);
}

#[test]
fn old_polylines() {
    let vertex = |x: f64, y: f64, rest: &str| format!("0 VERTEX|8 Elsewhere|10 {x}|20 {y}|30 0|{rest}|");
    let read = drawing(&format!(
        "0 POLYLINE|8 A|5 2A|66 1|70 1|10 0|20 0|30 3|{}{}{}0 SEQEND|8 A|0 LINE|8 A|10 0|20 0|11 1|21 0",
        vertex(1.0, 1.0, "42 0.41421356237309503"),
        vertex(3.0, 3.0, "70 1"),
        vertex(0.0, 5.0, "40 0.5"),
    ));
    assert_eq!(read.entities.len(), 2);
    let curves = read.entities[0].shape.curves();
    assert_eq!(curves.len(), 3);
    assert!(matches!(&curves[0], Curve::Arc(arc) if (arc.sweep - FRAC_PI_2).abs() < 1e-14));
    assert_eq!(read.layers.len(), 1, "the layers of vertices are not layers of entities");
    // Spline-fit: the control points of the frame are no vertices.
    let read = drawing(&format!(
        "0 POLYLINE|70 4|75 6|{}{}{}{}",
        vertex(0.0, 0.0, "70 16"),
        vertex(0.0, 0.0, "70 8"),
        vertex(2.0, 1.0, "70 8"),
        vertex(9.0, 9.0, "70 16"),
    ));
    assert_eq!(only(&read).shape.curves(), vec![Curve::line(Point::ORIGIN, Point::new(2.0, 1.0))]);
}

#[test]
fn spatial_polylines_and_meshes() {
    let flat = "0 VERTEX|10 1|20 1|30 5|70 32|0 VERTEX|10 4|20 1|30 5|70 32|0 VERTEX|10 4|20 9|30 5|70 32|";
    let read = drawing(&format!("0 POLYLINE|66 1|70 9|{flat}0 SEQEND"));
    assert_eq!(only(&read).shape.curves().len(), 3);
    let read = drawing(&format!("0 POLYLINE|66 1|70 9|{flat}0 VERTEX|10 0|20 0|30 6|0 SEQEND"));
    assert_eq!(only(&read).shape.curves().len(), 4);
    assert!(warning(&read).starts_with("POLYLINE does not lie parallel to the drawing plane"));
    let read = drawing(&format!("0 POLYLINE|66 1|70 16|{flat}0 SEQEND"));
    assert_eq!(passed(&read), ("POLYLINE", Reason::NotOutline, 1));
    let read = drawing(&format!("0 POLYLINE|66 1|70 64|{flat}0 VERTEX|70 128|71 1|72 2|73 3|0 SEQEND"));
    assert_eq!(passed(&read), ("POLYLINE", Reason::NotOutline, 1));
    assert!(read.findings.is_empty());
}

#[test]
fn solids_cross_their_corners() {
    let read = drawing(
        "0 SOLID|10 0|20 0|11 4|21 0|12 0|22 3|13 4|23 3|0 TRACE|10 0|20 0|11 4|21 0|12 0|22 3|13 0|23 3|\
         0 SOLID|10 0|20 0|11 4|21 0|12 0|22 3",
    );
    let corners = |i: usize| read.entities[i].shape.curves().iter().map(Curve::start).collect::<Vec<_>>();
    let at = |list: &[(f64, f64)]| list.iter().map(|(x, y)| Point::new(*x, *y)).collect::<Vec<_>>();
    assert_eq!(corners(0), at(&[(0.0, 0.0), (4.0, 0.0), (4.0, 3.0), (0.0, 3.0)]));
    assert_eq!(corners(1), at(&[(0.0, 0.0), (4.0, 0.0), (0.0, 3.0)]));
    assert_eq!(corners(2), corners(1));
    assert!(read.entities.iter().all(|e| e.shape.is_closed()));
    assert_eq!(read.entities[1].kind, EntityKind::Trace);
}

#[test]
fn splines_by_control_points_and_by_fit_points() {
    let read = drawing(
        "0 SPLINE|70 8|71 3|72 8|73 4|74 0|40 0|40 0|40 0|40 0|40 1|40 1|40 1|40 1|10 0|20 0|30 0|10 1|20 2|30 0|\
         10 3|20 2|30 0|10 4|20 0|30 0|0 SPLINE|70 1|71 3|74 4|11 0|21 0|11 4|21 0|11 4|21 3|11 0|21 3",
    );
    near(read.entities[0].shape.curves()[0].at(0.5), 2.0, 1.5);
    assert!(read.entities[1].shape.is_closed());
    assert_eq!(read.entities[1].shape.curves().len(), 4);
    assert!(read.findings.iter().any(|f| f.code == Code::SplinesFitted));
    // One that rises, and one straight up.
    let read = drawing("0 SPLINE|71 1|10 0|20 0|30 0|10 1|20 2|30 1");
    assert_eq!(only(&read).shape.curves(), [Curve::line(Point::ORIGIN, Point::new(1.0, 2.0))]);
    assert!(warning(&read).starts_with("SPLINE does not lie parallel"));
    let read = drawing("0 SPLINE|71 1|10 1|20 2|30 0|10 1|20 2|30 1");
    assert_eq!(passed(&read), ("SPLINE", Reason::TiltedPlane, 1));
}

#[test]
fn what_is_tilted_is_seen_from_above() {
    // Normal (0.6, 0, 0.8): x of its plane is world y, y leads to (−0.8, 0, 0.6). At elevation 10 the circle's own
    // (2, 5) stands at (−0.8·5 + 0.6·10, 2).
    let read = drawing("0 CIRCLE|8 A|10 2|20 5|30 10|40 3|210 0.6|220 0|230 0.8");
    let curves = only(&read).shape.curves();
    let [Curve::Ellipse(ellipse)] = &curves[..] else { panic!("no ellipse") };
    near(ellipse.center, 2.0, 2.0);
    assert!((ellipse.u.cross(ellipse.v) - 9.0 * 0.8).abs() < 1e-14 && ellipse.sweep == TAU);
    assert_eq!(
        warning(&read),
        "CIRCLE does not lie parallel to the drawing plane and is measured as seen from above (line 11, layer A): \
         turn them into the drawing plane and export again"
    );
    // Bulged polylines become chains, and their arcs ellipse arcs: a half circle above the edge from 0 to 4.
    let read = drawing(
        "0 LWPOLYLINE|70 1|10 0|20 0|42 1|10 4|20 0|10 2|20 7|210 0.6|220 0|230 0.8|0 LINE|8 B|10 0|20 0|30 0|\
         11 1|21 0|31 0.5|0 LINE|8 C|10 0|20 0|30 0|11 1|21 0|31 2|0 LINE|8 B|5 7|10 3|20 0|30 0|11 1|21 0|31 2",
    );
    let shape = &read.entities[0].shape;
    assert!(shape.is_closed() && shape.is_polyline() && matches!(shape.curves()[0], Curve::Ellipse(_)));
    near(shape.curves()[0].at(0.5), 0.8 * 2.0, 2.0);
    let messages: Vec<String> = read.findings.iter().map(ToString::to_string).collect();
    assert_eq!(messages.len(), 3);
    assert!(messages[0].starts_with("LWPOLYLINE does not lie"), "{messages:?}");
    assert!(messages[1].starts_with("2 LINE do not lie") && messages[1].contains("layer B"), "{messages:?}");
    assert!(messages[2].starts_with("LINE does not lie") && messages[2].contains("layer C"), "{messages:?}");
}

#[test]
fn what_is_seen_on_edge_is_passed_over() {
    let read = drawing("0 CIRCLE|10 0|20 0|40 1|210 0|220 1|230 0");
    assert_eq!(passed(&read), ("CIRCLE", Reason::TiltedPlane, 1));
    let read = drawing("0 LINE|10 2|20 1|30 0|11 2.0004|21 1|31 0.5");
    assert_eq!(passed(&read), ("LINE", Reason::TiltedPlane, 1));
    assert!(read.findings.is_empty());
    let wall =
        "0 VERTEX|10 1|20 1|30 0|0 VERTEX|10 4|20 5|30 0|0 VERTEX|10 4|20 5|30 3|0 VERTEX|10 1|20 1|30 3|";
    let read = drawing(&format!("0 POLYLINE|66 1|70 9|{wall}0 SEQEND"));
    assert_eq!(passed(&read), ("POLYLINE", Reason::TiltedPlane, 1));
}

#[test]
fn a_circle_with_a_negative_radius_is_that_circle() {
    let read = drawing("0 CIRCLE|5 2C|8 A|10 3|20 -2|40 -1.5|0 CIRCLE|8 A|10 9|20 -2|40 -1");
    assert_eq!(read.entities[0].shape, Shape::Circle { center: Point::new(3.0, -2.0), radius: 1.5 });
    let text = warning(&read);
    assert!(text.starts_with("2 CIRCLE have negative radii") && text.contains("handle 2C"), "{text}");
}

#[test]
fn invisible_and_paper_space() {
    let read = drawing("0 LINE|60 1|10 0|20 0|30 5|11 1|21 0|31 5.0000001");
    assert!(only(&read).hidden);
    let read = drawing("0 LINE|67 1|10 x|20 0|11 1|21 0");
    assert_eq!(passed(&read), ("LINE", Reason::PaperSpace, 1));
    assert!(read.findings.is_empty());
}

#[test]
fn what_is_passed_over_is_counted_by_kind_layer_and_reason() {
    let read = drawing(
        "0 HELIX|8 B|10 0|0 TEXT|8 A|1 hello|0 HELIX|8 A|5 F|0 HELIX|8 B|0 WIPEOUT|8 A|0 NEWTHING|8 A|0 INSERT|2 B|10 0|20 0|66 1|0 ATTRIB|8 A|0 SEQEND",
    );
    let rows: Vec<_> = read
        .passed_over
        .iter()
        .map(|row| {
            let layer = row.layer.map_or("", |layer| read.layer(layer).name.as_str());
            (row.kind.as_str(), layer, row.reason, row.count)
        })
        .collect();
    assert_eq!(
        rows,
        [
            ("ATTRIB", "A", Reason::NotOutline, 1),
            ("HELIX", "A", Reason::NotReadYet, 1),
            ("HELIX", "B", Reason::NotReadYet, 2),
            ("INSERT", "0", Reason::MissingBlock, 1),
            ("NEWTHING", "A", Reason::UnknownKind, 1),
            ("TEXT", "A", Reason::NotOutline, 1),
            ("WIPEOUT", "A", Reason::NotOutline, 1),
        ]
    );
    assert_eq!(read.passed_over[1].places[0].handle, Some(0xF));
    let missing = only_warning(&read);
    assert_eq!((missing.code, text_of(missing, "block")), (Code::BlockMissing, "B"));
}

#[test]
fn angles_of_shapes_stay_whole() {
    let read = drawing("0 ARC|10 0|20 0|40 2|50 0|51 180|0 CIRCLE|10 0|20 0|40 2");
    assert!(matches!(read.entities[0].shape, Shape::Arc { sweep, .. } if sweep == PI));
    assert!(matches!(&read.entities[1].shape.curves()[0], Curve::Arc(arc) if arc.sweep == TAU));
}
