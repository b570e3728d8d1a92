//! Pictures of fixtures and of shapes that are hard to draw.

use super::*;
use crate::drawing::{Drawing, LengthUnit};
use crate::finding::{Code, Finding};
use crate::geometry::{Arc, Bounds, Curve, Point};
use crate::measure::{self, Job, MeasuredSection, Options, Per};
use crate::outline::{Origin, Ring};
use crate::region::Part;
use crate::schedule::Digits;
use crate::section::Section;
use crate::sheet::png::reading::{drawn, elements, strokes};

fn at(x: f64, y: f64) -> Point {
    Point::new(x, y)
}

fn polygon(corners: &[Point]) -> Ring {
    let next = corners.iter().cycle().skip(1);
    let edges = corners.iter().zip(next).map(|(a, b)| Curve::line(*a, *b)).collect();
    Ring::new(edges, Origin::default()).unwrap()
}

fn rectangle(x: f64, y: f64, width: f64, height: f64) -> Ring {
    polygon(&[at(x, y), at(x + width, y), at(x + width, y + height), at(x, y + height)])
}

fn circle(x: f64, y: f64, radius: f64) -> Ring {
    Ring::new(vec![Curve::from(Arc::circle(at(x, y), radius))], Origin::default()).unwrap()
}

fn of(name: &str, parts: Vec<Part>) -> Measurement {
    let region = Region { parts };
    let mut measurement = Measurement::failed("invented.dxf", Finding::of(Code::NoArea));
    measurement.findings.clear();
    measurement.section = name.to_owned();
    measurement.result = Ok(MeasuredSection::new(Section::of(&region).unwrap(), region));
    measurement
}

fn plain(name: &str, edge: Ring) -> Measurement {
    of(name, vec![Part { edge, holes: Vec::new() }])
}

/// An angle, its longer leg upright, its corner at (x, y).
fn angle(x: f64, y: f64, size: f64) -> Ring {
    let corners = [(0.0, 0.0), (0.6, 0.0), (0.6, 0.1), (0.1, 0.1), (0.1, 1.0), (0.0, 1.0)];
    polygon(&corners.map(|(a, b)| at(x + a * size, y + b * size)))
}

/// Shapes that are hard to draw: long, thin, tiny, far away, many.
fn hard() -> Vec<Measurement> {
    let grid = (0..300).map(|k| {
        let (column, row) = (f64::from(k % 20), f64::from(k / 20));
        let edge = if k % 7 == 0 {
            circle(37.0 * column + 20.0, 51.0 * row + 30.0, 11.0 + column * 0.3)
        } else {
            rectangle(37.0 * column + 7.0, 51.0 * row + 9.0, 15.0 + column * 0.5, 40.0 - row)
        };
        Part { edge, holes: Vec::new() }
    });
    let plate = Part {
        edge: rectangle(-40.0, 15.0, 420.0, 260.0),
        holes: vec![circle(15.0, 70.0, 22.0), circle(300.0, 215.0, 31.0), rectangle(120.0, 90.0, 90.0, 45.0)],
    };
    let islet = Part { edge: circle(300.0, 215.0, 12.0), holes: Vec::new() };
    let turned = |degrees: f64| {
        let map = crate::geometry::Affine::rotation(degrees.to_radians());
        let (curves, _) = (angle(0.0, 0.0, 240.0), ());
        let curves = curves.curves().iter().map(|c| c.transformed(&map)).collect();
        Ring::new(curves, Origin::default()).unwrap()
    };
    vec![
        plain("angle", angle(200.0, 50.0, 100.0)),
        plain("angle turned by 20°", turned(20.0)),
        plain("angle turned by -55°", turned(-55.0)),
        plain("angle turned by 110°", turned(110.0)),
        plain("strip of 6000 by 8", rectangle(-70.0, 33.0, 6000.0, 8.0)),
        plain("upright of 3 by 2000", rectangle(11.0, -5.0, 3.0, 2000.0)),
        plain("bar of 110 by 10", rectangle(11.0, -5.0, 110.0, 10.0)),
        plain("sliver of 0.02", angle(1.0, 2.0, 0.02)),
        plain("long sliver", polygon(&[at(0.0, 0.0), at(900.0, 40.0), at(900.0, 40.02)])),
        plain("far away", angle(1e6, -1e6, 100.0)),
        plain("disc", circle(70.0, 40.0, 15.0)),
        plain("square", rectangle(70.0, 40.0, 15.0, 15.0)),
        of("300 parts", grid.collect()),
        of("plate with holes", vec![plate, islet]),
        of(
            "two apart",
            vec![
                Part { edge: rectangle(0.0, 0.0, 200.0, 12.0), holes: Vec::new() },
                Part { edge: rectangle(30.0, 300.0, 90.0, 20.0), holes: Vec::new() },
            ],
        ),
    ]
}

