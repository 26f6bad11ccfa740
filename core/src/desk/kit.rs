//! Kit: who has which piece over all courses of this device, and the entries that describe,
//! issue and return one.

use std::collections::BTreeSet;

use chrono::{DateTime, FixedOffset};

use super::projection::has_kit_out;
use super::shelf::Shelf;
use super::{Desk, DeskError, Drafts};
use crate::course::{
    CourseId, EntryId, KitPiece, LedgerId, PersonDetails, PieceId, SessionId, Sizes, StudentId,
};
use crate::entry::{
    Amendment, Body, CourseState, Details, DetailsDigest, KitFault, KitIssued, KitMended,
    KitRetired, KitReturned, KitSet, Refusal, Who,
};
use crate::standing::CourseStanding;
use crate::view::{KitAround, Reader, Units};

impl Shelf {
    /// The courses here in which a piece may be out, opened: the running ones, and of the
    /// others those whose summary says so. And how many running ones are not here.
    fn kit_courses(&mut self) -> Result<(Vec<CourseId>, u32), DeskError> {
        let mut here: BTreeSet<CourseId> = self.running_here()?.into_iter().collect();
        for row in self.store.summaries()? {
            if let LedgerId::Course(course) = row.ledger
                && has_kit_out(&row)
            {
                here.insert(course);
            }
        }
        for course in &here {
            self.course(course)?;
        }
        let (shop, _) = self.shop()?;
        let running = shop.standing.courses();
        let running = running.filter(|listed| listed.state == CourseState::Running);
        let listed: Vec<CourseId> = running.map(|listed| listed.course).collect();
        let mut elsewhere = 0;
        for course in listed {
            if !self.holds(&LedgerId::Course(course))? {
                elsewhere += 1;
            }
        }
        Ok((here.into_iter().collect(), elsewhere))
    }

    pub(super) fn kit_set_drafts(
        &mut self,
        piece: Option<PieceId>,
        details: KitPiece,
    ) -> Result<Drafts, DeskError> {
        let shop = self.device.shop_ledger()?;
        let (piece, after) = match piece {
            Some(piece) => (piece, self.shop()?.0.standing.piece_entries(&piece)),
            None => (PieceId::new(self.stamps.id()?), Vec::new()),
        };
        let details = details.cleaned();
        Ok(Drafts::one(shop, KitSet { piece, details }, after).making(piece))
    }

    pub(super) fn kit_retired_drafts(
        &mut self,
        piece: PieceId,
        why: &str,
    ) -> Result<Drafts, DeskError> {
        let shop = self.device.shop_ledger()?;
        let after = self.shop()?.0.standing.piece_entries(&piece);
        let why = why.trim().to_owned();
        Ok(Drafts::one(shop, KitRetired { piece, why }, after))
    }

    pub(super) fn kit_fault_drafts(
        &mut self,
        piece: PieceId,
        what: &str,
        when: Option<DateTime<FixedOffset>>,
    ) -> Result<Drafts, DeskError> {
        let shop = self.device.shop_ledger()?;
        let fault = KitFault {
            piece,
            what: what.trim().to_owned(),
            when: when.unwrap_or_else(|| self.stamps.now()),
        };
        Ok(Drafts::one(shop, fault, Vec::new()))
    }

    pub(super) fn kit_mended_drafts(
        &mut self,
        fault: EntryId,
        how: &str,
        when: Option<DateTime<FixedOffset>>,
    ) -> Result<Drafts, DeskError> {
        let shop = self.device.shop_ledger()?;
        let mended = KitMended {
            fault,
            how: how.trim().to_owned(),
            when: when.unwrap_or_else(|| self.stamps.now()),
        };
        Ok(Drafts::one(shop, mended, vec![fault]))
    }

    /// A piece for somebody in a session: nothing where that person has it already, and refused
    /// where somebody else has it in any course of this device. Of this course the rules ask it
    /// again, of several at once each after the one before it.
    pub(super) fn kit_issued_drafts(
        &mut self,
        (course, session): (CourseId, SessionId),
        (piece, to): (PieceId, Who),
        despite: Option<String>,
        when: Option<DateTime<FixedOffset>>,
    ) -> Result<Drafts, DeskError> {
        let with = |standing: &CourseStanding| -> Vec<(EntryId, Who)> {
            let out = standing.piece_with(&piece).into_iter();
            out.map(|(one, issued)| (one.entry.id, issued.to)).collect()
        };
        let here = with(&self.course(&course)?.standing);
        if here.iter().any(|(_, who)| *who == to) {
            return Ok(Drafts::none());
        }
        for other in self.kit_courses()?.0 {
            if other != course
                && let Some((issue, who)) = with(&self.course(&other)?.standing).first().copied()
            {
                return Err(Refusal::PieceOut { who, issue }.into());
            }
        }
        let issued = KitIssued {
            piece,
            to,
            session,
            when: when.unwrap_or_else(|| self.stamps.now()),
            despite: despite.map(|why| why.trim().to_owned()),
        };
        Ok(Drafts::one(LedgerId::Course(course), issued, Vec::new()))
    }

