//! Hold: what two courses could share, tried slot by slot against every rule.

use std::collections::{BTreeMap, BTreeSet};

use super::together::{HeldBy, minutes, within};
use super::{NotSharedBecause, SharedRow, SharedSide};
use crate::course::{Block, Role, SessionPlan, Setting, SkillId, Slot, StaffId, StudentId};
use crate::entry::Who;
use crate::plan::{
    Going, Missing, SharedIn, SlotServes, Spacing, StaffMissing, shared_slot, water_of,
};
use crate::standing::CourseStanding;
use crate::view::Reader;
use crate::view::allowed::Allowed;
use crate::view::draft::Needed;
use crate::view::gaps::before_gaps;
use crate::view::lost_day::cannot_come;
use crate::view::reader::skill_name;
use crate::view::staff_gaps::staff_gaps;

/// What one course needs of one of its blocks, and the plan it would be held by.
pub(super) struct Side<'a> {
    pub(super) course: &'a CourseStanding,
    pub(super) block: &'a Block,
    pub(super) makes_up: bool,
    pub(super) needed: Needed<'a>,
    /// Of the block: its water and what it is besides, as they last were.
    pub(super) plan: SessionPlan,
}

/// A slot that serves, with whom and how.
struct Held {
    plans: Vec<SessionPlan>,
    kept_out: Vec<Vec<StudentId>>,
    students: u32,
    ceiling: Option<u32>,
    minutes: u32,
}

/// Why a slot does not serve.
enum Unfit {
    /// Its water, its length, or who can come.
    Slot,
    /// What whoever leads has to renew.
    Papers,
    /// A rule.
    Rules,
}

/// Everything that a slot is asked against.
pub(super) struct Asked<'a, 'r> {
    pub(super) courses: Vec<&'a CourseStanding>,
    pub(super) reader: &'a Reader<'r>,
}

impl<'a> Side<'a> {
    /// The skills that somebody needs.
    fn open(&self) -> BTreeSet<&'a SkillId> {
        self.needed.values().flatten().copied().collect()
    }
}

