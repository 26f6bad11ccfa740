//! Supervision, vertical ascents and evidence.

use proptest::prelude::*;
use tallywater_core::calc::ascent::{AscentBatch, AscentStanding, ascent_day};
use tallywater_core::calc::evidence::*;
use tallywater_core::calc::supervision::*;
use tallywater_core::calc::unit::{Celsius, Metres, Share};

fn any_assistants() -> impl Strategy<Value = Vec<Assistant>> {
    let one = proptest::sample::select(vec![
        Assistant::Counts,
        Assistant::NotCurrent,
        Assistant::NotBriefed,
        Assistant::OutOfWater,
    ]);
    proptest::collection::vec(one, 0..6)
}

prop_compose! {
    fn any_conditions()(
        visibility in proptest::option::of(0.0..40.0_f64),
        motion in proptest::sample::select(vec![WaterMotion::Calm, WaterMotion::Some, WaterMotion::Strong]),
        temperature in proptest::option::of(-1.0..32.0_f64),
        minors in 0_u32..6,
        experience in proptest::sample::select(vec![Experience::FirstDive, Experience::DivedBefore]),
    ) -> Conditions {
        Conditions { visibility: visibility.map(Metres), motion, temperature: temperature.map(Celsius), minors, experience }
    }
}

fn any_policy() -> impl Strategy<Value = CeilingPolicy> {
    (
        0_u32..12,
        0_u32..5,
        proptest::option::of(1_u32..16),
        proptest::bool::ANY,
    )
        .prop_map(|(base, more, cap, confirmed)| CeilingPolicy {
            per_instructor: base,
            per_assistant: more,
            cap,
            confirmation: if confirmed {
                Confirmation::Confirmed
            } else {
                Confirmation::Unconfirmed
            },
            ..starter_policy(Setting::OpenWater)
        })
}

fn curve_of(tries: &[(u32, bool)]) -> AttemptCurve {
    let tries: Vec<Tries> = tries
        .iter()
        .map(|(attempts, met)| Tries {
            attempts: *attempts,
            end: if *met {
                AttemptEnd::Met
            } else {
                AttemptEnd::NotYet
            },
        })
        .collect();
    attempt_curve(&tries, Level::NinetyFive).unwrap()
}

