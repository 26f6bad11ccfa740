//! Own dives: what a student dived by themselves, brought in from a log of theirs. They stand
//! beside the record and are none of it: no rule of the course counts them.

use super::figure::Of;
use super::{Figure, Moment, Reader, Span, StaffName};
use crate::course::{EntryId, StudentId};
use crate::standing::CourseStanding;

/// One own dive.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct OwnDiveRow {
    /// Its entry.
    pub entry: EntryId,
    /// Left the surface.
    pub down: Moment,
    /// How long.
    pub span: Span,
    /// Deepest.
    pub max_depth: Figure,
    /// Where, as the log says.
    pub site: Option<String>,
    /// Who took it in; nobody stands for more than that.
    pub by: StaffName,
    /// When.
    pub at: Moment,
}

impl OwnDiveRow {
    /// A student's own dives, by time.
    pub fn all(course: &CourseStanding, reader: &Reader<'_>, student: &StudentId) -> Vec<Self> {
        let own = course.own_dives(student).into_iter();
        own.map(|(one, own)| Self {
            entry: one.entry.id,
            down: reader.when(own.log.down),
            span: Span::between(own.log.down, own.log.up),
            max_depth: Of::Depth.show(own.log.max_depth_cm, reader.units),
            site: own.site.clone(),
            by: reader.staff(&one.entry.by),
            at: reader.when(one.entry.at),
        })
        .collect()
    }
}
