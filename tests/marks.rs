//! Marked drawings: read back, they hold the same sections.

use crate::common;

use std::collections::BTreeMap;

use common::draw::{drawing, lwpolyline};
use tracearm::drawing::Drawing;
use tracearm::mark;
use tracearm::measure::{self, Measurement, Options, Per};
use tracearm::schedule::Style;

/// 12 decimals, over sections that are at least some units large.
const SAME: f64 = 1e-9;

fn measured(bytes: &[u8], per: Per) -> Vec<Measurement> {
    let options = Options::with(|o| o.per = per);
    Drawing::read(bytes).map_or_else(|_| Vec::new(), |d| measure::drawing("a.dxf", &d, &options).measurements)
}

/// Sections of marked outlines.
fn marked(bytes: &[u8]) -> Vec<Measurement> {
    let sections = measured(bytes, Per::Layer);
    sections.into_iter().filter(|m| m.layer.starts_with("MARK-OUTLINE-")).collect()
}

#[test]
fn every_fixture_comes_back_with_the_same_figures() {
    let folder = format!("{}/fixtures", env!("CARGO_MANIFEST_DIR"));
    let mut names: Vec<_> = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    names.retain(|path| path.extension().is_some_and(|ending| ending == "dxf"));
    names.sort();
    let mut compared = 0;
    for path in names {
        let name = path.display();
        for per in [Per::Layer, Per::Part] {
            let sections = measured(&std::fs::read(&path).unwrap(), per);
            let Ok(text) = mark::dxf(&sections, Style::default()) else { continue };
            assert!(text == mark::dxf(&sections, Style::default()).unwrap(), "{name}: the same bytes");
            let back = marked(&text);
            let drawn: Vec<&Measurement> = sections.iter().filter(|m| m.properties().is_some()).collect();
            assert_eq!(back.len(), drawn.len(), "{name}");
            // Layers come back in the order of their names.
            let figures = |m: &Measurement| {
                let s = m.properties()?;
                Some([s.area, s.centroid.x, s.centroid.y, s.second_moments.x + s.second_moments.y])
            };
            let mut after: Vec<[f64; 4]> = back.iter().filter_map(figures).collect();
            let size = drawn
                .iter()
                .filter_map(|m| m.properties())
                .map(|s| s.extent.size().max(s.extent.reach()))
                .fold(1.0, f64::max);
            for before in drawn.into_iter().filter_map(figures) {
                let scales = [before[0], size, size, before[3]];
                let same =
                    |after: &[f64; 4]| (0..4).all(|k| (before[k] - after[k]).abs() <= SAME * scales[k]);
                let found = after.iter().position(same);
                assert!(found.is_some(), "{name}: {before:?} is not among {after:?}");
                after.remove(found.unwrap());
                compared += 1;
            }
        }
    }
    assert!(compared > 150, "{compared} sections");
}

#[test]
fn units_and_names_of_any_kind_are_kept() {
    let names = ["<b>&\"'", "مقطع 7", "Träger", "a*b?c|d", "LINE", "%%c %%", "x".repeat(300).as_str()]
        .map(str::to_owned);
    let mut entities = String::new();
    for (k, name) in names.iter().enumerate() {
        let x = 40.0 * k as f64;
        entities +=
            &lwpolyline(name, &[[x, 0.0, 0.0], [x + 30.0, 2.0, 0.0], [x + 9.0 + k as f64, 25.0, 0.0]]);
    }
    let text = drawing(1, "", &entities);
    let sections = measured(text.as_bytes(), Per::Layer);
    assert_eq!(sections.len(), names.len());
    let bytes = mark::dxf(&sections, Style::default()).unwrap();
    let back = Drawing::read(&bytes[..]).unwrap();
    assert_eq!(back.units.insunits, Some(1));
    assert!(back.findings.is_empty(), "{:?}", back.findings);
    let layers: BTreeMap<&str, usize> = back.layers.iter().map(|layer| (layer.name.as_str(), 1)).collect();
    for name in ["MARK-OUTLINE-مقطع 7", "MARK-OUTLINE-Träger", "MARK-OUTLINE-a_b_c_d", "MARK-OUTLINE-_b_&_'"]
    {
        assert!(layers.contains_key(name), "{name} is not among {layers:?}");
    }
    let areas = |sections: &[Measurement]| {
        let mut areas: Vec<f64> = sections.iter().filter_map(|m| Some(m.properties()?.area)).collect();
        areas.sort_by(f64::total_cmp);
        areas
    };
    for (a, b) in areas(&sections).iter().zip(areas(&marked(&bytes))) {
        assert!((a - b).abs() < 1e-9 * a);
    }
}

/// A text and the room that it takes: left, bottom, right, top.
type Words = (String, [f64; 4]);

