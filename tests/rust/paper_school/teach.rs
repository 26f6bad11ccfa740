//! What happens in the school: sessions, tries, dives, and everything unusual.

use super::*;

impl School {
    /// Teaches the whole outline, block by block: most things are met at the second try.
    pub(crate) fn teach(&mut self) {
        for block in self.outline.blocks.clone() {
            self.hold(&block.title, block.setting, block.run_list);
        }
    }

    /// Plans and holds one session with every student.
    pub(crate) fn hold(
        &mut self,
        title: &str,
        setting: Setting,
        run_list: Vec<tallywater_core::course::SkillId>,
    ) -> SessionId {
        let session = self.plan(title, setting, run_list.clone());
        self.now += Duration::hours(2);
        let students = self.students.clone();
        if setting.is_wet() {
            for student in &students {
                self.pass(Who::Student(*student), session, Passage::In);
            }
        }
        for skill in &run_list {
            let Some(skill) = self.outline.skill(skill).cloned() else {
                continue;
            };
            for student in &students {
                self.try_until_met(*student, &skill, session);
            }
        }
        self.now += Duration::minutes(40);
        if setting.is_wet() {
            for student in &students {
                self.pass(Who::Student(*student), session, Passage::Out);
            }
        }
        if setting == Setting::Open {
            for student in &students {
                self.dive(Who::Student(*student), session);
            }
            self.dive(Who::Staff(self.instructor.staff), session);
            let student = students[0];
            let check = WeightCheck {
                lead_g: 6_500,
                water: WaterKind::Fresh,
                suit: "5 mm two-piece".into(),
                capacity_dl: 120,
                cylinder: "steel".into(),
                pressure_mbar: 52_000,
                verdict: WeightVerdict::Right,
            };
            self.by_instructor(
                WeightChecked {
                    student,
                    session: Some(session),
                    check,
                }
                .into(),
            );
        }
        self.now += Duration::hours(22);
        session
    }

    fn try_until_met(&mut self, student: StudentId, skill: &Skill, session: SessionId) {
        let ways: Vec<_> = match (skill.methods_needed, skill.methods.is_empty()) {
            (tallywater_core::course::MethodsNeeded::All, false) => skill
                .methods
                .iter()
                .map(|method| Some(method.id.clone()))
                .collect(),
            (_, false) => vec![Some(skill.methods[0].id.clone())],
            (_, true) => vec![None],
        };
        for method in ways {
            if self.roll(4) == 0 {
                let slip = skill.slips[0].id.clone();
                self.attempt(
                    student,
                    skill,
                    session,
                    method.clone(),
                    Mark::NotYet,
                    vec![slip],
                );
            }
            let after_assistant = self.roll(5) == 0;
            if after_assistant {
                let entry =
                    self.assistant_attempt(student, skill, session, method.clone(), Mark::Met);
                self.by_instructor(
                    Confirmation {
                        attempts: vec![entry],
                    }
                    .into(),
                );
            } else {
                self.attempt(student, skill, session, method, Mark::Met, Vec::new());
            }
        }
    }

    /// An instructor's attempt, with what was on screen.
    pub(crate) fn attempt(
        &mut self,
        student: StudentId,
        skill: &Skill,
        session: SessionId,
        method: Option<tallywater_core::course::MethodId>,
        mark: Mark,
        slips: Vec<tallywater_core::course::SlipId>,
    ) -> EntryId {
        let after = self.seen(student, skill);
        let body = attempt_of(student, skill, session, method, mark, slips);
        self.by_instructor_after(body.into(), after)
    }

    /// An assistant's attempt.
    pub(crate) fn assistant_attempt(
        &mut self,
        student: StudentId,
        skill: &Skill,
        session: SessionId,
        method: Option<tallywater_core::course::MethodId>,
        mark: Mark,
    ) -> EntryId {
        let after = self.seen(student, skill);
        let body = attempt_of(student, skill, session, method, mark, Vec::new());
        self.write_course(false, body.into(), after)
    }

    fn seen(&self, student: StudentId, skill: &Skill) -> Vec<EntryId> {
        self.course
            .lines()
            .iter()
            .filter(|(_, line)| match line.entry().map(|entry| &entry.body) {
                Some(Body::Attempt(a)) => a.student == student && a.skill == skill.id,
                Some(Body::Resolution(r)) => r.student == student && r.skill == skill.id,
                _ => false,
            })
            .map(|(id, _)| *id)
            .collect()
    }

    pub(crate) fn pass(&mut self, who: Who, session: SessionId, passage: Passage) {
        let when = self.now;
        self.by_instructor(
            Attendance {
                who,
                session,
                passage,
                when,
            }
            .into(),
        );
    }

