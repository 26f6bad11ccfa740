//! Say: facts as words and figures. Integer base units in, text out; nothing is rounded
//! away that was measured, and every figure carries its unit.

use chrono::{DateTime, FixedOffset, NaiveDate};

use super::record::{Place, TextLine};
use super::source::Signer;
use super::words::{Words, fill};
use crate::course::{
    ClearanceKind, Condition, EmergencyPlan, Family, Outline, Role, Setting, SkillId, StaffPaper,
    WaterKind, WeightVerdict,
};
use crate::entry::{ClearanceResult, Mark, Measured, MetElsewhere, Part};
use crate::plan::{Gap, Missing, SiteMissing, StaffGap, StaffMissing};
use crate::standing::CellState;
use crate::view::{Of, Units};

/// A tenth as text: `tenths(123)` is "12.3".
pub(crate) fn tenths(value: i64) -> String {
    let sign = if value < 0 { "-" } else { "" };
    format!("{sign}{}.{}", value.abs() / 10, value.abs() % 10)
}

/// A day, ISO 8601: read the same way in every country.
pub(crate) fn day(day: NaiveDate) -> String {
    day.format("%Y-%m-%d").to_string()
}

/// Day and time of day on the writer's clock.
pub(crate) fn moment(at: DateTime<FixedOffset>) -> String {
    at.format("%Y-%m-%d %H:%M").to_string()
}

/// Time of day.
pub(crate) fn clock(at: DateTime<FixedOffset>) -> String {
    at.format("%H:%M").to_string()
}

/// Figures in the reader's units, as the screens show them.
pub(crate) trait Figures {
    fn figure(self, of: Of, base: impl Into<i64>) -> String;
    fn depth(self, cm: u32) -> String;
    fn distance(self, decimetres: u32) -> String;
    fn rate(self, cm_per_minute: u32) -> String;
    fn pressure(self, mbar: u32) -> String;
    fn mass(self, grams: u32) -> String;
    fn temperature(self, dc: i16) -> String;
    fn capacity(self, dl: u16) -> String;
}

impl Figures for Units {
    fn figure(self, of: Of, base: impl Into<i64>) -> String {
        of.show(base, self).to_string()
    }

    fn depth(self, cm: u32) -> String {
        self.figure(Of::Depth, cm)
    }

    fn distance(self, decimetres: u32) -> String {
        self.figure(Of::Way, decimetres)
    }

    fn rate(self, cm_per_minute: u32) -> String {
        self.figure(Of::Rate, cm_per_minute)
    }

    fn pressure(self, mbar: u32) -> String {
        self.figure(Of::Pressure, mbar)
    }

    fn mass(self, grams: u32) -> String {
        self.figure(Of::Lead, grams)
    }

    fn temperature(self, dc: i16) -> String {
        self.figure(Of::Temperature, dc)
    }

    fn capacity(self, dl: u16) -> String {
        self.figure(Of::Cylinder, dl)
    }
}

impl Words {
    /// Why a skill was not asked of a student: the reason in words, where there is one, and
    /// where it was met.
    pub(crate) fn exempted_why(&self, why: &str, elsewhere: Option<&MetElsewhere>) -> Vec<String> {
        let said = Some(why).filter(|why| !why.is_empty()).map(str::to_owned);
        let met = elsewhere.map(|there| {
            let (school, file) = (there.school.as_str(), there.file.as_str());
            let parts = [("school", school), ("file", file)];
            match &there.judged {
                Some(judged) => {
                    let (who, when) = (judged.by.as_str(), day(judged.on));
                    let judged = [("who", who), ("when", when.as_str())];
                    fill(self.met_elsewhere, &[parts, judged].concat())
                }
                None => fill(self.met_elsewhere_undated, &parts),
            }
        });
        said.into_iter().chain(met).collect()
    }

