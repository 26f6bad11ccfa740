//! Teams: pairs and zones to begin with, from what is known; and what the rules say of each. A
//! person at the edge keeps them or changes them: nothing here decides.
//!
//! How pairs are made (the young first, each beside somebody of age; else whoever dived together
//! least; three where one is left) is common practice, no published source. How many each member
//! of staff watches is their own part of the supervision rule's ceiling.

use std::collections::BTreeSet;

use chrono::NaiveDate;

use crate::course::{
    AgeKnown, OF_AGE, Role, Rule, RuleId, SessionId, SessionPlan, StaffId, StudentId,
};
use crate::entry::{Body, LARGEST_PAIR, Outcome, Passage, Teams, Who, Zone};
use crate::standing::CourseStanding;

/// The rule that the young dive beside somebody who is of age.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PairRule<'a> {
    /// Which.
    pub rule: &'a RuleId,
    /// Of students under this age, in years.
    pub under: u8,
}

/// The rule on pairs; `None` without one, and on land.
pub fn pair_rule<'a>(course: &'a CourseStanding, plan: &SessionPlan) -> Option<PairRule<'a>> {
    if !plan.setting.is_wet() {
        return None;
    }
    let mut rules = course.policy()?.policy.rules.iter();
    rules.find_map(|rule| {
        if let Rule::PairWithAdult { under } = rule.rule {
            let rule = &rule.id;
            Some(PairRule { rule, under })
        } else {
            None
        }
    })
}

/// The young of a pair and those of age in it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PairAges<'a> {
    /// The rule that asks.
    pub rule: &'a RuleId,
    /// Students under its age.
    pub young: usize,
    /// Students of age.
    pub grown: usize,
    /// Students whose age is not known.
    pub unknown: usize,
    /// Assistants: nobody recorded their age, so a person looks at it.
    pub assistants: usize,
}

/// Whether each of the young of a pair is beside somebody of age.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Beside {
    /// Each is.
    Adult,
    /// They are if a student or an assistant is of age whose age nobody knows.
    Perhaps,
    /// There are more of them than can be of age.
    Nobody,
}

impl PairAges<'_> {
    /// How the young of it stand. An assistant's age is asked nowhere and taken for granted
    /// nowhere: a pair that needs one is not called kept.
    pub const fn beside(&self) -> Beside {
        if self.young > self.grown + self.assistants {
            Beside::Nobody
        } else if self.young + self.unknown > self.grown {
            Beside::Perhaps
        } else {
            Beside::Adult
        }
    }
}

/// The young of a pair, where a rule pairs them; `None` without one, and where nobody in the
/// pair is or may be young.
pub fn pair_ages<'a>(
    course: &'a CourseStanding,
    plan: &SessionPlan,
    pair: &[Who],
    age: impl Fn(&StudentId) -> AgeKnown,
) -> Option<PairAges<'a>> {
    let PairRule { rule, under } = pair_rule(course, plan)?;
    let on = plan.starts.date_naive();
    let of = |years: u8, is: Option<bool>| {
        let of = pair.iter().filter(|who| match who {
            Who::Student(id) => age(id).under(years, on) == is,
            Who::Staff(_) => false,
        });
        of.count()
    };
    let assistants = pair.iter().filter(|who| matches!(who, Who::Staff(_)));
    let (young, unknown) = (of(under, Some(true)), of(under, None));
    (young + unknown > 0).then(|| PairAges {
        rule,
        young,
        grown: of(OF_AGE, Some(false)),
        unknown,
        assistants: assistants.count(),
    })
}

/// The part of the ceiling that one member of staff brings.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Share {
    /// At most so many students.
    pub most: u32,
    /// The rule it rests on.
    pub rule: RuleId,
}