fn fixture(name: &str) -> Vec<Measurement> {
    let bytes = std::fs::read(format!("{}/fixtures/{name}", env!("CARGO_MANIFEST_DIR"))).unwrap();
    let drawing = Drawing::read(bytes.as_slice()).unwrap();
    measure::drawing(name, &drawing, &Options { per: Per::Layer, ..Options::default() }).measurements
}

const FIXTURES: [&str; 14] = [
    "gantry-end-plate.dxf",
    "hinge-lug.dxf",
    "jib-bracket.dxf",
    "rail-clamp.dxf",
    "base-plate.dxf",
    "islands.dxf",
    "half-ellipse.dxf",
    "spline-periodic.dxf",
    "far-from-origin.dxf",
    "split-jaws.dxf",
    "window-frame.dxf",
    "bow-tie.dxf",
    "formula-layers.dxf",
    "imperial.dxf",
];

/// Every shape of these tests.
fn all() -> Vec<Measurement> {
    let drawn = FIXTURES.iter().flat_map(|name| fixture(name)).filter(|m| m.region().is_some());
    hard().into_iter().chain(drawn).collect()
}

/// Every picture of a measurement.
fn pictures(m: &Measurement, style: &Style, look: Look) -> Vec<Picture> {
    let cut = |direction, count, id| strips(m, style, direction, count, look, id);
    let found = [
        section(m, style, look, "s"),
        cut(StripDirection::Upright, 12, "u"),
        cut(StripDirection::Flat, 25, "f"),
        cut(StripDirection::Upright, 500, "m"),
    ];
    found.into_iter().map(|picture| picture.expect("a picture")).collect()
}

fn styles() -> [Style; 2] {
    [Style::default(), Style { unit: LengthUnit::UsSurveyFoot, digits: Digits::FULL, ..Style::default() }]
}

#[test]
fn words_keep_apart_and_within_the_view() {
    let mut seen = 0;
    for m in all() {
        for (style, look) in
            [(styles()[0], Look::Alone), (styles()[1], Look::Alone), (styles()[0], Look::Page)]
        {
            for picture in pictures(&m, &style, look) {
                let (texts, others) = drawn(&picture.svg);
                let name = &m.section;
                for (k, (text, a)) in texts.iter().enumerate() {
                    for (other, b) in &texts[k + 1..] {
                        let apart = a[2] <= b[0] || b[2] <= a[0] || a[3] - 2.5 <= b[1] || b[3] - 2.5 <= a[1];
                        assert!(apart, "{name}: '{text}' {a:?} over '{other}' {b:?}");
                    }
                }
                let boxes = texts.iter().map(|(_, extent)| extent).chain(&others);
                for extent in boxes {
                    let [left, top, right, bottom] = *extent;
                    let within = left >= -0.1
                        && top >= -0.1
                        && right <= picture.width + 0.1
                        && bottom <= picture.height + 0.1;
                    assert!(within, "{name}: {extent:?} beyond {} by {}", picture.width, picture.height);
                    seen += 1;
                }
                let (width, height) = (picture.width, picture.height);
                assert!(width <= 1400.0 && height <= 860.0, "{name}: {width} by {height}");
            }
        }
    }
    assert!(seen > 5000);
}

