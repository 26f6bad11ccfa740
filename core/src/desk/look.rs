//! Look: what screens ask for. A question is put to a standing with a
//! [`Reader`]; the answer leaves the lock as a plain value.

use std::collections::BTreeMap;

use chrono::{DateTime, FixedOffset, TimeDelta};

use super::shelf::Shelf;
use super::{Desk, DeskError};
use crate::course::{CourseId, LedgerId, Role, SessionId, SessionPlan, SkillId, StudentId};
use crate::entry::{Authority, CourseState, Refusal, Writer};
use crate::standing::CourseStanding;
use crate::store::{MishapRow, SummaryRow};
use crate::view::{Clash, CourseHere, OnScreen, People, Reader, TodayView, Units};

/// The most courses whose cards the first screen works out: more are not run at a time, and
/// a shop's long list is read from the store's summaries.
const MOST_AT_ONCE: usize = 40;

impl Shelf {
    /// Who this device writes as; `None` while it is not admitted, or after it was revoked.
    pub(super) fn writer(&self) -> Option<Writer> {
        let book = self.book.as_ref()?;
        let key = self.device.key.public();
        if book.is_revoked(&key) {
            None
        } else {
            book.writer(&key)
        }
    }

    /// What this device may write: with its own key, and with the root where it is here.
    pub(super) fn authority(&self) -> Result<Authority, DeskError> {
        let (_, book) = self.shop()?;
        let root = self.device.root.as_ref();
        let root = root.and_then(|root| book.writer(&root.public()));
        let root = root.filter(|writer| writer.role == Role::Shop);
        Ok(Authority::new(self.writer(), root))
    }

