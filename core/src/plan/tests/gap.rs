//! Every kind of gap, and what closes it.

use chrono::NaiveDate;

use crate::course::{AgeKnown, ClearanceKind, DiveLog, Setting, StudentId, WaterKind};
use crate::entry::{
    Clearance, ClearanceResult, DiveLogged, Exemption, Kind, Mark, PolicySet, RuleConfirmed, Who,
};
use crate::plan::{Gap, Going, Missing, before_completion, before_session, counts_until};
use crate::standing::sample::{
    OFFICE, PELLE, RENATE, Sample, day, policy, read_text, rule_id, session, skill_id, student,
    time,
};
use crate::standing::{CellState, ShopStanding};

const GROWN: &str = "1990-05-05";

fn gaps_before(sample: &Sample, setting: Setting, on: &str, born: Option<&str>) -> Vec<Missing> {
    let going = Going::somewhere(setting, day(on));
    let age = born.map_or(AgeKnown::Nothing, |born| AgeKnown::Born(day(born)));
    let gaps = before_session(
        &ShopStanding::default(),
        &sample.now,
        &student(1),
        &going,
        age,
    );
    gaps.into_iter().map(|gap| gap.what).collect()
}

fn completion_gaps(sample: &Sample, of: StudentId, on: &str) -> Vec<Gap> {
    before_completion(&sample.now, &of, day(on), AgeKnown::Born(day(GROWN)))
}

/// A course with every rule confirmed.
fn confirmed() -> Sample {
    let mut sample = Sample::new();
    sample.confirm_rules();
    sample
}

#[test]
fn without_a_policy_nothing_may_be_called_kept() {
    let sample = Sample::bare();
    assert_eq!(
        gaps_before(&sample, Setting::Confined, "2026-06-02", None),
        [Missing::Policy]
    );
    let gap = &completion_gaps(&sample, student(1), "2026-06-02")[0];
    assert_eq!(gap.what, Missing::Policy);
    assert_eq!(gap.closes_with, Kind::PolicySet);
}

#[test]
fn a_classroom_asks_for_nothing() {
    let sample = Sample::bare();
    assert!(gaps_before(&sample, Setting::Classroom, "2026-06-02", None).is_empty());
}

#[test]
fn a_rule_that_nobody_confirmed_is_a_gap_even_when_its_paper_is_there() {
    let mut sample = Sample::new();
    sample.clear(1, ClearanceKind::Health, ClearanceResult::Cleared);
    let gaps = before_session(
        &ShopStanding::default(),
        &sample.now,
        &student(1),
        &Going::somewhere(Setting::Confined, day("2026-06-02")),
        AgeKnown::Born(day(GROWN)),
    );
    let what: Vec<&Missing> = gaps.iter().map(|gap| &gap.what).collect();
    for rule in ["health", "currency", "consent"] {
        let missing = Missing::RuleUnconfirmed(rule_id(rule));
        assert!(what.contains(&&missing), "{rule}: {what:?}");
    }
    assert_eq!(
        gaps.len(),
        3,
        "the swim is not asked for before confined water"
    );
    assert!(
        gaps.iter()
            .all(|gap| gap.closes_with == Kind::PolicyConfirmed)
    );
    sample.confirm_rules();
    assert!(gaps_before(&sample, Setting::Confined, "2026-06-02", Some(GROWN)).is_empty());
}

#[test]
fn confirmations_taken_over_from_the_shop_hold() {
    let mut sample = Sample::bare();
    let confirmed = policy()
        .rules
        .into_iter()
        .map(|rule| RuleConfirmed {
            rule: rule.id,
            by: OFFICE.staff,
            on: day("2026-05-01"),
            read: read_text(),
        })
        .collect();
    sample.add(
        OFFICE,
        &[],
        PolicySet {
            policy: policy(),
            confirmed,
            proofs: Vec::new(),
        },
    );
    assert_eq!(
        gaps_before(&sample, Setting::Confined, "2026-06-02", Some(GROWN)),
        [Missing::Clearance(ClearanceKind::Health)]
    );
}

#[test]
fn a_policy_that_was_changed_is_confirmed_by_nobody() {
    let mut sample = confirmed();
    sample.clear(1, ClearanceKind::Health, ClearanceResult::Cleared);
    let after = sample.now.all_of_kind(Kind::PolicySet);
    let mut edited = policy();
    edited.edition = 2;
    sample.add(
        OFFICE,
        &after,
        PolicySet {
            policy: edited,
            confirmed: Vec::new(),
            proofs: Vec::new(),
        },
    );
    assert_eq!(
        gaps_before(&sample, Setting::Confined, "2026-06-02", Some(GROWN)).len(),
        3
    );
}