/// What is drawn of a marked drawing apart from outlines: texts with the least room that any font takes, and lines.
fn words_and_lines(bytes: &[u8]) -> (Vec<Words>, Vec<[f64; 4]>) {
    let text = String::from_utf8_lossy(bytes);
    let lines: Vec<&str> = text.lines().map(str::trim).collect();
    let mut entities: Vec<BTreeMap<&str, &str>> = Vec::new();
    for pair in lines.chunks_exact(2) {
        if pair[0] == "0" {
            entities.push(BTreeMap::from([("0", pair[1])]));
        } else if let Some(entity) = entities.last_mut() {
            entity.insert(pair[0], pair[1]);
        }
    }
    let (mut words, mut strokes) = (Vec::new(), Vec::new());
    for entity in entities {
        let number = |code: &str| entity.get(code).and_then(|text| text.parse::<f64>().ok()).unwrap_or(0.0);
        match entity["0"] {
            "TEXT" => {
                let (x, y, height) = (number("10"), number("20"), number("40"));
                // Letters of narrow fonts are about half as wide as high.
                let wide = 0.6 * height * entity["1"].chars().count() as f64;
                words.push((entity["1"].to_owned(), [x, y, x + wide, y + height]));
            }
            "LINE" if entity["8"] != "MARK-CENTROID" => {
                strokes.push(["10", "20", "11", "21"].map(number));
            }
            _ => {}
        }
    }
    (words, strokes)
}

/// Whether a line comes into a box: looked at in many places along it.
fn comes_into(line: &[f64; 4], extent: &[f64; 4]) -> bool {
    (0..=4000).any(|k| {
        let t = f64::from(k) / 4000.0;
        let (x, y) = (line[0] + t * (line[2] - line[0]), line[1] + t * (line[3] - line[1]));
        x > extent[0] && x < extent[2] && y > extent[1] && y < extent[3]
    })
}

#[test]
fn words_stand_clear_of_axes_and_of_each_other() {
    let folder = format!("{}/fixtures", env!("CARGO_MANIFEST_DIR"));
    let mut names: Vec<_> = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    names.retain(|path| path.extension().is_some_and(|ending| ending == "dxf"));
    names.sort();
    let mut looked_at = 0;
    for path in names {
        let sections = measured(&std::fs::read(&path).unwrap(), Per::Layer);
        let Ok(text) = mark::dxf_dated(&sections, Style::default(), "2027-03-31") else { continue };
        let (words, lines) = words_and_lines(&text);
        let name = path.display();
        for (k, (word, own)) in words.iter().enumerate() {
            for (other, theirs) in &words[k + 1..] {
                let apart =
                    own[2] <= theirs[0] || theirs[2] <= own[0] || own[3] <= theirs[1] || theirs[3] <= own[1];
                assert!(apart, "{name}: “{word}” over “{other}”");
            }
            let crossed = lines.iter().find(|line| comes_into(line, own));
            assert!(crossed.is_none(), "{name}: {crossed:?} through “{word}” {own:?}");
            looked_at += 1;
        }
    }
    assert!(looked_at > 1500, "{looked_at} words");
}

#[test]
fn labels_say_status_source_date_and_axes() {
    let square =
        lwpolyline("SQUARE", &[[3.0, 4.0, 0.0], [13.0, 4.0, 0.0], [13.0, 14.0, 0.0], [3.0, 14.0, 0.0]]);
    let angle = [[40.0, 0.0], [100.0, 0.0], [100.0, 8.0], [48.0, 8.0], [48.0, 90.0], [40.0, 90.0]];
    let angle = lwpolyline("ANGLE", &angle.map(|[x, y]| [x, y, 0.0]));
    let sections = measured(drawing(4, "", &(square + &angle)).as_bytes(), Per::Layer);
    let text = mark::dxf_dated(&sections, Style::default(), "2027-03-31").unwrap();
    let (words, _) = words_and_lines(&text);
    let words: Vec<&str> = words.iter().map(|(word, _)| word.as_str()).collect();
    for said in [
        "status: ok",
        "source: a.dxf, 2027-03-31",
        "every axis through the centroid is a principal axis",
        "x, equal area",
        "y, equal area",
        "x",
        "y",
        "1",
        "2",
        "equal area",
        "local codes and a licensed engineer decide",
    ] {
        assert!(words.contains(&said), "“{said}” is not among {words:?}");
    }
    assert!(words.iter().any(|word| word.starts_with("equal-area axes at x = ")), "{words:?}");
    let back = Drawing::read(&text[..]).unwrap();
    for layer in ["MARK-AXES-XY", "MARK-AXES", "MARK-EQUAL-AREA"] {
        assert!(back.layers.iter().any(|own| own.name == layer), "{layer}");
    }
}
