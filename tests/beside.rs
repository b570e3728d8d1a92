//! Closed outlines on other layers that lie in a section: what is told of them, and what is not.

use crate::common;
use crate::run;

use std::fmt::Write as _;
use std::time::Duration;

use common::draw::{lwpolyline, shuffled};
use common::own_time;
use run::{Folder, rows};
use tracearm::drawing::Drawing;
use tracearm::finding::{Code, Finding, Severity};
use tracearm::measure::{self, LayerChoice, Measurement, Options, Patterns, Per, Status};

fn rectangle(layer: &str, x: f64, y: f64, w: f64, h: f64) -> String {
    lwpolyline(layer, &[[x, y, 0.0], [x + w, y, 0.0], [x + w, y + h, 0.0], [x, y + h, 0.0]])
}

fn circle(layer: &str, x: f64, y: f64, radius: f64) -> String {
    format!("0\nCIRCLE\n8\n{layer}\n10\n{x:?}\n20\n{y:?}\n40\n{radius:?}\n")
}

/// A drawing in millimetres; layers with flags and colours go before the entities.
fn drawing(layers: &[(&str, i32, i32)], entities: &[String]) -> String {
    let mut text = "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n".to_owned();
    if !layers.is_empty() {
        text.push_str("0\nSECTION\n2\nTABLES\n0\nTABLE\n2\nLAYER\n");
        for (name, flags, color) in layers {
            write!(text, "0\nLAYER\n2\n{name}\n70\n{flags}\n62\n{color}\n").unwrap();
        }
        text.push_str("0\nENDTAB\n0\nENDSEC\n");
    }
    write!(text, "0\nSECTION\n2\nENTITIES\n{}0\nENDSEC\n0\nEOF\n", entities.concat()).unwrap();
    text
}

fn measured(entities: &[String], options: &Options) -> Vec<Measurement> {
    let drawing = Drawing::read(drawing(&[], entities).as_bytes()).unwrap();
    measure::drawing("test.dxf", &drawing, options).measurements
}

fn choice(keep: &[&str], skip: &[&str]) -> LayerChoice {
    let owned = |names: &[&str]| names.iter().map(|name| (*name).to_owned()).collect::<Vec<_>>();
    LayerChoice::new(&owned(keep), &owned(skip), false).unwrap()
}

/// What is told of other layers on the row of a section.
fn messages<'a>(rows: &'a [Measurement], section: &str) -> Vec<&'a Finding> {
    let row = rows.iter().find(|row| row.section == section).unwrap_or_else(|| panic!("no row {section}"));
    row.findings
        .iter()
        .filter(|finding| matches!(finding.code, Code::OtherOutlines | Code::MayBeFrame))
        .collect()
}

/// Severity and the beginning of the message of each.
fn assert_told(rows: &[Measurement], section: &str, expected: &[(Severity, &str)]) {
    let messages = messages(rows, section);
    assert_eq!(messages.len(), expected.len(), "{section}: {messages:?}");
    for (finding, (severity, message)) in messages.iter().zip(expected) {
        assert_eq!(finding.severity, *severity, "{section}: {finding}");
        assert!(finding.message().contains(message), "{section}: {finding}, not {message}");
    }
}

use Severity::{Note, Warning};

/// A plate of 200 by 120, less a corner of 40 by 30, with two bolt holes and a slot on another layer.
fn plate_with_holes() -> Vec<String> {
    vec![
        lwpolyline(
            "PLATE",
            &[
                [10.0, 20.0, 0.0],
                [210.0, 20.0, 0.0],
                [210.0, 110.0, 0.0],
                [170.0, 140.0, 0.0],
                [10.0, 140.0, 0.0],
            ],
        ),
        circle("HOLES", 40.0, 50.0, 9.0),
        circle("HOLES", 40.0, 110.0, 9.0),
        rectangle("HOLES", 120.0, 60.0, 40.0, 14.0),
    ]
}

#[test]
fn holes_on_another_layer_are_a_warning_on_the_row_of_the_plate() {
    let rows = measured(&plate_with_holes(), &Options::default());
    assert_told(&rows, "HOLES", &[]);
    // 2 · 81 π + 560 of 24000 − 600.
    assert_told(
        &rows,
        "PLATE",
        &[(Warning, "3 closed outlines on layer “HOLES” lie within this section: 4.6 %")],
    );
    assert!(rows.iter().all(|row| (row.section == "PLATE") == (row.status() == Status::Warning)));
    // The figures are those of the plate without holes.
    let area =
        |rows: &[Measurement]| rows.iter().find(|r| r.section == "PLATE").unwrap().properties().unwrap().area;
    assert!((area(&rows) - 23_400.0).abs() < 1e-9);
    let finding = messages(&rows, "PLATE")[0];
    assert_eq!(finding.place.layer.as_deref(), Some("HOLES"));
    let point = finding.place.point.unwrap();
    assert_eq!((point.x, point.y), (49.0, 50.0));
    assert_eq!(finding.code, Code::OtherOutlines);
    for way in ["cut out", "together", "leave the layer out"] {
        assert!(finding.to_string().contains(way), "{finding}");
    }
}

