//! WAV: the chunks that are needed to play it.
//!
//! "Multimedia Programming Interface and Data Specifications 1.0", 1991 (from memory): `RIFF`,
//! the length of what follows, `WAVE`, then chunks of name, length and body, each filled up to an
//! even length. The format, the count of samples and the samples stay; lists of texts and
//! whatever a recorder added go.

use super::{Cursor, length};
use crate::course::{Media, MediaFault};

pub(super) fn cleaned(bytes: &[u8]) -> Result<Vec<u8>, MediaFault> {
    let mut from = Cursor::of(Media::Wav, bytes);
    from.take(4, "beginning")?;
    let whole = length(u32::from_le_bytes(from.array("beginning")?));
    from.take(4, "beginning")?;
    // What hangs behind the end that it names is none of it.
    let inside = whole
        .checked_sub(4)
        .and_then(|inside| from.rest.get(..inside));
    from.rest = inside.ok_or_else(|| from.damaged("length"))?;
    let mut kept = Vec::with_capacity(bytes.len());
    let (mut parts, mut format, mut sound) = (0_usize, false, false);
    while !from.rest.is_empty() {
        parts += 1;
        from.counted(parts)?;
        let name = from.array::<4>("chunk")?;
        let size = from.array("chunk")?;
        let size_of = length(u32::from_le_bytes(size));
        let body = from.take(size_of, "chunk")?;
        // The last chunk's filling is left out by some recorders.
        let filled = !size_of.is_multiple_of(2);
        if filled && !from.rest.is_empty() {
            from.take(1, "chunk")?;
        }
        format |= &name == b"fmt ";
        sound |= &name == b"data";
        if matches!(&name, b"fmt " | b"fact" | b"data") {
            kept.extend(name);
            kept.extend(size);
            kept.extend(body);
            kept.extend(filled.then_some(0));
        }
    }
    if !format || !sound {
        return Err(from.damaged("sound"));
    }
    let whole = u32::try_from(kept.len() + 4).map_err(|_| from.damaged("length"))?;
    let mut clean = b"RIFF".to_vec();
    clean.extend(whole.to_le_bytes());
    clean.extend(b"WAVE");
    clean.extend(kept);
    Ok(clean)
}
