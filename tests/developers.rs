//! What DEVELOPERS.md says is held against the code: the doors of the crates and the tolerances.

use crate::common;

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use common::file;

/// The cells of the table that begins with `head`, without head and rule, back ticks taken off.
fn table(head: &str) -> Vec<Vec<String>> {
    let text = file("DEVELOPERS.md");
    let rows: Vec<Vec<String>> = text
        .lines()
        .skip_while(|line| *line != head)
        .skip(2)
        .take_while(|line| line.starts_with('|'))
        .map(|line| {
            line.trim_matches('|').split('|').map(|c| c.trim().trim_matches('`').to_owned()).collect()
        })
        .collect();
    assert!(!rows.is_empty(), "DEVELOPERS.md has no table that begins {head}");
    rows
}

/// The Rust files of src/ by their path in the project.
fn sources() -> BTreeMap<String, String> {
    fn walk(folder: &Path, paths: &mut Vec<PathBuf>) {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                walk(&path, paths);
            } else if path.extension().is_some_and(|ending| ending == "rs") {
                paths.push(path);
            }
        }
    }
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut paths = Vec::new();
    walk(&root.join("src"), &mut paths);
    let name = |path: &Path| path.strip_prefix(root).unwrap().to_string_lossy().replace('\\', "/");
    paths.iter().map(|path| (name(path), std::fs::read_to_string(path).unwrap())).collect()
}

/// The names under `[heading]` in Cargo.toml.
fn dependencies(heading: &str) -> BTreeSet<String> {
    file("Cargo.toml")
        .lines()
        .skip_while(|line| *line != heading)
        .skip(1)
        .take_while(|line| !line.starts_with('['))
        .filter_map(|line| line.split_once(" = ").map(|(name, _)| name.to_owned()))
        .collect()
}

#[test]
fn each_crate_has_one_door() {
    let doors: BTreeMap<String, Vec<String>> = table("| crate | only named in | why it is used |")
        .into_iter()
        .map(|row| (row[0].clone(), row[1].split("` and `").map(str::to_owned).collect()))
        .collect();
    let named: BTreeSet<String> = doors.keys().cloned().collect();
    assert_eq!(named, dependencies("[dependencies]"));
    let page = file("DEVELOPERS.md");
    for name in dependencies("[dev-dependencies]") {
        assert!(page.contains(&format!("`{name}`")), "{name} is not in DEVELOPERS.md");
    }
    for (name, places) in &doors {
        let name = &name.replace('-', "_");
        let mut users = Vec::new();
        for (path, text) in sources() {
            // A path into the crate, or its import under another name; not a method or module called the same.
            let uses = text.lines().map(str::trim_start).filter(|line| !line.starts_with("//")).any(|line| {
                line.starts_with(&format!("use {name} "))
                    || line.starts_with(&format!("use {name};"))
                    || line.match_indices(&format!("{name}::")).any(|(at, _)| {
                        !line[..at].ends_with(|c: char| c.is_alphanumeric() || c == '_' || c == ':')
                    })
            });
            if uses {
                users.push(path);
            }
        }
        assert!(!users.is_empty(), "{name} is not used");
        let at_a_door = |user: &String| places.iter().any(|door| user.starts_with(door.as_str()));
        assert!(users.iter().all(at_a_door), "{name}: {users:?}");
    }
}