#[test]
fn each_setting_asks_for_the_papers_of_its_gates() {
    let sample = confirmed();
    let health = Missing::Clearance(ClearanceKind::Health);
    let swim = Missing::Clearance(ClearanceKind::Swim);
    for setting in [Setting::Surface, Setting::Confined] {
        assert_eq!(
            gaps_before(&sample, setting, "2026-06-02", Some(GROWN)),
            std::slice::from_ref(&health)
        );
    }
    assert_eq!(
        gaps_before(&sample, Setting::Open, "2026-06-02", Some(GROWN)),
        [health, swim]
    );
}

#[test]
fn a_declaration_that_asks_for_a_physician_stands_in_the_way_until_the_physician_clears() {
    let mut sample = confirmed();
    let gaps = |sample: &Sample| gaps_before(sample, Setting::Confined, "2026-06-02", Some(GROWN));
    sample.clear(1, ClearanceKind::Health, ClearanceResult::Referred);
    assert_eq!(
        gaps(&sample),
        [Missing::Clearance(ClearanceKind::Physician)]
    );
    sample.clear(1, ClearanceKind::Physician, ClearanceResult::NotCleared);
    assert_eq!(
        gaps(&sample),
        [Missing::NotCleared(
            ClearanceKind::Physician,
            ClearanceResult::NotCleared
        )]
    );
    sample.clear(1, ClearanceKind::Physician, ClearanceResult::Cleared);
    assert!(gaps(&sample).is_empty());
    assert_eq!(
        gaps_before(&sample, Setting::Confined, "2027-06-02", Some(GROWN)),
        [Missing::Expired(
            ClearanceKind::Physician,
            day("2027-06-01")
        )],
        "a physician's clearance is current as long as a declaration"
    );
}

#[test]
fn a_physician_is_not_asked_for_where_the_declaration_was_in_order() {
    let mut sample = Sample::bare();
    let mut asks = policy();
    asks.rules.push(crate::course::PolicyRule {
        id: rule_id("physician"),
        rule: crate::course::Rule::Needs {
            clearance: ClearanceKind::Physician,
            before: crate::course::Gate::Water,
        },
        source: "Invented for a test".to_owned(),
    });
    sample.add(
        OFFICE,
        &[],
        PolicySet {
            policy: asks,
            confirmed: Vec::new(),
            proofs: Vec::new(),
        },
    );
    sample.confirm_rules();
    sample.clear(1, ClearanceKind::Health, ClearanceResult::Cleared);
    assert!(gaps_before(&sample, Setting::Confined, "2026-06-02", Some(GROWN)).is_empty());
}

#[test]
fn a_refused_paper_is_named_with_what_it_said() {
    let mut sample = confirmed();
    sample.clear(1, ClearanceKind::Health, ClearanceResult::NotCleared);
    assert_eq!(
        gaps_before(&sample, Setting::Confined, "2026-06-02", Some(GROWN)),
        [Missing::NotCleared(
            ClearanceKind::Health,
            ClearanceResult::NotCleared
        )]
    );
}

#[test]
fn of_two_papers_read_apart_the_graver_holds() {
    let mut sample = confirmed();
    let says = |result| Clearance {
        student: student(1),
        what: ClearanceKind::Health,
        result,
        until: None,
        figure: None,
    };
    sample.add(RENATE, &[], says(ClearanceResult::Referred));
    sample.add(OFFICE, &[], says(ClearanceResult::Cleared));
    assert_eq!(
        gaps_before(&sample, Setting::Confined, "2026-06-02", Some(GROWN)),
        [Missing::Clearance(ClearanceKind::Physician)]
    );
}

#[test]
fn a_declaration_counts_through_its_last_day_and_not_a_day_longer() {
    let mut sample = confirmed();
    sample.clock("2026-06-02T08:00:00+02:00");
    sample.clear(1, ClearanceKind::Health, ClearanceResult::Cleared);
    let gaps = |on: &str| gaps_before(&sample, Setting::Confined, on, Some(GROWN));
    assert!(gaps("2027-06-02").is_empty());
    assert_eq!(
        gaps("2027-06-03"),
        [Missing::Expired(ClearanceKind::Health, day("2027-06-02"))]
    );
}