    pub(crate) fn dive(&mut self, who: Who, session: SessionId) {
        let down = self.now - Duration::minutes(38);
        let max_depth_cm = 800 + u32::try_from(self.roll(400)).unwrap();
        let log = DiveLog {
            down,
            up: self.now - Duration::minutes(6),
            max_depth_cm,
            mean_depth_cm: Some(620),
            ascents: Some(1),
            gas: Some(GasUsed {
                capacity_dl: 120,
                start_mbar: 203_000,
                end_mbar: 94_000,
                oxygen_permille: 209,
            }),
            water: WaterKind::Fresh,
            temperature_dc: Some(142),
            profile: vec![
                (0, 0),
                (60, 500),
                (300, max_depth_cm),
                (1_500, 700),
                (1_740, 500),
                (1_920, 0),
            ],
        };
        self.by_instructor(
            DiveLogged {
                site: None,
                who,
                session: Some(session),
                log,
            }
            .into(),
        );
    }

    /// The unusual things, all on the first student and one skill each.
    pub(crate) fn trouble(&mut self) {
        let student = self.students[0];
        let session = self.sessions[1];
        let skills = self.outline.skills.clone();
        // Two views: marked apart, neither having seen the other's.
        let two = &skills[20];
        let seen = self.seen(student, two);
        let met = attempt_of(student, two, session, None, Mark::Met, Vec::new());
        let not = attempt_of(
            student,
            two,
            session,
            None,
            Mark::NotYet,
            vec![two.slips[0].id.clone()],
        );
        self.by_instructor_after(met.into(), seen.clone());
        self.write_course(false, not.into(), seen);
        // Slipped since.
        let slipped = &skills[15];
        self.attempt(student, slipped, session, None, Mark::Nearly, Vec::new());
        // Two views, settled.
        let settled = &skills[16];
        let after = self.seen(student, settled);
        self.by_instructor_after(
            Resolution {
                student,
                skill: settled.id.clone(),
                mark: Mark::Met,
                why: "Seen again from the other side: the mask was full.".into(),
            }
            .into(),
            after,
        );
        // Exempt, from a slate, withdrawn, unconfirmed.
        self.by_instructor(
            Exemption {
                student,
                skill: skills[37].id.clone(),
                why: "No marker of a lawful colour at this lake; taught dry.".into(),
                elsewhere: None,
            }
            .into(),
        );
        let mut slate = attempt_of(student, &skills[9], session, None, Mark::Met, Vec::new());
        slate.origin = Origin::Slate {
            seen: self.now - Duration::hours(5),
        };
        slate.note = Some("Typed in after the tablet's battery died.".into());
        let after = self.seen(student, &skills[9]);
        self.by_instructor_after(slate.into(), after);
        let wrong = self.attempt(
            student,
            &skills[10],
            session,
            None,
            Mark::NotYet,
            Vec::new(),
        );
        self.by_instructor(
            Withdrawal {
                entry: wrong,
                why: Some("Wrong student.".into()),
            }
            .into(),
        );
        self.assistant_attempt(student, &skills[44], session, None, Mark::Met);
        self.by_instructor(
            Note {
                student: Some(student),
                skill: None,
                session: Some(session),
                entry: None,
                text: "Likes to go last.".into(),
            }
            .into(),
        );
        self.by_instructor(
            Incident {
                session: Some(session),
                who: vec![Who::Student(student)],
                when: self.now,
                happened: "Slipped on the steps.".into(),
                done: "Plaster.".into(),
                reported: None,
                begun: None,
            }
            .into(),
        );
        let cancelled = self.plan("Pool 9: spare evening", Setting::Confined, Vec::new());
        let after = self.standings().course.session_entries(&cancelled);
        self.by_instructor_after(
            SessionCancelled {
                session: cancelled,
                why: "Thunder.".into(),
            }
            .into(),
            after,
        );
    }

    /// An instructor's completion over all that counts now.
    pub(crate) fn complete(&mut self, student: StudentId, outcome: Outcome) -> EntryId {
        let considered = self
            .standings()
            .course
            .about(&student)
            .map(|one| one.entry.id)
            .collect();
        self.by_instructor(
            Completion {
                student,
                outcome,
                considered,
            }
            .into(),
        )
    }

    /// The shop drops a person.
    pub(crate) fn forget(&mut self, student: StudentId) {
        self.at_shop(
            PersonForgotten {
                student,
                why: "kept long enough".into(),
            }
            .into(),
        );
        self.people.remove(&student);
        self.names.remove(&student);
    }
}
