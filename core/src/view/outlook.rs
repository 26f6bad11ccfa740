//! Outlook: what to expect of a course, in sessions and, as far as they are planned, days.
//!
//! For those who plan, never for a student; a span, never a promise.

use chrono::{DateTime, FixedOffset, NaiveDate};

use super::people::StudentName;
use super::{Day, LackingView, Reader};
use crate::course::{Setting, StudentId};
use crate::plan::expect::{Prior, Spread};
use crate::plan::{
    Outlook, OutlookAsked, OutlookQuestion, Spacing, Tried, WAYS, free_slots, outlook,
};
use crate::standing::CourseStanding;

/// What is asked of a look ahead besides spans.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct AheadAsked {
    /// The chance to have ended by this day.
    pub by: Option<NaiveDate>,
    /// Where every skill begins before any try.
    pub prior: Prior,
    /// What one session more, one assistant more or one student fewer would change.
    pub what_if: bool,
    /// The least days from one session to the next; free slots nearer to another are left out.
    pub days_between: u16,
}

/// What to expect of a course.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct OutlookView {
    /// By student, in order of name.
    pub rows: Vec<OutlookRow>,
    /// Until all have ended.
    pub class: Expectation,
    /// The longest span's end: how far a picture must reach, in sessions.
    pub reaches: u32,
    /// Judged tries of this course that it rests on.
    pub tries: u32,
    /// And those of the other courses of this device.
    pub elsewhere: u32,
    /// Where every skill begins before any try: so many met.
    pub prior_met: u32,
    /// Of so many.
    pub prior_of: u32,
    /// How often the course was run through.
    pub ways: u32,
    /// Of these, how many did not come to an end.
    pub unended: u32,
    /// The day that was asked about.
    pub by: Option<Day>,
    /// Sessions that are planned until the end of that day.
    pub until_then: u32,
    /// What else could be, where that was asked; each beside what is expected as it is.
    pub what_if: Vec<WhatIfRow>,
    /// What is missing so that nothing can be said.
    pub lacking: Option<LackingView>,
}

/// One student's end.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct OutlookRow {
    /// Who.
    pub name: StudentName,
    /// When.
    pub end: Expectation,
}

/// One thing more, or one student fewer.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum WhatIf {
    /// A session more among those that are planned: before the day that was asked about,
    /// where one was, and behind all of them where none was.
    Session,
    /// An assistant more, for what the outline lets an assistant run.
    Assistant,
    /// The student who is expected to end last goes elsewhere.
    Without(#[cfg_attr(feature = "border", uniffi(name = "name"))] StudentName),
}

/// What it would change.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct WhatIfRow {
    /// What.
    pub what: WhatIf,
    /// Until all who are left have ended.
    pub class: Expectation,
}

/// More sessions until an end.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
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
    /// Of a hundred ways, how many end by the day that was asked about.
    pub by_then: Option<u32>,
}

/// From a day to a day, both counted in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
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
    asked: AheadAsked,
    today: NaiveDate,
}

/// What spans are told against.
#[derive(Clone)]
struct Calendar {
    today: NaiveDate,
    /// Sessions that are planned and free slots, in order.
    dates: Vec<DateTime<FixedOffset>>,
    /// How many of these are planned.
    planned: u32,
    /// Of the dates, how many until the day that was asked about.
    until: Option<usize>,
    /// A session more than is planned.
    more: usize,
}

impl OutlookAhead {
    /// Of everyone who is still in the course; `courses` are all that this device knows of, for
    /// which of the school's slots are free; `history` is what the others have shown.
    pub fn of(
        course: &CourseStanding,
        courses: &[&CourseStanding],
        reader: &Reader<'_>,
        asked: AheadAsked,
        history: Vec<Tried>,
    ) -> Self {
        let going: Vec<StudentId> = course
            .students()
            .into_iter()
            .filter(|id| super::board::ended(course, id).is_none())
            .collect();
        let roster = reader.people.roster(&going);
        let question = OutlookAsked {
            students: roster.iter().map(|name| name.student).collect(),
            now: reader.now,
            free: spaced_slots(course, courses, reader, asked.days_between),
            prior: asked.prior,
            ways: WAYS,
            history,
        };
        Self {
            roster,
            question: outlook(course, &question)
                .map_err(|lacking| LackingView::of(course, lacking)),
            asked,
            today: reader.today(),
        }
    }