#[test]
fn what_the_finding_says_to_do_makes_it_go_away() {
    let entities = plate_with_holes();
    let holes = 2.0 * 81.0 * std::f64::consts::PI + 560.0;
    let voids = Patterns::new(&["HOLE*".to_owned()]).unwrap();
    for (options, area) in [
        (Options::with(|o| o.void_layers = voids), 23_400.0 - holes),
        (Options::with(|o| o.per = Per::Drawing), 23_400.0 - holes),
        (Options::with(|o| o.layers = choice(&[], &["HOLES"])), 23_400.0),
    ] {
        let rows = measured(&entities, &options);
        assert_eq!(rows.len(), 1);
        // That a layer's outlines are holes in another's solid is said even so.
        let others = rows[0].findings.iter().filter(|finding| finding.code != Code::HolesOfOtherLayer);
        assert_eq!((rows[0].status(), others.count()), (Status::Ok, 0), "{:?}", rows[0].findings);
        assert!((rows[0].properties().unwrap().area - area).abs() < 1e-9);
    }
    // A job file states what belongs to what.
    let folder = Folder::with(&[
        ("plate.dxf", &drawing(&[], &entities)),
        ("plate.toml", "drawing = \"plate.dxf\"\n[[section]]\nname = \"plate\"\nsolid = [\"PLATE\"]\n"),
    ]);
    let run = folder.run(&["schedule", "--job", "plate.toml"]);
    assert_eq!((run.code, rows(&run.out)[0]["findings"].as_str()), (0, ""));
}

#[test]
fn layers_left_out_by_layers_are_looked_at_too() {
    let mut entities = plate_with_holes();
    let only = |per: Per, keep: &[&str], skip: &[&str]| {
        Options::with(|o| {
            o.per = per;
            o.layers = choice(keep, skip);
        })
    };
    let expected = [(Warning, "3 closed outlines on layer “HOLES” lie within this section")];
    for per in [Per::Layer, Per::Drawing] {
        let section = if per == Per::Layer { "PLATE" } else { "test" };
        let rows = measured(&entities, &only(per, &["PLATE"], &[]));
        assert_eq!(rows.len(), 1);
        assert_told(&rows, section, &expected);
        assert_told(&measured(&entities, &only(per, &["PLATE"], &["HOLES"])), section, &[]);
    }
    // Holes of a plate that is left out make no less of a hole of the others.
    entities.push(rectangle("RIB", 400.0, 20.0, 90.0, 60.0));
    entities.push(circle("HOLES", 430.0, 50.0, 9.0));
    let rows = measured(&entities, &only(Per::Layer, &["PLATE"], &[]));
    assert_told(
        &rows,
        "PLATE",
        &[(Warning, "3 of 4 closed outlines on layer “HOLES” lie within this section")],
    );
    // One that lies in no plate makes it less sure that the layer is one of holes.
    entities.push(circle("HOLES", 900.0, 50.0, 9.0));
    for options in [Options::default(), only(Per::Layer, &["PLATE"], &[])] {
        let rows = measured(&entities, &options);
        assert_told(
            &rows,
            "PLATE",
            &[(Note, "3 of 5 closed outlines on layer “HOLES” lie within this section")],
        );
    }
}

#[test]
fn layers_that_do_not_show_are_not_told() {
    let entities = plate_with_holes();
    for hidden_layer in [("HOLES", 1, 7), ("HOLES", 0, -7)] {
        let folder = Folder::with(&[("plate.dxf", &drawing(&[hidden_layer], &entities))]);
        let run = folder.run(&["schedule", "plate.dxf"]);
        assert_eq!(run.code, 0);
        assert_eq!(
            (rows(&run.out)[0]["status"].as_str(), rows(&run.out)[0]["findings"].as_str()),
            ("ok", "")
        );
        assert!(run.err.contains("left out because off or frozen: layer HOLES"), "{}", run.err);
        let run = folder.run(&["schedule", "--hidden", "plate.dxf"]);
        let plate = rows(&run.out).into_iter().find(|row| row["section"] == "PLATE").unwrap();
        assert_eq!(plate["status"], "warning");
        assert!(plate["findings"].contains("3 closed outlines on layer “HOLES”"), "{}", plate["findings"]);
    }
    // Outlines marked invisible on a layer that shows.
    let invisible: Vec<String> =
        entities.iter().map(|e| e.replace("8\nHOLES\n", "8\nHOLES\n60\n1\n")).collect();
    let rows = measured(&invisible, &Options::default());
    assert_eq!((rows.len(), rows[0].status()), (1, Status::Ok));
}