/// A drawing in millimetres of closed polylines and circles on one layer.
fn measured(outlines: &[Vec<Point>], circles: &[(f64, f64, f64)]) -> Measurement {
    let mut dxf =
        "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n".to_owned();
    for corners in outlines {
        dxf.push_str("0\nLWPOLYLINE\n8\nPLATE\n70\n1\n");
        corners.iter().for_each(|p| dxf.push_str(&format!("10\n{}\n20\n{}\n", p.x, p.y)));
    }
    for (x, y, radius) in circles {
        dxf.push_str(&format!("0\nCIRCLE\n8\nPLATE\n10\n{x}\n20\n{y}\n40\n{radius}\n"));
    }
    dxf.push_str("0\nENDSEC\n0\nEOF\n");
    let drawing = Drawing::read(dxf.as_bytes()).unwrap();
    measure::drawing("plate.dxf", &drawing, &Options::default()).measurements.remove(0)
}

/// Shapes whose corners and edges lie where labels want to stand.
fn awkward() -> Vec<(&'static str, Measurement)> {
    let rectangle =
        |x: f64, y: f64, w: f64, h: f64| vec![at(x, y), at(x + w, y), at(x + w, y + h), at(x, y + h)];
    let hexagon = (0..6).map(|k| {
        at(300.0, 40.0) + Point::at_angle(f64::from(k).mul_add(std::f64::consts::FRAC_PI_3, 0.1)) * 80.0
    });
    let slot = [
        (0.0, 0.0),
        (60.0, 0.0),
        (60.0, 40.0),
        (36.0, 40.0),
        (36.0, 26.0),
        (46.0, 26.0),
        (46.0, 14.0),
        (14.0, 14.0),
        (14.0, 26.0),
        (24.0, 26.0),
        (24.0, 40.0),
        (0.0, 40.0),
    ];
    let plates = (0..40).map(|k| {
        let (column, row) = (f64::from(k % 8), f64::from(k / 8));
        rectangle(50.0 + 70.0 * column, 20.0 + 45.0 * row, 55.0 - 2.0 * row, 12.0 + 2.0 * column)
    });
    let bolts: Vec<(f64, f64, f64)> =
        (0..12).map(|k| (60.0 + 45.0 * f64::from(k % 4), 55.0 + 60.0 * f64::from(k / 4), 8.5)).collect();
    vec![
        ("triangle", measured(&[vec![at(20.0, 30.0), at(140.0, 30.0), at(50.0, 130.0)]], &[])),
        ("apex in the middle", measured(&[vec![at(0.0, 0.0), at(120.0, 0.0), at(60.0, 104.0)]], &[])),
        ("hexagon", measured(&[hexagon.collect()], &[])),
        ("circle", measured(&[], &[(70.0, -20.0, 45.0)])),
        ("ring", measured(&[], &[(70.0, -20.0, 45.0), (70.0, -20.0, 30.0)])),
        ("T-slot", measured(&[slot.map(|(x, y)| at(x, y)).to_vec()], &[])),
        ("forty plates", measured(&plates.collect::<Vec<_>>(), &[])),
        ("plate with bolt holes", measured(&[rectangle(20.0, 10.0, 220.0, 200.0)], &bolts)),
        (
            "girder of plates",
            measured(
                &[
                    rectangle(0.0, 0.0, 300.0, 25.0),
                    rectangle(143.0, 25.0, 14.0, 500.0),
                    rectangle(50.0, 525.0, 200.0, 30.0),
                ],
                &[],
            ),
        ),
    ]
}

/// Every section of every fixture.
fn every_fixture() -> Vec<(String, Measurement)> {
    let folder = format!("{}/fixtures", env!("CARGO_MANIFEST_DIR"));
    let mut names: Vec<String> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .filter(|name| name.ends_with(".dxf"))
        .collect();
    names.sort();
    let mut all = Vec::new();
    for name in names {
        let bytes = std::fs::read(format!("{}/fixtures/{name}", env!("CARGO_MANIFEST_DIR"))).unwrap();
        let Ok(drawing) = Drawing::read(bytes.as_slice()) else { continue };
        for measurement in measure::drawing(&name, &drawing, &Options::default()).measurements {
            all.push((format!("{name}, {}", measurement.section), measurement));
        }
    }
    all
}

