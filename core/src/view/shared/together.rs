//! Together: whether sessions of several courses may be held in one water by the same staff, and
//! how long they take there.

use std::collections::BTreeSet;

use crate::course::{SessionPlan, SkillId, StaffId};
use crate::entry::Who;
use crate::plan::brings_on;
use crate::standing::CourseStanding;
use crate::view::Reader;
use crate::view::allowed::Allowed;
use crate::view::ascending::{ascents_ahead, ascents_rule};
use crate::view::one_water::OneWater;
use crate::view::pairing::pairing;
use crate::view::reader::count;
use crate::view::water::Limit;

/// A session as it would be held, and of which course.
pub(in crate::view) type HeldBy<'a> = (&'a CourseStanding, &'a SessionPlan);

/// The students together and the most that the rules of each course allow, where no rule of any
/// is broken or rests on what is not known.
pub(in crate::view) fn within(
    reader: &Reader<'_>,
    held: &[HeldBy<'_>],
) -> Option<(u32, Option<u32>)> {
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
pub(in crate::view) fn minutes(held: &[HeldBy<'_>]) -> u32 {
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
