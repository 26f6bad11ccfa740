//! Gathering: a student's record from what the entries come to, with every device that signed
//! noted on the way. Which entries it rests on is for [`crate::paper::Proofs`].

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;

use super::{
    KeptLine, MarkLine, MarkWhat, OutlineLine, PaperLine, Place, PolicyLine, Proof, Record,
    RecordState, SkillLine, TextLine,
};
use crate::course::{ClearanceKind, EntryId, Role, SessionId, Skill, StudentId};
use crate::entry::{Attempt, Body, DeviceKey, InRecord, Kind, Measured, Outcome, Part, RuleText};
use crate::paper::source::{Signer, Source};
use crate::plan::{Gap, Missing, before_completion, counts_until};
use crate::standing::{CellState, Counted, PolicyNow};

/// The record of one student, as it stands.
pub(super) fn gather(source: &Source<'_>, student: StudentId) -> Record {
    Gathering::new(source, student).gather()
}

/// Whether an instructor has completed it and nothing has opened a gap since, without gathering
/// the rest.
pub(super) fn is_completed(source: &Source<'_>, student: StudentId) -> bool {
    match Gathering::new(source, student).state() {
        RecordState::Ended {
            outcome: Outcome::Completed,
            at,
            ..
        } => missing(source, &student, at.date_naive(), true).is_empty(),
        RecordState::Ended { .. } | RecordState::Open => false,
    }
}

/// What is missing on a day. Of somebody whose details are not here any more, or did not come
/// along, no age can be known: that is no gap in what has ended.
fn missing(source: &Source<'_>, student: &StudentId, on: NaiveDate, ended: bool) -> Vec<Gap> {
    let mut gaps = before_completion(source.course, student, on, source.age(student));
    if ended && source.names.details(student).is_none() {
        gaps.retain(|gap| gap.what != Missing::Age);
    }
    gaps
}

pub(super) struct Gathering<'a> {
    pub(super) source: &'a Source<'a>,
    pub(super) student: StudentId,
    signers: BTreeMap<Option<DeviceKey>, Signer>,
}

impl<'a> Gathering<'a> {
    const fn new(source: &'a Source<'a>, student: StudentId) -> Self {
        Self {
            source,
            student,
            signers: BTreeMap::new(),
        }
    }

    fn gather(mut self) -> Record {
        let (source, student) = (self.source, self.student);
        let course = source.course;
        let details = source.names.details(&student);
        let (mut referred_from, mut known_there_as) = (None, None);
        let mut incidents = 0;
        let mut remarks = 0;
        for one in course.about(&student) {
            match one.entry.body.kind().in_record() {
                InRecord::Under(Part::Enrolment) => self.rests_on(one),
                InRecord::AsIncident => incidents += 1,
                InRecord::AsRemark => remarks += 1,
                InRecord::No | InRecord::Under(_) | InRecord::WithSession | InRecord::WithNamed => {
                }
            }
            if let Body::Enrolment(enrolment) = &one.entry.body {
                referred_from.clone_from(&enrolment.referred_from);
                known_there_as = enrolment.known_there_as;
            }
        }
        let born = details.as_ref().and_then(|details| details.born);
        let adult = details
            .as_ref()
            .filter(|details| details.born.is_none())
            .and_then(|details| details.adult.clone());
        let opened = course.opened();
        let state = self.state();
        // A paper that has run out since the course ended is no gap in what was done.
        let (on, ended) = match &state {
            RecordState::Open => (source.today(), false),
            RecordState::Ended { at, .. } => (at.date_naive(), true),
        };
        let papers = self.papers();
        let skills = self.skills();
        remarks += skills
            .iter()
            .flat_map(|skill| &skill.lines)
            .filter(|line| matches!(&line.what, MarkWhat::Attempt { note: Some(_), .. }))
            .count();
        let sessions = self.sessions();
        let (dives, weights) = self.water();
        let kept = self.kept();
        let mut staff: Vec<(String, Role)> = course
            .staff()
            .into_iter()
            .map(|(id, role)| {
                (
                    source.staff_name(&id).unwrap_or_else(|| id.to_string()),
                    role,
                )
            })
            .collect();
        staff.sort_by(|a, b| (a.1, &a.0).cmp(&(b.1, &b.0)));
        Record {
            student,
            name: details.map(|details| details.name),
            forgotten: source.shop.is_forgotten(&student),
            born,
            adult,
            referred_from,
            known_there_as,
            shop: source.shop.name().map(str::to_owned),
            course: opened.map(|opened| opened.title.clone()),
            starts: opened.map(|opened| opened.starts),
            outline: course.outline().map(|outline| OutlineLine {
                title: outline.title.clone(),
                edition: outline.edition,
                source: outline.source.clone(),
            }),
            policy: course.policy().map(|now| PolicyLine {
                title: now.policy.title.clone(),
                edition: now.policy.edition,
                confirmed: now.confirmed.len(),
                rules: now.policy.rules.len(),
                texts: texts(source, now),
            }),
            staff,
            state,
            gaps: missing(source, &student, on, ended),
            papers,
            skills,
            sessions,
            dives,
            weights,
            kept,
            remarks,
            incidents,
            proof: self.proof(),
        }
    }