/// No label crosses a line or another label, whatever the shape.
#[test]
fn labels_cross_no_line_and_no_other_label() {
    let awkward = awkward().into_iter().map(|(name, m)| (name.to_owned(), m));
    let hard = hard().into_iter().map(|m| (m.section.clone(), m));
    let (mut labels, mut faults) = (0, Vec::new());
    for (name, m) in awkward.chain(hard).chain(every_fixture()) {
        for look in [Look::Page, Look::Alone] {
            let Some(picture) = section(&m, &Style::default(), look, "s") else { continue };
            let (texts, lines) = strokes(&picture.svg);
            // Half a px is less than a line is wide.
            let boxes: Vec<(&str, Bounds)> = texts
                .iter()
                .map(|(text, [l, t, r, b])| {
                    (text.as_str(), Bounds { min: at(*l, *t), max: at(*r, *b) }.grown(-0.5))
                })
                .collect();
            for (k, (text, own)) in boxes.iter().enumerate() {
                if lines.iter().any(|[a, b, c, d]| own.is_crossed(at(*a, *b), at(*c, *d))) {
                    faults.push(format!("{name}, {look:?}: a line crosses “{text}”"));
                }
                if let Some((other, _)) = boxes[k + 1..].iter().find(|(_, other)| own.meets(other)) {
                    faults.push(format!("{name}, {look:?}: “{text}” stands over “{other}”"));
                }
                labels += 1;
            }
        }
    }
    assert!(faults.is_empty(), "{} of {labels} labels: {:#?}", faults.len(), &faults[..faults.len().min(40)]);
    assert!(labels > 3000, "{labels} labels");
}

#[test]
fn numbers_and_sizes_stand_in_the_picture_or_are_missed() {
    let picture = |name: &str| {
        let (_, m) = awkward().into_iter().find(|(own, _)| *own == name).unwrap();
        section(&m, &Style::default(), Look::Page, "s").unwrap()
    };
    let holes = picture("plate with bolt holes");
    let all = words(&holes);
    for number in 2..=13 {
        assert!(all.iter().any(|word| word.starts_with(&format!("{number}"))), "{number}: {all:?}");
    }
    assert!(all.iter().any(|word| word.ends_with("Ø17")), "{all:?}");
    // Between the centres of holes, and from the edges.
    for distance in ["40", "45", "60"] {
        assert!(all.iter().any(|word| word == distance), "{distance}: {all:?}");
    }
    let slot = words(&picture("T-slot"));
    assert!(slot.contains(&"10".to_owned()) || slot.contains(&"14".to_owned()), "{slot:?}");
    // Forty plates have no room for all of their sizes, which the page must give elsewhere.
    assert!(picture("forty plates").is_short);
}

#[test]
fn a_picture_alone_says_what_it_is_of() {
    let m = plain("angle", angle(200.0, 50.0, 100.0));
    let picture = section_dated(&m, &Style::default(), Look::Alone, "a", "2027-03-31").unwrap();
    let said = words(&picture).contains(&"invented.dxf; status: ok, no warnings; 2027-03-31".to_owned());
    assert!(said, "{:?}", words(&picture));
    // Axes have numbers, their fibres letters, and the angle its own.
    let all = words(&picture);
    for word in ["a", "b", "c", "d", "θ"] {
        assert!(all.contains(&word.to_owned()), "{word}: {all:?}");
    }
    assert!(all.iter().any(|word| word.starts_with("axis 1, θ = 19.6")), "{all:?}");
}