#[test]
fn a_paper_that_ends_earlier_than_the_policy_ends_there() {
    let mut sample = confirmed();
    let clearance = |until| Clearance {
        student: student(1),
        what: ClearanceKind::Health,
        result: ClearanceResult::Cleared,
        until,
        figure: None,
    };
    sample.add(RENATE, &[], clearance(Some(day("2026-09-01"))));
    let found = sample
        .now
        .clearance(&student(1), ClearanceKind::Health)
        .unwrap();
    assert_eq!(counts_until(&sample.now, found), Some(day("2026-09-01")));
    let after = sample
        .now
        .clearance_entries(&student(1), ClearanceKind::Health);
    sample.add(RENATE, &after, clearance(Some(day("2030-09-01"))));
    let found = sample
        .now
        .clearance(&student(1), ClearanceKind::Health)
        .unwrap();
    assert_eq!(
        counts_until(&sample.now, found),
        Some(day("2027-06-01")),
        "the policy's year is shorter than the paper's four"
    );
}

#[test]
fn a_swim_has_no_end() {
    let mut sample = confirmed();
    sample.clear(1, ClearanceKind::Swim, ClearanceResult::Cleared);
    let found = sample
        .now
        .clearance(&student(1), ClearanceKind::Swim)
        .unwrap();
    assert_eq!(counts_until(&sample.now, found), None);
}

#[test]
fn a_minor_needs_a_guardians_consent_until_the_birthday_itself() {
    let mut sample = confirmed();
    sample.clear(1, ClearanceKind::Health, ClearanceResult::Cleared);
    let born = Some("2008-06-10");
    let consent = [Missing::Clearance(ClearanceKind::Consent)];
    let gaps = |on: &str| gaps_before(&sample, Setting::Confined, on, born);
    assert_eq!(gaps("2026-06-09"), consent);
    assert!(gaps("2026-06-10").is_empty());
    let mut signed = sample.clone();
    signed.clear(1, ClearanceKind::Consent, ClearanceResult::Cleared);
    assert!(gaps_before(&signed, Setting::Confined, "2026-06-09", born).is_empty());
}

#[test]
fn someone_born_on_a_leap_day_is_a_minor_through_the_end_of_february() {
    let mut sample = confirmed();
    sample.clear(1, ClearanceKind::Health, ClearanceResult::Cleared);
    let gaps = |on: &str| gaps_before(&sample, Setting::Confined, on, Some("2008-02-29"));
    assert_eq!(
        gaps("2026-02-28"),
        [Missing::Clearance(ClearanceKind::Consent)]
    );
    assert!(gaps("2026-03-01").is_empty());
}

#[test]
fn a_birth_date_after_the_day_counts_as_a_minor() {
    let mut sample = confirmed();
    sample.clear(1, ClearanceKind::Health, ClearanceResult::Cleared);
    assert_eq!(
        gaps_before(&sample, Setting::Confined, "2026-06-02", Some("2027-01-01")),
        [Missing::Clearance(ClearanceKind::Consent)]
    );
}

#[test]
fn completion_lists_every_required_skill_that_is_not_met_with_what_closes_it() {
    let mut sample = confirmed();
    sample.mark(RENATE, 1, "once", Mark::Met, 1);
    sample.mark(PELLE, 1, "builds", Mark::Met, 1);
    sample.mark_after(RENATE, &[], 1, "both", Mark::Met, 1);
    sample.mark_after(PELLE, &[], 1, "both", Mark::NotYet, 1);
    sample.mark(RENATE, 1, "twice", Mark::Met, 1);
    let gaps = completion_gaps(&sample, student(1), "2026-06-02");
    let skill = |id: &str, state, met, of| Missing::Skill {
        skill: skill_id(id),
        state,
        met,
        of,
    };
    let closing = |what: &Missing| {
        gaps.iter()
            .find(|gap| gap.what == *what)
            .unwrap()
            .closes_with
    };
    let shown = skill("builds", CellState::Shown, 0, 1);
    assert_eq!(closing(&shown), Kind::Confirmation);
    let views = skill("both", CellState::TwoViews, 1, 2);
    assert_eq!(closing(&views), Kind::Resolution);
    let trying = skill("twice", CellState::Trying, 1, 2);
    assert_eq!(closing(&trying), Kind::Attempt);
    let open = skill("ways", CellState::Open, 0, 2);
    assert_eq!(closing(&open), Kind::Attempt);
    let skills = gaps
        .iter()
        .filter(|gap| matches!(gap.what, Missing::Skill { .. }));
    assert_eq!(skills.count(), 4, "once is met, and extra is not required");
}

#[test]
fn a_skill_that_slipped_since_is_a_gap_until_an_instructor_settles_it() {
    let mut sample = confirmed();
    sample.mark(RENATE, 1, "once", Mark::Met, 1);
    sample.mark(RENATE, 1, "once", Mark::NotYet, 2);
    let gaps = completion_gaps(&sample, student(1), "2026-06-02");
    let slipped = Missing::SlippedSince(skill_id("once"));
    let gap = gaps.iter().find(|gap| gap.what == slipped).unwrap();
    assert_eq!(gap.closes_with, Kind::Resolution);
}