    /// The answer; `None` where `go_on` said to stop.
    pub fn answer(self, go_on: &mut dyn FnMut() -> bool) -> Option<OutlookView> {
        let prior = self.asked.prior;
        let mut view = OutlookView {
            rows: Vec::new(),
            class: Expectation::default(),
            reaches: 0,
            tries: 0,
            elsewhere: 0,
            prior_met: prior.met,
            prior_of: prior.met.saturating_add(prior.missed),
            ways: WAYS,
            unended: 0,
            by: self.asked.by.map(|day| Day::of(day, self.today)),
            until_then: 0,
            what_if: Vec::new(),
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
        let calendar = Calendar::of(self.today, self.asked.by, &found);
        view.until_then = super::reader::count(calendar.until.unwrap_or(0));
        view.class = calendar.expectation(&found.class);
        view.reaches = view.class.most_to;
        view.tries = found.tries;
        view.elsewhere = found.elsewhere;
        view.unended = found.unended;
        if self.asked.what_if {
            view.what_if = what_if(&question, &self.roster, &found, &calendar, go_on)?;
            let ends = view.what_if.iter().map(|row| row.class.most_to);
            view.reaches = ends.fold(view.reaches, u32::max);
        }
        view.rows = self
            .roster
            .into_iter()
            .zip(&found.students)
            .map(|(name, spread)| OutlookRow {
                name,
                end: calendar.expectation(spread),
            })
            .collect();
        Some(view)
    }
}

/// The free slots that a course can use, the earliest first: as far from its sessions and from
/// one another as is asked, and none on a day that has as many dives as the course's rule allows.
fn spaced_slots(
    course: &CourseStanding,
    courses: &[&CourseStanding],
    reader: &Reader<'_>,
    days_between: u16,
) -> Vec<(DateTime<FixedOffset>, Setting)> {
    let spacing = Spacing::of(course, days_between);
    let mut taken: Vec<(NaiveDate, Setting)> = course
        .sessions()
        .values()
        .filter(|now| now.cancelled.is_none())
        .map(|now| (now.plan.starts.date_naive(), now.plan.setting))
        .collect();
    let mut spaced = Vec::new();
    for slot in free_slots(reader.shop, courses, reader.now) {
        let day = (slot.starts.date_naive(), slot.setting);
        if spacing.allows(day, taken.iter().copied()) {
            taken.push(day);
            spaced.push((slot.starts, slot.setting));
        }
    }
    spaced
}

/// Each of what else could be, worked out anew; `None` where `go_on` said to stop.
fn what_if(
    question: &OutlookQuestion,
    roster: &[StudentName],
    found: &Outlook,
    calendar: &Calendar,
    go_on: &mut dyn FnMut() -> bool,
) -> Option<Vec<WhatIfRow>> {
    let mut rows = Vec::new();
    let before = calendar.until.unwrap_or(calendar.dates.len());
    let session = question.with_session_after(before).answer(go_on)?;
    rows.push(WhatIfRow {
        what: WhatIf::Session,
        class: calendar.clone().with_one_more().expectation(&session.class),
    });
    let assistant = question.with_assistant().answer(go_on)?;
    rows.push(WhatIfRow {
        what: WhatIf::Assistant,
        class: calendar.expectation(&assistant.class),
    });
    // Whoever is expected to end last, by the middle and then by the longer span; of equals
    // the last by name. A class of one is nobody without them.
    let last = (0..)
        .zip(&found.students)
        .max_by_key(|(_, spread)| (spread.quantile(50), spread.most().1))
        .map(|(place, _)| place);
    if let Some(place) = last.filter(|_| roster.len() > 1)
        && let Some(name) = roster.get(place)
    {
        let fewer = question.without(place).answer(go_on)?;
        rows.push(WhatIfRow {
            what: WhatIf::Without(name.clone()),
            class: calendar.expectation(&fewer.class),
        });
    }
    Some(rows)
}

impl Calendar {
    fn of(today: NaiveDate, by: Option<NaiveDate>, found: &Outlook) -> Self {
        let until = |day: NaiveDate| {
            let earlier = found.dates.iter().filter(|at| at.date_naive() <= day);
            earlier.count()
        };
        Self {
            today,
            until: by.map(until),
            dates: found.dates.clone(),
            planned: found.planned,
            more: 0,
        }
    }

    fn with_one_more(self) -> Self {
        Self { more: 1, ..self }
    }

    fn expectation(&self, spread: &Spread) -> Expectation {
        let ((half_from, half_to), (most_from, most_to)) = (spread.half(), spread.most());
        let sessions = |many: usize| super::reader::count(many.saturating_add(self.more));
        let percent = |within: u32| spread.within_per_mille(within) / 10;
        let by = spread.quantile(80);
        let all = sessions(self.dates.len());
        // After no session at all one has ended today; with a session more nobody knows on
        // which day it would be.
        let day = |sessions: u32| match usize::try_from(sessions).ok()?.checked_sub(1) {
            None => Some(Day::of(self.today, self.today)),
            Some(last) => {
                let at = self.dates.get(last).filter(|_| self.more == 0)?;
                Some(Day::of(at.date_naive(), self.today))
            }
        };
        let span = |from: u32, to: u32| {
            Some(DaySpan {
                from: day(from)?,
                to: day(to)?,
            })
        };
        Expectation {
            middle: spread.quantile(50),
            half_from,
            half_to,
            most_from,
            most_to,
            by: Some(by).filter(|by| *by > 0).and_then(day),
            half_days: span(half_from, half_to),
            most_days: span(most_from, most_to),
            within_planned: percent(all),
            planned: self.planned.saturating_add(super::reader::count(self.more)),
            slots: super::reader::count(self.dates.len()).saturating_sub(self.planned),
            dates: all,
            by_then: self.until.map(|until| percent(sessions(until))),
        }
    }
}
