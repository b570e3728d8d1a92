//! HATCH and MPOLYGON.

use super::*;
use crate::finding::Code;

/// A square of side 10 as a polyline path, its lower left corner at the given place.
fn square(flags: i64, x: f64, y: f64, side: f64) -> String {
    format!(
        "92 {flags}|72 0|73 1|93 4|10 {x}|20 {y}|10 {0}|20 {y}|10 {0}|20 {1}|10 {x}|20 {1}|97 1|330 2F|",
        x + side,
        y + side
    )
}

/// The signed area of each chain.
fn areas(entity: &Entity) -> Vec<f64> {
    let area = |chain: &Shape| chain.curves().iter().map(|c| c.swept_area(Point::ORIGIN)).sum();
    entity.shape.chains().iter().map(area).collect()
}

fn hatch(paths: &str) -> String {
    format!(
        "0 HATCH|8 A|10 0|20 0|30 5|210 0|220 0|230 1|2 SOLID|70 1|71 0|91 9999999|{paths}75 0|76 1|98 1|10 3|20 4"
    )
}

#[test]
fn polyline_paths_with_bulges_and_seeds_that_are_no_vertices() {
    let bulged =
        "92 3|72 1|73 1|93 7000000|10 1|20 2|42 0|10 5|20 2|42 1|10 5|20 8|42 0|10 1|20 8|42 0|97 0|";
    let read = drawing(&hatch(&format!("{bulged}{}", square(16, 2.0, 3.0, 2.0).replace("92 16", "92 18"))));
    let entity = only(&read);
    assert!(entity.kind == EntityKind::Hatch && entity.shape.is_closed());
    let got = areas(entity);
    assert!((got[0] - (24.0 + PI * 9.0 / 2.0)).abs() < 1e-13 && (got[1] - 4.0).abs() < 1e-13, "{got:?}");
    assert!(read.findings.is_empty(), "{:?}", read.findings);
}

#[test]
fn a_path_that_is_not_closed_stays_open_unless_it_ends_where_it_begins() {
    let open = square(3, 0.0, 0.0, 4.0).replace("73 1", "73 0");
    assert!(!only(&drawing(&hatch(&open))).shape.is_closed());
    let back = open.replace("97 1", "10 0|20 0|97 1");
    assert!(only(&drawing(&hatch(&back))).shape.is_closed());
}

#[test]
fn edges_make_a_closed_chain() {
    // A half disc drawn anticlockwise, the same clockwise with complementary angles, and a full circle.
    let up = "92 1|93 2|72 1|10 -3|20 1|11 3|21 1|72 2|10 0|20 1|40 3|50 0|51 180|73 1|97 0|";
    let down = "92 1|93 2|72 1|10 3|20 1|11 -3|21 1|72 2|10 0|20 1|40 3|50 180|51 360|73 0|97 0|";
    let disc = "92 1|93 1|72 2|10 7|20 1|40 2|50 0|51 360|73 0|97 0|";
    let read = drawing(&hatch(&format!("{up}{down}{disc}")));
    let entity = only(&read);
    let chains = entity.shape.chains();
    assert!(chains.len() == 3 && chains.iter().all(Shape::is_closed));
    let got = areas(entity);
    assert!((got[0] - PI * 4.5).abs() < 1e-13 && (got[2] + PI * 4.0).abs() < 1e-13, "{got:?}");
    // Clockwise from −180° to −360°: over the top, and back along the chord.
    near(chains[1].curves()[1].at(0.5), 0.0, 4.0);
    assert!((got[1] + PI * 4.5).abs() < 1e-13, "{got:?}");
    for chain in chains {
        let curves = chain.curves();
        assert!(curves.windows(2).all(|pair| pair[0].end() == pair[1].start()));
        assert_eq!(curves[curves.len() - 1].end(), curves[0].start());
    }
}

#[test]
fn angles_of_ellipse_arcs_are_directions_not_parameters() {
    // Half-axes 4 along y and 2 along −x. At 45° to the major axis the parameter's tangent is 2; that point lies at
    // (−4, 4)/√5 from the centre.
    let edge = "92 1|93 1|72 3|10 1|20 2|11 0|21 4|40 0.5|50 45|51 90|73 1|97 0|";
    let curve = only(&drawing(&hatch(edge))).shape.curves()[0].clone();
    let reach = 4.0 / 5.0_f64.sqrt();
    near(curve.start(), 1.0 - reach, 2.0 + reach);
    near(curve.end(), -1.0, 2.0);
    // Clockwise, the same angles count the other way from the major axis.
    let curve = only(&drawing(&hatch(&edge.replace("73 1", "73 0")))).shape.curves()[0].clone();
    near(curve.start(), 1.0 + reach, 2.0 + reach);
    near(curve.end(), 3.0, 2.0);
    // Past half a turn, and all round.
    let curve = only(&drawing(&hatch(&edge.replace("51 90", "51 315")))).shape.curves()[0].clone();
    near(curve.end(), 1.0 + reach, 2.0 + reach);
    near(curve.at(0.5), 1.0, -2.0);
    let full = drawing(&hatch(&edge.replace("51 90", "51 405")));
    assert!(only(&full).shape.is_closed() && (areas(only(&full))[0] - 8.0 * PI).abs() < 1e-13);
}

