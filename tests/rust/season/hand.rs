//! Hand: who tries what in an evening, or in what is left of it.

use std::collections::BTreeSet;

use tallywater_core::course::{Role, SessionId, Setting, Skill, SkillId, StudentId};
use tallywater_core::plan::expect::Prior;
use tallywater_core::plan::{
    NextAsked, brings_on, brings_on_today, chances, may_go_on, next_session,
};

use super::{Hand, RENATE, Season};

/// A skill of a list; nobody tries one that is a routine.
pub(super) struct Line {
    pub(super) skill: SkillId,
    pub(super) students: Vec<StudentId>,
    /// Minutes that it is given.
    pub(super) minutes: u16,
}

impl Season {
    /// Who tries what in so many minutes, in order.
    pub(super) fn list(&self, hand: Hand, minutes: u16, running: Option<SessionId>) -> Vec<Line> {
        match hand {
            Hand::Proposed => self.proposed(minutes, running),
            Hand::InOrder | Hand::InOrderAgain => self.in_order(minutes, running),
        }
    }

    /// Whether a try brings a student on, today where the session is being held.
    pub(super) fn brings(
        &self,
        student: &StudentId,
        skill: &Skill,
        running: Option<SessionId>,
    ) -> bool {
        let setting = Setting::Confined;
        match running {
            Some(session) => brings_on_today(&self.course, student, skill, setting, &session),
            None => brings_on(&self.course, student, skill, setting),
        }
    }

    fn proposed(&self, minutes: u16, running: Option<SessionId>) -> Vec<Line> {
        let asked = NextAsked {
            setting: Setting::Confined,
            minutes,
            students: self.students.clone(),
            staff: vec![(RENATE.staff, Role::Instructor)],
            minors: BTreeSet::new(),
            pinned: BTreeSet::new(),
            left_out: BTreeSet::new(),
            running,
        };
        let likely = chances(&self.course, &self.students, Prior::default());
        let chance = |student: &StudentId, skill: &SkillId| {
            let found = likely.get(&(*student, skill.clone()));
            found.copied().unwrap_or(700)
        };
        let next = next_session(&self.course, &asked, &chance).unwrap();
        assert!(next.minutes <= minutes);
        let runs = next.stations.into_iter().flat_map(|one| one.runs);
        let line = runs.map(|run| Line {
            skill: run.skill,
            students: run.students,
            minutes: run.minutes,
        });
        line.collect()
    }

    fn in_order(&self, minutes: u16, running: Option<SessionId>) -> Vec<Line> {
        let mut left = minutes;
        let mut list: Vec<Line> = Vec::new();
        for skill in self.required() {
            let skill = self.shown(skill);
            let ready = |student: &&StudentId| {
                self.brings(student, &skill, running)
                    && skill.needs.iter().all(|need| {
                        let tried =
                            |one: &Line| one.skill == *need && one.students.contains(student);
                        may_go_on(&self.course, student, need) || list.iter().any(tried)
                    })
            };
            let mut trying: Vec<StudentId> = self.students.iter().filter(ready).copied().collect();
            let around = self.around(&skill, &list);
            let routines: u16 = around.iter().map(|one| one.minutes).sum();
            let Some(rest) = left.checked_sub(routines) else {
                continue;
            };
            trying.truncate(skill.fits(trying.len(), rest));
            if trying.is_empty() {
                continue;
            }
            let minutes = skill.run_minutes(trying.len());
            left = rest - minutes;
            list.extend(around);
            list.push(Line {
                skill: skill.id.clone(),
                students: trying,
                minutes,
            });
        }
        list
    }

    /// What everyone does before a skill and is not on the list yet, as routines.
    fn around(&self, skill: &Skill, list: &[Line]) -> Vec<Line> {
        let mut around: Vec<Line> = Vec::new();
        let mut ahead = skill.run.before.clone();
        while let Some(id) = ahead.pop() {
            if list.iter().chain(&around).any(|one| one.skill == id) {
                continue;
            }
            let other = self.outline.skill(&id).unwrap();
            ahead.extend(other.run.before.clone());
            around.push(Line {
                skill: id,
                students: Vec::new(),
                minutes: other.turn_minutes(),
            });
        }
        around.reverse();
        around
    }

    /// A skill as it is run now: what was shown this evening is not briefed again.
    pub(super) fn shown(&self, skill: &Skill) -> Skill {
        let mut skill = skill.clone();
        if self.shown.contains(&skill.id) {
            skill.run.setup = Some(0);
        }
        skill
    }
}
