//! Evening: a session as it is held, minute by minute.

use chrono::Duration;
use tallywater_core::course::{MethodId, SessionId, Setting, Skill, SkillId, StudentId};
use tallywater_core::entry::{Attempt, Body, Mark, Origin, SessionPlanned};
use tallywater_core::plan::expect::Draws;
use tallywater_core::plan::may_go_on;
use uuid::Uuid;

use super::hand::Line;
use super::{Hand, MINUTES, RENATE, Season};
use crate::support::devices::plan;

impl Season {
    /// Holds a session: a list, and others in the minutes that are left.
    pub(super) fn evening(&mut self, number: u32, hand: Hand) {
        self.at += Duration::days(1);
        self.shown.clear();
        let session = SessionId::new(Uuid::from_u128(0x5e00 + u128::from(number)));
        let plan = plan(
            &self.students,
            &[RENATE.staff],
            Setting::Confined,
            &self.at.to_rfc3339(),
        );
        self.write(Vec::new(), SessionPlanned { session, plan });
        let mut left = MINUTES;
        let mut running = None;
        while left > 0 {
            let list = self.list(hand, left, running);
            let used = self.hold(number, session, hand, list);
            left = left.checked_sub(used).unwrap();
            if used == 0 || hand == Hand::InOrder {
                break;
            }
            running = Some(session);
        }
    }

    /// Holds a list and says how many minutes it took. A student goes on to nothing whose
    /// forerunner was missed; as proposed, the minutes so left and the turns that are kept
    /// are for those who miss.
    fn hold(&mut self, number: u32, session: SessionId, hand: Hand, list: Vec<Line>) -> u16 {
        let (mut used, mut spare) = (0, 0);
        for line in list {
            if line.students.is_empty() {
                used += line.minutes;
                continue;
            }
            let skill = self.shown(self.outline.skill(&line.skill).unwrap());
            let ready = |student: &StudentId| {
                let mut needs = skill.needs.iter();
                needs.all(|need| may_go_on(&self.course, student, need))
            };
            let mut going = line.students;
            going.retain(ready);
            let mut took = skill.run_minutes(going.len());
            spare += line.minutes - took;
            let mut missed = self.turns(number, session, &skill, going);
            let skill = self.shown(&skill);
            loop {
                if hand != Hand::Proposed {
                    break;
                }
                missed.retain(|student| self.brings(student, &skill, Some(session)));
                missed.truncate(skill.fits(missed.len(), spare));
                if missed.is_empty() {
                    break;
                }
                let more = skill.run_minutes(missed.len());
                took += more;
                spare -= more;
                missed = self.turns(number, session, &skill, missed);
            }
            used += took;
        }
        used
    }

    /// Each of them has a turn; who missed it.
    fn turns(
        &mut self,
        number: u32,
        session: SessionId,
        skill: &Skill,
        students: Vec<StudentId>,
    ) -> Vec<StudentId> {
        let mut missed = Vec::new();
        for student in students {
            self.shown.insert(skill.id.clone());
            if !self.turn(number, session, skill, student) {
                missed.push(student);
            }
        }
        missed
    }

    fn turn(&mut self, number: u32, session: SessionId, skill: &Skill, student: StudentId) -> bool {
        let key = (student, skill.id.clone());
        let before: Vec<_> = self.course.cell_entries(&key).collect();
        let here = |body: &Body| match body {
            Body::Attempt(attempt) => attempt.session == Some(session),
            _ => false,
        };
        let again = before.iter().filter(|one| here(&one.entry.body)).count();
        let seen = before.iter().map(|one| one.entry.id).collect();
        let who = self.students.iter().position(|one| *one == student);
        let met = self.is_met(number, who.unwrap(), &skill.id, again);
        let attempt = Attempt {
            student,
            method: self.method(student, &skill.id),
            skill: skill.id.clone(),
            mark: if met { Mark::Met } else { Mark::NotYet },
            measured: Vec::new(),
            slips: Vec::new(),
            note: None,
            despite: None,
            session: Some(session),
            origin: Origin::Live,
        };
        self.write(seen, attempt);
        met
    }

    /// The way of a skill that a student tries: one that was not met yet.
    fn method(&self, student: StudentId, skill: &SkillId) -> Option<MethodId> {
        let asked = self.outline.skill(skill)?.methods_asked();
        let asked: Vec<&MethodId> = asked.map(|one| &one.id).collect();
        let parts = self.course.parts(&(student, skill.clone()));
        let met = |id: &&&MethodId| parts.as_ref().is_some_and(|one| one.methods.contains(**id));
        let open = asked.iter().find(|id| !met(id));
        open.or(asked.first()).map(|id| (*id).clone())
    }

    /// Whether this try is met: the same luck whoever makes the list. A further try of the
    /// same evening is as likely met as the first.
    fn is_met(&self, number: u32, student: usize, skill: &SkillId, again: usize) -> bool {
        let share = self.shares[skill];
        let odds = share / (1.0 - share) * self.odds[student];
        let at = self.outline.skills.iter().position(|one| one.id == *skill);
        let mut luck = Draws::new(
            self.seed
                ^ (u64::try_from(again).unwrap() << 56)
                ^ (u64::from(number) << 40)
                ^ (u64::try_from(student).unwrap() << 20)
                ^ u64::try_from(at.unwrap()).unwrap(),
        );
        luck.bits();
        luck.unit() < odds / (1.0 + odds)
    }
}
