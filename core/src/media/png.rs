//! PNG: the chunks that are needed to draw it.
//!
//! W3C, "Portable Network Graphics", third edition, sections 5 and 11: after eight bytes chunks
//! of length, name, body and checksum, up to `IEND`. Text, time, EXIF and whatever is private
//! goes; colours stay. Checksums are carried, not reckoned: what is kept is kept byte for byte.

use super::{Cursor, length};
use crate::course::{Media, MediaFault};

/// What changes how it is drawn.
const DRAWN: [&[u8; 4]; 12] = [
    b"IHDR", b"PLTE", b"IDAT", b"IEND", b"tRNS", b"gAMA", b"cHRM", b"sRGB", b"iCCP", b"sBIT",
    b"bKGD", b"pHYs",
];

pub(super) fn cleaned(bytes: &[u8]) -> Result<Vec<u8>, MediaFault> {
    let mut from = Cursor::of(Media::Png, bytes);
    let mut kept = from.take(8, "beginning")?.to_vec();
    let (mut parts, mut drawn) = (0_usize, false);
    loop {
        parts += 1;
        from.counted(parts)?;
        let size = from.array("chunk")?;
        let name = from.array::<4>("chunk")?;
        let body = from.take(length(u32::from_be_bytes(size)), "chunk")?;
        let sum = from.take(4, "chunk")?;
        if parts == 1 && &name != b"IHDR" {
            return Err(from.damaged("beginning"));
        }
        drawn |= &name == b"IDAT";
        if DRAWN.contains(&&name) {
            kept.extend(size);
            kept.extend(name);
            kept.extend(body);
            kept.extend(sum);
        }
        if &name == b"IEND" {
            break;
        }
    }
    if drawn {
        Ok(kept)
    } else {
        Err(from.damaged("picture"))
    }
}