#[test]
fn each_part_tells_of_what_lies_in_it() {
    let entities = vec![
        rectangle("PLATE", 0.0, 0.0, 100.0, 60.0),
        rectangle("PLATE", 150.0, 0.0, 80.0, 60.0),
        rectangle("PLATE", 300.0, 0.0, 90.0, 60.0),
        circle("HOLES", 20.0, 30.0, 7.0),
        circle("HOLES", 320.0, 30.0, 7.0),
        circle("HOLES", 370.0, 30.0, 7.0),
    ];
    let rows = measured(&entities, &Options::with(|o| o.per = Per::Part));
    assert_told(
        &rows,
        "PLATE#1",
        &[(Warning, "1 of 3 closed outlines on layer “HOLES” lies within this section: 2.6 %")],
    );
    assert_told(&rows, "PLATE#2", &[]);
    assert_told(
        &rows,
        "PLATE#3",
        &[(Warning, "2 of 3 closed outlines on layer “HOLES” lie within this section: 5.7 %")],
    );
    let rows = measured(&entities, &Options::default());
    assert_told(&rows, "PLATE", &[(Warning, "3 closed outlines on layer “HOLES” lie within this section")]);
}

#[test]
fn outlines_at_edges_holes_and_islands() {
    let frame = || {
        vec![
            rectangle("PLATE", 0.0, 0.0, 300.0, 200.0),
            rectangle("PLATE", 60.0, 40.0, 180.0, 120.0),
            circle("PLATE", 150.0, 100.0, 40.0),
        ]
    };
    let with = |more: &[String]| measured(&[frame(), more.to_vec()].concat(), &Options::default());
    let no: &[(Severity, &str)] = &[];
    for (words, more, expected) in [
        ("in the hole, beside the island", vec![circle("X", 80.0, 60.0, 9.0)], no),
        (
            "in the island",
            vec![circle("X", 150.0, 100.0, 9.0)],
            &[(Warning, "a closed outline on layer “X” lies within")],
        ),
        ("as large as the hole", vec![rectangle("X", 60.0, 40.0, 180.0, 120.0)], no),
        ("as large as the plate", vec![rectangle("X", 0.0, 0.0, 300.0, 200.0)], no),
        ("touching the edge from without", vec![rectangle("X", 300.0, 50.0, 40.0, 40.0)], no),
        (
            "touching the edge from within",
            vec![rectangle("X", 280.0, 50.0, 20.0, 40.0)],
            &[(Warning, "lies within")],
        ),
        (
            "across the edge",
            vec![circle("X", 300.0, 50.0, 9.0)],
            &[(Note, "a closed outline on layer “X” lies across the edge")],
        ),
        (
            "across the edge and within",
            vec![circle("X", 300.0, 50.0, 9.0), circle("X", 20.0, 50.0, 9.0)],
            &[(
                Warning,
                "2 closed outlines on layer “X” lie in this section, 1 within it and 1 across its edge",
            )],
        ),
        // Another plate drawn over this one is no slot in it.
        ("a large one across the edge", vec![rectangle("X", 250.0, -400.0, 400.0, 900.0)], no),
        (
            "a small and a large one across the edge",
            vec![circle("X", 20.0, 50.0, 9.0), rectangle("X", 100.0, -400.0, 400.0, 900.0)],
            no,
        ),
        (
            "more than half of it",
            vec![rectangle("X", 5.0, 5.0, 290.0, 190.0)],
            &[(Note, "a closed outline on layer “X” lies within")],
        ),
        ("around all of it", vec![rectangle("X", -50.0, -50.0, 400.0, 300.0)], no),
        // The copy of the edge is not counted among what lies within, nor against it.
        (
            "the plate again, with a hole",
            vec![rectangle("X", 0.0, 0.0, 300.0, 200.0), circle("X", 20.0, 50.0, 9.0)],
            &[(Warning, "1 of 2 closed outlines on layer “X” lies within")],
        ),
        // The area of a hole counts once, whatever is drawn in it, and however often.
        (
            "a hole with its thread, and again",
            vec![circle("X", 20.0, 50.0, 9.0), circle("X", 20.0, 50.0, 7.5), circle("X", 20.0, 50.0, 9.0)],
            &[(Warning, "2 closed outlines on layer “X” lie within this section: 0.6 % of its area")],
        ),
        (
            "filled",
            vec![
                "0\nSOLID\n8\nX\n10\n20\n20\n50\n11\n26\n21\n50\n12\n20\n22\n58\n13\n26\n23\n58\n".to_owned(),
            ],
            no,
        ),
    ] {
        let rows = with(&more);
        let found: Vec<String> = messages(&rows, "PLATE").iter().map(ToString::to_string).collect();
        assert_eq!(found.len(), expected.len(), "{words}: {found:?}");
        for (finding, (severity, message)) in messages(&rows, "PLATE").iter().zip(expected) {
            assert!(
                finding.severity == *severity && finding.message().contains(message),
                "{words}: {finding}"
            );
        }
    }
}

