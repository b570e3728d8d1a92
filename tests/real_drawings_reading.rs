//! Drawings that other programs wrote: a folder named by `TRACEARM_DRAWINGS`, if there is one. Each must be read, or
//! refused with a reason and a hint.

use std::path::{Path, PathBuf};

use tracearm::drawing::Drawing;

#[test]
fn every_drawing_is_read_or_refused_with_a_reason() {
    let Some(folder) = std::env::var_os("TRACEARM_DRAWINGS") else {
        println!("skipped: TRACEARM_DRAWINGS names no folder of drawings");
        return;
    };
    let mut paths = Vec::new();
    walk(Path::new(&folder), &mut paths);
    assert!(!paths.is_empty(), "no drawing in {}", folder.display());
    let (mut read, mut entities) = (0, 0);
    for path in &paths {
        match Drawing::open(path) {
            Ok(drawing) => {
                check(&drawing, path);
                read += 1;
                entities += drawing.entities.len();
            }
            Err(error) => {
                assert!(
                    !error.to_string().is_empty() && error.finding().code.advice().is_some(),
                    "{}",
                    path.display()
                );
                println!("{}: {error}", path.display());
            }
        }
    }
    println!("{read} of {} drawings read, {entities} entities", paths.len());
    assert!(read > 0);
}

fn walk(folder: &Path, paths: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            walk(&path, paths);
        } else if path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("dxf")) {
            paths.push(path);
        }
    }
}

/// What holds for every drawing.
fn check(drawing: &Drawing, path: &Path) {
    let path = path.display();
    for entity in &drawing.entities {
        assert!(entity.layer.index() < drawing.layers.len(), "{path}");
        let place = format!("{path}: {} of {}", entity.kind, entity.position());
        for chain in entity.shape.chains() {
            let curves = chain.curves();
            assert!(curves.iter().all(|curve| curve.at(0.5).is_finite()), "{place}");
            for pair in curves.windows(2) {
                assert_eq!(pair[0].end(), pair[1].start(), "{place}");
            }
            if let (true, [first, .., last]) = (chain.is_closed(), curves.as_slice()) {
                assert_eq!(last.end(), first.start(), "{place}");
            }
        }
    }
    for row in &drawing.passed_over {
        assert!(row.count >= row.places.len() as u64 && !row.places.is_empty(), "{path}: {row:?}");
        assert!(row.layer.is_none_or(|layer| layer.index() < drawing.layers.len()), "{path}: {row:?}");
    }
}