    /// Notes who signed an entry that the record shows.
    pub(super) fn rests_on(&mut self, one: &Counted) {
        let signer = self.source.signer(one);
        self.signers.entry(signer.key).or_insert(signer);
    }

    pub(super) fn signed(&mut self, one: &Counted) -> Signer {
        self.rests_on(one);
        self.source.signer(one)
    }

    fn state(&mut self) -> RecordState {
        let course = self.source.course;
        let Some(one) = course.completion(&self.student) else {
            return RecordState::Open;
        };
        let Body::Completion(completion) = &one.entry.body else {
            return RecordState::Open;
        };
        let by = self.signed(one);
        let now: BTreeSet<EntryId> = course
            .about(&self.student)
            .filter(|other| other.entry.body.kind() != Kind::Completion)
            .map(|other| other.entry.id)
            .collect();
        let then: BTreeSet<EntryId> = completion
            .considered
            .iter()
            .filter(|id| {
                now.contains(id)
                    || course
                        .tally()
                        .get(id)
                        .is_none_or(|other| other.entry.body.kind() != Kind::Completion)
            })
            .copied()
            .collect();
        RecordState::Ended {
            outcome: completion.outcome,
            by,
            at: one.entry.at,
            considered: completion.considered.len(),
            still_all: now == then,
        }
    }

    fn papers(&mut self) -> Vec<PaperLine> {
        let course = self.source.course;
        let mut lines = Vec::new();
        // A test that is a skill is printed among the skills, and nowhere else.
        let is_skill = |what| {
            let outline = course.outline();
            outline.is_some_and(|outline| outline.proving(what).is_some())
        };
        for what in ClearanceKind::ALL
            .into_iter()
            .filter(|what| !is_skill(*what))
        {
            let Some(one) = course.clearance(&self.student, what) else {
                continue;
            };
            if let Body::Clearance(clearance) = &one.entry.body {
                lines.push(PaperLine {
                    what,
                    result: clearance.result,
                    figure: clearance.figure,
                    by: self.signed(one),
                    at: one.entry.at,
                    until: counts_until(course, one),
                });
            }
        }
        lines
    }

    fn skills(&mut self) -> Vec<SkillLine> {
        let course = self.source.course;
        let Some(outline) = course.outline() else {
            return Vec::new();
        };
        let mut lines = Vec::new();
        for skill in &outline.skills {
            let key = (self.student, skill.id.clone());
            let Some(cell) = course.cells().get(&key) else {
                continue;
            };
            let two = cell.state == CellState::TwoViews;
            let mut marks: Vec<MarkLine> = course
                .cell_entries(&key)
                .filter_map(|one| self.mark(skill, one, two && cell.latest.contains(&one.entry.id)))
                .collect();
            // By the writer's clock, as a person would read it; it decides nothing here.
            marks.sort_by_key(|line| (line.at, line.entry));
            lines.push(SkillLine {
                skill: skill.id.clone(),
                name: skill.name.clone(),
                family: skill.family,
                requirement: skill.requirement.says.clone(),
                required: skill.required,
                state: cell.state,
                met: cell.met,
                of: cell.of,
                slipped_since: cell.slipped_since,
                lines: marks,
            });
        }
        lines
    }

    fn mark(&mut self, skill: &Skill, one: &Counted, one_of_two: bool) -> Option<MarkLine> {
        let course = self.source.course;
        let what = if let Body::Attempt(attempt) = &one.entry.body {
            self.attempt(skill, attempt)
        } else if let Body::Resolution(resolution) = &one.entry.body {
            MarkWhat::Resolution {
                mark: resolution.mark,
                why: resolution.why.clone(),
            }
        } else if let Body::Exemption(exemption) = &one.entry.body {
            MarkWhat::Exemption {
                why: exemption.why.clone(),
                elsewhere: exemption.elsewhere.clone(),
            }
        } else {
            return None;
        };
        let by = self.signed(one);
        let confirmed = course.confirmation_of(&one.entry.id).cloned().map(|by| {
            let signer = self.signed(&by);
            (signer, by.entry.at)
        });
        let withdrawn = course
            .tally()
            .withdrawn_by(&one.entry.id)
            .and_then(|id| course.tally().get(&id))
            .cloned()
            .map(|by| {
                let why = if let Body::Withdrawal(withdrawal) = &by.entry.body {
                    withdrawal.why.clone()
                } else {
                    None
                };
                (self.signed(&by), by.entry.at, why)
            });
        Some(MarkLine {
            entry: one.entry.id,
            what,
            by,
            at: one.entry.at,
            confirmed,
            withdrawn,
            one_of_two,
        })
    }

