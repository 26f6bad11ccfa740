//! Shared: a make-up that serves students of two courses in one slot, with the same staff. A
//! proposal: a person accepts it, and it is a session in each of the two.
//!
//! It is never worse than a slot for each: the same students and the same skills, no later than
//! the later of the two would be, and one slot instead of two. No rule of either course is
//! broken by it; what of its people is missing on paper keeps them out of it.

use std::collections::{BTreeMap, BTreeSet};

use super::allowed::Allowed;
use super::ascending::{ascents_ahead, ascents_rule};
use super::draft::{Needed, draft, held_blocks, needed, still_in};
use super::gaps::before_gaps;
use super::lost_day::cannot_come;
use super::one_water::OneWater;
use super::pairing::pairing;
use super::people::{StaffName, StudentName};
use super::reader::{count, skill_name};
use super::staff_gaps::staff_gaps;
use super::water::Limit;
use super::{Leave, Moment, Reader};
use crate::course::{
    Block, BlockId, CourseId, Role, SessionPlan, Setting, SkillId, Slot, StaffId, StudentId,
};
use crate::entry::{Kind, Who};
use crate::plan::{
    Going, Missing, SharedIn, SlotServes, Spacing, StaffMissing, brings_on, free_slots,
    shared_slot, water_of,
};
use crate::standing::CourseStanding;

/// The make-ups that a course could share with others of this device.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SharedView {
    /// Of which course.
    pub course: CourseId,
    /// One for each other course that it can share one with, the earliest first.
    pub rows: Vec<SharedRow>,
    /// The other courses whose students need the same, and why nothing is proposed with them.
    pub others: Vec<NotShared>,
    /// How many free slots the school has from now on.
    pub free: u32,
    /// Whether the reader may plan sessions.
    pub may_plan: Leave,
}

/// One slot for students of two courses.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SharedRow {
    /// When it starts.
    pub starts: Moment,
    /// When it ends.
    pub ends: Moment,
    /// Where.
    pub site: String,
    /// What the slot costs, in the school's words.
    pub price: Option<String>,
    /// Who teaches and assists, in both.
    pub staff: Vec<StaffName>,
    /// Students together.
    pub students: u32,
    /// The most that the rules of both courses allow in the water with these staff; `None` on
    /// land.
    pub ceiling: Option<u32>,
    /// What it takes one after another, the skills that both need run once for all.
    pub minutes: u32,
    /// The two courses, the one that was asked about first.
    pub sides: Vec<SharedSide>,
}

/// One course's part of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SharedSide {
    /// Which course.
    pub course: CourseId,
    /// Its title.
    pub course_title: String,
    /// Whether its block was held before: then it is a make-up.
    pub makes_up: bool,
    /// For whom.
    pub students: Vec<StudentName>,
    /// What they still need, by name.
    pub skills: Vec<String>,
    /// Who needs it too and has something missing before that water.
    pub kept_out: Vec<StudentName>,
    /// The session as it would be planned; its title is the block's.
    pub plan: SessionPlan,
}

/// A course that needs the same, with which nothing is shared.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NotShared {
    /// Which.
    pub course: CourseId,
    /// Its title.
    pub course_title: String,
    /// Why.
    pub because: NotSharedBecause,
}

/// Why nothing is shared.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum NotSharedBecause {
    /// No instructor works on both courses.
    Staff,
    /// Whoever leads both has something to renew, or something that nobody recorded.
    Papers,
    /// No free slot suits both: its water, its length, or who can come.
    Slot,
    /// In none may so many be in the water, or so deep, with those who work on both.
    Rules,
    /// With a slot for each both would be through sooner.
    SoonerApart,
}

/// What one course needs of one of its blocks, and the plan it would be held by.
struct Side<'a> {
    course: &'a CourseStanding,
    block: &'a Block,
    makes_up: bool,
    needed: Needed<'a>,
    /// Of the block: its water and what it is besides, as they last were.
    plan: SessionPlan,
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
struct Asked<'a, 'r> {
    courses: Vec<&'a CourseStanding>,
    reader: &'a Reader<'r>,
}

impl SharedView {
    /// Of a course among all that this device knows of.
    pub fn of(course: &CourseStanding, courses: &[&CourseStanding], reader: &Reader<'_>) -> Self {
        let asked = Asked {
            courses: courses.to_vec(),
            reader,
        };
        let free = free_slots(reader.shop, courses, reader.now);
        let own = sides(course, reader);
        let (mut rows, mut others) = (Vec::new(), Vec::new());
        for other in courses.iter().copied() {
            if other.id() == course.id() {
                continue;
            }
            match asked.with(&own, &sides(other, reader), &free) {
                None => {}
                Some(Ok(row)) => rows.push(row),
                Some(Err(because)) => others.push(NotShared {
                    course: *other.id(),
                    course_title: title_of(other),
                    because,
                }),
            }
        }
        rows.sort_by_key(|row| (row.starts.at, row.sides.last().map(|side| side.course)));
        Self {
            course: *course.id(),
            rows,
            others,
            free: count(free.len()),
            may_plan: reader.may_write(Kind::SessionPlanned),
        }
    }
}

