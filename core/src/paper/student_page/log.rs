//! The student's own dive log as a file for any other program: the dives of the page and
//! nothing else of the course. It names whoever logged a dive, and nobody else.

use super::{PageDive, StudentPage};
use crate::paper::data::{DataError, DiveFor, UddfDive, write_uddf};
use crate::paper::say::moment;
use crate::paper::words::Language;

impl StudentPage {
    /// The dives of the page as UDDF: those of the course, then the student's own, by time.
    /// Its notes are in English, as the other words of that format.
    ///
    /// # Errors
    /// [`DataError`].
    pub fn dive_log(&self) -> Result<Vec<u8>, DataError> {
        let words = Language::English.words();
        let out = |dive: &PageDive, purpose| UddfDive {
            entry: dive.entry,
            log: dive.log.clone(),
            site: dive.site.clone(),
            purpose,
            signed: Some(format!("{}, {}", words.signer(&dive.by), moment(dive.at))),
        };
        let course = self.dives.iter().map(|dive| out(dive, DiveFor::Learning));
        let own = self.own_dives.iter().map(|dive| out(dive, DiveFor::Own));
        let mut dives: Vec<UddfDive> = course.chain(own).collect();
        dives.sort_by_key(|dive| (dive.log.down, dive.entry));
        let name = self.name.clone();
        let name = name.unwrap_or_else(|| self.student.to_string());
        write_uddf(&name, &dives, self.now)
    }
}
