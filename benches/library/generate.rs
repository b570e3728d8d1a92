//! Writes libraries of drawings to measure: `cargo run --release --example library -- FOLDER --drawings N [--bare]
//! [--seed S]`, or one large drawing: `... --example library -- --large BYTES FILE [--seed S]`.
//!
//! The drawings are those of a crane and fabrication shop, from some 3 kB to some 110 kB. The same seed gives the same
//! bytes; a drawing depends on its number and the seed alone: a smaller library is the beginning of a larger one.

use std::fs::{self, File};
use std::io::{self, BufWriter};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

mod drawing;
mod dress;
mod large;
mod numbers;
mod shapes;
mod writer;

const USAGE: &str =
    "usage: library FOLDER --drawings N [--bare] [--seed S]\n       library --large BYTES FILE [--seed S]";
const SEED: u64 = 7;
/// Drawings in one folder.
const IN_A_FOLDER: u64 = 500;
/// The folders above those, as an office sorts its work.
const GROUPS: [&str; 6] = ["gantries", "girders", "hoists", "platforms", "runways", "trolleys"];

enum Wanted {
    Library { folder: PathBuf, drawings: u64, bare: bool },
    Large { file: PathBuf, bytes: u64 },
}

fn main() -> ExitCode {
    let Some((wanted, seed)) = wanted(std::env::args().skip(1)) else {
        eprintln!("{USAGE}");
        return ExitCode::from(2);
    };
    let outcome = match &wanted {
        Wanted::Library { folder, drawings, bare } => library(folder, *drawings, *bare, seed),
        Wanted::Large { file, bytes } => one_large(file, *bytes, seed),
    };
    match outcome {
        Ok(messages) => {
            println!("{messages}");
            ExitCode::SUCCESS
        }
        Err(error) => {
            eprintln!("{error}");
            ExitCode::FAILURE
        }
    }
}

fn wanted(mut arguments: impl Iterator<Item = String>) -> Option<(Wanted, u64)> {
    let (mut place, mut drawings, mut bytes, mut bare, mut seed) = (None, None, None, false, SEED);
    while let Some(argument) = arguments.next() {
        match argument.as_str() {
            "--drawings" => drawings = Some(arguments.next()?.parse().ok()?),
            "--large" => bytes = Some(arguments.next()?.parse().ok()?),
            "--bare" => bare = true,
            "--seed" => seed = arguments.next()?.parse().ok()?,
            _ if argument.starts_with('-') || place.is_some() => return None,
            _ => place = Some(PathBuf::from(argument)),
        }
    }
    let wanted = match (place?, drawings, bytes) {
        (folder, Some(drawings), None) => Wanted::Library { folder, drawings, bare },
        (file, None, Some(bytes)) if !bare => Wanted::Large { file, bytes },
        _ => return None,
    };
    Some((wanted, seed))
}

fn library(folder: &Path, drawings: u64, bare: bool, seed: u64) -> io::Result<String> {
    // Drawings of another library beside these would be measured too.
    if folder.exists() && fs::read_dir(folder)?.next().is_some() {
        let messages = format!("{} is not empty: name a new folder, or empty that one", folder.display());
        return Err(io::Error::new(io::ErrorKind::AlreadyExists, messages));
    }
    let (mut bytes, mut least, mut most) = (0, usize::MAX, 0);
    let mut into = PathBuf::new();
    for number in 0..drawings {
        if number % IN_A_FOLDER == 0 {
            let block = number / IN_A_FOLDER;
            into = folder.join(GROUPS[(block % GROUPS.len() as u64) as usize]).join(format!("{block:04}"));
            fs::create_dir_all(&into)?;
        }
        let made = drawing::drawing(seed, number, bare);
        let size = made.text.len();
        (bytes, least, most) = (bytes + size, least.min(size), most.max(size));
        fs::write(into.join(format!("{}-{number:06}.dxf", made.kind)), made.text)?;
    }
    let average = bytes as f64 / drawings.max(1) as f64;
    Ok(format!("{drawings} drawings, {bytes} bytes: {average:.0} on average, from {least} to {most}"))
}

fn one_large(file: &Path, bytes: u64, seed: u64) -> io::Result<String> {
    let to = BufWriter::with_capacity(1 << 20, File::create(file)?);
    let (written, parts, layers) = large::write(to, bytes, seed)?;
    Ok(format!("{written} bytes: {parts} parts on {layers} layers"))
}
