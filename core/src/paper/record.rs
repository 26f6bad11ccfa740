//! Record: everything about one student's course, as a plain structure. Printing it is for
//! [`super::print`], checking it for [`super::verify()`]; here nothing is drawn.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{DateTime, FixedOffset, NaiveDate};

use super::source::{Signer, Source};
use crate::course::{
    BlockId, ClearanceKind, EntryId, Family, LedgerId, Role, SessionId, Setting, SkillId, StudentId,
};
use crate::entry::{
    Body, ClearanceResult, DeviceKey, Kind, Mark, Measured, Origin, Outcome, Passage, Who,
};
use crate::ledger::Fingerprint;
use crate::plan::{Gap, before_completion, counts_until};
use crate::standing::{CellState, Counted};

/// A student's training record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Record {
    /// Who it is about.
    pub student: StudentId,
    /// The name; `None` when the person was forgotten, or this device has no details.
    pub name: Option<String>,
    /// Whether the shop was told to forget the person.
    pub forgotten: bool,
    /// Birth date, where the course holds one.
    pub born: Option<NaiveDate>,
    /// Where an earlier part was done.
    pub referred_from: Option<String>,
    /// The shop's name.
    pub shop: Option<String>,
    /// The course's title.
    pub course: Option<String>,
    /// Its first planned day.
    pub starts: Option<NaiveDate>,
    /// The outline followed.
    pub outline: Option<OutlineLine>,
    /// The policy in force.
    pub policy: Option<PolicyLine>,
    /// Staff assigned, by name.
    pub staff: Vec<(String, Role)>,
    /// How it stands.
    pub state: RecordState,
    /// What is missing: as of the day the course ended for the student, else of printing.
    pub gaps: Vec<Gap>,
    /// Papers and tests.
    pub papers: Vec<PaperLine>,
    /// Every skill of the outline.
    pub skills: Vec<SkillLine>,
    /// Sessions, by time.
    pub sessions: Vec<SessionLine>,
    /// Dives, by time.
    pub dives: Vec<DiveLine>,
    /// Weight checks, by time.
    pub weights: Vec<WeightLine>,
    /// Remarks that are kept and not printed.
    pub remarks: usize,
    /// Incident reports that name the student; kept apart and not printed.
    pub incidents: usize,
    /// The proof.
    pub proof: Proof,
}

/// Which outline.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OutlineLine {
    /// Its title.
    pub title: String,
    /// Its edition.
    pub edition: u32,
    /// Who answers for it.
    pub source: String,
}

/// Which policy, and how much of it a person has confirmed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PolicyLine {
    /// Its title.
    pub title: String,
    /// Its edition.
    pub edition: u32,
    /// Rules confirmed.
    pub confirmed: usize,
    /// Of so many.
    pub rules: usize,
}

/// How a record stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum RecordState {
    /// The course goes on.
    Open,
    /// It ended, by an instructor's statement.
    Ended {
        /// How.
        outcome: Outcome,
        /// Who said so.
        by: Signer,
        /// When.
        at: DateTime<FixedOffset>,
        /// Over how many entries.
        considered: usize,
        /// Whether they are still all that is known about the student.
        still_all: bool,
    },
}

/// One paper or test.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PaperLine {
    /// Which.
    pub what: ClearanceKind,
    /// What it said.
    pub result: ClearanceResult,
    /// Metres, minutes or per cent.
    pub figure: Option<u32>,
    /// Who saw it.
    pub by: Signer,
    /// When.
    pub at: DateTime<FixedOffset>,
    /// The last day it counts.
    pub until: Option<NaiveDate>,
}

/// One skill.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SkillLine {
    /// Which.
    pub skill: SkillId,
    /// Its name.
    pub name: String,
    /// Its family.
    pub family: Family,
    /// What must be shown.
    pub requirement: String,
    /// Whether completion needs it.
    pub required: bool,
    /// How it stands.
    pub state: CellState,
    /// Met and standing.
    pub met: u8,
    /// Of so many.
    pub of: u8,
    /// Met, and a later try was not.
    pub slipped_since: bool,
    /// Every word on it, in the order of writing.
    pub lines: Vec<MarkLine>,
}

/// One word on a skill.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MarkLine {
    /// The entry.
    pub entry: EntryId,
    /// What it is.
    pub what: MarkWhat,
    /// Who wrote it.
    pub by: Signer,
    /// When it was written.
    pub at: DateTime<FixedOffset>,
    /// The instructor who confirmed it, if it had to be.
    pub confirmed: Option<(Signer, DateTime<FixedOffset>)>,
    /// Who withdrew it, when and why.
    pub withdrawn: Option<(Signer, DateTime<FixedOffset>, Option<String>)>,
    /// Whether it is one of two views that nobody has settled.
    pub one_of_two: bool,
}

