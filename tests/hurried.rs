//! Drawings as they come about in a hurry: each was measured wrong, or in one order of its entities alone, before.

use tracearm::drawing::Drawing;
use tracearm::finding::Code;
use tracearm::measure::{self, Measurement, Options, Status};

/// Lines (layer, from, to) and circles (layer, centre, radius) in millimetres.
fn measured(lines: &[(&str, [f64; 4])], circles: &[(&str, [f64; 3])]) -> Vec<Measurement> {
    let mut text =
        "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n".to_owned();
    for (layer, [x0, y0, x1, y1]) in lines {
        text += &format!("0\nLINE\n8\n{layer}\n10\n{x0}\n20\n{y0}\n11\n{x1}\n21\n{y1}\n");
    }
    for (layer, [x, y, radius]) in circles {
        text += &format!("0\nCIRCLE\n8\n{layer}\n10\n{x}\n20\n{y}\n40\n{radius}\n");
    }
    let drawing = Drawing::read((text + "0\nENDSEC\n0\nEOF\n").as_bytes()).expect("a drawing");
    measure::drawing("hurried", &drawing, &Options::default()).measurements
}

/// A plate of 100 x 60 whose first line runs past its corner and whose last one misses it.
fn plate(past: f64, gap: f64) -> Vec<(&'static str, [f64; 4])> {
    let corners = [[0.0, 0.0, 100.0 + past, 0.0], [100.0, 0.0, 100.0, 60.0], [100.0, 60.0, 0.0, 60.0]];
    corners.into_iter().chain([[0.0, 60.0, 0.0, gap]]).map(|line| ("P", line)).collect()
}

#[test]
fn a_bolt_hole_is_not_taken_for_its_plate_where_a_line_runs_past_a_corner() {
    for (past, gap) in [(0.02, 0.015), (0.05, 0.05), (2.0, 0.05), (0.05, 1.0), (0.0, 0.02)] {
        for circles in [&[("P", [40.0, 30.0, 5.0])][..], &[]] {
            let rows = measured(&plate(past, gap), circles);
            let [row] = rows.as_slice() else { panic!("{past} {gap}: {}", rows.len()) };
            assert_eq!(row.status(), Status::Failed, "{past} {gap}: {:?}", row.findings);
        }
    }
    let rows = measured(&plate(0.02, 0.008), &[("P", [40.0, 30.0, 5.0])]);
    let area = rows[0].properties().expect("figures").area;
    assert!((area - 6000.0 + 25.0 * std::f64::consts::PI).abs() < 1.0, "{area}");
}

/// An edge that runs past its corner has three ends there, which were told as a gap of 0 mm between a place and itself.
#[test]
fn only_what_is_open_is_a_gap() {
    for past in [0.02, 0.5, 3.0] {
        let mut lines = plate(0.0, 0.3);
        lines[2].1[0] += past;
        // One edge twice, as it often is.
        lines.push(lines[1]);
        let rows = measured(&lines, &[]);
        let [row] = rows.as_slice() else { panic!("{past}: {}", rows.len()) };
        let said: Vec<String> = row.findings.iter().map(|finding| finding.message()).collect();
        let gaps: Vec<&String> = said.iter().filter(|said| said.contains("gap of")).collect();
        assert!(
            gaps.len() == 1 && gaps[0].contains("gap of 0.3 mm between (0, 0) and (0, 0.3)"),
            "{past}: {said:?}"
        );
        // What runs past is told for itself.
        assert!(said.iter().any(|said| said.contains(&format!("({}, 60)", 100.0 + past))), "{said:?}");
    }
}

#[test]
fn edges_drawn_again_a_hair_apart_count_once_in_any_order() {
    let mut lines = plate(0.0, 0.0);
    lines.push(("P", [-0.004, 0.002, 99.996, 0.002]));
    lines.push(("P", [99.996, 0.002, 99.996, 60.002]));
    let mut areas = Vec::new();
    for order in [[0, 1, 2, 3, 4, 5], [4, 0, 5, 1, 2, 3], [3, 5, 2, 4, 1, 0], [2, 4, 0, 5, 3, 1]] {
        let lines: Vec<_> = order.iter().map(|k| lines[*k]).collect();
        let rows = measured(&lines, &[]);
        let [row] = rows.as_slice() else { panic!("{}", rows.len()) };
        assert_eq!(row.status(), Status::Ok, "{:?}", row.findings);
        assert!(row.findings.iter().any(|finding| matches!(
            finding.code,
            Code::SlipsDoubtful | Code::SlipsMended | Code::OutlineRetraced
        )));
        areas.push(row.properties().expect("figures").area);
    }
    assert!(areas.iter().all(|area| *area == areas[0]) && (areas[0] - 6000.0).abs() < 1.0, "{areas:?}");
}

#[test]
fn a_copy_of_a_hole_on_another_layer_is_not_told() {
    let rows = measured(&plate(0.0, 0.0), &[("P", [40.0, 30.0, 5.0]), ("HOLES", [40.0005, 30.0, 5.0])]);
    let plate = rows.iter().find(|row| row.section == "P").expect("the plate");
    assert_eq!((plate.status(), plate.findings.len()), (Status::Ok, 0), "{:?}", plate.findings);
}

#[test]
fn a_band_or_hatch_drawn_again_a_hair_apart_counts_once() {
    let band =
        |y: f64| format!("0\nLWPOLYLINE\n8\nP\n90\n2\n70\n0\n43\n10\n10\n7\n20\n{y}\n10\n107\n20\n{y}\n");
    let text = format!(
        "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n{}{}0\nENDSEC\n0\nEOF\n",
        band(5.0),
        band(5.004)
    );
    let drawing = Drawing::read(text.as_bytes()).expect("a drawing");
    let options = Options::with(|o| o.widths = measure::Widths::Solid);
    let rows = measure::drawing("hurried", &drawing, &options).measurements;
    let [row] = rows.as_slice() else { panic!("{}", rows.len()) };
    assert_eq!(row.status(), Status::Warning, "{:?}", row.findings);
    assert!(row.findings.iter().any(|finding| finding.code == Code::OutlineRetraced));
    let area = row.properties().expect("figures").area;
    assert!((area - 1000.0).abs() < 1e-9, "{area}");
}