    fn attempt(&self, skill: &Skill, attempt: &Attempt) -> MarkWhat {
        let method = attempt.method.as_ref().map(|method| {
            let mut methods = skill.methods.iter();
            let known = methods.find(|known| &known.id == method);
            known.map_or_else(|| method.to_string(), |known| known.name.clone())
        });
        let measured = attempt.measured.iter();
        let slips = attempt.slips.iter().map(|slip| {
            let known = skill.slips.iter().find(|known| &known.id == slip);
            known.map_or_else(|| slip.to_string(), |known| known.fault.clone())
        });
        MarkWhat::Attempt {
            mark: attempt.mark,
            method,
            measured: measured
                .map(|measured| (*measured, unit_of(skill, *measured)))
                .collect(),
            slips: slips.collect(),
            place: attempt.session.and_then(|id| self.place(id)),
            origin: attempt.origin,
            note: attempt.note.clone(),
            despite: attempt.despite.clone(),
        }
    }

    fn kept(&mut self) -> Vec<KeptLine> {
        let course = self.source.course;
        let texts = course.attachment_texts();
        let mut lines = Vec::new();
        for (one, attachment) in course.attachments() {
            if !course.shown_by(attachment).contains(&self.student) {
                continue;
            }
            let said = texts.get(&one.entry.id).copied();
            let said = said.filter(|_| attachment.student.is_some());
            lines.push(KeptLine {
                entry: one.entry.id,
                file: attachment.file,
                place: self.place(attachment.session),
                slate: attachment.slate.clone(),
                at: one.entry.at,
                by: self.signed(one),
                text: said.map(|(by, text)| (text.text.clone(), self.signed(by))),
            });
        }
        lines
    }

    pub(super) fn place(&self, session: SessionId) -> Option<Place> {
        let now = self.source.course.sessions().get(&session)?;
        Some(Place {
            session,
            title: now.plan.title.clone(),
            site: now.plan.site.clone(),
            setting: now.plan.setting,
        })
    }

    fn proof(self) -> Proof {
        let (ledger, tally) = (self.source.ledger, self.source.course.tally());
        let whole = self.source.proofs.of(ledger);
        let (own_entries, own) = whole.grounds.own(ledger, &self.student);
        Proof {
            ledger: *ledger.id(),
            entries: ledger.lines().len(),
            fingerprint: whole.fingerprint,
            state: whole.state.clone(),
            own_entries,
            own,
            parts: whole.grounds.parts(ledger, &self.student),
            devices: self.signers.into_iter().collect(),
            newer: tally.newer().len(),
            unverified: tally.unverified().len(),
            irregular: ledger.irregular().len(),
        }
    }
}

/// The unit of a reading, from the outline; other figures carry theirs.
fn unit_of(skill: &Skill, measured: Measured) -> Option<String> {
    use crate::course::Measure;
    let measures = &skill.requirement.measures;
    match measured {
        Measured::Reading(_) => measures.iter().find_map(|measure| {
            if let Measure::Reading { unit, .. } = measure {
                Some(unit.clone())
            } else {
                None
            }
        }),
        Measured::Count(_) => measures.iter().find_map(|measure| {
            if let Measure::Count { of, .. } = measure {
                Some(of.clone())
            } else {
                None
            }
        }),
        Measured::Seconds(_)
        | Measured::Decimetres(_)
        | Measured::Centimetres(_)
        | Measured::CmPerMinute(_) => None,
    }
}

/// The texts of a policy's confirmations, each once for everybody who read it.
fn texts(source: &Source<'_>, now: &PolicyNow) -> Vec<TextLine> {
    let mut read: BTreeMap<(RuleText, String), usize> = BTreeMap::new();
    for held in now.confirmed.values() {
        let by = source.staff_name(&held.by);
        let by = by.unwrap_or_else(|| held.by.to_string());
        *read.entry((held.read.clone(), by)).or_default() += 1;
    }
    let lines = read.into_iter();
    lines
        .map(|((read, by), rules)| TextLine { read, by, rules })
        .collect()
}
