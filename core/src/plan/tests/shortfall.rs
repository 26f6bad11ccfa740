//! Figures below what a skill asks for.

use crate::course::{Measure, Skill};
use crate::entry::{Measured, falls_short};
use crate::standing::sample::skill;

fn asked(measures: Vec<Measure>) -> Skill {
    let mut skill = skill("once");
    skill.requirement.measures = measures;
    skill
}

#[test]
fn a_figure_is_short_on_the_wrong_side_of_its_bound_alone() {
    let cases = [
        (
            Measure::Count {
                at_least: 3,
                of: "breaths".to_owned(),
            },
            [Measured::Count(2), Measured::Count(3)],
        ),
        (
            Measure::Hold { seconds: 60 },
            [Measured::Seconds(59), Measured::Seconds(60)],
        ),
        (
            Measure::Within { seconds: 10 },
            [Measured::Seconds(11), Measured::Seconds(10)],
        ),
        (
            Measure::Distance { decimetres: 2_000 },
            [Measured::Decimetres(1_999), Measured::Decimetres(2_000)],
        ),
        (
            Measure::DepthBand { plus_minus_cm: 50 },
            [Measured::Centimetres(51), Measured::Centimetres(50)],
        ),
        (
            Measure::AscentRate { cm_per_minute: 900 },
            [Measured::CmPerMinute(901), Measured::CmPerMinute(900)],
        ),
        (
            Measure::Miss { decimetres: 50 },
            [Measured::Decimetres(51), Measured::Decimetres(50)],
        ),
        (
            Measure::Reading {
                at_most: 10,
                unit: "bar".to_owned(),
            },
            [Measured::Reading(11), Measured::Reading(10)],
        ),
    ];
    for (measure, [short, reached]) in cases {
        let skill = asked(vec![measure]);
        assert_eq!(falls_short(&skill, &[short]), [short]);
        assert_eq!(falls_short(&skill, &[reached]), []);
    }
}

#[test]
fn a_figure_that_suits_two_parts_is_short_where_it_reaches_neither_and_of_none_says_nothing() {
    let both = asked(vec![
        Measure::Hold { seconds: 60 },
        Measure::Within { seconds: 10 },
    ]);
    let between = Measured::Seconds(30);
    assert_eq!(falls_short(&both, &[between]), [between]);
    assert_eq!(falls_short(&both, &[Measured::Seconds(10)]), []);
    assert_eq!(falls_short(&both, &[Measured::Seconds(60)]), []);
    assert_eq!(falls_short(&both, &[Measured::Count(0)]), []);
}
