//! Drawings of any size, written by a seeded generator: the same seed gives the same bytes.

use std::fmt::Write;

#[path = "../../tests/common/encode.rs"]
mod encode;

/// A small generator of numbers (xorshift64*), so that a drawing depends on its seed alone.
struct Numbers(u64);

impl Numbers {
    fn next(&mut self) -> f64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        (self.0.wrapping_mul(0x2545_F491_4F6C_DD1D) >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn below(&mut self, limit: f64) -> f64 {
        limit * self.next()
    }
}

/// What a drawing is made of.
#[derive(Clone, Copy)]
#[allow(dead_code, reason = "Each bench takes what it needs")]
pub enum Content {
    /// LINE, ARC, LWPOLYLINE and CIRCLE as R2000 writes them, with handles and subclass marks.
    Mixed,
    /// LWPOLYLINE of 50 vertices alone, without bulges.
    Polylines,
    /// LINE alone as R12 writes it: the fewest bytes for an entity.
    BareLines,
}

/// A drawing of at least `size` bytes.
pub fn drawing(content: Content, size: usize, seed: u64) -> String {
    let mut text = String::with_capacity(size + 4096);
    text.push_str(
        "  0\nSECTION\n  2\nHEADER\n  9\n$ACADVER\n  1\nAC1015\n  9\n$INSUNITS\n 70\n4\n  0\nENDSEC\n",
    );
    text.push_str("  0\nSECTION\n  2\nENTITIES\n");
    let mut numbers = Numbers(seed | 1);
    let mut handle = 0x100;
    while text.len() < size {
        handle += 1;
        // Writing to a string can't fail.
        let _ = match content {
            Content::Mixed => mixed(&mut text, &mut numbers, handle),
            Content::Polylines => polyline(&mut text, &mut numbers, handle, 50, false),
            Content::BareLines => bare_line(&mut text, &mut numbers),
        };
    }
    text.push_str("  0\nENDSEC\n  0\nEOF\n");
    text
}

/// The mixed drawing in binary form, with group codes of two bytes: at least `size` bytes.
pub fn binary(size: usize, seed: u64) -> Vec<u8> {
    // The same entities take some 0.7 of the bytes that they take as text.
    encode::binary(drawing(Content::Mixed, size + size / 2, seed).as_bytes(), true)
}

fn head(text: &mut String, name: &str, class: &str, handle: u64) -> std::fmt::Result {
    let layer = handle / 16 % 6;
    write!(text, "  0\n{name}\n  5\n{handle:X}\n100\nAcDbEntity\n  8\nLayer {layer}\n100\n{class}\n")
}

fn mixed(text: &mut String, numbers: &mut Numbers, handle: u64) -> std::fmt::Result {
    let (x, y) = (numbers.below(1000.0), numbers.below(1000.0));
    match handle % 8 {
        0..=3 => {
            head(text, "LINE", "AcDbLine", handle)?;
            let (dx, dy) = (numbers.below(10.0), numbers.below(10.0));
            write!(text, " 10\n{x}\n 20\n{y}\n 30\n0.0\n 11\n{}\n 21\n{}\n 31\n0.0\n", x + dx, y + dy)
        }
        4 => {
            head(text, "CIRCLE", "AcDbCircle", handle)?;
            write!(text, " 10\n{x:.6}\n 20\n{y:.6}\n 30\n0.0\n 40\n{:.4}\n", 1.0 + numbers.below(20.0))
        }
        5 => {
            head(text, "ARC", "AcDbCircle", handle)?;
            let (radius, start) = (1.0 + numbers.below(20.0), numbers.below(360.0));
            write!(
                text,
                " 10\n{x}\n 20\n{y}\n 30\n0.0\n 40\n{radius}\n100\nAcDbArc\n 50\n{start}\n 51\n{}\n",
                start + 90.0
            )
        }
        _ => polyline(text, numbers, handle, 8, true),
    }
}

fn polyline(
    text: &mut String,
    numbers: &mut Numbers,
    handle: u64,
    count: u32,
    bulged: bool,
) -> std::fmt::Result {
    head(text, "LWPOLYLINE", "AcDbPolyline", handle)?;
    write!(text, " 90\n{count}\n 70\n1\n 43\n0.0\n")?;
    let (x, y) = (numbers.below(1000.0), numbers.below(1000.0));
    for i in 0..count {
        let direction = std::f64::consts::TAU * f64::from(i) / f64::from(count);
        let radius = 5.0 + numbers.below(1.0);
        write!(text, " 10\n{:.6}\n 20\n{:.6}\n", x + radius * direction.cos(), y + radius * direction.sin())?;
        if bulged && i % 4 == 0 {
            text.push_str(" 42\n0.4142135623730951\n");
        }
    }
    Ok(())
}

fn bare_line(text: &mut String, numbers: &mut Numbers) -> std::fmt::Result {
    let (x, y) = (numbers.below(1000.0), numbers.below(1000.0));
    let (dx, dy) = (numbers.below(10.0), numbers.below(10.0));
    write!(text, "0\nLINE\n8\n0\n10\n{x:.3}\n20\n{y:.3}\n11\n{:.3}\n21\n{:.3}\n", x + dx, y + dy)
}
