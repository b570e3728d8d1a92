//! One drawing of any size, written as it is made: memory does not grow with it, but for its list of layers.

use std::io::{self, Write};

use crate::drawing::{self, KINDS, Manner};
use crate::numbers::Numbers;
use crate::writer::{Version, Writer};

/// So many bytes get a layer of their own: some hundred parts.
const BYTES_OF_A_LAYER: u64 = 500_000;
/// Parts stand in squares of this size (mm), so many in a row.
const SQUARE: f64 = 4000.0;
const IN_A_ROW: u64 = 300;
/// The pieces of so many neighbouring parts stand in one disorder.
const BATCH: u64 = 32;

/// Writes a drawing of about that many bytes; gives how many it has, how many parts and how many layers.
pub fn write(mut to: impl Write, bytes: u64, seed: u64) -> io::Result<(u64, u64, usize)> {
    // No drawing of a library has this number.
    let numbers = &mut Numbers::new(seed, u64::MAX);
    let count = (bytes / BYTES_OF_A_LAYER).clamp(4, 10_000) as usize;
    let layers: Vec<String> =
        (0..count).map(|i| format!("{} {}", KINDS[i % KINDS.len()].layer, i + 1)).collect();
    // Layers take the handles from 0x20 on; entities those after them.
    let handle = 0x20 + count as u64;
    let mut writer = Writer::new(Version::R2000, false, "\n", Some(4));
    writer.handle = handle;
    let head = writer.head(&layers, true);
    to.write_all(head.as_bytes())?;
    let mut written = head.len() as u64;
    let mut parts = 0;
    while written < bytes {
        let mut entities = Vec::new();
        for _ in 0..BATCH {
            let i = numbers.below(count);
            let mut shape = (KINDS[i % KINDS.len()].make)(numbers, 0.4);
            while shape.width.hypot(shape.height) > SQUARE * 0.98 {
                shape = (KINDS[i % KINDS.len()].make)(numbers, 0.0);
            }
            let middle = (SQUARE * (parts % IN_A_ROW) as f64, SQUARE * (parts / IN_A_ROW) as f64);
            let turn = if shape.touching || numbers.chance(0.5) { 0.0 } else { 360.0 * numbers.share() };
            let place = drawing::placed(&shape, middle, turn);
            let manner = Manner::any(numbers, &shape);
            entities.extend(drawing::part(numbers, &mut writer, &layers[i], place, &shape, manner));
            parts += 1;
        }
        numbers.shuffle(&mut entities);
        for entity in entities {
            to.write_all(entity.as_bytes())?;
            written += entity.len() as u64;
        }
    }
    let tail = writer.tail();
    to.write_all(tail.as_bytes())?;
    to.flush()?;
    Ok((written + tail.len() as u64, parts, count))
}