/// How many students somebody in a role brings to the ceiling of a session; `None` on land and
/// without a rule. While somebody young is among the students an assistant may bring none.
pub fn share_of(
    course: &CourseStanding,
    plan: &SessionPlan,
    role: Role,
    age: impl Fn(&StudentId) -> AgeKnown,
) -> Option<Share> {
    if !plan.setting.is_wet() {
        return None;
    }
    let on = plan.starts.date_naive();
    let rules = &course.policy()?.policy.rules;
    let mut share: Option<Share> = None;
    let mut least = |most: u8, rule: &RuleId| {
        let most = u32::from(most);
        if share.as_ref().is_none_or(|share| most < share.most) {
            let rule = rule.clone();
            share = Some(Share { most, rule });
        }
    };
    for rule in rules {
        if let Rule::Ratio {
            setting,
            per_instructor,
            per_assistant,
            cap,
            ..
        } = rule.rule
        {
            match role {
                Role::Instructor if setting == plan.setting => {
                    least(per_instructor.min(cap), &rule.id);
                }
                Role::Assistant if setting == plan.setting => least(per_assistant, &rule.id),
                Role::Instructor | Role::Assistant | Role::Shop => {}
            }
        } else if let Rule::RatioByAge {
            under,
            per_instructor,
        } = rule.rule
        {
            let mut ages = plan.students.iter().map(&age);
            if ages.any(|age| age.under(under, on) == Some(true)) {
                let instructor = role == Role::Instructor;
                least(if instructor { per_instructor } else { 0 }, &rule.id);
            }
        }
    }
    share
}

/// Pairs and zones to begin with: the planner's own where it laid some down, else made anew.
/// Whoever left the course or did not come is in none. Nobody is in any where the session is
/// not planned.
pub fn propose_teams(
    course: &CourseStanding,
    session: &SessionId,
    age: impl Fn(&StudentId) -> AgeKnown,
) -> Teams {
    let Some(plan) = course.sessions().get(session).map(|now| &now.plan) else {
        return Teams::default();
    };
    let under = pair_rule(course, plan).map(|rule| rule.under);
    let pairing = Pairing {
        course,
        session,
        on: plan.starts.date_naive(),
        under,
        age: &age,
    };
    let roles = course.staff();
    let of_role = |role: Role| -> Vec<StaffId> {
        let staff = plan.staff.iter().copied();
        staff.filter(|id| roles.get(id) == Some(&role)).collect()
    };
    let assistants = of_role(Role::Assistant);
    let pairs = pairing.all(plan, &assistants);
    let buddy = |staff: &StaffId| pairs.iter().flatten().any(|who| *who == Who::Staff(*staff));
    let watching: Vec<(StaffId, Role)> = of_role(Role::Instructor)
        .into_iter()
        .map(|id| (id, Role::Instructor))
        .chain(assistants.into_iter().map(|id| (id, Role::Assistant)))
        .filter(|(id, _)| !buddy(id))
        .collect();
    let shares = |role| share_of(course, plan, role, &age).map(|share| share.most);
    let zones = zones(plan, &pairs, &watching, &shares);
    Teams { pairs, zones }
}

/// How pairs are made.
struct Pairing<'a, A> {
    course: &'a CourseStanding,
    session: &'a SessionId,
    on: NaiveDate,
    /// Students under this age dive beside somebody of age.
    under: Option<u8>,
    age: &'a A,
}

