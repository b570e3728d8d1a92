//! Peak memory while a drawing of 50 MB is read, as a share of the file's size. The limit is twice the file.

use std::io::Result;
use std::process::Command;

use tracearm::drawing::Drawing;

mod common;
use common::Content;

const SIZE: usize = 50_000_000;

fn main() -> Result<()> {
    let mut arguments = std::env::args().skip(1);
    // A peak is never taken back, so each drawing is read in a process of its own.
    if arguments.next().as_deref() == Some("read") {
        return arguments.next().map_or(Ok(()), |path| read(&path));
    }
    let folder = std::env::temp_dir().join(format!("tracearm-memory-{}", std::process::id()));
    std::fs::create_dir_all(&folder)?;
    for (name, content) in [
        ("mixed", Some(Content::Mixed)),
        ("polylines", Some(Content::Polylines)),
        ("bare lines", Some(Content::BareLines)),
        ("mixed, binary", None),
    ] {
        let path = folder.join(format!("{name}.dxf"));
        let bytes = match content {
            Some(content) => common::drawing(content, SIZE, 7).into_bytes(),
            None => common::binary(SIZE, 7),
        };
        std::fs::write(&path, bytes)?;
        print!("{name}: ");
        std::io::Write::flush(&mut std::io::stdout())?;
        Command::new(std::env::current_exe()?).arg("read").arg(&path).status()?;
    }
    std::fs::remove_dir_all(&folder)
}

fn read(path: &str) -> Result<()> {
    let before = peak();
    let size = std::fs::metadata(path)?.len() as f64;
    match Drawing::open(path) {
        Err(error) => println!("{error}"),
        Ok(drawing) => match (before, peak()) {
            (Some(before), Some(after)) => println!(
                "{} entities, file {:.1} MB, peak {:.1} MB before and {:.1} MB after reading: {:.2} of the file",
                drawing.entities.len(),
                size / 1e6,
                before / 1e6,
                after / 1e6,
                after / size,
            ),
            _ => println!("{} entities; this system tells no peak", drawing.entities.len()),
        },
    }
    Ok(())
}

/// The most memory that this process has held, in bytes.
fn peak() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"))?;
    line.trim().strip_suffix("kB")?.trim().parse::<f64>().ok().map(|kilobytes| kilobytes * 1024.0)
}