#[test]
fn spline_edges() {
    let rational = "72 4|94 2|73 1|74 0|95 6|96 3|40 0|40 0|40 0|40 1|40 1|40 1|10 2|20 0|42 1|10 2|20 2|42 0.70710678118654757|\
                    10 0|20 2|42 1|97 0|";
    let lines = "72 1|10 0|20 2|11 0|21 0|72 1|10 0|20 0|11 2|21 0|";
    let read = drawing(&hatch(&format!("92 1|93 3|{rational}{lines}97 0|")));
    assert!(only(&read).shape.is_closed());
    assert!((areas(only(&read))[0] - PI).abs() < 1e-13);
    let fitted = "72 4|94 3|73 0|74 0|95 0|96 0|97 3|11 2|21 0|11 1|21 3|11 0|21 2|12 0|22 1|13 0|23 -1|";
    let read = drawing(&hatch(&format!("92 1|93 3|{fitted}{lines}97 0|")));
    assert!(only(&read).shape.is_closed());
    assert_eq!(read.findings[0].code, Code::SplinesFitted);
}

#[test]
fn edges_that_do_not_meet_are_given_one_by_one() {
    let triangle =
        "92 1|93 3|72 1|10 0|20 0|11 4|21 0|72 1|10 4.002|20 0|11 0|21 3|72 1|10 0|20 3|11 0|21 0|97 0|";
    let read = drawing(&hatch(triangle));
    let chains = only(&read).shape.chains();
    assert!(chains.len() == 3 && chains.iter().all(|chain| !chain.is_closed()));
    // Ends that differ by rounding are one; so is the end of the last edge and the start of the first.
    let rounded =
        triangle.replace("10 4.002", "10 4.0000000000000009").replace("11 0|21 0|97", "11 1e-16|21 0|97");
    let read = drawing(&hatch(&rounded));
    let chains = only(&read).shape.chains();
    assert!(chains.len() == 1 && chains[0].is_closed() && chains[0].curves().len() == 3);
    // Two loops in one path.
    let two = format!(
        "{}72 2|10 1|20 1|40 0.5|50 0|51 360|73 1|",
        triangle.replace("4.002", "4").replace("97 0|", "")
    );
    let read = drawing(&hatch(&two));
    assert_eq!(only(&read).shape.chains().iter().map(|c| c.curves().len()).collect::<Vec<_>>(), [3, 1]);
}

#[test]
fn which_paths_count_in_each_style() {
    let paths =
        [(3, 20.0), (18, 12.0), (2, 6.0), (26, 3.0)].map(|(f, side)| square(f, 0.0, 0.0, side)).concat();
    let sides = |style: &str, paths: &str| -> Vec<f64> {
        let read = drawing(&hatch(paths).replace("75 0", &format!("75 {style}")));
        areas(only(&read)).iter().map(|area| area.sqrt()).collect()
    };
    assert_eq!(sides("0", &paths), [20.0, 12.0, 6.0]);
    assert_eq!(sides("1", &paths), [20.0, 12.0]);
    assert_eq!(sides("2", &paths), [20.0]);
    let unflagged = square(2, 0.0, 0.0, 9.0) + &square(2, 1.0, 1.0, 4.0);
    assert_eq!(sides("2", &unflagged), [9.0, 4.0]);
}

#[test]
fn polygons_are_closed_and_moved_by_their_offset() {
    let read = drawing(
        "0 MPOLYGON|8 A|70 1|10 0|20 0|30 0|210 0|220 0|230 1|2 SOLID|71 1|91 2|92 0|73 0|72 0|93 3|10 1|20 1|10 5|20 1|10 1|20 4|\
         92 2|73 0|72 1|93 2|10 2|20 2|42 1|10 2.5|20 2|42 1|76 1|73 0|63 7|11 10|21 -3|99 0|450 0|460 0.5",
    );
    let entity = only(&read);
    assert!(entity.kind == EntityKind::Mpolygon && entity.shape.is_closed());
    assert!((areas(entity)[1] - PI / 16.0).abs() < 1e-15);
    near(entity.shape.curves()[0].start(), 11.0, -2.0);
}

