//! Every printed word has its German.

use super::*;

#[test]
fn every_printed_word_is_in_the_catalogue() {
    let missing: Vec<_> = TABLE
        .iter()
        .filter(|(context, english)| Language::German.said(context, english).is_none())
        .collect();
    assert!(missing.is_empty(), "{missing:#?}");
}

#[test]
fn parts_are_filled_in() {
    assert_eq!(
        fill(ENGLISH.page, &[("n", "2"), ("of", "5")]),
        "Page 2 of 5"
    );
}