#[test]
fn pictures_are_well_formed_and_their_ids_their_own() {
    for m in all() {
        for look in [Look::Page, Look::Alone] {
            let picture = section(&m, &Style::default(), look, "row 7\"><b").unwrap();
            assert_eq!(picture, section(&m, &Style::default(), look, "row 7\"><b").unwrap());
            let found = elements(&picture.svg).unwrap();
            let ids: Vec<&str> = found.iter().filter_map(|e| e.attribute("id")).collect();
            assert_eq!(ids, ["row-7---b-title", "row-7---b-desc", "row-7---b-hatch"]);
            assert_eq!(found[0].attribute("role"), Some("img"));
            assert_eq!(found[0].attribute("aria-labelledby"), Some("row-7---b-title row-7---b-desc"));
            assert_eq!((found[1].name.as_str(), found[2].name.as_str()), ("title", "desc"));
            assert_eq!(found.iter().filter(|e| e.name == "style").count(), usize::from(look == Look::Alone));
            assert!(!picture.svg.contains("NaN") && !picture.svg.contains("inf"));
            // Every class has a rule.
            for class in found.iter().filter_map(|e| e.attribute("class")) {
                assert!(STYLE.contains(&format!(".{class}{{")), "{class}");
            }
            for sign in &picture.legend {
                assert!(elements(&sign.sample).unwrap().len() > 1 && !sign.words.is_empty());
            }
        }
    }
}

#[test]
fn hostile_names_stay_text() {
    let name = format!("</title><script>alert('1')</script>&\u{202e}\u{1}\"{}", "平W".repeat(150));
    let m = plain(&name, angle(200.0, 50.0, 100.0));
    for picture in pictures(&m, &Style::default(), Look::Alone) {
        let found = elements(&picture.svg).unwrap();
        assert!(found.iter().all(|e| e.name != "script"));
        assert!(found[1].text.starts_with("Section </title><script>alert"));
        let heading = found.iter().find(|e| e.attribute("class") == Some("heading")).unwrap();
        assert!(heading.text.ends_with('…') && heading.text.chars().count() < 80);
        assert!(!picture.svg.contains('\u{202e}'));
    }
}

/// All words of a picture.
fn words(picture: &Picture) -> Vec<String> {
    elements(&picture.svg).unwrap().into_iter().filter(|e| e.name == "text").map(|e| e.text).collect()
}

#[test]
fn figures_are_those_of_the_schedule() {
    let m = plain("angle", angle(200.0, 50.0, 100.0));
    let picture = section(&m, &Style::default(), Look::Alone, "a").unwrap();
    let words = words(&picture);
    // 600·30 + 900·5 over 1500, and 600·5 + 900·55 over 1500, from the corner at (200, 50).
    for expected in [
        "60 mm",
        "100 mm",
        "axis x at y = 85 mm",
        "axis y at x = 215 mm",
        "centroid at x = 215 mm, y = 85 mm",
        "top fibre",
        "bottom fibre",
        "left fibre",
        "right fibre",
        // Half of the area, 750, lies above 75 of the upright leg, and left of 7.5 of it.
        "equal area at y = 75 mm",
        "equal area at x = 207.5 mm",
    ] {
        assert!(words.iter().any(|word| word == expected), "{expected} in {words:?}");
    }
    let degrees = m.properties().unwrap().principal.angle.to_degrees();
    let degrees = Digits::default().text(degrees, 0.0).replace('-', "−");
    let turned = format!("axis 1, θ = {degrees}°");
    assert!(words.contains(&turned), "{turned} in {words:?}");
    let inches = Style { unit: LengthUnit::Inch, ..Style::default() };
    let picture = section(&m, &inches, Look::Page, "a").unwrap();
    assert!(self::words(&picture).contains(&"3.93701 in".to_owned()));
    assert!(elements(&picture.svg).unwrap()[2].text.contains("1 solid part, no holes. Area 2.325 in²."));
}

#[test]
fn axes_that_coincide_are_one() {
    let square =
        section(&plain("square", rectangle(70.0, 40.0, 15.0, 15.0)), &Style::default(), Look::Alone, "a");
    let all = words(&square.unwrap());
    assert!(all.iter().any(|word| word.starts_with("principal axes: every axis")));
    assert!(all.contains(&"axis x and equal area at y = 47.5 mm".to_owned()));
    let flat =
        section(&plain("flat", rectangle(70.0, 40.0, 45.0, 15.0)), &Style::default(), Look::Alone, "a");
    let all = words(&flat.unwrap());
    assert!(all.contains(&"principal axes: 1 along y, 2 along x".to_owned()), "{all:?}");
    let high =
        section(&plain("high", rectangle(70.0, 40.0, 15.0, 45.0)), &Style::default(), Look::Alone, "a");
    assert!(words(&high.unwrap()).contains(&"principal axes 1 and 2 along x and y".to_owned()));
}