    /// A piece is back: said in the course's ledger, and a fault of it in the shop's.
    pub(super) fn kit_returned_drafts(
        &mut self,
        course: CourseId,
        issue: EntryId,
        fault: Option<String>,
        when: Option<DateTime<FixedOffset>>,
    ) -> Result<Drafts, DeskError> {
        let when = when.unwrap_or_else(|| self.stamps.now());
        let standing = &self.course(&course)?.standing;
        let found = standing.tally().get(&issue).map(|one| &one.entry.body);
        let Some(Body::KitIssued(issued)) = found else {
            return Err(Refusal::Unknown { what: "issue" }.into());
        };
        let piece = issued.piece;
        let returned = KitReturned { issue, when };
        let drafts = Drafts::one(LedgerId::Course(course), returned, vec![issue]);
        Ok(match fault {
            None => drafts,
            Some(what) => {
                let what = what.trim().to_owned();
                let shop = self.device.shop_ledger()?;
                drafts.and(shop, KitFault { piece, what, when }, Vec::new())
            }
        })
    }

    /// A student's sizes, kept with the rest of the details.
    pub(super) fn sizes_drafts(
        &mut self,
        course: CourseId,
        student: StudentId,
        sizes: Sizes,
    ) -> Result<Drafts, DeskError> {
        self.open_person(student)?;
        let known = self.people.get(&student);
        let known = known.and_then(|open| open.details.clone());
        let mut details = known.ok_or(Refusal::Unknown { what: "student" })?;
        details.sizes = Some(sizes);
        self.amend_drafts(course, student, details)
    }

    /// A student's details in the person's own ledger, and the amendment over their digest.
    pub(super) fn amend_drafts(
        &mut self,
        course: CourseId,
        student: StudentId,
        details: PersonDetails,
    ) -> Result<Drafts, DeskError> {
        let salt = super::draft::hex(&self.stamps.secret()?);
        let mut details = details.cleaned();
        self.open_person(student)?;
        // Height, weight and sizes are typed elsewhere: an amendment of the rest keeps them.
        let known = self.people.get(&student);
        if let Some(known) = known.and_then(|open| open.details.as_ref()) {
            details.body = details.body.or(known.body);
            details.sizes = details.sizes.or_else(|| known.sizes.clone());
        }
        let person = LedgerId::Person(student);
        let after = self.ledger(&person)?.lines().keys().copied().collect();
        let seen = self.course(&course)?.standing.details_entries(&student);
        let drafts = Drafts::one(person, Details { details, salt }, after);
        let amendment = Amendment {
            student,
            details: DetailsDigest::unknown(),
        };
        Ok(drafts.and_amend(LedgerId::Course(course), amendment, seen))
    }
}

impl Desk {
    /// Asks a view of the school's kit, with the courses here in which a piece may be out.
    ///
    /// # Errors
    /// [`DeskError::NotStarted`] before the device has a shop.
    pub fn look_at_kit<T>(
        &self,
        units: Units,
        ask: impl FnOnce(&KitAround<'_>, &Reader<'_>) -> T,
    ) -> Result<T, DeskError> {
        let mut shelf = self.shelf();
        let (courses, elsewhere) = shelf.kit_courses()?;
        let courses = courses.iter().filter_map(|id| shelf.courses.get(id));
        let around = KitAround {
            courses: courses.map(|open| &open.standing).collect(),
            elsewhere,
        };
        let people = shelf.people(around.courses.iter().copied())?;
        shelf.with_reader(&people, units, |reader| ask(&around, reader))
    }

    /// The same beside a course: whether its kit may be issued.
    ///
    /// # Errors
    /// [`DeskError::NotFound`] if this device does not hold the course.
    pub fn look_at_kit_of<T>(
        &self,
        id: &CourseId,
        units: Units,
        ask: impl FnOnce(&KitAround<'_>, &CourseStanding, &Reader<'_>) -> T,
    ) -> Result<T, DeskError> {
        let mut shelf = self.shelf();
        shelf.course(id)?;
        let (courses, elsewhere) = shelf.kit_courses()?;
        shelf.course(id)?;
        let here = |id: &CourseId| shelf.courses.get(id).map(|open| &open.standing);
        let course = here(id).ok_or_else(|| DeskError::NotFound {
            what: "course",
            id: id.to_string(),
        })?;
        let others = courses.iter().filter(|other| *other != id);
        let around = KitAround {
            courses: others.filter_map(here).chain([course]).collect(),
            elsewhere,
        };
        let people = shelf.people(around.courses.iter().copied())?;
        shelf.with_reader(&people, units, |reader| ask(&around, course, reader))
    }
}