impl<A: Fn(&StudentId) -> AgeKnown> Pairing<'_, A> {
    /// Whether somebody is, or may be, so young as to dive beside somebody of age.
    fn young(&self, student: &StudentId) -> bool {
        let age = (self.age)(student);
        self.under
            .is_some_and(|under| age.under(under, self.on) != Some(false))
    }

    /// Whether somebody can be the grown one of a pair.
    fn grown(&self, who: &Who) -> bool {
        match who {
            Who::Staff(_) => true,
            Who::Student(id) => (self.age)(id).under(OF_AGE, self.on) == Some(false),
        }
    }

    /// By how many the young of a pair are more than those of age in it.
    fn lacking(&self, pair: &[Who]) -> usize {
        let young = pair
            .iter()
            .filter(|who| matches!(who, Who::Student(id) if self.young(id)));
        let grown = pair.iter().filter(|who| self.grown(who));
        young.count().saturating_sub(grown.count())
    }

    /// In how many sessions before this one the two were beside each other.
    fn before(&self, one: &Who, two: &Who) -> usize {
        let sessions = self.course.sessions();
        let Some(here) = sessions.get(self.session) else {
            return 0;
        };
        let earlier = sessions.iter().filter(|(id, now)| {
            *id != self.session && now.cancelled.is_none() && now.plan.starts < here.plan.starts
        });
        earlier
            .filter_map(|(id, _)| self.course.teams(id))
            .filter(|teams| teams.holds.teams.buddies(one).contains(two))
            .count()
    }

    fn repeats(&self, pair: &[Who]) -> usize {
        let pairs = pair.iter().enumerate();
        pairs
            .map(|(at, one)| {
                let others = pair.iter().skip(at + 1);
                others.map(|two| self.before(one, two)).sum::<usize>()
            })
            .sum()
    }

    fn all(&self, plan: &SessionPlan, assistants: &[StaffId]) -> Vec<Vec<Who>> {
        let coming: Vec<Who> = plan
            .students
            .iter()
            .copied()
            .filter(|student| comes(self.course, self.session, student))
            .map(Who::Student)
            .collect();
        let mut pairs: Vec<Vec<Who>> = Vec::new();
        let mut taken: BTreeSet<Who> = BTreeSet::new();
        for laid in plan.stations.iter().flat_map(|station| &station.buddies) {
            let pair: Vec<Who> = laid.iter().copied().map(Who::Student).collect();
            let fits = (2..=LARGEST_PAIR).contains(&pair.len())
                && self.lacking(&pair) == 0
                && pair
                    .iter()
                    .all(|who| coming.contains(who) && !taken.contains(who));
            if fits {
                taken.extend(pair.iter().copied());
                pairs.push(pair);
            }
        }
        let left: Vec<Who> = coming
            .into_iter()
            .filter(|who| !taken.contains(who))
            .collect();
        // Whoever is paired last has least choice: each is tried as the first one.
        let tries = (0..left.len().max(1)).map(|turn| {
            let mut left = left.clone();
            let turn = turn.min(left.len());
            left.rotate_left(turn);
            self.made(pairs.clone(), left, assistants)
        });
        let cost = |pairs: &Vec<Vec<Who>>| {
            let alone = pairs.iter().filter(|pair| pair.len() < 2).count();
            let lacking: usize = pairs.iter().map(|pair| self.lacking(pair)).sum();
            let repeats: usize = pairs.iter().map(|pair| self.repeats(pair)).sum();
            (lacking, alone, repeats)
        };
        tries.min_by_key(cost).unwrap_or_default()
    }

    /// Pairs of those who are left, the young first.
    fn made(
        &self,
        mut pairs: Vec<Vec<Who>>,
        mut left: Vec<Who>,
        assistants: &[StaffId],
    ) -> Vec<Vec<Who>> {
        let young = |who: &Who| matches!(who, Who::Student(id) if self.young(id));
        let mut free: Vec<Who> = assistants.iter().copied().map(Who::Staff).collect();
        left.sort_by_key(|who| !young(who));
        while left.len() > 1 {
            let one = left.remove(0);
            let best = left.iter().copied().enumerate().max_by_key(|(place, two)| {
                (
                    std::cmp::Reverse(self.lacking(&[one, *two])),
                    std::cmp::Reverse(self.before(&one, two)),
                    std::cmp::Reverse(*place),
                )
            });
            let Some((place, two)) = best else { break };
            if self.lacking(&[one, two]) > 0 && !free.is_empty() {
                pairs.push(vec![one, free.remove(0)]);
                continue;
            }
            left.remove(place);
            pairs.push(vec![one, two]);
        }
        for odd in left {
            let with = |pair: &[Who]| -> Vec<Who> { pair.iter().copied().chain([odd]).collect() };
            let room = pairs
                .iter()
                .enumerate()
                .filter(|(_, pair)| pair.len() < LARGEST_PAIR);
            let best = room.min_by_key(|(place, pair)| {
                let three = with(pair);
                (
                    self.lacking(&three),
                    self.repeats(&three),
                    std::cmp::Reverse(*place),
                )
            });
            let best = best.map(|(place, pair)| (place, self.lacking(&with(pair))));
            match best {
                Some((place, 0)) => pairs.get_mut(place).into_iter().for_each(|p| p.push(odd)),
                _ if !free.is_empty() => pairs.push(vec![odd, free.remove(0)]),
                Some((place, _)) => pairs.get_mut(place).into_iter().for_each(|p| p.push(odd)),
                None => pairs.push(vec![odd]),
            }
        }
        pairs
    }
}