impl Asked<'_, '_> {
    /// What two courses can share; `None` where they need nothing alike.
    pub(super) fn with(
        &self,
        own: &[Side<'_>],
        other: &[Side<'_>],
        free: &[&Slot],
    ) -> Option<Result<SharedRow, NotSharedBecause>> {
        let mut pairs = Vec::new();
        for a in own {
            for b in other {
                let alike = a.open().intersection(&b.open()).count();
                let same = a.block.setting == b.block.setting;
                // Two courses that both go on as planned have nothing to make up.
                if same && (a.makes_up || b.makes_up) && alike > 0 {
                    pairs.push((alike, a, b));
                }
            }
        }
        // Most in common first; of equals the earlier block of the course that was asked about.
        pairs.sort_by_key(|(alike, ..)| std::cmp::Reverse(*alike));
        let mut because = None;
        for (_, a, b) in pairs {
            match self.share(a, b, free) {
                Ok(row) => return Some(Ok(row)),
                Err(why) => because = because.or(Some(why)),
            }
        }
        because.map(Err)
    }

    fn share(
        &self,
        a: &Side<'_>,
        b: &Side<'_>,
        free: &[&Slot],
    ) -> Result<SharedRow, NotSharedBecause> {
        let of_both: Vec<StaffId> = {
            let theirs = b.course.staff();
            let mut ids: Vec<StaffId> = a.course.staff().into_keys().collect();
            ids.retain(|id| theirs.contains_key(id));
            ids
        };
        let leads = |id: &StaffId| {
            let leads = |course: &CourseStanding| course.staff().get(id) == Some(&Role::Instructor);
            leads(a.course) && leads(b.course)
        };
        if !of_both.iter().any(leads) {
            return Err(NotSharedBecause::Staff);
        }
        let (mut serves, mut held) = (Vec::new(), Vec::new());
        let (mut by_rule, mut by_papers) = (false, false);
        for slot in free {
            let alone = |side: &Side<'_>| {
                let staff: Vec<StaffId> = side.course.staff().into_keys().collect();
                self.hold(&[side], &staff, slot).is_ok()
            };
            let both = self.hold(&[a, b], &of_both, slot);
            by_rule |= matches!(both, Err(Unfit::Rules));
            by_papers |= matches!(both, Err(Unfit::Papers));
            serves.push(SlotServes {
                starts: slot.starts,
                own: alone(a),
                other: alone(b),
                both: both.is_ok(),
            });
            let found = both.is_ok();
            held.push(both.ok());
            // What begins later makes nobody through sooner.
            if found {
                break;
            }
        }
        let place = match shared_slot(&serves) {
            SharedIn::Slot(place) => place,
            SharedIn::Nowhere if by_rule => return Err(NotSharedBecause::Rules),
            SharedIn::Nowhere if by_papers => return Err(NotSharedBecause::Papers),
            SharedIn::Nowhere => return Err(NotSharedBecause::Slot),
            SharedIn::SoonerApart => return Err(NotSharedBecause::SoonerApart),
        };
        let (slot, held) = free
            .get(place)
            .copied()
            .zip(held.into_iter().nth(place).flatten())
            .ok_or(NotSharedBecause::Slot)?;
        Ok(self.row([a, b], slot, held))
    }

    fn row(&self, sides: [&Side<'_>; 2], slot: &Slot, held: Held) -> SharedRow {
        let reader = self.reader;
        let staff = held.plans.first().map_or(&[][..], |plan| &plan.staff);
        let staff = staff.iter().map(|id| reader.staff(id)).collect();
        let of =
            |(side, (plan, kept_out)): (&Side<'_>, (SessionPlan, Vec<StudentId>))| SharedSide {
                course: *side.course.id(),
                course_title: side.course.title(),
                makes_up: side.makes_up,
                students: reader.people.roster(&plan.students),
                skills: plan
                    .run_list
                    .iter()
                    .map(|id| skill_name(side.course, id))
                    .collect(),
                kept_out: reader.people.roster(&kept_out),
                plan,
            };
        SharedRow {
            starts: reader.when(slot.starts),
            ends: reader.when(slot.ends()),
            site: slot.site.clone(),
            price: slot.price.clone(),
            staff,
            students: held.students,
            ceiling: held.ceiling,
            minutes: held.minutes,
            sides: sides
                .into_iter()
                .zip(held.plans.into_iter().zip(held.kept_out))
                .map(of)
                .collect(),
        }
    }

    /// These sides held in a slot by as few of these staff as the rules let; the first leads.
    fn hold(&self, sides: &[&Side<'_>], staff: &[StaffId], slot: &Slot) -> Result<Held, Unfit> {
        let setting = sides
            .first()
            .map_or(Setting::Classroom, |one| one.block.setting);
        if water_of(slot.setting) != water_of(setting) {
            return Err(Unfit::Slot);
        }
        let mut plans: Vec<SessionPlan> = sides.iter().map(|side| laid(side, slot)).collect();
        // One water: as it was said for the first, and besides whatever either is.
        let water = plans.first().map(|plan| plan.water.clone());
        let also: BTreeSet<_> = plans.iter().flat_map(|plan| plan.also.clone()).collect();
        for plan in &mut plans {
            plan.also.clone_from(&also);
            if let Some(water) = &water {
                plan.water.clone_from(water);
            }
        }
        self.keep_depth(sides, &mut plans);
        let kept_out = self.keep_out(sides, &mut plans)?;
        // Who is in both courses cannot be in two places of one water.
        let mut seen = BTreeSet::new();
        let mut students = plans.iter().flat_map(|plan| &plan.students);
        if !students.all(|student| seen.insert(*student)) {
            return Err(Unfit::Slot);
        }
        let minutes = minutes(&held_by(sides, &plans));
        if minutes > u32::from(slot.minutes) || !self.all_come(sides, &plans) {
            return Err(Unfit::Slot);
        }
        let free = self.who_can(sides, &plans, staff)?;
        let mut chosen: Vec<StaffId> = Vec::new();
        for id in free {
            chosen.push(id);
            for plan in &mut plans {
                plan.staff.clone_from(&chosen);
            }
            let fits = within(self.reader, &held_by(sides, &plans));
            if let Some((students, ceiling)) = fits {
                return Ok(Held {
                    plans,
                    kept_out,
                    students,
                    ceiling,
                    minutes,
                });
            }
        }
        Err(Unfit::Rules)
    }

    /// No deeper than any of them may go.
    fn keep_depth(&self, sides: &[&Side<'_>], plans: &mut [SessionPlan]) {
        let allowed = sides.iter().zip(plans.iter()).filter_map(|(side, plan)| {
            Allowed::of(side.course, plan, |student| self.reader.age(student)).most_cm()
        });
        let allowed = allowed.min();
        let planned = plans
            .iter()
            .filter_map(|plan| plan.water.max_depth_cm)
            .min();
        let depth = match (planned, allowed) {
            (Some(planned), Some(allowed)) => Some(planned.min(allowed)),
            (planned, _) => planned,
        };
        for plan in plans {
            plan.water.max_depth_cm = depth;
        }
    }

    /// Takes out of each plan whoever has something missing before its water, and what then
    /// nobody needs; nobody left is no session.
    fn keep_out(
        &self,
        sides: &[&Side<'_>],
        plans: &mut [SessionPlan],
    ) -> Result<Vec<Vec<StudentId>>, Unfit> {
        let mut all = Vec::new();
        for (side, plan) in sides.iter().zip(plans) {
            let going = Going::of(plan, None);
            let clear = |student: &StudentId| {
                let gaps = before_gaps(side.course, self.reader, student, &going);
                gaps.iter()
                    .all(|gap| matches!(gap.what, Missing::RuleUnconfirmed(_)))
            };
            let (comes, out): (Vec<StudentId>, Vec<StudentId>) =
                plan.students.iter().copied().partition(clear);
            let open = |skill: &SkillId| {
                let mut of = comes.iter().filter_map(|student| side.needed.get(student));
                of.any(|open| open.contains(&skill))
            };
            plan.run_list.retain(open);
            plan.students = comes;
            if plan.students.is_empty() {
                return Err(Unfit::Rules);
            }
            all.push(out);
        }
        Ok(all)
    }

    /// Whether every student can come then, and may by the dives of that day.
    fn all_come(&self, sides: &[&Side<'_>], plans: &[SessionPlan]) -> bool {
        sides.iter().zip(plans).all(|(side, plan)| {
            let absent = self.cannot_come(side.course, plan);
            let spacing = Spacing::of(side.course, 0);
            plan.students.iter().all(|student| {
                let sessions = self.courses.iter().flat_map(|one| one.sessions().values());
                let theirs = sessions
                    .filter(|now| now.cancelled.is_none() && now.plan.students.contains(student))
                    .map(|now| (now.plan.starts.date_naive(), now.plan.setting));
                !absent.contains(&Who::Student(*student))
                    && spacing.allows((plan.starts.date_naive(), plan.setting), theirs)
            })
        })
    }

    fn cannot_come(&self, course: &CourseStanding, plan: &SessionPlan) -> Vec<Who> {
        let then = (plan, plan.starts);
        cannot_come(course, &self.courses, self.reader, &[], then)
    }

    /// Of these staff those who can come then and lack nothing for it in either course: whoever
    /// leads both first, the reader before others. Without one who leads both it is unfit.
    fn who_can(
        &self,
        sides: &[&Side<'_>],
        plans: &[SessionPlan],
        staff: &[StaffId],
    ) -> Result<Vec<StaffId>, Unfit> {
        let roles: Vec<BTreeMap<StaffId, Role>> =
            sides.iter().map(|side| side.course.staff()).collect();
        let leads = |id: &StaffId| roles.iter().all(|of| of.get(id) == Some(&Role::Instructor));
        let comes = |id: &StaffId| {
            let shop = roles.iter().any(|of| of.get(id) == Some(&Role::Shop));
            let mut each = sides.iter().zip(plans);
            !shop
                && each.all(|(side, plan)| {
                    let with = SessionPlan {
                        staff: vec![*id],
                        students: Vec::new(),
                        ..plan.clone()
                    };
                    self.cannot_come(side.course, &with).is_empty()
                })
        };
        let mut free: Vec<StaffId> = staff.iter().copied().filter(comes).collect();
        if !free.iter().any(leads) {
            return Err(Unfit::Slot);
        }
        let lacks_nothing = |id: &StaffId| {
            sides.iter().zip(plans).all(|(side, plan)| {
                let gaps = staff_gaps(side.course, self.reader, plan, id);
                gaps.iter()
                    .all(|gap| matches!(gap.what, StaffMissing::RuleUnconfirmed(_)))
            })
        };
        free.retain(lacks_nothing);
        let me = self.reader.writer().map(|writer| writer.staff);
        free.sort_by_key(|id| (!leads(id), Some(*id) != me, *id));
        if free.first().is_some_and(leads) {
            Ok(free)
        } else {
            Err(Unfit::Papers)
        }
    }
}

/// A side's plan in a slot, for everybody who needs something of it.
fn laid(side: &Side<'_>, slot: &Slot) -> SessionPlan {
    let open = side.open();
    let mut plan = side.plan.clone();
    plan.students
        .retain(|student| side.needed.contains_key(student));
    plan.run_list.retain(|skill| open.contains(skill));
    plan.site.clone_from(&slot.site);
    plan.starts = slot.starts;
    plan.minutes = slot.minutes;
    plan.staff.clear();
    plan.stations.clear();
    plan
}

/// Each plan beside its course.
fn held_by<'a>(sides: &[&Side<'a>], plans: &'a [SessionPlan]) -> Vec<HeldBy<'a>> {
    let courses = sides.iter().map(|side| side.course);
    courses.zip(plans).collect()
}
