//! People: the names this device knows, and what to show for those it does not.
//!
//! Names live in [`crate::ledger`]s of their own that may not have arrived or may have been
//! dropped; a screen then shows the end of the id and says so. The desk fills this in;
//! [`super::Reader`] asks it.

use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt;

pub(super) use crate::course::folded;
use crate::course::{PersonDetails, StaffId, StudentId, finds, shown_line};
use crate::entry::Who;

/// Names and details of the people whose ledgers this device holds.
#[derive(Clone, Default, PartialEq, Eq)]
pub struct People {
    /// Students' details, as their own ledgers say.
    pub students: BTreeMap<StudentId, PersonDetails>,
    /// Staff names, as they are printed; the shop's office among them.
    pub staff: BTreeMap<StaffId, String>,
    /// Students whose details the shop has had dropped.
    pub forgotten: BTreeSet<StudentId>,
}

/// Written by hand so that a name cannot reach a log through `{:?}`.
impl fmt::Debug for People {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (students, staff) = (self.students.len(), self.staff.len());
        write!(f, "People({students} students, {staff} staff)")
    }
}

/// Whether a student's details are here.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum Known {
    /// They are.
    Here,
    /// Their ledger has not come to this device.
    NotHere,
    /// The shop had them dropped; they will not come.
    Forgotten,
}

/// How a student is called on a screen.
#[derive(Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct StudentName {
    /// Who.
    pub student: StudentId,
    /// The whole name; `#3f2a`, from the id, when the details are not here.
    pub name: String,
    /// What a board calls them: as short as still tells the course's students apart.
    pub short: String,
    /// Whether the details are here.
    pub known: Known,
}

/// As for [`People`].
impl fmt::Debug for StudentName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "StudentName({}, {:?})", self.student, self.known)
    }
}

/// How a member of staff is called on a screen.
#[derive(Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct StaffName {
    /// Who.
    pub staff: StaffId,
    /// As it is printed; `#3f2a`, from the id, when this device does not know it.
    pub name: String,
    /// As a narrow list has it: the first word, or the whole name beside a colleague who is
    /// called so too.
    pub short: String,
    /// Whether this device knows the name.
    pub known: bool,
}

/// As for [`People`].
impl fmt::Debug for StaffName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "StaffName({})", self.staff)
    }
}

/// A student or a member of staff, by name.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum WhoName {
    /// A student.
    Student(#[cfg_attr(feature = "border", uniffi(name = "name"))] StudentName),
    /// A member of staff.
    Staff(#[cfg_attr(feature = "border", uniffi(name = "name"))] StaffName),
}

impl WhoName {
    /// Who it is.
    pub const fn who(&self) -> Who {
        match self {
            Self::Student(name) => Who::Student(name.student),
            Self::Staff(name) => Who::Staff(name.staff),
        }
    }

    /// The whole name.
    pub fn name(&self) -> &str {
        match self {
            Self::Student(name) => &name.name,
            Self::Staff(name) => &name.name,
        }
    }
}

impl People {
    /// Everyone whose details are here but these, at most so many, in order of name; with
    /// `text`, those whose name it finds.
    pub fn others(&self, but: &[StudentId], text: &str, most: usize) -> Vec<StudentName> {
        let mut names: Vec<StudentName> = self
            .students
            .keys()
            .filter(|student| !but.contains(student))
            .map(|student| self.name_of(student))
            .filter(|name| finds(text, &name.name))
            .collect();
        names.sort_by_cached_key(|name| (folded(&name.name), name.student));
        names.truncate(most);
        names
    }

    /// The student's name; short is what they like to be called, or the first word.
    pub fn name_of(&self, student: &StudentId) -> StudentName {
        let (name, short, known) = if let Some(details) = self.students.get(student) {
            let name = shown_line(&details.name).trim().to_owned();
            let first = || name.split_whitespace().next().map(str::to_owned);
            let called = details.called.as_deref().map(shown_line);
            let short = called.map(Cow::into_owned).or_else(first);
            let short = short.unwrap_or_else(|| name.clone());
            (name, short, Known::Here)
        } else {
            let known = if self.forgotten.contains(student) {
                Known::Forgotten
            } else {
                Known::NotHere
            };
            let id = short_id(&student.to_string());
            (id.clone(), id, known)
        };
        StudentName {
            student: *student,
            name,
            short,
            known,
        }
    }

    /// The name of a member of staff.
    pub fn staff_name(&self, staff: &StaffId) -> StaffName {
        let found = self.staff.get(staff);
        let name = found
            .map(|name| shown_line(name).into_owned())
            .unwrap_or_else(|| short_id(&staff.to_string()));
        let first = name.split_whitespace().next().map(str::to_owned);
        StaffName {
            staff: *staff,
            known: found.is_some(),
            short: first.unwrap_or_else(|| name.clone()),
            name,
        }
    }

    /// The name of a member of staff, short enough to tell them apart from these colleagues.
    pub fn staff_name_beside(&self, staff: &StaffId, colleagues: &[StaffId]) -> StaffName {
        let mut named = self.staff_name(staff);
        let own = folded(&named.short);
        let mut others = colleagues.iter().filter(|id| *id != staff);
        if others.any(|id| folded(&self.staff_name(id).short) == own) {
            named.short.clone_from(&named.name);
        }
        named
    }

    /// These students in order of name, each called as shortly as tells them apart: two of
    /// one first name get the initial of the last, and the whole name if even that is shared.
    pub fn roster(&self, students: &[StudentId]) -> Vec<StudentName> {
        let mut names: Vec<StudentName> = students.iter().map(|id| self.name_of(id)).collect();
        for longer in [with_initial, |name: &StudentName| name.name.clone()] {
            let mut seen: BTreeMap<String, u32> = BTreeMap::new();
            for name in &names {
                *seen.entry(folded(&name.short)).or_default() += 1;
            }
            for name in &mut names {
                if seen.get(&folded(&name.short)).is_some_and(|n| *n > 1) {
                    name.short = longer(name);
                }
            }
        }
        names.sort_by_cached_key(|one| (folded(&one.short), folded(&one.name), one.student));
        names
    }

    /// These people as every list has them: the students in the order of the roster, then the
    /// staff by name; each once.
    pub fn in_order(&self, people: impl IntoIterator<Item = Who>) -> Vec<Who> {
        let (mut students, mut staff) = (BTreeSet::new(), BTreeSet::new());
        for who in people {
            match who {
                Who::Student(id) => students.insert(id),
                Who::Staff(id) => staff.insert(id),
            };
        }
        let students: Vec<StudentId> = students.into_iter().collect();
        let roster = self.roster(&students).into_iter();
        let mut staff: Vec<StaffName> = staff.iter().map(|id| self.staff_name(id)).collect();
        staff.sort_by_cached_key(|one| (folded(&one.name), one.staff));
        roster
            .map(|name| Who::Student(name.student))
            .chain(staff.into_iter().map(|name| Who::Staff(name.staff)))
            .collect()
    }
}

/// "Mia B." for Mia Brandvoll; the short name alone when there is no other word.
fn with_initial(name: &StudentName) -> String {
    let mut words = name.name.split_whitespace();
    words.next();
    match words.last().and_then(|last| last.chars().next()) {
        Some(initial) => format!("{} {initial}.", name.short),
        None => name.short.clone(),
    }
}

/// The last four digits of an id: its beginning is the time it was made, and much the same
/// for all students of a course.
fn short_id(id: &str) -> String {
    let digits: Vec<char> = id.chars().rev().take(4).collect();
    std::iter::once('#')
        .chain(digits.into_iter().rev())
        .collect()
}