    pub(crate) const fn setting_of(&self, setting: Setting) -> &'static str {
        match setting {
            Setting::Classroom => self.classroom,
            Setting::Surface => self.surface,
            Setting::Confined => self.confined,
            Setting::Open => self.open,
        }
    }

    pub(crate) const fn water_of(&self, water: WaterKind) -> &'static str {
        match water {
            WaterKind::Fresh => self.fresh,
            WaterKind::Brackish => self.brackish,
            WaterKind::Salt => self.salt,
        }
    }

    pub(crate) const fn role_of(&self, role: Role) -> &'static str {
        match role {
            Role::Shop => self.shop,
            Role::Instructor => self.instructor,
            Role::Assistant => self.assistant,
        }
    }

    pub(crate) const fn family_of(&self, family: Family) -> &'static str {
        match family {
            Family::Watermanship => self.watermanship,
            Family::Equipment => self.equipment,
            Family::EntryExit => self.entry_exit,
            Family::Surface => self.at_surface,
            Family::Regulator => self.regulator,
            Family::Mask => self.mask,
            Family::Buoyancy => self.buoyancy,
            Family::Propulsion => self.propulsion,
            Family::DescentAscent => self.descent_ascent,
            Family::GasEmergency => self.gas_emergency,
            Family::Navigation => self.navigation,
            Family::Awareness => self.awareness,
            Family::Assist => self.assist,
        }
    }

    pub(crate) const fn mark_of(&self, mark: Mark) -> &'static str {
        match mark {
            Mark::Met => self.met,
            Mark::Nearly => self.nearly,
            Mark::NotYet => self.not_yet,
            Mark::SatOut => self.sat_out,
        }
    }

    pub(crate) const fn state_of(&self, state: CellState) -> &'static str {
        match state {
            CellState::Open => self.state_open,
            CellState::Trying => self.state_trying,
            CellState::Shown => self.state_shown,
            CellState::Met => self.state_met,
            CellState::TwoViews => self.state_two_views,
            CellState::Exempt => self.state_exempt,
        }
    }

    pub(crate) const fn clearance_of(&self, what: ClearanceKind) -> &'static str {
        match what {
            ClearanceKind::Health => self.health,
            ClearanceKind::Physician => self.physician,
            ClearanceKind::Consent => self.consent,
            ClearanceKind::Swim => self.swim,
            ClearanceKind::Float => self.float,
            ClearanceKind::Theory => self.theory,
        }
    }

    /// What a clearance said; a test is passed, a paper clears.
    pub(crate) const fn result_of(
        &self,
        what: ClearanceKind,
        result: ClearanceResult,
    ) -> &'static str {
        let test = matches!(
            what,
            ClearanceKind::Swim | ClearanceKind::Float | ClearanceKind::Theory
        );
        match (result, test) {
            (ClearanceResult::Cleared, true) => self.passed,
            (ClearanceResult::Cleared, false) => self.cleared,
            (ClearanceResult::Referred, _) => self.referred_to_physician,
            (ClearanceResult::NotCleared, true) => self.not_passed,
            (ClearanceResult::NotCleared, false) => self.not_cleared,
        }
    }

    /// Metres swum, minutes afloat or per cent reached.
    pub(crate) fn clearance_figure(&self, what: ClearanceKind, figure: u32) -> String {
        let pattern = match what {
            ClearanceKind::Swim => self.metres,
            ClearanceKind::Float => self.minutes,
            ClearanceKind::Theory => self.percent,
            ClearanceKind::Health | ClearanceKind::Physician | ClearanceKind::Consent => "{n}",
        };
        fill(pattern, &[("n", &figure.to_string())])
    }

    pub(crate) const fn weight_of(&self, verdict: WeightVerdict) -> &'static str {
        match verdict {
            WeightVerdict::Right => self.right,
            WeightVerdict::Heavy => self.heavy,
            WeightVerdict::Light => self.light,
        }
    }

    pub(crate) const fn part_of(&self, part: Part) -> &'static str {
        match part {
            Part::Enrolment => self.part_enrolment,
            Part::Papers => self.part_papers,
            Part::Skills => self.part_skills,
            Part::Sessions => self.part_sessions,
            Part::Dives => self.part_dives,
            Part::Weights => self.part_weights,
            Part::Completion => self.part_completion,
        }
    }

    /// Who signed, with the role.
    pub(crate) fn signer(&self, signer: &Signer) -> String {
        format!("{}, {}", signer_name(signer), self.role_of(signer.role))
    }

    /// A figure taken in a try.
    pub(crate) fn measured(&self, units: Units, measured: Measured, unit: Option<&str>) -> String {
        let with = |value: u32| match unit {
            Some(unit) => format!("{value} {unit}"),
            None => value.to_string(),
        };
        match measured {
            Measured::Count(value) | Measured::Reading(value) => with(value),
            Measured::Seconds(value) => self.span(value),
            Measured::Decimetres(value) => units.distance(value),
            Measured::Centimetres(value) => units.figure(Of::Band, value),
            Measured::CmPerMinute(value) => units.rate(value),
        }
    }

    /// Seconds as minutes and seconds.
    pub(crate) fn span(&self, seconds: u32) -> String {
        if seconds < 60 {
            format!("{seconds} {}", self.seconds_short)
        } else {
            format!(
                "{}:{:02} {}",
                seconds / 60,
                seconds % 60,
                self.minutes_short
            )
        }
    }

    /// Session and place.
    pub(crate) fn place(&self, place: &Place) -> String {
        format!("{} · {}", place.title, place.site)
    }

    /// What a session is besides its setting.
    pub(crate) const fn condition_of(&self, condition: Condition) -> &'static str {
        match condition {
            Condition::Night => self.night,
            Condition::Current => self.moving,
            Condition::Overhead => self.overhead,
            Condition::Ice => self.ice,
            Condition::Boat => self.boat,
        }
    }

    /// What staff renew.
    pub(crate) const fn staff_paper_of(&self, paper: StaffPaper) -> &'static str {
        match paper {
            StaffPaper::TeachingStatus => self.teaching_status,
            StaffPaper::Insurance => self.insurance,
            StaffPaper::FirstAid => self.first_aid,
            StaffPaper::Oxygen => self.oxygen_provider,
            StaffPaper::Medical => self.staff_medical,
        }
    }

    /// What a member of staff lacks.
    pub(crate) fn staff_gap(&self, gap: &StaffGap) -> String {
        match &gap.what {
            StaffMissing::RuleUnconfirmed(_) => self.gap_staff_rule.to_owned(),
            StaffMissing::NotRecorded(paper) => {
                fill(self.gap_clearance, &[("what", self.staff_paper_of(*paper))])
            }
            StaffMissing::Ended(paper, until) => fill(
                self.gap_expired,
                &[
                    ("what", self.staff_paper_of(*paper)),
                    ("when", &day(*until)),
                ],
            ),
            StaffMissing::Kit { piece, wrong } => self.kit_gap(piece, *wrong),
        }
    }

    /// What a site lacks before water.
    pub(crate) fn site_missing(&self, missing: &SiteMissing) -> String {
        match missing {
            SiteMissing::RuleUnconfirmed(_) => self.gap_site_rule.to_owned(),
            SiteMissing::NoPlan => self.site_no_plan.to_owned(),
            SiteMissing::NotConfirmed => self.site_not_confirmed.to_owned(),
            SiteMissing::TooOld(on, months) => fill(
                self.site_too_old,
                &[("when", &day(*on)), ("n", &months.to_string())],
            ),
        }
    }

    /// The parts of an emergency plan, each with what it is called, in the order in which
    /// they are needed.
    pub(crate) fn emergency_parts<'a>(
        &self,
        plan: &'a EmergencyPlan,
    ) -> [(&'static str, &'a str); 8] {
        [
            (self.numbers_to_call, &plan.numbers),
            (self.address, &plan.address),
            (self.oxygen_where, &plan.oxygen),
            (self.first_aid_is, &plan.first_aid),
            (self.nearest_chamber, &plan.chamber),
            (self.nearest_hospital, &plan.hospital),
            (self.assembly, &plan.assembly),
            (self.who_does_what, &plan.roles),
        ]
    }

    /// A text that rules were checked against, with who read it and when.
    pub(crate) fn text_read(&self, line: &TextLine) -> String {
        let read = &line.read;
        let named = [
            Some(&read.title),
            read.edition.as_ref(),
            read.clause.as_ref(),
        ];
        let named: Vec<&str> = named.into_iter().flatten().map(String::as_str).collect();
        fill(
            self.text_read,
            &[
                ("n", &line.rules.to_string()),
                ("text", &named.join(", ")),
                ("on", &day(read.on)),
                ("who", &line.by),
            ],
        )
    }

    /// Gaps in words: what the person can close each on its own, then how many rules wait for
    /// somebody of the school, in one line.
    pub(crate) fn gaps(
        &self,
        gaps: &[Gap],
        outline: Option<&Outline>,
        units: Units,
    ) -> Vec<String> {
        let of_rule = |gap: &&Gap| matches!(gap.what, Missing::RuleUnconfirmed(_));
        let others = gaps.iter().filter(|gap| !of_rule(gap));
        let mut said: Vec<String> = others.map(|gap| self.gap(gap, outline, units)).collect();
        let rules = gaps.iter().filter(of_rule).count();
        if rules > 0 {
            said.push(fill(self.gaps_rules, &[("n", &rules.to_string())]));
        }
        said
    }

    /// A gap in words.
    pub(crate) fn gap(&self, gap: &Gap, outline: Option<&Outline>, units: Units) -> String {
        let skill = |id: &SkillId| {
            outline
                .and_then(|outline| outline.skill(id))
                .map_or_else(|| id.to_string(), |skill| skill.name.clone())
        };
        match &gap.what {
            Missing::Policy => self.gap_policy.to_owned(),
            Missing::RuleUnconfirmed(rule) => fill(self.gap_rule, &[("what", rule.as_str())]),
            Missing::Outline => self.gap_outline.to_owned(),
            Missing::Clearance(what) => {
                fill(self.gap_clearance, &[("what", self.clearance_of(*what))])
            }
            Missing::NotCleared(what, result) => fill(
                self.gap_not_cleared,
                &[
                    ("what", self.clearance_of(*what)),
                    ("result", self.result_of(*what, *result)),
                ],
            ),
            Missing::Expired(what, until) => fill(
                self.gap_expired,
                &[("what", self.clearance_of(*what)), ("when", &day(*until))],
            ),
            Missing::Skill {
                skill: id,
                state,
                met,
                of,
            } => {
                let mut state = self.state_of(*state).to_owned();
                if *of > 1 {
                    let count = fill(
                        self.of_needed,
                        &[("n", &met.to_string()), ("of", &of.to_string())],
                    );
                    state = format!("{state}, {count}");
                }
                fill(self.gap_skill, &[("what", &skill(id)), ("state", &state)])
            }
            Missing::Age => self.gap_age.to_owned(),
            Missing::TooYoung { least } => fill(self.gap_too_young, &[("n", &least.to_string())]),
            Missing::Forbidden(condition) => fill(
                self.gap_forbidden,
                &[("what", self.condition_of(*condition))],
            ),
            Missing::TooDeepForAge { under, max_cm } => fill(
                self.gap_too_deep,
                &[("n", &under.to_string()), ("depth", &units.depth(*max_cm))],
            ),
            Missing::SkillNotThere(id) => fill(self.gap_skill_gone, &[("what", id.as_str())]),
            Missing::SlippedSince(id) => fill(self.gap_slipped, &[("what", &skill(id))]),
            Missing::Dives { have, need } => fill(
                self.gap_dives,
                &[("n", &have.to_string()), ("of", &need.to_string())],
            ),
            Missing::Kit { piece, wrong } => self.kit_gap(piece, *wrong),
        }
    }
}

/// A signer's name; the id where the shop's ledger gives none.
pub(crate) fn signer_name(signer: &Signer) -> String {
    signer
        .name
        .clone()
        .unwrap_or_else(|| signer.staff.to_string())
}