proptest! {
    #![proptest_config(super::cases())]

    #[test]
    fn nothing_is_good_on_an_unconfirmed_policy(policy in any_policy(), assistants in any_assistants(), now in any_conditions(), instructors in 0_u32..3, in_water in 0_u32..20) {
        let staff = StaffNow { instructors, assistants };
        let seen = supervision(&policy, &staff, &now, &HouseReductions::STARTER, in_water).unwrap();
        match seen.standing {
            Standing::Below | Standing::AtCeiling => prop_assert_eq!(policy.confirmation, Confirmation::Confirmed),
            Standing::Unconfirmed => prop_assert_eq!(policy.confirmation, Confirmation::Unconfirmed),
            Standing::Over => prop_assert!(in_water > seen.ceiling),
        }
        prop_assert_eq!(seen.standing == Standing::Over, in_water > seen.ceiling);
        // Step by step from nothing to the number.
        let mut before = 0;
        for step in &seen.steps {
            prop_assert_eq!(step.before, before);
            before = step.after;
        }
        prop_assert_eq!(before, seen.ceiling);
    }

    #[test]
    fn a_worse_day_never_allows_more(policy in any_policy(), assistants in any_assistants(), now in any_conditions(), less in 0.0..5.0_f64) {
        let staff = StaffNow { instructors: 1, assistants };
        let ceiling = |now: &Conditions| supervision(&policy, &staff, now, &HouseReductions::STARTER, 0).unwrap().ceiling;
        let today = ceiling(&now);
        let fine = Conditions { visibility: Some(Metres(30.0)), motion: WaterMotion::Calm, temperature: Some(Celsius(25.0)), minors: 0, experience: Experience::DivedBefore };
        prop_assert!(today <= ceiling(&fine));
        let strong = Conditions { motion: WaterMotion::Strong, ..now };
        let younger = Conditions { minors: now.minors + 1, ..now };
        let murkier = Conditions { visibility: now.visibility.map(|seen| Metres((seen.0 - less).max(0.0))), ..now };
        let unmeasured = Conditions { temperature: None, ..now };
        prop_assert_eq!(ceiling(&strong), 0);
        prop_assert!(ceiling(&younger) <= today);
        prop_assert!(ceiling(&murkier) <= today);
        prop_assert!(ceiling(&unmeasured) <= today);
    }

    #[test]
    fn one_more_ascent_is_one_fewer_left(ascents in 1_u32..20, limit in 1_u32..12) {
        let day = |ascents| ascent_day(&[AscentBatch { ascents, depth: Metres(9.0) }], limit).unwrap();
        prop_assert!(day(ascents + 1).left <= day(ascents).left);
        prop_assert_eq!(day(ascents).standing == AscentStanding::Over, ascents > limit);
    }

    #[test]
    fn wilson_holds_the_share_and_narrows_with_tries(met in 0_u32..60, missed in 0_u32..60) {
        prop_assume!(met + missed > 0);
        let seen = share_met(met, met + missed, Level::NinetyFive).unwrap();
        let (low, high) = (seen.interval.low.0, seen.interval.high.0);
        prop_assert!((0.0..=1.0).contains(&low) && (0.0..=1.0).contains(&high));
        prop_assert!(low <= seen.share.0 && seen.share.0 <= high);
        let ten = share_met(met * 10, (met + missed) * 10, Level::NinetyFive).unwrap().interval;
        prop_assert!(ten.high.0 - ten.low.0 < high - low);
        let sure = share_met(met, met + missed, Level::NinetyNine).unwrap().interval;
        prop_assert!(sure.low.0 <= low && sure.high.0 >= high);
        let better = share_met(met + 1, met + missed + 1, Level::NinetyFive).unwrap().interval;
        prop_assert!(better.low.0 >= low);
    }

    #[test]
    fn a_posterior_is_never_sure_and_more_met_believes_more(met in 0_u32..80, missed in 0_u32..80, mark in 0.05..0.95_f64) {
        let of = |met: u32| posterior(met, met + missed, Share(mark), Level::NinetyFive).unwrap();
        let seen = of(met);
        prop_assert!(seen.interval.low.0 > 0.0 && seen.interval.high.0 < 1.0);
        prop_assert!(seen.interval.low.0 < seen.mean.0 && seen.mean.0 < seen.interval.high.0);
        prop_assert!((0.0..=1.0).contains(&seen.above.0));
        prop_assert!(of(met + 1).above.0 >= seen.above.0 - 1e-12 && of(met + 1).mean > seen.mean);
    }

    #[test]
    fn kappa_never_beats_full_agreement_and_does_not_care_who_is_first(cells in proptest::collection::vec(0_u32..30, 9)) {
        let table: Vec<Vec<u32>> = cells.chunks(3).map(<[u32]>::to_vec).collect();
        prop_assume!(cells.iter().sum::<u32>() > 0);
        let turned: Vec<Vec<u32>> = (0..3).map(|column| table.iter().map(|line| line[column]).collect()).collect();
        let (one, other) = (agreement(&table, Level::NinetyFive).unwrap(), agreement(&turned, Level::NinetyFive).unwrap());
        prop_assert_eq!(one.same, other.same);
        match (one.kappa, other.kappa) {
            (Kappa::Of { kappa, error, low, high, .. }, Kappa::Of { kappa: turned, .. }) => {
                prop_assert!((kappa.0 - turned.0).abs() < 1e-12);
                prop_assert!(kappa.0 <= 1.0 + 1e-12 && kappa.0 >= -1.0 - 1e-12 && error.0.is_finite());
                prop_assert!(low <= kappa && high.0 >= kappa.0 - 1e-12);
            }
            (Kappa::NoDisagreement { items }, Kappa::NoDisagreement { .. }) => prop_assert_eq!(items, one.same),
            (Kappa::Of { .. }, Kappa::NoDisagreement { .. }) | (Kappa::NoDisagreement { .. }, Kappa::Of { .. }) => prop_assert!(false, "one is defined and the other not"),
        }
    }

    #[test]
    fn fewer_and_fewer_have_not_met_it_yet(tries in proptest::collection::vec((1_u32..9, proptest::bool::ANY), 1..30)) {
        let curve = curve_of(&tries);
        let mut before = 1.0;
        for step in &curve.steps {
            prop_assert!(step.not_yet.0 < before && step.not_yet.0 >= 0.0);
            before = step.not_yet.0;
            if let Some(interval) = step.interval {
                prop_assert!(interval.low <= step.not_yet && step.not_yet <= interval.high);
            }
        }
        prop_assert_eq!(curve.met, u32::try_from(tries.iter().filter(|(_, met)| *met).count()).unwrap());
        for attempt in 1..10 {
            prop_assert!(curve.met_by(attempt + 1) >= curve.met_by(attempt));
        }
        prop_assert!(curve.median.is_none() || curve.median_low <= curve.median);
    }
}
