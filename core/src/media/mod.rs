//! Media: a photograph or a sound as it was handed in, made into what is kept. Bytes in, bytes
//! out; pure.
//!
//! A photograph of a slate needs no place: whatever tells where, when and with what it was taken
//! is left out before a digest is made, and so are thumbnails and what hangs behind the end. What
//! is seen and heard is not touched, byte for byte. Which way is up survives (see `jpeg.rs`).
//! Nothing is decoded: a length that leads past the end is a fault, and never a panic.

mod jpeg;
mod mp4;
mod png;
mod wav;

use crate::course::{Media, MediaFault};

/// The most segments, chunks or boxes that are looked at in one file.
const MOST_PARTS: usize = 100_000;

/// A photograph or a sound as it is kept.
#[derive(Clone, PartialEq, Eq)]
pub struct Cleaned {
    /// Of which kind.
    pub media: Media,
    /// Its bytes.
    pub bytes: Vec<u8>,
}

/// Written by hand: what is seen on a photograph is nothing for a log.
impl std::fmt::Debug for Cleaned {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Cleaned({}, {} bytes)", self.media, self.bytes.len())
    }
}

/// What is kept of a file that was handed in. Cleaning what is clean changes nothing.
///
/// An Ogg file is kept as it is: its comments are part of a page with a checksum, and recorders
/// write no place into them (common practice, no published source).
///
/// # Errors
/// [`MediaFault`]. How long it may be is for the rules.
pub fn cleaned(bytes: &[u8]) -> Result<Cleaned, MediaFault> {
    let media = Media::begins(bytes).ok_or(MediaFault::Unknown)?;
    let bytes = match media {
        Media::Jpeg => jpeg::cleaned(bytes)?,
        Media::Png => png::cleaned(bytes)?,
        Media::Ogg => bytes.to_vec(),
        Media::Wav => wav::cleaned(bytes)?,
        Media::Mp4 => mp4::cleaned(bytes)?,
    };
    Ok(Cleaned { media, bytes })
}

/// Reads on through the bytes, and never past their end.
struct Cursor<'a> {
    rest: &'a [u8],
    media: Media,
}

impl<'a> Cursor<'a> {
    const fn of(media: Media, bytes: &'a [u8]) -> Self {
        Self { rest: bytes, media }
    }

    fn take(&mut self, length: usize, what: &'static str) -> Result<&'a [u8], MediaFault> {
        let (taken, rest) =
            (self.rest.split_at_checked(length)).ok_or_else(|| self.damaged(what))?;
        self.rest = rest;
        Ok(taken)
    }

    fn array<const N: usize>(&mut self, what: &'static str) -> Result<[u8; N], MediaFault> {
        let (taken, rest) =
            (self.rest.split_first_chunk::<N>()).ok_or_else(|| self.damaged(what))?;
        self.rest = rest;
        Ok(*taken)
    }

    const fn damaged(&self, what: &'static str) -> MediaFault {
        MediaFault::Damaged {
            media: self.media,
            what,
        }
    }

    /// Whether so many parts may be looked at.
    const fn counted(&self, parts: usize) -> Result<(), MediaFault> {
        if parts > MOST_PARTS {
            Err(MediaFault::TooManyParts {
                media: self.media,
                most: MOST_PARTS,
            })
        } else {
            Ok(())
        }
    }
}

/// A length of a file as one of memory; beyond any file where it does not fit.
fn length(of: u32) -> usize {
    usize::try_from(of).unwrap_or(usize::MAX)
}

#[cfg(test)]
mod tests;