/// Whether a student is still in the course, and was not counted as absent.
fn comes(course: &CourseStanding, session: &SessionId, student: &StudentId) -> bool {
    let gone = course.completion(student).is_some_and(|one| {
        matches!(&one.entry.body, Body::Completion(b)
            if matches!(b.outcome, Outcome::Left | Outcome::Referred))
    });
    let who = Who::Student(*student);
    let absent = course.headcount(session).get(&who).is_some_and(
        |one| matches!(&one.entry.body, Body::Attendance(b) if b.passage == Passage::Absent),
    );
    course.has_student(student) && !gone && !absent
}

/// Pairs to whoever watches them: the planner's station first, then evenly, each within their
/// own share. Whoever is left over is watched by nobody, and a screen says so.
fn zones(
    plan: &SessionPlan,
    pairs: &[Vec<Who>],
    watching: &[(StaffId, Role)],
    share: &dyn Fn(Role) -> Option<u32>,
) -> Vec<Zone> {
    let mut zones: Vec<Zone> = watching
        .iter()
        .map(|(staff, _)| Zone {
            staff: *staff,
            watches: Vec::new(),
        })
        .collect();
    let mosts: Vec<Option<u32>> = watching.iter().map(|(_, role)| share(*role)).collect();
    let mut waiting: Vec<Vec<StudentId>> = Vec::new();
    for pair in pairs {
        let students: Vec<StudentId> = pair
            .iter()
            .filter_map(|who| match who {
                Who::Student(id) => Some(*id),
                Who::Staff(_) => None,
            })
            .collect();
        let laid = plan.stations.iter().find(|station| {
            let mut buddies = station.buddies.iter();
            buddies.any(|laid| students.iter().all(|one| laid.contains(one)))
        });
        let zone = laid.and_then(|station| {
            let mut zones = zones.iter_mut().zip(&mosts);
            zones.find(|(zone, most)| zone.staff == station.staff && room(zone, **most, &students))
        });
        match zone {
            Some((zone, _)) => zone.watches.extend(students),
            None => waiting.push(students),
        }
    }
    // The largest first: a pair fits where three do not.
    waiting.sort_by_key(|students| std::cmp::Reverse(students.len()));
    for students in waiting {
        let zones = zones.iter_mut().zip(&mosts);
        let least = zones
            .filter(|(zone, most)| room(zone, **most, &students))
            .min_by_key(|(zone, _)| zone.watches.len());
        if let Some((zone, _)) = least {
            zone.watches.extend(students);
        }
    }
    zones.retain(|zone| !zone.watches.is_empty());
    zones
}

fn room(zone: &Zone, most: Option<u32>, more: &[StudentId]) -> bool {
    let all = u32::try_from(zone.watches.len() + more.len()).unwrap_or(u32::MAX);
    most.is_none_or(|most| all <= most)
}
