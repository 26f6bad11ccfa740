//! JPEG: what is needed to draw it, and which way is up.
//!
//! ISO/IEC 10918-1, annex B: segments of `FF`, marker and length, then after each start of scan
//! entropy-coded bytes in which an `FF` is followed by `00` or a restart marker. Of the
//! application segments those stay that change how it is drawn: JFIF (APP0), an ICC profile
//! (APP2) and the colour transform (APP14). EXIF (APP1) goes whole, with place, time and
//! thumbnail; where it said that the picture is to be turned, a new one of that tag alone is
//! written (EXIF 2.3, section 4.6.4, tag 0x0112), so that every program still shows it upright.

use super::Cursor;
use crate::course::{Media, MediaFault};

const START: u8 = 0xd8;
const END: u8 = 0xd9;
const SCAN: u8 = 0xda;
const EXIF: &[u8] = b"Exif\0\0";

pub(super) fn cleaned(bytes: &[u8]) -> Result<Vec<u8>, MediaFault> {
    let mut from = Cursor::of(Media::Jpeg, bytes);
    if from.array("beginning")? != [0xff, START] {
        return Err(from.damaged("beginning"));
    }
    let (mut kept, mut turned) = (Vec::with_capacity(bytes.len()), None);
    let (mut scans, mut parts) = (0_usize, 0_usize);
    loop {
        parts += 1;
        from.counted(parts)?;
        let marker = marker(&mut from)?;
        if marker == END {
            break;
        }
        let size = from.array("segment")?;
        let body = usize::from(u16::from_be_bytes(size)).checked_sub(2);
        let body = body.ok_or_else(|| from.damaged("segment"))?;
        let body = from.take(body, "segment")?;
        if marker == 0xe1 && turned.is_none() {
            turned = body.strip_prefix(EXIF).and_then(orientation);
        }
        if stays(marker, body) {
            kept.extend([0xff, marker]);
            kept.extend(size);
            kept.extend(body);
        }
        if marker == SCAN {
            scans += 1;
            kept.extend(coded(&mut from)?);
        }
    }
    if scans == 0 {
        return Err(from.damaged("picture"));
    }
    let mut clean = vec![0xff, START];
    clean.extend(turned.into_iter().flat_map(upright));
    clean.extend(kept);
    clean.extend([0xff, END]);
    Ok(clean)
}

/// The next marker; any number of `FF` may stand before it.
fn marker(from: &mut Cursor<'_>) -> Result<u8, MediaFault> {
    if from.array("segment")? != [0xff] {
        return Err(from.damaged("segment"));
    }
    loop {
        match from.array("segment")? {
            [0xff] => {}
            // None of these has a length, and none stands between segments.
            [START | 0 | 0x01 | 0xd0..=0xd7] => return Err(from.damaged("segment")),
            [marker] => return Ok(marker),
        }
    }
}

/// Whether a segment is needed to draw the picture.
fn stays(marker: u8, body: &[u8]) -> bool {
    match marker {
        0xe0 => body.starts_with(b"JFIF\0"),
        0xe2 => body.starts_with(b"ICC_PROFILE\0"),
        0xee => body.starts_with(b"Adobe"),
        // The other application segments, and comments.
        0xe1..=0xef | 0xfe => false,
        _ => true,
    }
}

/// The entropy-coded bytes after a start of scan, up to the next marker that is no restart.
fn coded<'a>(from: &mut Cursor<'a>) -> Result<&'a [u8], MediaFault> {
    let ends = from.rest.windows(2).position(|pair| match pair {
        [0xff, marker] => !matches!(marker, 0 | 0xff | 0xd0..=0xd7),
        _ => false,
    });
    let ends = ends.ok_or_else(|| from.damaged("end"))?;
    from.take(ends, "end")
}

/// Which way the picture is to be turned: 2 to 8, or nothing where it stands upright, is not said
/// or cannot be read. Only the first directory is looked at.
fn orientation(tiff: &[u8]) -> Option<u8> {
    let big = match tiff.first_chunk()? {
        b"MM\0\x2a" => true,
        b"II\x2a\0" => false,
        _ => return None,
    };
    let short = |at: usize| {
        let bytes = tiff.get(at..)?.first_chunk()?;
        Some(if big {
            u16::from_be_bytes(*bytes)
        } else {
            u16::from_le_bytes(*bytes)
        })
    };
    let start = tiff.get(4..)?.first_chunk()?;
    let start = if big {
        u32::from_be_bytes(*start)
    } else {
        u32::from_le_bytes(*start)
    };
    let start = super::length(start);
    let count = usize::from(short(start)?);
    let fields = (0..count).map_while(|n| start.checked_add(2)?.checked_add(n * 12));
    for field in fields {
        // Tag, type SHORT, one value, which stands in the field itself.
        if short(field)? == 0x0112 {
            let said = short(field.checked_add(8)?)?;
            return u8::try_from(said)
                .ok()
                .filter(|said| (2..=8).contains(said));
        }
    }
    None
}

/// An EXIF segment that says which way is up, and nothing else.
fn upright(turned: u8) -> Vec<u8> {
    let mut segment = vec![0xff, 0xe1, 0, 34];
    segment.extend(EXIF);
    // Big-endian; the directory at 8; one field: tag, SHORT, one value; no next directory.
    segment.extend(b"MM\0\x2a\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0");
    segment.push(turned);
    segment.extend([0; 6]);
    segment
}
