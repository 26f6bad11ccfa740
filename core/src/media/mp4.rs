//! MP4: sound, without what a recorder wrote beside it.
//!
//! ISO/IEC 14496-12, sections 4.2 and 8: boxes of length and name, some with boxes in them. Texts,
//! places and private boxes are overwritten with noughts and named `free`, which players pass
//! over: so nothing moves, and the places that the tables name still hold. A track whose handler
//! is a picture's makes it a film, which is not taken.

use std::ops::Range;

use super::{Cursor, length};
use crate::course::{Media, MediaFault};

/// Boxes that hold the tracks, on the way down to what says what a track is.
const ON_THE_WAY: [&[u8; 4]; 3] = [b"moov", b"trak", b"mdia"];
/// Boxes that nobody needs to hear the sound.
const BESIDE: [&[u8; 4]; 4] = [b"udta", b"meta", b"uuid", b"skip"];

#[derive(Default)]
struct Found {
    parts: usize,
    sound: bool,
    moving: bool,
    /// Where boxes stand that go: their name, and what is in them.
    go: Vec<(Range<usize>, Range<usize>)>,
}

pub(super) fn cleaned(bytes: &[u8]) -> Result<Vec<u8>, MediaFault> {
    let mut found = Found::default();
    boxes(bytes, 0, 0, &mut found)?;
    if found.moving {
        return Err(MediaFault::Moving);
    }
    if !found.sound {
        return Err(Cursor::of(Media::Mp4, bytes).damaged("sound"));
    }
    let mut clean = bytes.to_vec();
    for (name, body) in found.go {
        if let Some(name) = clean.get_mut(name) {
            name.copy_from_slice(b"free");
        }
        if let Some(body) = clean.get_mut(body) {
            body.fill(0);
        }
    }
    Ok(clean)
}

/// Looks through the boxes of one; `at` is where they begin in the file.
fn boxes(bytes: &[u8], at: usize, depth: usize, found: &mut Found) -> Result<(), MediaFault> {
    let mut from = Cursor::of(Media::Mp4, bytes);
    while !from.rest.is_empty() {
        found.parts += 1;
        from.counted(found.parts)?;
        let begins = at + (bytes.len() - from.rest.len());
        let size = u32::from_be_bytes(from.array("box")?);
        let name = from.array::<4>("box")?;
        let (size, head) = match size {
            // To the end of the file.
            0 => (from.rest.len() + 8, 8),
            1 => {
                let long = u64::from_be_bytes(from.array("box")?);
                (usize::try_from(long).unwrap_or(usize::MAX), 16)
            }
            size => (length(size), 8),
        };
        let inside = size.checked_sub(head).ok_or_else(|| from.damaged("box"))?;
        let body = from.take(inside, "box")?;
        let starts = begins + head;
        if ON_THE_WAY.contains(&&name) && depth < ON_THE_WAY.len() {
            boxes(body, starts, depth + 1, found)?;
        } else if &name == b"hdlr" {
            // Version and flags, four noughts, then the kind of the track.
            let kind = body.get(8..12);
            found.sound |= kind == Some(b"soun");
            found.moving |= kind == Some(b"vide");
        } else if BESIDE.contains(&&name) {
            found
                .go
                .push((begins + 4..begins + 8, starts..starts + inside));
        }
    }
    Ok(())
}
