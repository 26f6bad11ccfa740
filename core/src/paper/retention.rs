//! Retention: what has been kept long enough, and what must be kept on. A list for a person:
//! nothing here deletes anything.
//!
//! A rule that nobody has confirmed makes nothing due. Where several rules speak about the
//! same records, the longest holds.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{Months, NaiveDate};

use super::source::Source;
use crate::course::{
    CourseId, EntryId, PersonDetails, RecordClass, Rule, RuleId, StudentId, age_on,
};
use crate::entry::{HoldOn, KeptAs, Kind, Who};
use crate::standing::PolicyNow;

/// Under this age at the first entry someone counts as a minor for the rules of keeping.
const OF_AGE: u32 = 18;

/// What is kept, and until when.
#[derive(Clone, PartialEq, Eq)]
pub struct Kept {
    /// What.
    pub what: KeptWhat,
    /// What it is called: a person's name or a course's title, where it is known here.
    pub name: Option<String>,
    /// The last day of keeping; `None` while no confirmed rule says how long.
    pub until: Option<NaiveDate>,
    /// The rules it rests on.
    pub rules: BTreeSet<RuleId>,
    /// Why it stays, though its time is over.
    pub held: Option<Hold>,
}

/// What can be dropped as one piece.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum KeptWhat {
    /// A person's own ledger: name, contacts, birth date.
    Person(#[cfg_attr(feature = "border", uniffi(name = "student"))] StudentId),
    /// A whole course: every student's training record in it, and its incident reports.
    Course(#[cfg_attr(feature = "border", uniffi(name = "course"))] CourseId),
}

/// Why something stays though its time is over.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum Hold {
    /// A legal hold, in the words it was set with.
    Legal(#[cfg_attr(feature = "border", uniffi(name = "why"))] String),
    /// A course with this person in it still goes on.
    Running(#[cfg_attr(feature = "border", uniffi(name = "course"))] CourseId),
}

/// Written by hand: it may hold a person's name.
impl std::fmt::Debug for Kept {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Kept")
            .field("what", &self.what)
            .field("until", &self.until)
            .field("rules", &self.rules)
            .field("held", &self.held)
            .finish_non_exhaustive()
    }
}

impl Kept {
    /// Whether its time is over and nothing holds it.
    pub fn is_due(&self, today: NaiveDate) -> bool {
        self.held.is_none() && self.until.is_some_and(|until| until < today)
    }
}

/// Everything this shop keeps, with its time, in the order in which it ends.
///
/// `holds` are what is held back, each in words. A student whom the shop has forgotten already
/// is not listed.
pub fn kept(
    policy: Option<&PolicyNow>,
    courses: &[Source<'_>],
    holds: &BTreeMap<HoldOn, String>,
) -> Vec<Kept> {
    let mut keeping = Keeping::new(policy, holds);
    for source in courses {
        keeping.take(source);
    }
    keeping.list()
}

/// The same, course by course: a shop's thousands of courses never lie in memory at once.
pub struct Keeping<'p> {
    policy: Option<&'p PolicyNow>,
    holds: &'p BTreeMap<HoldOn, String>,
    people: BTreeMap<StudentId, Life>,
    forgotten: BTreeSet<StudentId>,
    list: Vec<Kept>,
}

/// Written by hand: it may hold names.
impl std::fmt::Debug for Keeping<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Keeping").finish_non_exhaustive()
    }
}

impl<'p> Keeping<'p> {
    /// Nothing seen yet.
    pub const fn new(policy: Option<&'p PolicyNow>, holds: &'p BTreeMap<HoldOn, String>) -> Self {
        Self {
            policy,
            holds,
            people: BTreeMap::new(),
            forgotten: BTreeSet::new(),
            list: Vec::new(),
        }
    }

    /// Takes one course into account.
    pub fn take(&mut self, source: &Source<'_>) {
        let kept = course(self.policy, source, self.holds, &mut self.people);
        self.list.push(kept);
        self.forgotten.extend(source.shop.forgotten());
    }

    /// The list.
    pub fn list(self) -> Vec<Kept> {
        let mut list = self.list;
        for (student, life) in &self.people {
            if self.forgotten.contains(student) {
                continue;
            }
            let clock = clock(self.policy, RecordClass::Details, life);
            let held = self
                .holds
                .get(&HoldOn::Student(*student))
                .or(life.held.as_ref())
                .map(|why| Hold::Legal(why.clone()))
                .or(life.running.map(Hold::Running));
            list.push(Kept {
                what: KeptWhat::Person(*student),
                name: life.name.clone(),
                until: clock.until,
                rules: clock.rules,
                held,
            });
        }
        list.sort_by_key(|kept| (kept.until.is_none(), kept.until, kept.what));
        list
    }
}

/// What the clocks of one person or course need to know.
#[derive(Clone, Default)]
struct Life {
    name: Option<String>,
    first: Option<NaiveDate>,
    last: Option<NaiveDate>,
    born: Vec<NaiveDate>,
    running: Option<CourseId>,
    /// The words of a hold on a course with this person in it.
    held: Option<String>,
}

impl Life {
    fn saw(&mut self, day: NaiveDate) {
        self.first = Some(self.first.map_or(day, |first| first.min(day)));
        self.last = Some(self.last.map_or(day, |last| last.max(day)));
    }
}