#[test]
fn fibres_of_turned_axes_are_as_far_out_as_their_moduli_say() {
    for m in hard().into_iter().filter(|m| m.section.starts_with("angle")) {
        let picture = section(&m, &Style::default(), Look::Page, "a").unwrap();
        let all = elements(&picture.svg).unwrap();
        let numbers: Vec<f64> = ["cx", "cy"]
            .iter()
            .map(|key| all.iter().find_map(|e| e.attribute(key)).unwrap().parse().unwrap())
            .collect();
        let centre = at(numbers[0], numbers[1]);
        let bounds = m.region().unwrap().bounds();
        let scale = Scale::fit_as(&bounds, Look::Page).unwrap();
        let marks = all.iter().filter(|e| e.attribute("class") == Some("principal-mark"));
        let tips = marks.map(|e| {
            let tip = e.attribute("d").unwrap()[1..].split_once('L').unwrap().0;
            let (x, y) = tip.split_once(' ').unwrap();
            let from = at(x.parse().unwrap(), y.parse().unwrap()) - centre;
            at(from.x / scale.x, -from.y / scale.y)
        });
        let section = m.properties().unwrap();
        let (axes, moduli) = (section.principal, section.elastic_principal);
        let axis = Point::at_angle(axes.angle);
        let upright = axis.quarter_turned();
        let expected = [
            (upright, axes.i_1 / moduli.top),
            (-upright, axes.i_1 / moduli.bottom),
            (-axis, axes.i_2 / moduli.left),
            (axis, axes.i_2 / moduli.right),
        ];
        let tips: Vec<Point> = tips.collect();
        assert_eq!(tips.len(), 4, "{}", m.section);
        for (tip, (outwards, distance)) in tips.iter().zip(expected) {
            // A hundredth of a px.
            assert!((tip.dot(outwards) - distance).abs() < 0.02 / scale.x, "{}: {tip:?}", m.section);
        }
    }
}

#[test]
fn what_is_not_to_scale_says_so() {
    for m in hard() {
        let picture = section(&m, &Style::default(), Look::Page, "a").unwrap();
        let bounds = m.region().unwrap().bounds();
        let slender = bounds.width().max(bounds.height()) > 12.0 * bounds.width().min(bounds.height());
        let messages = words(&picture).iter().any(|word| word.starts_with("not to scale: "));
        assert_eq!(slender, messages, "{}", m.section);
        assert_eq!(slender, elements(&picture.svg).unwrap()[2].text.contains("Note: not to scale"));
    }
}

#[test]
fn strips_are_as_high_as_the_solid_at_their_middles() {
    // Four strips of the angle, 15 wide, have their middles at 7.5, 22.5 ...: 100 high and three times 10.
    let m = plain("angle", angle(200.0, 50.0, 100.0));
    let strips = Strips::of(m.region().unwrap(), StripDirection::Upright, 4);
    assert_eq!(strips.heights[0].0, 207.5);
    let heights: Vec<f64> = strips.heights.iter().map(|(_, pairs)| pairs[0].1 - pairs[0].0).collect();
    for (height, expected) in heights.iter().zip([100.0, 10.0, 10.0, 10.0]) {
        assert!((height - expected).abs() < 1e-12);
    }
    assert!((strips.area() - 15.0 * 130.0).abs() < 1e-9);
    // A hole parts the strips through it.
    let plate = hard().into_iter().find(|m| m.section == "plate with holes").unwrap();
    let flat = Strips::of(plate.region().unwrap(), StripDirection::Flat, 26);
    let (level, pairs) = &flat.heights[9];
    assert!((level - 110.0).abs() < 1e-9);
    assert_eq!(pairs.len(), 2);
    assert!((pairs[0].1 - 120.0).abs() < 1e-9 && (pairs[1].0 - 210.0).abs() < 1e-9);
    // The islet in the hole about (300, 215) is solid again.
    assert_eq!(flat.heights[19].1.len(), 3);
}

