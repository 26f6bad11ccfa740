//! Along: sessions of other courses that share the water of a lost one: they move with it into
//! one slot, or it is said why they do not.

use std::collections::BTreeSet;

use super::{Asked, HeldAnew, elsewhere};
use crate::course::{CourseId, SessionId, SessionPlan, Slot};
use crate::entry::{SessionMoved, Who};
use crate::plan::{LostSession, Spacing, people_of, water_of};
use crate::standing::CourseStanding;
use crate::view::one_water::shared_with;
use crate::view::people::{StaffName, StudentName, WhoName};
use crate::view::shared::within;
use crate::view::{Moment, Reader};

/// A session of another course that shares the water of a lost one and moves with it.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct LostAlong {
    /// Of which course.
    pub course: CourseId,
    /// That course's title.
    pub course_title: String,
    /// Which.
    pub session: SessionId,
    /// What it is called.
    pub title: String,
    /// When people were told that it starts.
    pub before: Moment,
    /// Where.
    pub before_site: String,
    /// When and where it would be held: in the slot of the lost one, as long as it is itself.
    pub after: HeldAnew,
    /// The students to be told.
    pub students: Vec<StudentName>,
    /// The staff to be told.
    pub staff: Vec<StaffName>,
    /// Who of them cannot come then: away.
    pub away: Vec<WhoName>,
}

/// A session of another course that shares the water of a lost one and stays where it is.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct LostApart {
    /// The course's title.
    pub course_title: String,
    /// Why.
    pub because: ApartBecause,
}

/// Why a session does not move with one that it shares its water with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum ApartBecause {
    /// This device may not plan in its course.
    MayNot,
    /// It has begun.
    Begun,
    /// No free slot suits both: its water, its length, its day, or somebody is in another session
    /// then.
    Slot,
    /// In none do the rules of both allow one water, or they rest on what is not known.
    Rules,
}

/// What shares the water of one lost session.
pub(super) struct Along<'a> {
    moves: Vec<(&'a CourseStanding, SessionId, &'a SessionPlan)>,
    apart: Vec<LostApart>,
}

impl<'a> Along<'a> {
    /// Of each of these sessions of a course; what shares the water of two goes with the first.
    pub(super) fn of_each(
        course: &CourseStanding,
        reader: &Reader<'a>,
        lost: &[&SessionPlan],
    ) -> Vec<Self> {
        let mut seen: BTreeSet<SessionId> = BTreeSet::new();
        let mut all = Vec::new();
        for plan in lost {
            let (mut moves, mut apart) = (Vec::new(), Vec::new());
            for (other, id, held) in shared_with(course, reader, plan) {
                if !seen.insert(id) {
                    continue;
                }
                let moved = SessionMoved {
                    session: id,
                    starts: held.starts,
                    site: held.site.clone(),
                    // Any word: what is asked is whether it may be moved at all.
                    why: held.site.clone(),
                };
                let because = if held.starts <= reader.now {
                    Some(ApartBecause::Begun)
                } else if reader.may_record(other, moved).given() {
                    None
                } else {
                    Some(ApartBecause::MayNot)
                };
                match because {
                    None => moves.push((other, id, held)),
                    Some(because) => apart.push(LostApart {
                        course_title: other.title(),
                        because,
                    }),
                }
            }
            all.push(Self { moves, apart });
        }
        all
    }

    /// The sessions that move with it.
    pub(super) fn sessions(&self) -> impl Iterator<Item = SessionId> {
        self.moves.iter().map(|(_, id, _)| *id)
    }

    /// Their courses.
    pub(super) fn courses(&self) -> impl Iterator<Item = (CourseId, &'a CourseStanding)> {
        self.moves
            .iter()
            .map(|(course, ..)| (*course.id(), *course))
    }

    /// What shares its water and stays where it is.
    pub(super) fn apart(&self) -> &[LostApart] {
        &self.apart
    }

