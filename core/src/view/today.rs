//! Today: the courses on this device, what is on, and what waits for someone.

use chrono::TimeDelta;

use super::board::{BoardOf, BoardView, ended};
use super::course_list::CourseStage;
use super::gaps::before_gaps;
use super::headcount::HeadcountView;
use super::reader::count;
use super::session_list::{SessionCard, SessionListView, SessionState};
use super::{CellView, Day, Reader, StudentName};
use crate::course::{CourseId, SessionId, SkillId, StudentId};
use crate::entry::{Kind, Outcome};
use crate::plan::{Going, Missing, before_completion};
use crate::standing::{CellState, CourseStanding};

/// The first screen.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct TodayView {
    /// Today.
    pub day: Day,
    /// Sessions of today, in order of their start.
    pub sessions: Vec<SessionCard>,
    /// The next one after today of each course, in order of their start.
    pub coming: Vec<SessionCard>,
    /// Courses on this device, in order of their start.
    pub courses: Vec<CourseCard>,
    /// What waits for someone, the gravest first.
    pub alerts: Vec<Alert>,
    /// Entries that count for nothing, in all courses.
    pub unverified: u32,
    /// Entries from a newer version.
    pub newer: u32,
}

/// A course on this device, with what went wrong with its ledger.
#[derive(Debug, Clone)]
pub struct CourseHere<'a> {
    /// The course.
    pub standing: &'a CourseStanding,
    /// What went wrong with its ledger, by sort and device.
    pub irregular: u32,
    /// The devices that brought it, by name.
    pub brought_by: Vec<String>,
}

/// A course in a few figures.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct CourseCard {
    /// Which.
    pub course: CourseId,
    /// Its title.
    pub title: String,
    /// First planned day.
    pub starts: Option<Day>,
    /// Where it stands, by the shop's list; `None` when the shop does not list it.
    pub stage: Option<CourseStage>,
    /// Students still in it.
    pub students: u32,
    /// Of those, how many have completed.
    pub completed: u32,
    /// How many have no gap before completion and wait for an instructor.
    pub ready: u32,
    /// Required cells done.
    pub done: u32,
    /// Of so many.
    pub of: u32,
    /// Of a hundred, rounded down: 100 only when all is done.
    pub percent: u32,
    /// Cells with two views.
    pub two_views: u32,
    /// Marks that wait for an instructor.
    pub waiting: u32,
    /// Cells that slipped since.
    pub slipped: u32,
    /// Its running or next session.
    pub next: Option<SessionCard>,
}

/// Something that waits for someone.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct Alert {
    /// What.
    pub what: AlertKind,
    /// In which course.
    pub course: CourseId,
    /// Its title.
    pub title: String,
    /// In which session, where it is about one.
    pub session: Option<SessionId>,
    /// How many.
    pub count: u32,
    /// Whom it concerns, in order of name.
    pub students: Vec<StudentName>,
    /// The cell it is about, or the first of several in the board's order.
    pub cell: Option<CellKey>,
    /// Which devices brought it, by name.
    pub devices: Vec<String>,
    /// Whether it is the reader's to settle.
    pub own: bool,
}

/// A cell: one student and one skill.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct CellKey {
    /// Who.
    pub student: StudentId,
    /// Which skill.
    pub skill: SkillId,
}

/// What waits, the gravest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum AlertKind {
    /// In the water although the planned end is past.
    StillInWater,
    /// A session today or ahead is over its ratio, as planned.
    OverRatio,
    /// A paper is missing, refused or overdue before the next session.
    PaperBeforeWater,
    /// Two people marked a cell differently.
    TwoViews,
    /// Met, and a later try was not.
    SlippedSince,
    /// An assistant's marks wait for an instructor.
    ToConfirm,
    /// Rules that the next session or completion rests on are confirmed by nobody.
    RulesUnconfirmed,
    /// Entries that count for nothing.
    Unverified,
    /// Something went wrong with the ledger: a device tried to change or delete an entry,
    /// wrote without end, or what was stored could not be read.
    Irregular,
    /// Entries from a newer version.
    Newer,
}