#[test]
fn strips_that_pass_through_corners_count_once() {
    // The middle of the middle strip goes through two corners of the diamond and through that of its hole.
    let diamond =
        |r: f64| polygon(&[at(50.0 - r, 7.0), at(50.0, 7.0 - r), at(50.0 + r, 7.0), at(50.0, 7.0 + r)]);
    let m = of("diamond", vec![Part { edge: diamond(30.0), holes: vec![diamond(10.0)] }]);
    let strips = Strips::of(m.region().unwrap(), StripDirection::Upright, 3);
    assert_eq!(strips.heights[1].1, [(-23.0, -3.0), (17.0, 37.0)]);
    assert_eq!(strips.heights[0].1.len(), 1);
}

#[test]
fn more_strips_than_can_be_seen_are_told() {
    let m = plain("angle", angle(200.0, 50.0, 100.0));
    let picture = strips(&m, &Style::default(), StripDirection::Flat, 500, Look::Page, "a").unwrap();
    assert!(words(&picture).iter().any(|word| word.starts_with("drawn with 64 strips instead of 500")));
    assert!(strips(&m, &Style::default(), StripDirection::Flat, 0, Look::Page, "a").is_none());
    let failed = Measurement::failed("a.dxf", Finding::of(Code::NoArea));
    assert!(section(&failed, &Style::default(), Look::Page, "a").is_none());
}

#[test]
fn several_stiffnesses_are_told() {
    let read = |name: &str| std::fs::read(format!("{}/fixtures/{name}", env!("CARGO_MANIFEST_DIR"))).unwrap();
    let drawing = Drawing::read(read("crane-runway.dxf").as_slice()).unwrap();
    let text = String::from_utf8(read("crane-runway.toml")).unwrap();
    let job = Job::read(&text).unwrap();
    let transformed = job
        .sections
        .iter()
        .map(|spec| measure::section("crane-runway.dxf", &drawing, &job, spec, &Options::default()))
        .find(is_transformed)
        .expect("a section of several materials");
    let picture = section(&transformed, &Style::default(), Look::Page, "a").unwrap();
    assert!(words(&picture).iter().any(|word| word.contains("transformed section")));
    assert!(!picture.svg.contains("plastic"));
}

#[test]
fn outlines_of_many_pieces_do_not_grow_the_picture() {
    let ragged = |k: u32| {
        let angle = std::f64::consts::TAU * f64::from(k) / 40_000.0;
        at(300.0, 20.0)
            + Point::at_angle(angle) * (50.0 + 3.0 * (angle * 5.0).cos() + f64::from(k % 2) * 1e-3)
    };
    let edge = polygon(&(0..40_000).map(ragged).collect::<Vec<Point>>());
    let hole = |k: u32| circle(270.0 + f64::from(k % 100) * 0.6, 5.0 + f64::from(k / 100) * 0.2, 0.04);
    let m = of("ragged", vec![Part { edge, holes: (0..15_000).map(hole).collect() }]);
    for picture in pictures(&m, &Style::default(), Look::Alone) {
        assert!(picture.svg.len() < 800_000, "{}", picture.svg.len());
        assert!(words(&picture).iter().any(|word| word.starts_with("drawn coarsely")));
        assert!(words(&picture).iter().any(|word| word.ends_with("outlines are too small to be drawn")));
    }
}

/// Writes every picture of these tests, as SVG and PNG, into the folder that TRACEARM_PICTURES names.
#[test]
#[ignore = "writes files to be looked at"]
fn pictures_to_look_at() {
    let folder = std::path::PathBuf::from(std::env::var("TRACEARM_PICTURES").expect("a folder"));
    let mut count = 0;
    for m in all() {
        for picture in pictures(&m, &Style::default(), Look::Alone) {
            let name = format!("{count:03}");
            std::fs::write(folder.join(format!("{name}.svg")), &picture.svg).unwrap();
            let png = crate::sheet::png(&picture.svg, picture.width as u32).unwrap();
            std::fs::write(folder.join(format!("{name}.png")), png).unwrap();
            println!("{name} {} {} kB", m.section, picture.svg.len() / 1000);
            count += 1;
        }
    }
}