/// The same findings in any order of the entities, but for the lines of the file.
#[test]
fn the_order_of_drawing_makes_no_difference() {
    let mut entities = plate_with_holes();
    for k in 0..12 {
        let layer = ["HOLES", "SLOTS", "TAGS", "PIPES", "HOLES"][k % 5];
        entities.push(circle(layer, 15.0 + 16.0 * k as f64, 30.0, 3.0 + 0.25 * k as f64));
    }
    let messages = |entities: &[String]| -> Vec<Vec<String>> {
        let drawing = Drawing::read(drawing(&[], entities).as_bytes()).unwrap();
        let rows = measure::drawing("test.dxf", &drawing, &Options::default()).measurements;
        let place =
            |f: &Finding| format!("{:?} {} {:?} {:?}", f.severity, f.message(), f.place.layer, f.place.point);
        rows.iter().map(|row| row.findings.iter().map(place).collect()).collect()
    };
    let expected = messages(&entities);
    assert!(expected.iter().any(|row| !row.is_empty()));
    let mut reversed = entities.clone();
    reversed.reverse();
    assert_eq!(messages(&reversed), expected);
    assert_eq!(messages(&[shuffled(entities)]), expected);
}

#[test]
fn a_plate_with_a_layer_for_each_diameter_and_the_frame_around_it() {
    let plate = |x: f64| {
        let mut all = vec![rectangle("PLATE", x, 0.0, 200.0, 100.0)];
        for k in 0..6 {
            all.push(circle(&format!("D{k}"), x + 20.0 + 30.0 * f64::from(k), 40.0, 4.0 + f64::from(k)));
        }
        all
    };
    let rows = measured(&plate(0.0), &Options::default());
    assert_told(
        &rows,
        "PLATE",
        &[(Warning, "6 closed outlines on 6 layers (“D0”, “D1” …) lie within this section: 4.")],
    );
    // A frame goes round what goes round others.
    let framed = [plate(0.0), vec![rectangle("FRAME", -50.0, -50.0, 900.0, 600.0)]].concat();
    let rows = measured(&framed, &Options::default());
    assert_told(&rows, "FRAME", &[(Note, "on more than 3 other layers lie within this section")]);
    assert_told(&rows, "PLATE", &[(Warning, "6 closed outlines on 6 layers")]);
}

/// 100 layers of 1,000 outlines all over one sheet, half of them within plates of the next layer: a few times as long as with
/// those beside the plates. Holding each section against all outlines of the others would be 10⁷ comparisons.
#[test]
fn many_layers_with_many_outlines() {
    let spread = |beside: f64| {
        let mut entities = Vec::new();
        for layer in 0..100 {
            for k in 0..500 {
                let x = 60.0 * f64::from(k % 25) + 6.0 * f64::from(layer % 10);
                let y = 60.0 * f64::from(k / 25) + 6.0 * f64::from(layer / 10);
                entities.push(rectangle(&format!("L{layer:02}"), x, y, 4.0, 3.0));
                let within = format!("L{:02}", (layer + 99) % 100);
                entities.push(rectangle(&within, x + 1.0 + beside, y + 0.75, 0.5, 0.25));
            }
        }
        Drawing::read(drawing(&[], &entities).as_bytes()).unwrap()
    };
    let take = |drawing: &Drawing, expected: usize| {
        let begin = own_time();
        let mut rows = 0;
        let _ = measure::each_section("test.dxf", drawing, &Options::default(), &mut |row| {
            let messages: Vec<&Finding> = row
                .findings
                .iter()
                .filter(|f| matches!(f.code, Code::OtherOutlines | Code::MayBeFrame))
                .collect();
            assert_eq!(messages.len(), expected, "{messages:?}");
            assert!(
                messages
                    .iter()
                    .all(|finding| finding.message().starts_with("500 of 1000 closed outlines on layer"))
            );
            rows += 1;
        });
        assert_eq!(rows, 100);
        own_time() - begin
    };
    let (within, beside) = (spread(0.0), spread(3.5));
    let (with, without) = (take(&within, 1), take(&beside, 0));
    println!("within plates of another layer {with:?}, beside them {without:?}");
    assert!(with < 5 * without + Duration::from_millis(500), "{with:?}, {without:?}");
}