/// What a course's students still need: of each block that was held, and of the first that no
/// session carries out yet; whoever is on a session of that block that is to come needs none.
fn sides<'a>(course: &'a CourseStanding, reader: &Reader<'_>) -> Vec<Side<'a>> {
    let all = course.outline().map_or(&[][..], |one| &one.blocks);
    let held: BTreeSet<&BlockId> = held_blocks(course, reader).map(|one| &one.id).collect();
    let planned = |block: &Block| {
        let mut sessions = course.sessions().values();
        sessions.any(|now| now.cancelled.is_none() && now.plan.block.as_ref() == Some(&block.id))
    };
    let next = all.iter().find(|block| !planned(block)).map(|one| &one.id);
    let students = still_in(course, reader);
    let of = |block: &'a Block| {
        let ahead = course.sessions().values().filter(|now| {
            now.cancelled.is_none()
                && now.plan.starts > reader.now
                && now.plan.block.as_ref() == Some(&block.id)
        });
        let ahead: Vec<StudentId> = ahead.flat_map(|now| &now.plan.students).copied().collect();
        let mut without = students.clone();
        without.retain(|student| !ahead.contains(student));
        let needed = needed(course, &without, block);
        (!needed.is_empty()).then(|| Side {
            course,
            block,
            makes_up: held.contains(&block.id),
            needed,
            plan: draft(course, reader, Some(&block.id)),
        })
    };
    all.iter()
        .filter(|block| held.contains(&block.id) || next == Some(&block.id))
        .filter_map(of)
        .collect()
}

pub(super) fn title_of(course: &CourseStanding) -> String {
    let opened = course.opened();
    opened.map_or_else(String::new, |opened| opened.title.clone())
}

impl<'a> Side<'a> {
    /// The skills that somebody needs.
    fn open(&self) -> BTreeSet<&'a SkillId> {
        self.needed.values().flatten().copied().collect()
    }
}

impl Asked<'_, '_> {
    /// What two courses can share; `None` where they need nothing alike.
    fn with(
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
                course_title: title_of(side.course),
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

/// A session as it would be held, and of which course.
pub(super) type HeldBy<'a> = (&'a CourseStanding, &'a SessionPlan);

/// The students together and the most that the rules of each course allow, where no rule of any
/// is broken or rests on what is not known.
pub(super) fn within(reader: &Reader<'_>, held: &[HeldBy<'_>]) -> Option<(u32, Option<u32>)> {
    let kept = |limit: Limit| match limit {
        Limit::Within | Limit::Unconfirmed | Limit::NoRule => true,
        Limit::Over | Limit::Unknown => false,
    };
    let mut most: Option<u32> = None;
    for (course, plan) in held.iter().copied() {
        let others = held.iter().copied();
        let others = others.filter(|(other, _)| other.id() != course.id());
        let water = OneWater::of(std::iter::once((course, plan)).chain(others));
        let ratio = water.ratio(course, reader, plan, Vec::new());
        let allowed = Allowed::of(course, plan, |student| reader.age(student));
        let pairs = pairing(course, plan, |student| reader.age(student));
        let students = plan.students.iter().map(|id| Who::Student(*id));
        let mut all = students.chain(plan.staff.iter().map(|id| Who::Staff(*id)));
        let rules = kept(allowed.limit(course, plan.water.max_depth_cm))
            && pairs.is_none_or(|pairs| pairs.limit != Limit::Over)
            && all.all(|who| kept(ascents_ahead(course, plan, None, &who).1));
        if !rules {
            return None;
        }
        // On land nobody is counted; in the water a rule must say how many.
        let Some(ratio) = ratio else { continue };
        let ceiling = ratio.ceiling.filter(|_| kept(ratio.limit))?;
        most = Some(most.map_or(ceiling, |one| one.min(ceiling)));
    }
    let together: u32 = held
        .iter()
        .map(|(_, plan)| count(plan.students.len()))
        .sum();
    staff_rise(held).then_some((together, most))
}

/// Whether the staff come up no more often than a rule allows with all these plans together.
fn staff_rise(held: &[HeldBy<'_>]) -> bool {
    let staff: BTreeSet<StaffId> = held
        .iter()
        .flat_map(|(_, plan)| plan.staff.iter().copied())
        .collect();
    staff.into_iter().map(Who::Staff).all(|who| {
        let all = held.iter().fold(0_u32, |all, (course, plan)| {
            all.saturating_add(ascents_ahead(course, plan, None, &who).0)
        });
        let rules = held
            .iter()
            .filter_map(|(course, _)| ascents_rule(course, &who));
        rules
            .map(|(_, most)| u32::from(most))
            .all(|most| all <= most)
    })
}

/// Minutes of all their skills one after another, each once for all who need it: in one water
/// what two courses need alike is shown once. Of two outlines the one that says more minutes.
pub(super) fn minutes(held: &[HeldBy<'_>]) -> u32 {
    let all: BTreeSet<&SkillId> = held.iter().flat_map(|(_, plan)| &plan.run_list).collect();
    let of = |id: &&SkillId| {
        let known =
            |course: &CourseStanding| course.outline().and_then(|one| one.skill(id).cloned());
        let students: usize = held
            .iter()
            .map(|(course, plan)| {
                let skill = known(course);
                let students = plan.students.iter().filter(|student| {
                    let skill = skill.as_ref();
                    skill.is_some_and(|skill| brings_on(course, student, skill, plan.setting))
                });
                students.count()
            })
            .sum();
        let skills = held.iter().filter_map(|(course, _)| known(course));
        u32::from(
            skills
                .map(|one| one.run_minutes(students))
                .max()
                .unwrap_or(0),
        )
    };
    all.iter().map(of).fold(0, u32::saturating_add)
}