impl TodayView {
    /// The first screen, over the courses that are open on this device.
    pub fn of(courses: &[CourseHere<'_>], reader: &Reader<'_>) -> Self {
        let mut sessions = Vec::new();
        let mut coming: Vec<SessionCard> = Vec::new();
        let mut cards = Vec::new();
        let mut alerts = Vec::new();
        for here in courses {
            let course = here.standing;
            let list = SessionListView::of(course, reader).rows;
            let next = list.iter().find(|card| card.is_to_come()).cloned();
            let board = BoardView::of(
                course,
                reader,
                BoardOf {
                    irregular: here.irregular,
                    ..BoardOf::default()
                },
            );
            let mut found = alerts_of(course, reader, &board, &list, next.as_ref());
            for alert in &mut found {
                if alert.what == AlertKind::Irregular {
                    alert.devices.clone_from(&here.brought_by);
                }
            }
            alerts.extend(found);
            let mut later = None;
            for card in list {
                if card.starts.day.date == reader.today()
                    || card.state == SessionState::Running
                    || is_wet_still(&card, reader)
                {
                    sessions.push(card);
                } else if card.is_to_come() && later.is_none() {
                    later = Some(card);
                }
            }
            coming.extend(later);
            cards.push(CourseCard::of(course, reader, &board, next));
        }
        sessions.sort_by_key(|card| (card.starts.at, card.session));
        coming.sort_by_key(|card| (card.starts.at, card.session));
        cards.sort_by_key(|card| (card.starts.map(|day| day.date), card.course));
        alerts.sort_by(|a, b| (a.what, &a.title, a.course).cmp(&(b.what, &b.title, b.course)));
        let total = |of: fn(&CourseStanding) -> usize| {
            count(courses.iter().map(|here| of(here.standing)).sum())
        };
        Self {
            day: reader.day(reader.today()),
            sessions,
            coming,
            courses: cards,
            alerts,
            unverified: total(|course| course.tally().unverified().len()),
            newer: total(|course| course.tally().newer().len()),
        }
    }
}

/// Whether somebody is in the water of a session that ended within a day: past midnight it
/// is still the one that is worked on.
fn is_wet_still(card: &SessionCard, reader: &Reader<'_>) -> bool {
    card.in_water > 0 && (reader.now - card.ends.at).abs() < TimeDelta::days(1)
}

impl CourseCard {
    fn of(
        course: &CourseStanding,
        reader: &Reader<'_>,
        board: &BoardView,
        next: Option<SessionCard>,
    ) -> Self {
        let staying = board
            .rows
            .iter()
            .filter(|row| !matches!(row.ended, Some(Outcome::Left | Outcome::Referred)));
        let completed = board
            .rows
            .iter()
            .filter(|row| row.ended == Some(Outcome::Completed));
        let ready = board.rows.iter().filter(|row| {
            let student = &row.name.student;
            row.ended.is_none()
                && row.left == 0
                && before_completion(course, student, reader.today(), reader.age(student))
                    .is_empty()
        });
        let counts = board.counts;
        Self {
            course: *course.id(),
            title: board.title.clone(),
            starts: course.opened().map(|opened| reader.day(opened.starts)),
            stage: reader
                .shop
                .course(course.id())
                .map(|listed| CourseStage::of(listed, reader)),
            students: count(staying.count()),
            completed: count(completed.count()),
            ready: count(ready.count()),
            done: counts.done,
            of: counts.of,
            percent: (counts.done * 100).checked_div(counts.of).unwrap_or(0),
            two_views: counts.two_views,
            waiting: counts.waiting,
            slipped: counts.slipped,
            next,
        }
    }
}

/// The first cell of a board that is so.
fn first_cell(board: &BoardView, is: fn(&CellView) -> bool) -> Option<CellKey> {
    let cells = board.rows.iter().flat_map(|row| &row.cells);
    let mut cells = cells.filter(|cell| is(cell));
    cells.next().map(|cell| CellKey {
        student: cell.student,
        skill: cell.skill.clone(),
    })
}

fn alerts_of(
    course: &CourseStanding,
    reader: &Reader<'_>,
    board: &BoardView,
    list: &[SessionCard],
    next: Option<&SessionCard>,
) -> Vec<Alert> {
    let mut alerts = Vec::new();
    let mut alert = |what, session, count, students, own| {
        if count > 0 {
            alerts.push(Alert {
                what,
                course: *course.id(),
                title: board.title.clone(),
                session,
                count,
                students,
                cell: match what {
                    AlertKind::TwoViews => {
                        first_cell(board, |cell| cell.state == CellState::TwoViews)
                    }
                    AlertKind::SlippedSince => first_cell(board, |cell| cell.slipped_since),
                    AlertKind::StillInWater
                    | AlertKind::OverRatio
                    | AlertKind::PaperBeforeWater
                    | AlertKind::ToConfirm
                    | AlertKind::RulesUnconfirmed
                    | AlertKind::Unverified
                    | AlertKind::Irregular
                    | AlertKind::Newer => None,
                },
                devices: Vec::new(),
                own,
            });
        }
    };
    let instructor = reader.may_write(Kind::Resolution).given();
    let office = reader.may_write(Kind::SessionPlanned).given();
    for card in list.iter().filter(|card| card.in_water > 0) {
        if let Some(headcount) = HeadcountView::of(course, reader, &card.session) {
            let late = headcount.rows.iter().filter(|row| row.overdue);
            let students = late.filter_map(|row| match &row.name {
                super::WhoName::Student(name) => Some(name.clone()),
                super::WhoName::Staff(_) => None,
            });
            alert(
                AlertKind::StillInWater,
                Some(card.session),
                headcount.overdue,
                students.collect(),
                true,
            );
        }
    }
    for card in list.iter().filter(|card| card.is_to_come()) {
        let over = card
            .ratio
            .as_ref()
            .filter(|ratio| ratio.limit == super::Limit::Over);
        if let Some(ratio) = over {
            let by = ratio.students - ratio.ceiling.unwrap_or(0).min(ratio.students);
            alert(
                AlertKind::OverRatio,
                Some(card.session),
                by,
                Vec::new(),
                office,
            );
        }
    }
    if let Some(card) = next {
        let (without_papers, rules) = papers_before(course, reader, card);
        alert(
            AlertKind::PaperBeforeWater,
            Some(card.session),
            count(without_papers.len()),
            without_papers,
            office,
        );
        alert(
            AlertKind::RulesUnconfirmed,
            Some(card.session),
            rules,
            Vec::new(),
            office,
        );
    }
    let with = |of: fn(&super::board::BoardRow) -> u32| -> Vec<StudentName> {
        let rows = board.rows.iter().filter(|row| of(row) > 0);
        rows.map(|row| row.name.clone()).collect()
    };
    let counts = board.counts;
    alert(
        AlertKind::TwoViews,
        None,
        counts.two_views,
        with(|row| row.two_views),
        instructor,
    );
    alert(
        AlertKind::SlippedSince,
        None,
        counts.slipped,
        with(|row| row.slipped),
        instructor,
    );
    alert(
        AlertKind::ToConfirm,
        None,
        counts.waiting,
        with(|row| row.waiting),
        instructor,
    );
    let shop = reader.may_write(Kind::LateAccepted).given();
    alert(
        AlertKind::Unverified,
        None,
        counts.unverified,
        Vec::new(),
        shop,
    );
    alert(
        AlertKind::Irregular,
        None,
        counts.irregular,
        Vec::new(),
        shop,
    );
    alert(AlertKind::Newer, None, counts.newer, Vec::new(), true);
    alerts
}

/// The students of a session whose papers are not in order for it, and how many rules it
/// rests on that nobody has confirmed.
fn papers_before(
    course: &CourseStanding,
    reader: &Reader<'_>,
    card: &SessionCard,
) -> (Vec<StudentName>, u32) {
    let Some(now) = course.sessions().get(&card.session) else {
        return (Vec::new(), 0);
    };
    let into = Going::of(&now.plan, Some(card.session));
    let going: Vec<StudentId> = now
        .plan
        .students
        .iter()
        .filter(|student| ended(course, student).is_none())
        .copied()
        .collect();
    let mut rules = std::collections::BTreeSet::new();
    let mut names = reader.people.roster(&going);
    names.retain(|name| {
        let mut missing = false;
        for gap in before_gaps(course, reader, &name.student, &into) {
            match gap.what {
                Missing::RuleUnconfirmed(rule) => {
                    rules.insert(rule);
                }
                Missing::Age
                | Missing::TooYoung { .. }
                | Missing::Forbidden(_)
                | Missing::TooDeepForAge { .. }
                | Missing::Clearance(_)
                | Missing::NotCleared(..)
                | Missing::Expired(..)
                | Missing::Skill { .. }
                | Missing::SlippedSince(_)
                | Missing::SkillNotThere(_)
                | Missing::Kit { .. } => missing = true,
                Missing::Policy | Missing::Outline | Missing::Dives { .. } => {}
            }
        }
        missing
    });
    (names, count(rules.len()))
}
