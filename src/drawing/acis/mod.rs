//! The text of a body (ACIS "SAT") that REGION and BODY hold in place of coordinates: its planar faces as outlines.
//!
//! What is known of the form: the cipher, the header, the records of topology and the fields of versions from 400 on
//! as the sources of the open library ezdxf 1.4 read them, and as real drawings have them; ellipses, splines and the
//! versions before 400 from memory. What doesn't fit is refused with its record, never guessed at.

mod cipher;
mod edge;
mod faces;
mod outlines;
mod records;
mod spline_curve;
#[cfg(test)]
mod tests;

use super::entities::RawShape;
use super::groups::{Fault, Groups};
use super::passed_over::Reason;
use cipher::Text;

/// Why a body gives no outlines.
#[derive(Clone, Debug, PartialEq, Eq)]
enum Problem {
    /// The text is not what its own form asks for.
    Damaged(String),
    /// It holds what is not read.
    NotRead(String),
}

impl From<Problem> for Fault {
    fn from(problem: Problem) -> Fault {
        match problem {
            Problem::Damaged(message) => Fault::new(message),
            Problem::NotRead(message) => Fault { reason: Reason::NotReadYet, ..Fault::new(message) },
        }
    }
}

/// The loops of all faces of a REGION or BODY, which must lie in one plane.
pub(super) fn body(groups: &mut Groups) -> Result<RawShape, Fault> {
    let mut text = Text::default();
    while let Some(group) = groups.next() {
        match group.code {
            1 => text.line(group.text()),
            3 => text.more(group.text()),
            _ => {}
        }
    }
    Ok(drawn(text)?)
}

fn drawn(text: Text) -> Result<RawShape, Problem> {
    let text = text.plain()?;
    let records = records::Records::of(&text)?;
    outlines::drawn(&faces::faces(&records)?)
}
