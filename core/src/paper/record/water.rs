//! What of a record happened in the water: sessions with their times in and out, dives,
//! weight checks.

use super::gather::Gathering;
use super::{DiveLine, Passed, SessionLine, SetAside, WeightLine};
use crate::entry::{Body, Passage, Who};
use crate::plan::counting_dives;
use crate::standing::Counted;
use crate::view::afterwards;

impl Gathering<'_> {
    pub(super) fn sessions(&mut self) -> Vec<SessionLine> {
        let course = self.source.course;
        let who = Who::Student(self.student);
        let mut lines = Vec::new();
        for (id, now) in course.sessions() {
            let passages = course.passages(id, &who);
            if passages.is_empty() && !now.plan.students.contains(&self.student) {
                continue;
            }
            let mut moments = Vec::new();
            for entry in passages {
                let Some(one) = course.tally().standing(&entry).cloned() else {
                    continue;
                };
                if let Body::Attendance(attendance) = &one.entry.body {
                    moments.push(Passed {
                        passage: attendance.passage,
                        when: attendance.when,
                        written: afterwards(attendance.when, one.entry.at),
                    });
                    self.rests_on(&one);
                }
            }
            moments.sort_by_key(|one| one.when);
            for entry in course.session_entries(id) {
                if let Some(one) = course.tally().standing(&entry).cloned() {
                    self.rests_on(&one);
                }
            }
            let mut set_aside = Vec::new();
            for (one, body) in course.overrides(id, &self.student) {
                let skills = course.outline().map_or(&[][..], |outline| &outline.skills);
                let named = skills
                    .iter()
                    .filter(|skill| body.skills.contains(&skill.id));
                set_aside.push(SetAside {
                    skills: named.map(|skill| skill.name.clone()).collect(),
                    why: body.why.clone(),
                    at: one.entry.at,
                    by: self.signed(one),
                });
            }
            let Some(place) = self.place(*id) else {
                continue;
            };
            lines.push(SessionLine {
                place,
                block: now.plan.block.clone(),
                starts: now.plan.starts,
                minutes: now.plan.minutes,
                cancelled: now.cancelled.clone(),
                water_minutes: water_minutes(&moments),
                passages: moments,
                set_aside,
            });
        }
        lines.sort_by_key(|line| (line.starts, line.place.session));
        lines
    }

    pub(super) fn water(&mut self) -> (Vec<DiveLine>, Vec<WeightLine>) {
        let course = self.source.course;
        let about: Vec<Counted> = course.about(&self.student).cloned().collect();
        let counting = counting_dives(course, &Who::Student(self.student));
        let (mut dives, mut weights) = (Vec::new(), Vec::new());
        for one in &about {
            if let Body::DiveLogged(dive) = &one.entry.body {
                let by = self.signed(one);
                dives.push(DiveLine {
                    entry: one.entry.id,
                    place: dive.session.and_then(|id| self.place(id)),
                    site: dive.site.clone(),
                    number: counting
                        .iter()
                        .position(|(counted, _)| counted.entry.id == one.entry.id)
                        .map(|before| before + 1),
                    log: dive.log.clone(),
                    by,
                });
            } else if let Body::WeightChecked(checked) = &one.entry.body {
                let by = self.signed(one);
                weights.push(WeightLine {
                    at: one.entry.at,
                    check: checked.check.clone(),
                    by,
                });
            }
        }
        dives.sort_by_key(|dive| (dive.log.down, dive.entry));
        weights.sort_by_key(|weight| weight.at);
        (dives, weights)
    }
}

/// Minutes between each way in and the next way out; `None` while one is open, or when they
/// do not pair.
fn water_minutes(passages: &[Passed]) -> Option<i64> {
    let mut since: Option<chrono::DateTime<chrono::FixedOffset>> = None;
    let mut minutes = 0;
    let mut any = false;
    for Passed { passage, when, .. } in passages {
        match (passage, since) {
            (Passage::In, None) => since = Some(*when),
            (Passage::Out, Some(from)) => {
                minutes += (*when - from).num_minutes();
                since = None;
                any = true;
            }
            (Passage::In, Some(_)) | (Passage::Out, None) => return None,
            (Passage::Absent, _) => {}
        }
    }
    (any && since.is_none()).then_some(minutes)
}
