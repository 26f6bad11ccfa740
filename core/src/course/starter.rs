//! Starter: the outline and the rules that a new shop begins with, in our own words.
//!
//! Both are files that ship inside the program. Their figures are house defaults to be
//! confirmed or changed, never a standard; a course adopts its own copy through
//! [`crate::entry`], so a better starter in a later version changes no course.

use std::collections::BTreeMap;
use std::sync::OnceLock;

use super::{Outline, Policy};

const OUTLINE: &str = include_str!("../../../fixtures/outline/first-dives.json");
/// Every text of the outline with its German, text by text: ids and figures stand once. Long
/// names have soft hyphens where they may break; they are taken out of whatever is kept.
const GERMAN: &str = include_str!("../../../fixtures/outline/first-dives.de.json");
const POLICY: &str = include_str!("../../../fixtures/outline/house-policy.json");

/// A starter file that this program carries and cannot read: it was built wrong, and
/// nothing that a person does at the pool can cure it.
#[derive(Debug, thiserror::Error)]
#[error("read the starter {what} that this program carries")]
pub struct StarterError {
    /// Which file: "outline" or "policy".
    pub what: &'static str,
    /// Where it stopped making sense.
    pub source: serde_json::Error,
}

/// The starter outline "First dives": an entry-level course of one dry session, five in
/// confined and five in open water.
///
/// # Errors
/// [`StarterError`] when the program was built from a damaged file.
///
/// ```
/// let outline = tallywater_core::course::starter::outline()?;
/// assert!(outline.faults().is_empty());
/// # Ok::<(), tallywater_core::course::starter::StarterError>(())
/// ```
pub fn outline() -> Result<Outline, StarterError> {
    serde_json::from_str(OUTLINE).map_err(|source| StarterError {
        what: "outline",
        source,
    })
}

/// The same outline in German: the same skills, ids and figures. A course adopts one of the two
/// by value, as its school speaks.
///
/// # Errors
/// [`StarterError`] when the program was built from a damaged file, or a text has no German.
///
/// ```
/// use tallywater_core::course::starter;
/// let (english, german) = (starter::outline()?, starter::german_outline()?);
/// assert_eq!(english.skills.len(), german.skills.len());
/// assert_eq!(german.title, "Erste Tauchgänge");
/// # Ok::<(), starter::StarterError>(())
/// ```
pub fn german_outline() -> Result<Outline, StarterError> {
    let broken = |source| StarterError {
        what: "outline",
        source,
    };
    let german = plain(&serde_json::from_str(GERMAN).map_err(broken)?);
    let mut outline = outline()?;
    let mut missing = None;
    outline.each_text_mut(&mut |text: &mut String| match german.get(text.as_str()) {
        Some(said) => said.clone_into(text),
        None => missing = Some(text.clone()),
    });
    match missing {
        None => Ok(outline),
        Some(text) => {
            let why = format!("no German for {text:?}");
            Err(broken(serde::de::Error::custom(why)))
        }
    }
}

const SOFT_HYPHEN: char = '\u{ad}';

/// The German without the places where a word may break.
fn plain(german: &BTreeMap<String, String>) -> BTreeMap<String, String> {
    let plain = german
        .iter()
        .map(|(english, said)| (english.clone(), said.replace(SOFT_HYPHEN, "")));
    plain.collect()
}

/// A name of the starter's in German with soft hyphens where its words may break, for where there
/// is little room; any other text as it is.
///
/// ```
/// use tallywater_core::course::starter;
/// assert_eq!(starter::breakable("Partnercheck"), "Part\u{ad}ner\u{ad}check");
/// assert_eq!(starter::breakable("Buddy check"), "Buddy check");
/// ```
pub fn breakable(name: &str) -> &str {
    static BREAKS: OnceLock<BTreeMap<String, String>> = OnceLock::new();
    let breaks = BREAKS.get_or_init(|| {
        let german: BTreeMap<String, String> = serde_json::from_str(GERMAN).unwrap_or_default();
        let soft = german
            .into_values()
            .filter(|said| said.contains(SOFT_HYPHEN));
        soft.map(|said| (said.replace(SOFT_HYPHEN, ""), said))
            .collect()
    });
    breaks.get(name).map_or(name, String::as_str)
}

/// A language that the starter outline is in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tongue {
    /// As its file has it.
    English,
    /// As [`german_outline`] has it.
    German,
}

impl Tongue {
    /// What a text of the starter is in this language; `None` where it is no other.
    fn otherwise(self, text: &str) -> Option<&'static str> {
        let said = self.texts().get(text).map(String::as_str);
        said.filter(|said| *said != text)
    }

    /// The texts of the starter in the other language, each with what it is in this one.
    fn texts(self) -> &'static BTreeMap<String, String> {
        static TO_GERMAN: OnceLock<BTreeMap<String, String>> = OnceLock::new();
        static TO_ENGLISH: OnceLock<BTreeMap<String, String>> = OnceLock::new();
        // Of a damaged file nothing is said in another language: opening a course names it.
        let read = || plain(&serde_json::from_str(GERMAN).unwrap_or_default());
        let to_german = || TO_GERMAN.get_or_init(read);
        match self {
            Self::German => to_german(),
            Self::English => TO_ENGLISH.get_or_init(|| {
                let mut back: BTreeMap<String, String> = BTreeMap::new();
                // What two texts have in common is said as the first of them has it.
                for (english, german) in to_german() {
                    back.entry(german.clone())
                        .or_insert_with(|| english.clone());
                }
                back
            }),
        }
    }
}

/// An outline as it reads in a language: each text that is the starter's own as the starter says
/// it there, each that a school wrote as it wrote it. `None` where nothing is read otherwise than
/// it is written.
///
/// ```
/// use tallywater_core::course::starter::{self, Tongue};
/// let (english, german) = (starter::outline()?, starter::german_outline()?);
/// assert_eq!(starter::spoken(&english, Tongue::German).as_ref(), Some(&german));
/// assert_eq!(starter::spoken(&german, Tongue::German), None);
/// # Ok::<(), starter::StarterError>(())
/// ```
pub fn spoken(outline: &Outline, tongue: Tongue) -> Option<Outline> {
    // Most devices speak as their courses do, and a course is opened often: the texts are asked
    // before anything is copied.
    let mut otherwise = false;
    outline.each_text(&mut |text: &String| otherwise |= tongue.otherwise(text).is_some());
    otherwise.then(|| {
        let mut read = outline.clone();
        read.each_text_mut(&mut |text: &mut String| {
            if let Some(said) = tongue.otherwise(text) {
                said.clone_into(text);
            }
        });
        read
    })
}

/// The starter rules: each with its source, none of them confirmed by anyone.
///
/// # Errors
/// [`StarterError`] when the program was built from a damaged file.
pub fn policy() -> Result<Policy, StarterError> {
    serde_json::from_str(POLICY).map_err(|source| StarterError {
        what: "policy",
        source,
    })
}

#[cfg(test)]
mod policy_tests;
#[cfg(test)]
mod rule_tests;
#[cfg(test)]
mod spoken_tests;
#[cfg(test)]
mod tests;
#[cfg(test)]
mod ways_tests;