/// What a word on a skill is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum MarkWhat {
    /// A try, judged.
    Attempt {
        /// What was seen.
        mark: Mark,
        /// In which way, by name.
        method: Option<String>,
        /// Figures taken, each with the unit the outline gives a reading.
        measured: Vec<(Measured, Option<String>)>,
        /// Faults seen, in words.
        slips: Vec<String>,
        /// Session and place.
        place: Option<Place>,
        /// When it was seen, where it came from a slate.
        from_slate: Option<DateTime<FixedOffset>>,
        /// A remark.
        note: Option<String>,
    },
    /// An instructor's word on two views or a slip since.
    Resolution {
        /// How it stands from there.
        mark: Mark,
        /// Why.
        why: String,
    },
    /// Not asked of this student.
    Exemption {
        /// Why.
        why: String,
    },
}

/// A session, as a place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Place {
    /// Which.
    pub session: SessionId,
    /// Its title.
    pub title: String,
    /// Where it was held.
    pub site: String,
    /// In what setting.
    pub setting: Setting,
}

/// One session of a student.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SessionLine {
    /// Where.
    pub place: Place,
    /// Block of the outline.
    pub block: Option<BlockId>,
    /// When it began by plan.
    pub starts: DateTime<FixedOffset>,
    /// Minutes planned.
    pub minutes: u16,
    /// Why it was not held.
    pub cancelled: Option<String>,
    /// Times in and out of the water, in order.
    pub passages: Vec<(Passage, DateTime<FixedOffset>)>,
    /// Minutes in the water, where every way in has its way out.
    pub water_minutes: Option<i64>,
}

/// One dive.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DiveLine {
    /// The entry.
    pub entry: EntryId,
    /// Where.
    pub place: Option<Place>,
    /// The dive.
    pub log: crate::course::DiveLog,
    /// Who logged it.
    pub by: Signer,
}

/// One weight check.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WeightLine {
    /// When.
    pub at: DateTime<FixedOffset>,
    /// The check.
    pub check: crate::course::WeightCheck,
    /// Who saw it.
    pub by: Signer,
}

/// What makes the record checkable.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Proof {
    /// The course's ledger.
    pub ledger: LedgerId,
    /// How many entries it holds.
    pub entries: usize,
    /// Of all of them.
    pub fingerprint: Fingerprint,
    /// How many of them this record rests on.
    pub own_entries: usize,
    /// Of those alone.
    pub own: Fingerprint,
    /// The same, part by part, so that a difference can be found.
    pub parts: Vec<(Part, usize, Fingerprint)>,
    /// Every device that signed for this record.
    pub devices: Vec<(Option<DeviceKey>, Signer)>,
    /// Entries of a newer version, kept and not read.
    pub newer: usize,
    /// Entries that count for nothing.
    pub unverified: usize,
    /// Things in the change log that no honest device writes.
    pub irregular: usize,
}

/// A part of a record.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Part {
    /// Enrolment and details.
    Enrolment,
    /// Papers and tests.
    Papers,
    /// Marks, confirmations, resolutions, exemptions.
    Skills,
    /// Sessions and attendance.
    Sessions,
    /// Dives.
    Dives,
    /// Weight checks.
    Weights,
    /// Completion.
    Completion,
}

impl Part {
    /// All of them, in the order they are printed.
    pub const ALL: [Self; 7] = [
        Self::Enrolment,
        Self::Papers,
        Self::Skills,
        Self::Sessions,
        Self::Dives,
        Self::Weights,
        Self::Completion,
    ];
}

impl Record {
    /// The record of one student, as it stands.
    pub fn of(source: &Source<'_>, student: StudentId) -> Self {
        Gathering {
            source,
            student,
            parts: BTreeMap::new(),
            signers: BTreeMap::new(),
        }
        .gather()
    }

    /// Whether an instructor has completed it, and nothing has opened a gap since.
    pub fn is_completed(&self) -> bool {
        self.gaps.is_empty()
            && matches!(
                self.state,
                RecordState::Ended {
                    outcome: Outcome::Completed,
                    ..
                }
            )
    }
}

struct Gathering<'a> {
    source: &'a Source<'a>,
    student: StudentId,
    parts: BTreeMap<Part, BTreeSet<EntryId>>,
    signers: BTreeMap<Option<DeviceKey>, Signer>,
}

