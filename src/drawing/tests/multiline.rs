//! MLINE and MLINESTYLE.

use super::*;

/// Two lines 2 apart from (0, 0) over (10, 0) to (10, 8), with what may be replaced: the style, flags, and the first
/// line's parameters along the first segment.
const LINE: &str = "0 MLINE|8 A|2 Bar|340 3C|40 1|70 1|71 1|72 9999999|73 2|10 0|20 0|30 0|210 0|220 0|230 1|\
    11 0|21 0|31 0|12 1|22 0|32 0|13 0|23 1|33 0|74 2|41 1|41 0|75 0|74 2|41 -1|41 0|75 1|42 7|\
    11 10|21 0|31 0|12 0|22 1|32 0|13 -0.5|23 0.5|33 0|74 2|41 2|41 0|75 0|74 2|41 -2|41 0|75 0|\
    11 10|21 8|31 0|12 0|22 1|32 0|13 -1|23 0|33 0|74 2|41 1|41 0|75 0|74 2|41 -1|41 0|75 0";

fn styled(entities: &str, flags: i64) -> Drawing {
    let text = pairs(&format!(
        "0 SECTION|2 ENTITIES|{entities}|0 ENDSEC|0 SECTION|2 OBJECTS|0 DICTIONARY|5 E|3 Bar|350 3C|\
         0 MLINESTYLE|5 3C|102 {{ACAD_REACTORS|330 E|102 }}|330 E|100 AcDbMlineStyle|2 BAR|70 {flags}|3 |62 256|51 90|52 90|71 2|\
         49 1|62 256|6 BYLAYER|49 -1|62 256|6 BYLAYER|0 ENDSEC|0 EOF"
    ));
    Drawing::read(text.as_bytes()).unwrap()
}

fn ends(shape: &Shape) -> (Point, Point) {
    let curves = shape.curves();
    (curves[0].start(), curves[curves.len() - 1].end())
}

#[test]
fn lines_beside_the_vertices() {
    let read = styled(LINE, 0);
    let entity = only(&read);
    assert_eq!((entity.kind, entity.shape.chains().len()), (EntityKind::Mline, 2));
    let corners = |i: usize| -> Vec<Point> {
        let curves = entity.shape.chains()[i].curves();
        curves.iter().map(Curve::start).chain(curves.last().map(Curve::end)).collect()
    };
    let at = |list: &[(f64, f64)]| list.iter().map(|(x, y)| Point::new(*x, *y)).collect::<Vec<_>>();
    assert_eq!(corners(0), at(&[(0.0, 1.0), (9.0, 1.0), (9.0, 8.0)]));
    assert_eq!(corners(1), at(&[(0.0, -1.0), (11.0, -1.0), (11.0, 8.0)]));
    assert!(read.findings.is_empty() && read.passed_over.is_empty());
}

#[test]
fn caps_are_those_of_the_style_which_stands_behind() {
    let read = styled(LINE, 16 | 1024);
    let chains = only(&read).shape.chains();
    assert_eq!(chains.len(), 4);
    let (a, b) = ends(&chains[2]);
    assert_eq!((a.distance(b), a.x, b.x), (2.0, 0.0, 0.0));
    // The half circle at the end goes on in the direction of the last segment.
    near(chains[3].curves()[0].at(0.5), 10.0, 9.0);
    let read = styled(LINE, 64);
    near(only(&read).shape.chains()[2].curves()[0].at(0.5), -1.0, 0.0);
    // Kept from the start, from the end.
    assert_eq!(only(&styled(&LINE.replace("71 1|", "71 5|"), 16 | 256)).shape.chains().len(), 3);
    let none = styled(&LINE.replace("71 1|", "71 13|"), 16 | 256);
    assert_eq!(only(&none).shape.chains().len(), 2);
    // By its name where the handle leads nowhere.
    assert_eq!(only(&styled(&LINE.replace("340 3C", "340 0"), 16 | 256)).shape.chains().len(), 4);
}

#[test]
fn inner_arcs_join_the_lines_in_pairs() {
    let vertex = |x: f64| {
        let lines = [6, 4, 2, -2, -4, -6].map(|offset| format!("74 2|41 {offset}|41 0|75 0|")).concat();
        format!("11 {x}|21 0|31 0|12 1|22 0|32 0|13 0|23 1|33 0|{lines}")
    };
    let text = format!("0 MLINE|2 Bar|71 9|{}{}", vertex(0.0), vertex(30.0));
    let read = styled(&text, 32 | 64 | 256);
    let chains = only(&read).shape.chains();
    assert_eq!(chains.len(), 6 + 3);
    let reach: Vec<f64> = chains[6..].iter().map(|arc| -arc.curves()[0].at(0.5).x).collect();
    assert!(reach.iter().zip([6.0, 4.0, 2.0]).all(|(a, b)| (a - b).abs() < 1e-14), "{reach:?}");
    // Two lines have no inner ones.
    assert_eq!(only(&styled(LINE, 32)).shape.chains().len(), 2);
}

