//! What files are called where a system asks for their kind.

use std::path::Path;

use tallywater::system::kind;

#[test]
fn only_pictures_and_sounds_are_asked_for_by_their_kind() {
    assert_eq!(
        kind::to_choose(&["jpg", "jpeg", "png"]),
        ["image/jpeg", "image/png"]
    );
    assert!(kind::to_choose(&["ogg", "wav", "m4a"]).contains(&"audio/*"));
    for any in [
        &["csv", "txt", "tsv"][..],
        &["tally"],
        &["uddf", "xml"],
        &["ics", "csv"],
        &["png", "csv"],
        &[],
    ] {
        assert!(kind::to_choose(any).is_empty(), "{any:?}");
    }
    assert_eq!(kind::of(Path::new("a/record.pdf")), "application/pdf");
    assert_eq!(kind::of(Path::new("a")), "application/octet-stream");
}