#[test]
fn a_course_without_an_outline_cannot_be_completed() {
    let mut sample = Sample::empty();
    sample.enrol(1);
    let gaps = completion_gaps(&sample, student(1), "2026-06-02");
    assert!(
        gaps.iter()
            .any(|gap| gap.what == Missing::Outline && gap.closes_with == Kind::OutlineSet)
    );
}

fn dive(sample: &mut Sample, held: Option<u128>, who: Who) {
    let log = DiveLog {
        down: time("2026-06-06T09:30:00+02:00"),
        up: time("2026-06-06T09:55:00+02:00"),
        max_depth_cm: 900,
        mean_depth_cm: None,
        ascents: None,
        gas: None,
        water: WaterKind::Fresh,
        temperature_dc: None,
        profile: Vec::new(),
    };
    sample.add(
        RENATE,
        &[],
        DiveLogged {
            site: None,
            who,
            session: held.map(session),
            log,
        },
    );
}

#[test]
fn only_the_students_own_dives_in_open_water_count() {
    let mut sample = confirmed();
    let missing = |sample: &Sample| {
        completion_gaps(sample, student(1), "2026-06-07")
            .into_iter()
            .find(|gap| matches!(gap.what, Missing::Dives { .. }))
    };
    let none = Gap {
        what: Missing::Dives { have: 0, need: 1 },
        closes_with: Kind::DiveLogged,
    };
    dive(&mut sample, Some(1), Who::Student(student(1)));
    dive(&mut sample, None, Who::Student(student(1)));
    dive(&mut sample, Some(3), Who::Student(student(2)));
    dive(&mut sample, Some(3), Who::Staff(RENATE.staff));
    assert_eq!(missing(&sample), Some(none));
    dive(&mut sample, Some(3), Who::Student(student(1)));
    assert_eq!(missing(&sample), None);
}

/// Student 1 with every paper, skill and dive, in a course whose rules are confirmed.
fn all_done() -> Sample {
    let mut sample = confirmed();
    for what in [
        ClearanceKind::Health,
        ClearanceKind::Swim,
        ClearanceKind::Theory,
    ] {
        sample.clear(1, what, ClearanceResult::Cleared);
    }
    for skill in ["once", "builds"] {
        sample.mark(RENATE, 1, skill, Mark::Met, 1);
    }
    for held in [1, 3] {
        sample.mark(RENATE, 1, "twice", Mark::Met, held);
        sample.mark(RENATE, 1, "both", Mark::Met, held);
    }
    for way in ["purge", "breath"] {
        sample.mark_way(RENATE, 1, "ways", way, 1);
    }
    dive(&mut sample, Some(3), Who::Student(student(1)));
    sample
}

#[test]
fn nothing_is_missing_when_everything_is_there() {
    let sample = all_done();
    assert_eq!(completion_gaps(&sample, student(1), "2026-06-07"), []);
    assert!(!completion_gaps(&sample, student(2), "2026-06-07").is_empty());
}

#[test]
fn an_exempt_skill_is_no_gap() {
    let mut sample = confirmed();
    let before = completion_gaps(&sample, student(1), "2026-06-07").len();
    sample.add(
        RENATE,
        &[],
        Exemption {
            student: student(1),
            skill: skill_id("both"),
            why: "Done elsewhere".to_owned(),
            elsewhere: None,
        },
    );
    let after = completion_gaps(&sample, student(1), "2026-06-07").len();
    assert_eq!(after + 1, before);
}

#[test]
fn a_rule_about_dives_that_nobody_confirmed_is_a_gap_however_many_were_made() {
    let mut sample = Sample::new();
    dive(&mut sample, Some(3), Who::Student(student(1)));
    let gaps = completion_gaps(&sample, student(1), "2026-06-07");
    let what = Missing::RuleUnconfirmed(rule_id("dives"));
    assert!(gaps.iter().any(|gap| gap.what == what));
    let named = |gap: &&Gap| gap.what == what;
    assert_eq!(gaps.iter().filter(named).count(), 1);
}

#[test]
fn a_day_far_off_is_a_day_like_any_other() {
    let sample = all_done();
    let gaps = before_completion(
        &sample.now,
        &student(1),
        NaiveDate::MAX,
        AgeKnown::Born(NaiveDate::MIN),
    );
    assert_eq!(gaps.len(), 1, "the declaration alone has ended: {gaps:?}");
}