#[test]
fn features_are_in_the_documents() {
    let manifest = file("Cargo.toml");
    let features: BTreeSet<String> =
        dependencies("[features]").into_iter().filter(|name| !name.starts_with([' ', '#'])).collect();
    assert!(features.len() > 5, "{features:?}");
    let page = file("docs/library-users.md");
    let rows: Vec<&str> = page.lines().filter(|line| line.starts_with("| `")).collect();
    for name in features.iter().filter(|name| *name != "default") {
        let row = rows.iter().find(|row| row.starts_with(&format!("| `{name}` |")));
        let row = row.unwrap_or_else(|| panic!("docs/library-users.md does not say what {name} brings"));
        // Whether it names the features that this one needs.
        let needs = manifest.lines().find_map(|line| line.strip_prefix(&format!("{name} = ["))).unwrap_or("");
        for other in features.iter().filter(|other| needs.contains(&format!("\"{other}\""))) {
            assert!(row.contains(&format!("`{other}`")), "{name} brings {other}");
        }
    }
    assert_eq!(rows.len(), features.len() - 1, "{rows:?}");
    let lines = manifest.lines().skip_while(|line| *line != "[dependencies]").skip(1);
    let always = lines.take_while(|line| !line.starts_with('[')).filter(|line| line.contains(" = "));
    let always: Vec<&str> = always.filter(|line| !line.contains("optional = true")).collect();
    assert!(always.len() <= 12, "the library without features names {} crates: {always:?}", always.len());
    assert!(page.contains(&format!("of which {} are named by tracearm itself", always.len())));
}

#[test]
fn tolerances_are_those_of_the_code() {
    let rows = table("| name | file | value | what it decides |");
    let sources = sources();
    for row in &rows {
        let text = sources.get(&row[1]).unwrap_or_else(|| panic!("there is no {}", row[1]));
        let constant = format!("const {}: f64 = {};", row[0], row[2]);
        assert!(text.contains(&constant), "{} does not say `{constant}`", row[1]);
    }
    // None is missing: every constant that is a plain decimal share or length, tables of numbers apart.
    let listed: BTreeSet<(String, String)> =
        rows.iter().map(|row| (row[1].clone(), row[0].clone())).collect();
    for (path, text) in &sources {
        for line in text.lines().filter(|line| line.contains(": f64 = ")) {
            let Some((name, value)) =
                line.split_once("const ").and_then(|(_, rest)| rest.split_once(": f64 = "))
            else {
                continue;
            };
            if value.trim_end_matches(';').parse::<f64>().is_ok() {
                let key = (path.clone(), name.to_owned());
                assert!(listed.contains(&key), "DEVELOPERS.md does not list {name} of {path}");
            }
        }
    }
}

/// One release has one version, whoever uses it.
#[test]
fn the_python_package_has_the_version_of_the_program() {
    let manifest = file("python/Cargo.toml");
    let version = format!("version = \"{}\"", env!("CARGO_PKG_VERSION"));
    assert!(manifest.lines().any(|line| line == version), "python/Cargo.toml does not say {version}");
}

#[test]
fn every_file_of_tests_is_run() {
    let manifest = file("Cargo.toml");
    let (all, apart) = (file("tests/all.rs"), manifest.split("[[test]]\n").skip(1));
    let apart: BTreeSet<&str> =
        apart.filter_map(|test| test.strip_prefix("name = \"")?.split('"').next()).collect();
    let folder = format!("{}/tests", env!("CARGO_MANIFEST_DIR"));
    let names = std::fs::read_dir(folder)
        .expect("the folder of tests")
        .map(|entry| entry.expect("an entry").file_name());
    let names = names.map(|name| name.to_string_lossy().into_owned());
    let mut count = 0;
    for name in names.filter_map(|name| name.strip_suffix(".rs").map(str::to_owned)) {
        count += 1;
        let is_module = all.lines().any(|line| line == format!("mod {name};"));
        assert!(is_module != apart.contains(name.as_str()), "tests/{name}.rs is run twice or not at all");
    }
    assert!(count > 40, "{count}");
}

#[test]
fn files_that_are_named_exist() {
    let text = file("DEVELOPERS.md");
    let mut found = 0;
    for name in text.split('`').skip(1).step_by(2) {
        let is_path = ["src/", "tests/", "shared/", "benches/", "fixtures/", "docs/"]
            .iter()
            .any(|root| name.starts_with(root));
        if is_path && !name.contains('*') && !name.contains(' ') {
            assert!(Path::new(env!("CARGO_MANIFEST_DIR")).join(name).exists(), "there is no {name}");
            found += 1;
        }
    }
    assert!(found > 40, "only {found} paths");
}