fn course(
    policy: Option<&PolicyNow>,
    source: &Source<'_>,
    holds: &BTreeMap<HoldOn, String>,
    people: &mut BTreeMap<StudentId, Life>,
) -> Kept {
    let id = *source.course.id();
    let mut life = Life::default();
    let mut incidents = Life::default();
    for one in source.course.tally().in_order() {
        let day = one.entry.at.date_naive();
        life.saw(day);
        // What is added to a report later is kept as long as a report of that day.
        if one.entry.body.kind().kept() == KeptAs::Report {
            incidents.saw(day);
        }
    }
    let students = source.course.students();
    let mut running = None;
    for student in &students {
        let person = people.entry(*student).or_default();
        let kit = source.course.kit_entries(student);
        for one in source.course.about(student).chain(kit) {
            person.saw(one.entry.at.date_naive());
        }
        if let Some(why) = holds.get(&HoldOn::Course(id)) {
            person.held = Some(why.clone());
        }
        if let Some(details) = source.names.details(student) {
            person.name = Some(details.name);
        }
        if let Some(born) = source.born(student) {
            person.born.push(born);
            life.born.push(born);
            incidents.born.push(born);
        }
        if source.course.completion(student).is_none() && is_listed_running(source, id) {
            person.running = Some(id);
            running = Some(id);
        }
    }
    let training = clock(policy, RecordClass::Training, &life);
    let mut rules = training.rules;
    let mut until = training.until;
    if incidents.last.is_some() {
        let reports = clock(policy, RecordClass::Incident, &incidents);
        rules.extend(reports.rules);
        // Without a rule for reports they stay, and the course with them.
        until = match (until, reports.until) {
            (Some(one), Some(other)) => Some(one.max(other)),
            (None, _) | (_, None) => None,
        };
    }
    let on_student = |student: &StudentId| holds.get(&HoldOn::Student(*student));
    let held = holds
        .get(&HoldOn::Course(id))
        .or_else(|| students.iter().find_map(on_student))
        .map(|why| Hold::Legal(why.clone()))
        .or(running.map(Hold::Running));
    Kept {
        what: KeptWhat::Course(id),
        name: source.course.opened().map(|opened| opened.title.clone()),
        until,
        rules,
        held,
    }
}

fn is_listed_running(source: &Source<'_>, id: CourseId) -> bool {
    use crate::entry::CourseState;
    source
        .shop
        .course(&id)
        .is_none_or(|listed| listed.state == CourseState::Running)
}

struct Clock {
    until: Option<NaiveDate>,
    rules: BTreeSet<RuleId>,
}

/// How long a class of records is kept: so many years after the last entry, and for someone
/// who was a minor at the first at least to an age.
fn clock(policy: Option<&PolicyNow>, class: RecordClass, life: &Life) -> Clock {
    let mut clock = Clock {
        until: None,
        rules: BTreeSet::new(),
    };
    let (Some(policy), Some(first), Some(last)) = (policy, life.first, life.last) else {
        return clock;
    };
    for rule in &policy.policy.rules {
        let Rule::Keep {
            class: of,
            years,
            minors_to_age,
        } = &rule.rule
        else {
            continue;
        };
        if *of != class || !policy.confirmed.contains_key(&rule.id) {
            continue;
        }
        clock.rules.insert(rule.id.clone());
        let mut until = later(last, u32::from(*years));
        if let Some(age) = minors_to_age {
            for born in &life.born {
                if age_on(*born, first).is_none_or(|years| years < OF_AGE) {
                    until = until.max(later(*born, u32::from(*age)));
                }
            }
        }
        clock.until = Some(clock.until.map_or(until, |there| there.max(until)));
    }
    clock
}

/// So many years later; the end of time if that is not in the calendar.
fn later(day: NaiveDate, years: u32) -> NaiveDate {
    day.checked_add_months(Months::new(years.saturating_mul(12)))
        .unwrap_or(NaiveDate::MAX)
}

/// A free text that may hold a name, for a person to read before someone is forgotten: a
/// ledger only grows, so what stands in a text can be read as long as the ledger is kept.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct TextToRead {
    /// In which course.
    pub course: CourseId,
    /// The entry.
    pub entry: EntryId,
    /// Its kind.
    pub kind: Kind,
    /// Whether a part of the name was found in it; else it is only about the person.
    pub names: bool,
}

/// Every free text of a course that holds a part of the person's name, or is about the
/// person.
pub fn texts_to_read(
    source: &Source<'_>,
    student: StudentId,
    details: Option<&PersonDetails>,
) -> Vec<TextToRead> {
    let parts: Vec<String> = details
        .into_iter()
        .flat_map(|details| {
            let called = details.called.clone().unwrap_or_default();
            format!("{} {called}", details.name)
                .split(|c: char| !c.is_alphanumeric())
                .map(str::to_lowercase)
                .filter(|part| is_telling(part))
                .collect::<Vec<_>>()
        })
        .collect();
    let mut list: Vec<TextToRead> = Vec::new();
    for one in source.course.tally().in_order() {
        let body = &one.entry.body;
        let texts = body.texts();
        if texts.is_empty() {
            continue;
        }
        let names = texts.iter().any(|text| {
            let text = text.to_lowercase();
            parts.iter().any(|part| text.contains(part.as_str()))
        });
        let about = Who::Student(student);
        if names || body.about().who.contains(&about) {
            list.push(TextToRead {
                course: *source.course.id(),
                entry: one.entry.id,
                kind: body.kind(),
                names,
            });
        }
    }
    list.sort();
    list
}

/// Two letters of a Latin name stand in every sentence; one sign of an East Asian one does not.
fn is_telling(part: &str) -> bool {
    let letters = part.chars().count();
    letters >= 3 || (letters >= 1 && !part.is_ascii() && part.len() > 2 * letters)
}
