//! Opened: a PDF is looked at once more before it is handed out: its end points to its list of
//! objects, the list to objects, and there are as many pages as were laid out.

use super::PdfError;

/// Checks a file, and takes out the one entry that common readers stumble over.
///
/// The engine writes `/Suspects false` into the catalogue. That is what the entry means when it is
/// not there (ISO 32000-1, table 321), and poppler, which most free readers are built on, reports
/// a fault for it when it is. The place is filled with spaces, so that nothing moves.
///
/// # Errors
/// [`PdfError::Engine`] if the file is not one that a reader could open.
pub(super) fn opened(mut bytes: Vec<u8>, pages: usize) -> Result<Vec<u8>, PdfError> {
    let wrong = |detail: &str| PdfError::Engine {
        detail: format!("read back, the file {detail}"),
    };
    if !bytes.starts_with(b"%PDF-") {
        return Err(wrong("does not begin as a PDF"));
    }
    let end = find_last(&bytes, b"startxref").ok_or_else(|| wrong("has no end"))?;
    let tail = bytes.get(end..).unwrap_or_default();
    let tail = std::str::from_utf8(tail).map_err(|_| wrong("has no end"))?;
    let mut words = tail.split_ascii_whitespace().skip(1);
    let at: Option<usize> = words.next().and_then(|word| word.parse().ok());
    if words.next() != Some("%%EOF") {
        return Err(wrong("is cut short"));
    }
    let list = at.and_then(|at| bytes.get(at..)).unwrap_or_default();
    let is_list = list.starts_with(b"xref")
        || list
            .split(|byte| *byte == b'\n')
            .next()
            .is_some_and(|line| line.ends_with(b"obj"));
    if !is_list {
        return Err(wrong("does not say where its objects are"));
    }
    let found = count(&bytes, b"/Type /Page\n") + count(&bytes, b"/Type /Page ");
    let packed = found == 0;
    if !packed && found != pages {
        return Err(wrong("has other pages"));
    }
    const ENTRY: &[u8] = b"/Suspects false";
    if count(&bytes, ENTRY) == 1
        && let Some(at) = find_last(&bytes, ENTRY)
        && let Some(place) = bytes.get_mut(at..at + ENTRY.len())
    {
        place.fill(b' ');
    }
    Ok(bytes)
}

fn find_last(bytes: &[u8], part: &[u8]) -> Option<usize> {
    bytes.windows(part.len()).rposition(|here| here == part)
}

fn count(bytes: &[u8], part: &[u8]) -> usize {
    bytes
        .windows(part.len())
        .filter(|here| *here == part)
        .count()
}
