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
