//! A reader that holds what it passes on against the name it should have.

use std::io::{self, Read};

use sha2::{Digest, Sha256};

use crate::catalog::EditionId;

/// Passes content on; at its end, an error when the content is not what its name says.
pub struct Checked<R> {
    inner: R,
    hash: Sha256,
    expected: EditionId,
}

impl<R: Read> Checked<R> {
    /// Reads `inner`, which should be `expected`.
    pub fn new(inner: R, expected: EditionId) -> Self {
        Self { inner, hash: Sha256::new(), expected }
    }
}

impl<R: Read> Read for Checked<R> {
    fn read(&mut self, buf: &mut [u8]) -> io::Result<usize> {
        let len = self.inner.read(buf)?;
        if len > 0 {
            self.hash.update(&buf[..len]);
        } else if !buf.is_empty() && EditionId::of_digest(&self.hash.clone().finalize()) != self.expected {
            let what = format!(
                "catalogue edition {} is damaged: its content does not match its name",
                self.expected
            );
            return Err(io::Error::new(io::ErrorKind::InvalidData, what));
        }
        Ok(len)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn changed_content_is_an_error_at_its_end() {
        let name = EditionId::of(b"abc");
        let read = |content: &'static [u8]| io::read_to_string(Checked::new(content, name.clone()));
        assert_eq!(read(b"abc").unwrap(), "abc");
        assert!(
            read(b"abd")
                .unwrap_err()
                .to_string()
                .ends_with("is damaged: its content does not match its name")
        );
    }
}
