//! Seals: checksums over what a ledger keeps, so that what a disk or another program has changed is not taken for what
//! was measured.

use rusqlite::types::Value;

use super::Stamp;
use crate::library::digest::sha256;

/// Fields of a seal, each with its kind and length, so that no two rows of fields have the same bytes.
#[derive(Default)]
pub(super) struct Seal(Vec<u8>);

impl Seal {
    /// A seal of about so many numbers.
    pub(super) fn with_room(fields: usize) -> Seal {
        const BYTES: usize = 1 + 2 * size_of::<u64>();
        /// And of a few names and digests.
        const TEXTS: usize = 256;
        Seal(Vec::with_capacity(fields * BYTES + TEXTS))
    }

    pub(super) fn text(&mut self, text: &str) -> &mut Seal {
        self.field(b't', text.as_bytes())
    }

    pub(super) fn number(&mut self, number: i64) -> &mut Seal {
        self.field(b'n', &number.to_le_bytes())
    }

    pub(super) fn value(&mut self, value: &Value) -> &mut Seal {
        match value {
            Value::Null => self.field(b'-', &[]),
            Value::Integer(number) => self.number(*number),
            Value::Real(number) => self.field(b'r', &number.to_bits().to_le_bytes()),
            Value::Text(text) => self.text(text),
            Value::Blob(bytes) => self.field(b'b', bytes),
        }
    }

    fn field(&mut self, kind: u8, bytes: &[u8]) -> &mut Seal {
        self.0.push(kind);
        self.0.extend((bytes.len() as u64).to_le_bytes());
        self.0.extend_from_slice(bytes);
        self
    }

    /// So many hexadecimal digits tell chance damage from what was written.
    pub(super) fn digits(&self) -> String {
        const DIGITS: usize = 16;
        let mut digits = sha256(&self.0);
        digits.truncate(DIGITS);
        digits
    }
}

/// The seal of a measuring: of what it returns, and of when that holds.
pub(super) fn of_measuring(path: &str, stamp: &Stamp, content: &str) -> String {
    let mut seal = Seal::default();
    seal.text(path).text(content).number(stamp.size);
    seal.number(stamp.modified).number(stamp.changed).number(stamp.looked).digits()
}
