//! Digests. The one file that names sha2.

use std::io::{self, Read};

use sha2::{Digest, Sha256};

/// SHA-256 of these bytes in hexadecimal digits.
pub fn sha256(bytes: &[u8]) -> String {
    digits(Sha256::digest(bytes).as_slice())
}

/// A source that takes the digest of what is read from it.
pub(super) struct Digesting<R> {
    source: R,
    digest: Sha256,
}

impl<R: Read> Digesting<R> {
    pub(super) fn new(source: R) -> Digesting<R> {
        Digesting { source, digest: Sha256::new() }
    }

    /// Reads to the end and gives SHA-256 of all bytes in hexadecimal digits.
    pub(super) fn finish(mut self) -> io::Result<String> {
        io::copy(&mut self, &mut io::sink())?;
        Ok(digits(self.digest.finalize().as_slice()))
    }
}

impl<R: Read> Read for Digesting<R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let count = self.source.read(buffer)?;
        self.digest.update(buffer.get(..count).unwrap_or_default());
        Ok(count)
    }
}

fn digits(digest: &[u8]) -> String {
    const DIGITS: [char; 16] =
        ['0', '1', '2', '3', '4', '5', '6', '7', '8', '9', 'a', 'b', 'c', 'd', 'e', 'f'];
    let mut text = String::with_capacity(2 * digest.len());
    for byte in digest {
        text.push(DIGITS[usize::from(byte >> 4)]);
        text.push(DIGITS[usize::from(byte & 15)]);
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    /// FIPS 180-2, appendix B.1: the message "abc".
    const OF_ABC: &str = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";

    #[test]
    fn a_published_digest() {
        assert_eq!(sha256(b"abc"), OF_ABC);
        let mut source = Digesting::new(&b"abc"[..]);
        assert_eq!(source.read(&mut [0; 2]).unwrap(), 2);
        assert_eq!(source.finish().unwrap(), OF_ABC);
    }
}
