//! What stands for ledgers where they are not built in: nothing.

use std::fmt;

/// A ledger. This build of the library has none, so `None` is all that [`run`](super::run()) can be given; the feature `ledger`
/// brings them.
#[derive(Clone, Debug)]
pub enum Ledger {}

/// Why a ledger could not be read or written: never, in this build of the library, which has none.
#[derive(Clone, Debug)]
pub enum LedgerError {}

impl fmt::Display for LedgerError {
    fn fmt(&self, _: &mut fmt::Formatter<'_>) -> fmt::Result {
        match *self {}
    }
}

impl std::error::Error for LedgerError {}
