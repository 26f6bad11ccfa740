//! Kind: what files are called in the words that systems have for kinds of files (MIME types).

use std::path::Path;

/// What a paper or a file of ours is, by the ending of its name.
#[must_use]
pub fn of(file: &Path) -> &'static str {
    match file.extension().and_then(|ending| ending.to_str()) {
        Some("pdf") => "application/pdf",
        Some("csv") => "text/csv",
        Some("ics") => "text/calendar",
        Some("xlsx") => "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
        Some(_) | None => "application/octet-stream",
    }
}

/// What a person is shown to choose from, where these endings are asked for; nothing where that
/// is every file. Only pictures and sounds are known to a system for what they are: a table, a
/// calendar, a dive log or a course file comes under any kind, by whatever program kept it, and
/// would stand there and could not be chosen.
#[must_use]
pub fn to_choose(endings: &[&str]) -> &'static [&'static str] {
    const PICTURES: [&str; 3] = ["jpg", "jpeg", "png"];
    const SOUNDS: [&str; 6] = ["ogg", "oga", "opus", "wav", "m4a", "mp4"];
    let all = |of: &[&str]| !endings.is_empty() && endings.iter().all(|one| of.contains(one));
    if all(&PICTURES) {
        &["image/jpeg", "image/png"]
    } else if all(&SOUNDS) {
        &["audio/*", "application/ogg", "video/mp4"]
    } else {
        &[]
    }
}