    /// The names this device knows of these people, and of all staff.
    pub(super) fn people<'a>(
        &self,
        courses: impl IntoIterator<Item = &'a CourseStanding>,
    ) -> Result<People, DeskError> {
        let (shop, _) = self.shop()?;
        let mut students = BTreeMap::new();
        for student in courses.into_iter().flat_map(CourseStanding::students) {
            if let Some(details) = self
                .people
                .get(&student)
                .and_then(|open| open.details.clone())
            {
                students.insert(student, details);
            }
        }
        let mut staff = shop.standing.staff();
        if let Some(name) = shop.standing.name() {
            let office = crate::course::StaffId::new(self.device.shop_id()?.uuid());
            staff.insert(office, name.to_owned());
        }
        Ok(People {
            students,
            staff,
            forgotten: shop.standing.forgotten(),
        })
    }

    /// The running courses this device holds, opened, the latest to start first; of a shop's
    /// long list the first of them.
    pub(super) fn running_here(&mut self) -> Result<Vec<CourseId>, DeskError> {
        let mut running: Vec<(chrono::NaiveDate, CourseId)> = {
            let (shop, _) = self.shop()?;
            let listed = shop.standing.courses();
            listed
                .filter(|listed| listed.state == CourseState::Running)
                .map(|listed| (listed.starts, listed.course))
                .collect()
        };
        running.sort_by(|a, b| b.cmp(a));
        let mut here = Vec::new();
        for (_, course) in running {
            if here.len() == MOST_AT_ONCE {
                break;
            }
            match self.course(&course) {
                Ok(_) => here.push(course),
                // Listed by the shop, and not this device's to have, or not here yet.
                Err(DeskError::NotFound { .. }) => {}
                Err(error) => return Err(error),
            }
        }
        Ok(here)
    }

    pub(super) fn with_reader<T>(
        &self,
        people: &People,
        units: Units,
        ask: impl FnOnce(&Reader<'_>) -> T,
    ) -> Result<T, DeskError> {
        self.with_reader_among(people, units, &[], ask)
    }

    /// The same beside courses that were opened.
    fn with_reader_among<T>(
        &self,
        people: &People,
        units: Units,
        courses: &[&CourseStanding],
        ask: impl FnOnce(&Reader<'_>) -> T,
    ) -> Result<T, DeskError> {
        let (shop, book) = self.shop()?;
        let reader = Reader {
            shop: &shop.standing,
            trust: book,
            people,
            authority: self.authority()?,
            device: self.device.key.public(),
            now: self.stamps.now(),
            units,
            courses,
        };
        Ok(ask(&reader))
    }
}

impl Desk {
    /// Asks something of a course as it stands.
    ///
    /// # Errors
    /// [`DeskError::NotFound`] if this device does not hold the course.
    pub fn with_course<T>(
        &self,
        id: &CourseId,
        ask: impl FnOnce(&CourseStanding) -> T,
    ) -> Result<T, DeskError> {
        Ok(ask(&self.shelf().course(id)?.standing))
    }

    /// Asks a view of a course: `desk.look(&id, units, |course, reader| …)`.
    ///
    /// # Errors
    /// [`DeskError::NotFound`] if this device does not hold the course.
    pub fn look<T>(
        &self,
        id: &CourseId,
        units: Units,
        ask: impl FnOnce(&CourseStanding, &Reader<'_>) -> T,
    ) -> Result<T, DeskError> {
        let mut shelf = self.shelf();
        shelf.course(id)?;
        let missing = || DeskError::NotFound {
            what: "course",
            id: id.to_string(),
        };
        let open = shelf.courses.get(id).ok_or_else(missing)?;
        let people = shelf.people([&open.standing])?;
        shelf.with_reader(&people, units, |reader| ask(&open.standing, reader))
    }

    /// A cell as a screen would show it now, for whoever has no screen.
    ///
    /// # Errors
    /// [`DeskError::NotFound`] if this device does not hold the course, and
    /// [`Refusal::Unknown`] if the course has no such student or skill.
    pub fn on_screen(
        &self,
        course: &CourseId,
        student: StudentId,
        skill: &SkillId,
    ) -> Result<OnScreen, DeskError> {
        let shown = self.look(course, Units::default(), |course, reader| {
            let shown = OnScreen::of(course, reader, student, skill);
            let what = if course.has_student(&student) {
                "skill"
            } else {
                "student"
            };
            shown.ok_or(Refusal::Unknown { what })
        })?;
        Ok(shown?)
    }

    /// Asks a view of a course beside the others of this device in which somebody dived
    /// in so long a time before a moment.
    ///
    /// # Errors
    /// [`DeskError::NotFound`] if this device does not hold the course.
    pub fn look_beside<T>(
        &self,
        id: &CourseId,
        units: Units,
        before: DateTime<FixedOffset>,
        back: TimeDelta,
        ask: impl FnOnce(&CourseStanding, &[&CourseStanding], &Reader<'_>) -> T,
    ) -> Result<T, DeskError> {
        let mut shelf = self.shelf();
        shelf.course(id)?;
        let mut others = shelf.courses_dived(before - back, before)?;
        others.retain(|other| other != id);
        for other in &others {
            shelf.course(other)?;
        }
        shelf.course(id)?;
        let here = |id: &CourseId| shelf.courses.get(id).map(|open| &open.standing);
        let beside: Vec<&CourseStanding> = others.iter().filter_map(here).collect();
        let course = here(id).ok_or_else(|| DeskError::NotFound {
            what: "course",
            id: id.to_string(),
        })?;
        let people = shelf.people([course])?;
        shelf.with_reader(&people, units, |reader| ask(course, &beside, reader))
    }

    /// Asks a view of a course among all the running courses of this device, itself with them,
    /// knowing the names of everybody in them.
    ///
    /// # Errors
    /// [`DeskError::NotFound`] if this device does not hold the course.
    pub fn look_among<T>(
        &self,
        id: &CourseId,
        units: Units,
        ask: impl FnOnce(&CourseStanding, &[&CourseStanding], &Reader<'_>) -> T,
    ) -> Result<T, DeskError> {
        let mut shelf = self.shelf();
        let mut all = shelf.running_here()?;
        if !all.contains(id) {
            all.push(*id);
        }
        shelf.course(id)?;
        let here = |id: &CourseId| shelf.courses.get(id).map(|open| &open.standing);
        let among: Vec<&CourseStanding> = all.iter().filter_map(here).collect();
        let course = here(id).ok_or_else(|| DeskError::NotFound {
            what: "course",
            id: id.to_string(),
        })?;
        let people = shelf.people(among.iter().copied())?;
        shelf.with_reader_among(&people, units, &among, |reader| ask(course, &among, reader))
    }

    /// Asks a view of the shop.
    ///
    /// # Errors
    /// [`DeskError::NotStarted`] before the device has a shop.
    pub fn look_at_shop<T>(
        &self,
        units: Units,
        ask: impl FnOnce(&Reader<'_>) -> T,
    ) -> Result<T, DeskError> {
        let shelf = self.shelf();
        let people = shelf.people([])?;
        shelf.with_reader(&people, units, ask)
    }

    /// The first screen: the running courses this device holds, the latest to start first to
    /// be worked out.
    ///
    /// # Errors
    /// [`DeskError::NotStarted`] before the device has a shop.
    pub fn today(&self, units: Units) -> Result<TodayView, DeskError> {
        let mut shelf = self.shelf();
        let here = shelf.running_here()?;
        let mut mishaps = shelf.store.mishaps()?;
        mishaps.retain(|row| row.what.calls());
        let of = |id: &CourseId| {
            let here = |row: &&MishapRow| row.ledger == LedgerId::Course(*id);
            u32::try_from(mishaps.iter().filter(here).count()).unwrap_or(u32::MAX)
        };
        let (_, book) = shelf.shop()?;
        let brought_by = |id: &CourseId| -> Vec<String> {
            let here = mishaps.iter();
            let here = here.filter(|row| row.ledger == LedgerId::Course(*id));
            let names: std::collections::BTreeSet<String> = here
                .filter_map(|row| row.device)
                .map(|key| match book.certificate(&key) {
                    Some(certificate) => certificate.device.clone(),
                    None => key.short(),
                })
                .collect();
            names.into_iter().collect()
        };
        let open: Vec<CourseHere<'_>> = here
            .iter()
            .filter_map(|course| Some((course, shelf.courses.get(course)?)))
            .map(|(course, open)| CourseHere {
                standing: &open.standing,
                irregular: of(course),
                brought_by: brought_by(course),
            })
            .collect();
        let people = shelf.people(open.iter().map(|here| here.standing))?;
        let courses: Vec<&CourseStanding> = open.iter().map(|here| here.standing).collect();
        shelf.with_reader_among(&people, units, &courses, |reader| {
            TodayView::of(&open, reader)
        })
    }

    /// What else is planned at the hours of a session, in any running course of this device.
    ///
    /// # Errors
    /// [`DeskError::NotStarted`] before the device has a shop.
    pub fn clashes(
        &self,
        units: Units,
        session: Option<SessionId>,
        plan: &SessionPlan,
    ) -> Result<Vec<Clash>, DeskError> {
        let mut shelf = self.shelf();
        let here = shelf.running_here()?;
        let courses: Vec<&CourseStanding> = here
            .iter()
            .filter_map(|course| shelf.courses.get(course))
            .map(|open| &open.standing)
            .collect();
        let people = shelf.people([])?;
        shelf.with_reader(&people, units, |reader| {
            Clash::all_of(plan, session, &courses, reader)
        })
    }

    /// The stored list of courses, newest start first: for a shop with thousands of them.
    ///
    /// # Errors
    /// [`DeskError::Store`].
    pub fn course_summaries(&self) -> Result<Vec<SummaryRow>, DeskError> {
        Ok(self.shelf().store.summaries()?)
    }

    /// Now, by this device's clock.
    pub fn now(&self) -> DateTime<FixedOffset> {
        self.shelf().stamps.now()
    }

    /// The key that signs for this device.
    pub fn own_key(&self) -> crate::entry::DeviceKey {
        self.shelf().device.key.public()
    }
}