    /// A lost session with what moves with it, as one: of all the students, as long as the
    /// longest, as far from others as any of the courses asks.
    pub(super) fn as_one(
        &self,
        course: &CourseStanding,
        plan: &SessionPlan,
        days_between: u16,
    ) -> LostSession {
        let mut one = LostSession {
            courses: [*course.id()].into(),
            starts: plan.starts,
            minutes: plan.minutes,
            setting: plan.setting,
            site: plan.site.clone(),
            students: plan.students.iter().copied().collect(),
            staff: plan.staff.iter().copied().collect(),
            spacing: Spacing::of(course, days_between),
        };
        for (other, _, held) in &self.moves {
            one.courses.insert(*other.id());
            one.minutes = one.minutes.max(held.minutes);
            one.students.extend(&held.students);
            one.staff.extend(&held.staff);
            one.spacing = one.spacing.and(Spacing::of(other, days_between));
        }
        one
    }

    /// Who of those that move with it cannot come to a slot.
    pub(super) fn cannot(&self, asked: &Asked<'_, '_>, slot: &Slot) -> Vec<Who> {
        let each = self.moves.iter();
        each.flat_map(|(course, _, held)| asked.cannot(course, held, slot))
            .collect()
    }

    /// Why a slot does not suit all of them at once; `None` where it does, and where nothing
    /// moves with it.
    pub(super) fn unfit(
        &self,
        asked: &Asked<'_, '_>,
        plan: &SessionPlan,
        slot: &Slot,
    ) -> Option<ApartBecause> {
        if self.moves.is_empty() {
            return None;
        }
        let others = self.moves.iter().map(|(course, _, held)| (*course, *held));
        let all = std::iter::once((asked.course, plan)).chain(others);
        let plans: Vec<(&CourseStanding, SessionPlan)> = all
            .map(|(course, plan)| {
                let moved = SessionPlan {
                    starts: slot.starts,
                    site: slot.site.clone(),
                    ..plan.clone()
                };
                (course, moved)
            })
            .collect();
        let fits = plans.iter().all(|(_, plan)| {
            let busy = elsewhere(asked.courses, &asked.gone, (plan.starts, plan.ends()));
            plan.minutes <= slot.minutes
                && water_of(plan.setting) == water_of(slot.setting)
                && people_of(plan).all(|who| !busy.contains(&who))
        });
        if !fits {
            return Some(ApartBecause::Slot);
        }
        let held: Vec<(&CourseStanding, &SessionPlan)> =
            plans.iter().map(|(course, plan)| (*course, plan)).collect();
        match within(asked.reader, &held) {
            Some(_) => None,
            None => Some(ApartBecause::Rules),
        }
    }

    /// Leaves all that would move with it where it is, for no slot was found for all of them;
    /// whether there was anything.
    pub(super) fn leave(
        &mut self,
        asked: &Asked<'_, '_>,
        plan: &SessionPlan,
        free: &[&Slot],
    ) -> bool {
        let by_rule = |slot: &&Slot| self.unfit(asked, plan, slot) == Some(ApartBecause::Rules);
        let because = if free.iter().any(by_rule) {
            ApartBecause::Rules
        } else {
            ApartBecause::Slot
        };
        let left = std::mem::take(&mut self.moves);
        let any = !left.is_empty();
        self.apart
            .extend(left.into_iter().map(|(course, ..)| LostApart {
                course_title: course.title(),
                because,
            }));
        any
    }

    /// What moves with it into a slot, before and after.
    pub(super) fn rows(&self, asked: &Asked<'_, '_>, slot: &Slot) -> Vec<LostAlong> {
        let reader = asked.reader;
        let row = |(course, id, plan): &(&CourseStanding, SessionId, &SessionPlan)| LostAlong {
            course: *course.id(),
            course_title: course.title(),
            session: *id,
            title: plan.title.clone(),
            before: reader.when(plan.starts),
            before_site: plan.site.clone(),
            after: HeldAnew::of(reader, plan, slot),
            students: reader.people.roster(&plan.students),
            staff: plan.staff.iter().map(|id| reader.staff(id)).collect(),
            away: asked.away(course, plan, slot),
        };
        self.moves.iter().map(row).collect()
    }
}
