//! One drawing must not take the memory of the machine: the peak of the program itself, as built for release.
//!
//! `cargo test --release --test memory -- --ignored --nocapture`; only Linux tells the peak of a process that still runs.

#![cfg(target_os = "linux")]

use std::fmt::Write as _;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Duration;

/// The most memory that measuring a drawing took, in megabytes, and the schedule.
fn measured(name: &str, entities: &str) -> (f64, String) {
    let folder = std::env::temp_dir().join(format!("tracearm-peak-{}-{name}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder");
    let drawing = folder.join("drawing.dxf");
    let text = format!("0\nSECTION\n2\nENTITIES\n{entities}0\nENDSEC\n0\nEOF\n");
    std::fs::write(&drawing, text).expect("a drawing");
    let schedule = folder.join("schedule.csv");
    let mut program = Command::new(env!("CARGO_BIN_EXE_tracearm"))
        .args(["schedule", "--jobs", "1"])
        // What is given back is counted as given back, whenever the allocator would pass it on.
        .env("MIMALLOC_PURGE_DELAY", "0")
        .arg(&drawing)
        .arg("-o")
        .arg(&schedule)
        .stderr(Stdio::null())
        .spawn()
        .expect("the program");
    let status = format!("/proc/{}/status", program.id());
    let mut peak = 0.0_f64;
    // The peak is never taken back: what it was at the last look is all but what the end of the program took.
    while program.try_wait().expect("a state").is_none() {
        peak = peak.max(peak_of(Path::new(&status)).unwrap_or_default());
        std::thread::sleep(Duration::from_millis(20));
    }
    let rows = std::fs::read_to_string(&schedule).expect("a schedule");
    std::fs::remove_dir_all(&folder).expect("no folder");
    println!("{name}: {peak:.0} MB");
    (peak, rows)
}

fn peak_of(status: &Path) -> Option<f64> {
    let status = std::fs::read_to_string(status).ok()?;
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"))?;
    line.trim().strip_suffix("kB")?.trim().parse::<f64>().ok().map(|kilobytes| kilobytes * 1024.0 / 1e6)
}

/// A million circles of seven radii in rows of a thousand.
fn circles() -> String {
    let mut text = String::new();
    for k in 0..1_000_000_u32 {
        let (x, y) = (10 * (k % 1000) + 10, 10 * (k / 1000) + 10);
        let radius = 2.5 + 0.1 * f64::from(k % 7);
        write!(text, "0\nCIRCLE\n8\nPLATE\n10\n{x}\n20\n{y}\n40\n{radius:.1}\n").expect("a circle");
    }
    text
}

#[test]
#[ignore = "a minute; the peak is that of the program as it is built for release"]
fn a_million_circles() {
    let plate = "0\nLWPOLYLINE\n8\nPLATE\n90\n4\n70\n1\n10\n0\n20\n0\n10\n10010\n20\n0\n10\n10010\n20\n10010\n10\n0\n20\n10010\n";
    for (name, entities) in [("holes of a plate", plate.to_owned() + &circles()), ("discs", circles())] {
        let (peak, rows) = measured(name, &entities);
        assert!(rows.contains(if name == "discs" { ",1000000,0," } else { ",1,1000000," }), "{rows}");
        // Some 190; at first, with copies of all outlines in each stage, it was 1,600.
        assert!(peak < 200.0, "{name}: {peak} MB");
    }
}

/// An outline of a thousand corners in no order crosses itself more than a hundred thousand times.
#[test]
#[ignore = "a minute; the peak is that of the program as it is built for release"]
fn an_outline_that_crosses_itself_over_and_over() {
    let mut state = 5_u64;
    let mut random = || {
        state = state.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
        (state >> 11) as f64 / (1_u64 << 53) as f64
    };
    let mut text = "0\nLWPOLYLINE\n8\nPLATE\n90\n1000\n70\n1\n".to_owned();
    for _ in 0..1000 {
        write!(text, "10\n{:.4}\n20\n{:.4}\n", 1000.0 * random(), 1000.0 * random()).expect("a vertex");
    }
    let (peak, rows) = measured("corners in no order", &text);
    assert!(rows.contains("crosses or touches itself"), "{rows}");
    assert!(peak < 110.0, "{peak} MB");
}
