//! Outlook: what to expect of a course, in sessions and, as far as they are planned, days.
//!
//! For those who plan, never for a student; a span, never a promise.

use chrono::NaiveDate;

use super::people::StudentName;
use super::{Day, LackingView, Reader};
use crate::course::StudentId;
use crate::plan::expect::{Prior, Spread};
use crate::plan::{Outlook, OutlookAsked, OutlookQuestion, WAYS, free_slots, outlook};
use crate::standing::CourseStanding;

/// What to expect of a course.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OutlookView {
    /// By student, in order of name.
    pub rows: Vec<OutlookRow>,
    /// Until all have ended.
    pub class: Expectation,
    /// The longest span's end: how far a picture must reach, in sessions.
    pub reaches: u32,
    /// Judged tries that it rests on.
    pub tries: u32,
    /// Where every skill begins before any try: so many met.
    pub prior_met: u32,
    /// Of so many.
    pub prior_of: u32,
    /// How often the course was run through.
    pub ways: u32,
    /// Of these, how many did not come to an end.
    pub unended: u32,
    /// What is missing so that nothing can be said.
    pub lacking: Option<LackingView>,
}

/// One student's end.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OutlookRow {
    /// Who.
    pub name: StudentName,
    /// When.
    pub end: Expectation,
}

/// More sessions until an end.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Expectation {
    /// As likely more as fewer.
    pub middle: u32,
    /// Half of all ways lie from here.
    pub half_from: u32,
    /// To here.
    pub half_to: u32,
    /// Four in five lie from here.
    pub most_from: u32,
    /// To here.
    pub most_to: u32,
    /// The day of the session by which four in five have ended, where so many are planned or
    /// have a free slot.
    pub by: Option<Day>,
    /// The first and the last day of half of all ways, where each has a session or a free slot.
    pub half_days: Option<DaySpan>,
    /// The same of four in five.
    pub most_days: Option<DaySpan>,
    /// Of a hundred ways, how many end within the sessions that are planned and the free slots.
    pub within_planned: u32,
    /// How many sessions are planned.
    pub planned: u32,
    /// How many free slots are reckoned with besides.
    pub slots: u32,
    /// Both together.
    pub dates: u32,
}

/// From a day to a day, both counted in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DaySpan {
    /// The first.
    pub from: Day,
    /// The last.
    pub to: Day,
}

/// A course that is looked ahead of, to be answered without holding anybody up.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OutlookAhead {
    roster: Vec<StudentName>,
    question: Result<OutlookQuestion, LackingView>,
    today: NaiveDate,
}

impl OutlookAhead {
    /// Of everyone who is still in the course; `courses` are all that this device knows of, for
    /// which of the school's slots are free.
    pub fn of(course: &CourseStanding, courses: &[&CourseStanding], reader: &Reader<'_>) -> Self {
        let going: Vec<StudentId> = course
            .students()
            .into_iter()
            .filter(|id| super::board::ended(course, id).is_none())
            .collect();
        let roster = reader.people.roster(&going);
        let asked = OutlookAsked {
            students: roster.iter().map(|name| name.student).collect(),
            now: reader.now,
            free: free_slots(reader.shop, courses, reader.now)
                .into_iter()
                .map(|slot| (slot.starts, slot.setting))
                .collect(),
            prior: Prior::default(),
            ways: WAYS,
        };
        Self {
            roster,
            question: outlook(course, &asked).map_err(|lacking| LackingView::of(course, lacking)),
            today: reader.today(),
        }
    }

    /// The answer; `None` where `go_on` said to stop.
    pub fn answer(self, go_on: &mut dyn FnMut() -> bool) -> Option<OutlookView> {
        let prior = Prior::default();
        let mut view = OutlookView {
            rows: Vec::new(),
            class: Expectation::default(),
            reaches: 0,
            tries: 0,
            prior_met: prior.met,
            prior_of: prior.met + prior.missed,
            ways: WAYS,
            unended: 0,
            lacking: None,
        };
        let question = match self.question {
            Ok(question) => question,
            Err(lacking) => {
                view.lacking = Some(lacking);
                return Some(view);
            }
        };
        let found = question.answer(go_on)?;
        let of = |spread: &Spread| Expectation::of(self.today, spread, &found);
        view.class = of(&found.class);
        view.rows = self
            .roster
            .into_iter()
            .zip(&found.students)
            .map(|(name, spread)| OutlookRow {
                name,
                end: of(spread),
            })
            .collect();
        view.reaches = view.class.most_to;
        view.tries = found.tries;
        view.unended = found.unended;
        Some(view)
    }
}

impl Expectation {
    fn of(today: NaiveDate, spread: &Spread, found: &Outlook) -> Self {
        let ((half_from, half_to), (most_from, most_to)) = (spread.half(), spread.most());
        let all = u32::try_from(found.dates.len()).unwrap_or(u32::MAX);
        // After no session at all one has ended today.
        let day = |sessions: u32| match usize::try_from(sessions).ok()?.checked_sub(1) {
            None => Some(Day::of(today, today)),
            Some(last) => {
                let at = found.dates.get(last)?;
                Some(Day::of(at.date_naive(), today))
            }
        };
        let span = |from: u32, to: u32| {
            Some(DaySpan {
                from: day(from)?,
                to: day(to)?,
            })
        };
        let by = spread.quantile(80);
        Self {
            middle: spread.quantile(50),
            half_from,
            half_to,
            most_from,
            most_to,
            by: Some(by).filter(|by| *by > 0).and_then(day),
            half_days: span(half_from, half_to),
            most_days: span(most_from, most_to),
            within_planned: spread.within_per_mille(all) / 10,
            planned: found.planned,
            slots: all.saturating_sub(found.planned),
            dates: all,
        }
    }
}
