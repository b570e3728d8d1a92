//! The digest of a file. The one file that names sha2.

use sha2::{Digest, Sha256};

/// SHA-256 in hexadecimal digits.
pub fn sha256(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect()
}

#[cfg(test)]
mod tests {
    use super::sha256;

    /// FIPS 180-2, appendix B.1: the message "abc".
    #[test]
    fn a_published_digest() {
        assert_eq!(sha256(b"abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    }
}