impl Gathering<'_> {
    fn gather(mut self) -> Record {
        let (source, student) = (self.source, self.student);
        let course = source.course;
        let details = source.names.details(&student);
        let mut referred_from = None;
        let mut incidents = 0;
        let mut remarks = 0;
        for one in course.about(&student) {
            match &one.entry.body {
                Body::Enrolment(enrolment) => {
                    self.rests_on(Part::Enrolment, one);
                    referred_from.clone_from(&enrolment.referred_from);
                }
                Body::Amendment(_) => self.rests_on(Part::Enrolment, one),
                Body::Incident(_) => incidents += 1,
                Body::Note(_) => remarks += 1,
                Body::ShopOpened(_)
                | Body::StaffJoined(_)
                | Body::Certificate(_)
                | Body::Revocation(_)
                | Body::LateAccepted(_)
                | Body::CourseListed(_)
                | Body::PersonForgotten(_)
                | Body::Details(_)
                | Body::CourseOpened(_)
                | Body::Assignment(_)
                | Body::OutlineSet(_)
                | Body::PolicySet(_)
                | Body::PolicyConfirmed(_)
                | Body::SessionPlanned(_)
                | Body::SessionMoved(_)
                | Body::SessionCancelled(_)
                | Body::Clearance(_)
                | Body::Attendance(_)
                | Body::Attempt(_)
                | Body::Confirmation(_)
                | Body::Resolution(_)
                | Body::Exemption(_)
                | Body::Withdrawal(_)
                | Body::WeightChecked(_)
                | Body::DiveLogged(_)
                | Body::Completion(_) => {}
            }
        }
        let born = details.as_ref().and_then(|details| details.born);
        let opened = course.opened();
        let state = self.state();
        // A paper that has run out since the course ended is no gap in what was done.
        let on = match &state {
            RecordState::Open => source.today(),
            RecordState::Ended { at, .. } => at.date_naive(),
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
            forgotten: source.shop.forgotten().contains(&student),
            born,
            referred_from,
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
            }),
            staff,
            state,
            gaps: before_completion(course, &student, on, born),
            papers,
            skills,
            sessions,
            dives,
            weights,
            remarks,
            incidents,
            proof: self.proof(),
        }
    }

    /// Notes that the record rests on an entry, and who signed it.
    fn rests_on(&mut self, part: Part, one: &Counted) {
        self.parts.entry(part).or_default().insert(one.entry.id);
        let signer = self.source.signer(one);
        self.signers.entry(signer.key).or_insert(signer);
    }

    fn signed(&mut self, part: Part, one: &Counted) -> Signer {
        self.rests_on(part, one);
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
        let by = self.signed(Part::Completion, one);
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
        for what in ClearanceKind::ALL {
            let Some(one) = course.clearance(&self.student, what) else {
                continue;
            };
            if let Body::Clearance(clearance) = &one.entry.body {
                lines.push(PaperLine {
                    what,
                    result: clearance.result,
                    figure: clearance.figure,
                    by: self.signed(Part::Papers, one),
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

    fn mark(
        &mut self,
        skill: &crate::course::Skill,
        one: &Counted,
        one_of_two: bool,
    ) -> Option<MarkLine> {
        let course = self.source.course;
        let what = match &one.entry.body {
            Body::Attempt(attempt) => MarkWhat::Attempt {
                mark: attempt.mark,
                method: attempt.method.as_ref().map(|method| {
                    skill
                        .methods
                        .iter()
                        .find(|known| &known.id == method)
                        .map_or_else(|| method.to_string(), |known| known.name.clone())
                }),
                measured: attempt
                    .measured
                    .iter()
                    .map(|measured| (*measured, unit_of(skill, *measured)))
                    .collect(),
                slips: attempt
                    .slips
                    .iter()
                    .map(|slip| {
                        skill
                            .slips
                            .iter()
                            .find(|known| &known.id == slip)
                            .map_or_else(|| slip.to_string(), |known| known.fault.clone())
                    })
                    .collect(),
                place: attempt.session.and_then(|id| self.place(id)),
                from_slate: match attempt.origin {
                    Origin::Live => None,
                    Origin::Slate { seen } => Some(seen),
                },
                note: attempt.note.clone(),
            },
            Body::Resolution(resolution) => MarkWhat::Resolution {
                mark: resolution.mark,
                why: resolution.why.clone(),
            },
            Body::Exemption(exemption) => MarkWhat::Exemption {
                why: exemption.why.clone(),
            },
            Body::ShopOpened(_)
            | Body::StaffJoined(_)
            | Body::Certificate(_)
            | Body::Revocation(_)
            | Body::LateAccepted(_)
            | Body::CourseListed(_)
            | Body::PersonForgotten(_)
            | Body::Details(_)
            | Body::CourseOpened(_)
            | Body::Enrolment(_)
            | Body::Amendment(_)
            | Body::Assignment(_)
            | Body::OutlineSet(_)
            | Body::PolicySet(_)
            | Body::PolicyConfirmed(_)
            | Body::SessionPlanned(_)
            | Body::SessionMoved(_)
            | Body::SessionCancelled(_)
            | Body::Clearance(_)
            | Body::Attendance(_)
            | Body::Confirmation(_)
            | Body::Withdrawal(_)
            | Body::Note(_)
            | Body::WeightChecked(_)
            | Body::DiveLogged(_)
            | Body::Incident(_)
            | Body::Completion(_) => return None,
        };
        let by = self.signed(Part::Skills, one);
        let confirmed = course.confirmation_of(&one.entry.id).cloned().map(|by| {
            let signer = self.signed(Part::Skills, &by);
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
                (self.signed(Part::Skills, &by), by.entry.at, why)
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

    fn place(&self, session: SessionId) -> Option<Place> {
        let now = self.source.course.sessions().get(&session)?;
        Some(Place {
            session,
            title: now.plan.title.clone(),
            site: now.plan.site.clone(),
            setting: now.plan.setting,
        })
    }

    fn sessions(&mut self) -> Vec<SessionLine> {
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
                    moments.push((attendance.passage, attendance.when));
                    self.rests_on(Part::Sessions, &one);
                }
            }
            moments.sort_by_key(|(_, when)| *when);
            for entry in course.session_entries(id) {
                if let Some(one) = course.tally().standing(&entry).cloned() {
                    self.rests_on(Part::Sessions, &one);
                }
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
            });
        }
        lines.sort_by_key(|line| (line.starts, line.place.session));
        lines
    }

    fn water(&mut self) -> (Vec<DiveLine>, Vec<WeightLine>) {
        let course = self.source.course;
        let about: Vec<Counted> = course.about(&self.student).cloned().collect();
        let (mut dives, mut weights) = (Vec::new(), Vec::new());
        for one in &about {
            match &one.entry.body {
                Body::DiveLogged(dive) => {
                    let by = self.signed(Part::Dives, one);
                    dives.push(DiveLine {
                        entry: one.entry.id,
                        place: dive.session.and_then(|id| self.place(id)),
                        log: dive.log.clone(),
                        by,
                    });
                }
                Body::WeightChecked(checked) => {
                    let by = self.signed(Part::Weights, one);
                    weights.push(WeightLine {
                        at: one.entry.at,
                        check: checked.check.clone(),
                        by,
                    });
                }
                Body::ShopOpened(_)
                | Body::StaffJoined(_)
                | Body::Certificate(_)
                | Body::Revocation(_)
                | Body::LateAccepted(_)
                | Body::CourseListed(_)
                | Body::PersonForgotten(_)
                | Body::Details(_)
                | Body::CourseOpened(_)
                | Body::Enrolment(_)
                | Body::Amendment(_)
                | Body::Assignment(_)
                | Body::OutlineSet(_)
                | Body::PolicySet(_)
                | Body::PolicyConfirmed(_)
                | Body::SessionPlanned(_)
                | Body::SessionMoved(_)
                | Body::SessionCancelled(_)
                | Body::Clearance(_)
                | Body::Attendance(_)
                | Body::Attempt(_)
                | Body::Confirmation(_)
                | Body::Resolution(_)
                | Body::Exemption(_)
                | Body::Withdrawal(_)
                | Body::Note(_)
                | Body::Incident(_)
                | Body::Completion(_) => {}
            }
        }
        dives.sort_by_key(|dive| (dive.log.down, dive.entry));
        weights.sort_by_key(|weight| weight.at);
        (dives, weights)
    }

    fn proof(self) -> Proof {
        let (ledger, tally) = (self.source.ledger, self.source.course.tally());
        let own: BTreeSet<&EntryId> = self.parts.values().flatten().collect();
        let parts = Part::ALL
            .iter()
            .filter_map(|part| {
                let ids = self.parts.get(part)?;
                Some((*part, ids.len(), Fingerprint::over(ledger, ids)))
            })
            .collect();
        Proof {
            ledger: *ledger.id(),
            entries: ledger.lines().len(),
            fingerprint: Fingerprint::of(ledger),
            own_entries: own.len(),
            own: Fingerprint::over(ledger, own.iter().copied()),
            parts,
            devices: self.signers.into_iter().collect(),
            newer: tally.newer().len(),
            unverified: tally.unverified().len(),
            irregular: ledger.irregular().len(),
        }
    }
}

/// The unit of a reading, from the outline; other figures carry theirs.
fn unit_of(skill: &crate::course::Skill, measured: Measured) -> Option<String> {
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

/// Minutes between each way in and the next way out; `None` while one is open, or when they
/// do not pair.
pub(crate) fn water_minutes(passages: &[(Passage, DateTime<FixedOffset>)]) -> Option<i64> {
    let mut since: Option<DateTime<FixedOffset>> = None;
    let mut minutes = 0;
    let mut any = false;
    for (passage, when) in passages {
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
