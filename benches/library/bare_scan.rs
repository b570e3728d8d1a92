//! The least that reading a library can cost: `cargo run --release --example bare_scan -- FOLDER [--jobs N]`.
//!
//! Every .dxf file below the folder is read whole, every end of a line is found, and every value whose group code means
//! a coordinate, a length, an angle or a bulge (10 to 59) becomes a number. Nothing is made of them but their sum.

use std::fs::{self, File};
use std::io::{self, Read};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Instant;

#[derive(Default)]
struct Counts {
    files: u64,
    bytes: u64,
    lines: u64,
    coordinates: u64,
    /// Shown, so that no number is left out for being of no use. Threads add in any order: its last digits may differ.
    sum: f64,
}

impl Counts {
    fn add(&mut self, other: &Counts) {
        self.files += other.files;
        self.bytes += other.bytes;
        self.lines += other.lines;
        self.coordinates += other.coordinates;
        self.sum += other.sum;
    }
}

fn main() -> ExitCode {
    let Some((folder, jobs)) = arguments(std::env::args().skip(1)) else {
        eprintln!("usage: bare_scan FOLDER [--jobs N]");
        return ExitCode::from(2);
    };
    let start = Instant::now();
    match scan(&folder, jobs) {
        Ok(counts) => {
            let seconds = start.elapsed().as_secs_f64();
            println!(
                "{} files, {} bytes, {} lines, {} coordinates, sum {:e}, {seconds:.3} s",
                counts.files, counts.bytes, counts.lines, counts.coordinates, counts.sum
            );
            ExitCode::SUCCESS
        }
        Err(error) => {
            eprintln!("{}: {error}", folder.display());
            ExitCode::FAILURE
        }
    }
}

fn arguments(mut given: impl Iterator<Item = String>) -> Option<(PathBuf, usize)> {
    let (mut folder, mut jobs) = (None, 1);
    while let Some(argument) = given.next() {
        match argument.as_str() {
            "--jobs" => jobs = given.next()?.parse().ok().filter(|jobs| *jobs > 0)?,
            _ if argument.starts_with('-') || folder.is_some() => return None,
            _ => folder = Some(PathBuf::from(argument)),
        }
    }
    Some((folder?, jobs))
}

fn scan(folder: &Path, jobs: usize) -> io::Result<Counts> {
    let paths = drawings(folder)?;
    let next = AtomicUsize::new(0);
    let worker = || -> io::Result<Counts> {
        let (mut counts, mut buffer) = (Counts::default(), Vec::new());
        while let Some(path) = paths.get(next.fetch_add(1, Ordering::Relaxed)) {
            buffer.clear();
            File::open(path)?.read_to_end(&mut buffer)?;
            counts.add(&counted(&buffer));
        }
        Ok(counts)
    };
    std::thread::scope(|scope| {
        let threads: Vec<_> = (0..jobs).map(|_| scope.spawn(worker)).collect();
        let mut all = Counts::default();
        for thread in threads {
            let counts = thread.join().map_err(|_| io::Error::other("a thread broke off"))?;
            all.add(&counts?);
        }
        Ok(all)
    })
}

fn drawings(folder: &Path) -> io::Result<Vec<PathBuf>> {
    let (mut paths, mut folders) = (Vec::new(), vec![folder.to_owned()]);
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(&folder)? {
            let entry = entry?;
            if entry.file_type()?.is_dir() {
                folders.push(entry.path());
            } else if entry.path().extension().is_some_and(|ending| ending.eq_ignore_ascii_case("dxf")) {
                paths.push(entry.path());
            }
        }
    }
    paths.sort();
    Ok(paths)
}

fn counted(bytes: &[u8]) -> Counts {
    let mut counts = Counts { files: 1, bytes: bytes.len() as u64, ..Counts::default() };
    let mut start = 0;
    // Group codes and values take turns; this is the code when its value comes.
    let mut code = None;
    for end in memchr::memchr_iter(b'\n', bytes) {
        let line = bytes.get(start..end).unwrap_or_default().trim_ascii();
        start = end + 1;
        counts.lines += 1;
        match code.take() {
            None => {
                code = Some(line.iter().fold(0_u32, |code, digit| {
                    code.wrapping_mul(10).wrapping_add(u32::from(digit.wrapping_sub(b'0')))
                }));
            }
            Some(10..=59) => {
                if let Some(value) = std::str::from_utf8(line).ok().and_then(|text| text.parse::<f64>().ok())
                {
                    counts.coordinates += 1;
                    counts.sum += value;
                }
            }
            Some(_) => {}
        }
    }
    counts
}