#[test]
fn a_style_that_is_missing_is_told() {
    let read = drawing(&format!("{LINE}|{LINE}"));
    assert_eq!(read.entities.iter().map(|e| e.shape.chains().len()).collect::<Vec<_>>(), [2, 2]);
    assert!(warning(&read).starts_with("2 MLINE are drawn without caps: their style is not in the drawing"));
    // A closed one needs none.
    assert!(drawing(&LINE.replace("71 1|", "71 3|")).findings.is_empty());
}

#[test]
fn a_closed_one_gives_a_ring_for_each_line() {
    let read = styled(&LINE.replace("71 1|", "71 3|"), 16 | 256);
    let chains = only(&read).shape.chains();
    assert!(chains.len() == 2 && chains.iter().all(Shape::is_closed));
    assert!(chains.iter().all(|chain| chain.curves().len() == 3));
}

#[test]
fn breaks_along_a_line() {
    let broken = LINE.replace(
        "74 2|41 1|41 0|75 0|74 2|41 -1|41 0|75 1",
        "74 4|41 1|41 0|41 3|41 5|75 0|74 5|41 -1|41 0|41 3|41 5|41 6|75 1",
    );
    let read = styled(&broken, 0);
    let got: Vec<_> = only(&read).shape.chains().iter().map(ends).collect();
    let at = |x: f64, y: f64| Point::new(x, y);
    assert_eq!(
        got,
        [
            (at(0.0, 1.0), at(3.0, 1.0)),
            (at(5.0, 1.0), at(9.0, 8.0)),
            (at(0.0, -1.0), at(3.0, -1.0)),
            (at(5.0, -1.0), at(6.0, -1.0)),
            (at(11.0, -1.0), at(11.0, 8.0)),
        ]
    );
    // A closed one goes on through its first vertex.
    let read = styled(&broken.replace("71 1|", "71 3|"), 0);
    let first = &only(&read).shape.chains()[0];
    assert_eq!(ends(first), (at(5.0, 1.0), at(3.0, 1.0)));
    let falling = styled(&broken.replace("41 3|41 5|75 0", "41 5|41 3|75 0"), 0);
    assert!(warning(&falling).contains("breaks that do not follow one another"));
}

#[test]
fn in_blocks_and_among_others_in_order() {
    let text = pairs(&format!(
        "0 SECTION|2 BLOCKS|0 BLOCK|2 B|10 0|20 0|{LINE}|0 ENDBLK|0 ENDSEC|0 SECTION|2 ENTITIES|\
         0 CIRCLE|10 0|20 0|40 1|{LINE}|0 CIRCLE|10 0|20 0|40 2|0 INSERT|2 B|10 100|20 0|41 -1|0 CIRCLE|10 0|20 0|40 3|0 ENDSEC|\
         0 SECTION|2 OBJECTS|0 MLINESTYLE|2 bar|70 1088|0 ENDSEC|0 EOF"
    ));
    let read = Drawing::read(text.as_bytes()).unwrap();
    let kinds: Vec<EntityKind> = read.entities.iter().map(|e| e.kind).collect();
    assert_eq!(
        kinds,
        [EntityKind::Circle, EntityKind::Mline, EntityKind::Circle, EntityKind::Mline, EntityKind::Circle]
    );
    let chains = read.entities[3].shape.chains();
    near(chains[2].curves()[0].at(0.5), 101.0, 0.0);
    near(chains[3].curves()[0].at(0.5), 90.0, 9.0);
}

#[test]
fn bad_multilines_are_left_out_with_a_reason() {
    let cases = [
        ("0 MLINE|2 Bar|71 1", "no vertices"),
        ("0 MLINE|71 1|11 0|21 0|74 2|41 1|41 0", "a single vertex"),
        ("0 MLINE|71 1|11 0|21 0|41 1", "offsets of no line"),
        ("0 MLINE|71 1|11 0|21 0|74 1|41 1|11 5|21 0|74 0", "a line without an offset at vertex 2"),
        ("0 MLINE|71 1|11 0|21 0|74 1|41 1|11 5|21 0", "0 lines at vertex 2, 1 at the first"),
        ("0 MLINE|71 1|11 0|74 1|41 1|11 5|21 0|74 1|41 1", "no y of vertex 1"),
        ("0 MLINE|71 1|11 0|21 0|13 0|23 x", "“x” for group 23"),
    ];
    for (text, part) in cases {
        let read = drawing(text);
        assert_eq!(passed(&read), ("MLINE", Reason::BadValue, 1), "{text}");
        assert!(warning(&read).contains(part), "{part}: {}", warning(&read));
    }
}
