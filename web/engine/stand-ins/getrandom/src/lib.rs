//! Random numbers, of which there are none.

use std::fmt;

/// There are no random numbers.
#[derive(Debug)]
pub struct Error;

impl fmt::Display for Error {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str("there are no random numbers here")
    }
}

impl std::error::Error for Error {}

/// Leaves the bytes as they are: who asks lays fixed ones over them.
///
/// # Errors
/// None.
pub fn fill(_: &mut [u8]) -> Result<(), Error> {
    Ok(())
}

/// Always fails.
///
/// # Errors
/// Always.
pub fn u64() -> Result<u64, Error> {
    Err(Error)
}