#[test]
fn hatches_in_their_own_plane_and_in_blocks() {
    let down = hatch(&square(3, 2.0, 1.0, 4.0)).replace("230 1", "230 -1");
    near(only(&drawing(&down)).shape.curves()[0].start(), -2.0, 1.0);
    let upright = hatch(&square(3, 2.0, 1.0, 4.0)).replace("220 0|230 1", "220 1|230 0");
    assert_eq!(passed(&drawing(&upright)), ("HATCH", Reason::TiltedPlane, 1));
    let disc = hatch("92 1|93 1|72 2|10 1|20 1|40 2|50 0|51 360|73 1|97 0|");
    let read = with_blocks(
        &format!("0 BLOCK|2 B|10 0|20 0|{disc}|0 ENDBLK|"),
        "0 INSERT|2 B|10 10|20 0|41 -3|42 0.5",
    );
    assert!(matches!(only(&read).shape.curves()[0], Curve::Ellipse(_)));
    assert!((areas(only(&read))[0] + PI * 6.0).abs() < 1e-13);
}

#[test]
fn bad_and_empty_hatches_are_left_out_with_a_reason() {
    let cases = [
        (hatch(""), "no path that bounds it"),
        (hatch(&square(11, 0.0, 0.0, 1.0)), "no path that bounds it"),
        (hatch(&square(3, 0.0, 0.0, 1.0).replace("20 1|", "20 1,0|")), "“1,0” for group 20"),
        (hatch("92 3|72 0|73 1|93 2|10 1|10 2|20 1|97 0|"), "no y (group 20) for vertex 1"),
        (hatch("92 1|93 1|72 9|10 1|20 1|97 0|"), "an edge of kind 9"),
        (hatch("92 1|93 1|10 1|20 1|97 0|"), "before the kind of their edge"),
        (hatch("92 1|93 1|72 2|10 1|20 1|40 -2|50 0|51 9|73 1|97 0|"), "a radius of -2"),
        (hatch("92 1|93 1|72 2|10 1|20 1|40 2|51 9|73 1|97 0|"), "start angle of an edge (group 50)"),
        (hatch("92 1|93 1|72 3|10 1|20 1|11 2|21 0|40 0|50 0|51 9|73 1|97 0|"), "a ratio of axes of 0"),
        (hatch("92 1|93 1|72 4|94 3|95 2|96 1|40 0|40 1|10 1|20 1|97 0|"), "1 control points for degree 3"),
    ];
    for (text, part) in cases {
        let read = drawing(&text);
        assert!(read.entities.is_empty());
        assert_eq!(passed(&read), ("HATCH", Reason::BadValue, 1));
        assert!(warning(&read).contains(part), "{part}: {}", warning(&read));
    }
}

#[test]
fn faces_in_space() {
    let read = drawing(
        "0 3DFACE|10 0|20 0|30 7|11 4|21 0|31 7|12 4|22 3|32 7|13 0|23 3|33 7|70 15|\
         0 3DFACE|10 0|20 0|30 0|11 4|21 0|31 3|12 0|22 2|32 0|13 0|23 2|33 0|\
         0 3DFACE|8 W|10 0|20 0|30 0|11 4|21 0|31 0|12 4|22 0|32 3|13 0|23 0|33 3",
    );
    assert_eq!(read.entities.iter().map(|e| e.kind).collect::<Vec<_>>(), [EntityKind::Face; 2]);
    assert_eq!((areas(&read.entities[0])[0], areas(&read.entities[1])[0]), (12.0, 4.0));
    assert_eq!(read.entities[1].shape.curves().len(), 3);
    assert_eq!(passed(&read), ("3DFACE", Reason::TiltedPlane, 1));
    assert!(warning(&read).starts_with("3DFACE does not lie parallel"));
}

#[test]
fn kinds_of_old_drawings() {
    let read = drawing(
        "0 3DLINE|38 2|10 1|20 2|30 0|11 3|21 4|31 0|0 CIRCLE|38 10|10 0|20 0|40 1|210 0.6|220 0|230 0.8",
    );
    assert_eq!(read.entities[0].kind, EntityKind::Line);
    // At elevation 10 along the normal.
    let Curve::Ellipse(ellipse) = read.entities[1].shape.curves()[0].clone() else { panic!("no ellipse") };
    near(ellipse.center, 6.0, 0.0);
}
