//! Run: how a skill is run in a session: with whom at once, how long, where, by whom, and
//! what must stand around it.
//!
//! What is not said is the strictest: one by one, at depth, by an instructor. Minutes of
//! a class are worked out here and nowhere else.

use serde::{Deserialize, Serialize};

use super::{Skill, SkillId};

/// How a skill is run.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct SkillRun {
    /// How many take a turn at once.
    #[serde(default)]
    pub form: RunForm,
    /// Minutes to brief and show it before the first turn, once at each station. Not said:
    /// what a first try takes longer than a practised one.
    #[serde(default)]
    pub setup: Option<u16>,
    /// Minutes of one turn: of one student, one pair, or everyone. Not said: those of a
    /// practised try.
    #[serde(default)]
    pub turn: Option<u16>,
    /// Where it is done.
    #[serde(default)]
    pub place: RunPlace,
    /// Who may run it; whether their mark counts is the policy's to say.
    #[serde(default)]
    pub by: RunBy,
    /// Ascents that each turn costs whoever runs it.
    #[serde(default)]
    pub ascents: u8,
    /// It leaves students still in the water for long: run last, so that nobody works cold.
    #[serde(default)]
    pub cold: bool,
    /// What everyone does before it in the same session, wherever that suits the setting.
    #[serde(default)]
    pub before: Vec<SkillId>,
    /// What everyone does after it in the same session, wherever that suits the setting.
    #[serde(default)]
    pub closes: Option<SkillId>,
}

impl SkillRun {
    /// Whether nothing of it was said, as in every outline older than the saying.
    pub fn is_unsaid(&self) -> bool {
        *self == Self::default()
    }
}

/// How many take a turn at once.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize,
)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum RunForm {
    /// Everyone at once.
    Together,
    /// Two at a time.
    Pairs,
    /// One student at a time.
    #[default]
    OneByOne,
}

/// Where a skill is done, from dry to deep.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize,
)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum RunPlace {
    /// On land, or at the edge.
    Dry,
    /// At the surface.
    Surface,
    /// Under water where one can stand up, or nearly.
    Shallow,
    /// On a line between the surface and the depth.
    Line,
    /// At the depth of the session.
    #[default]
    Depth,
}

impl RunPlace {
    /// Whether a unit is breathed from there: gas, cold and no-stop time count.
    pub const fn is_under_water(self) -> bool {
        matches!(self, Self::Shallow | Self::Line | Self::Depth)
    }
}

/// Who may run a skill.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize,
)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum RunBy {
    /// An instructor alone.
    #[default]
    Instructor,
    /// An assistant too, in an instructor's sight.
    Assistant,
}

impl Skill {
    /// Minutes before the first turn.
    pub fn setup_minutes(&self) -> u16 {
        let derived = self.minutes.slow.saturating_sub(self.minutes.quick);
        self.run.setup.unwrap_or(derived)
    }

    /// Minutes of one turn.
    pub fn turn_minutes(&self) -> u16 {
        self.run.turn.unwrap_or(self.minutes.quick)
    }

    /// How many turns so many students take.
    ///
    /// One who is left over in pairs goes with somebody who has had a turn.
    pub fn turns(&self, students: usize) -> u16 {
        let turns = match self.run.form {
            RunForm::Together => students.min(1),
            RunForm::Pairs => students.div_ceil(2),
            RunForm::OneByOne => students,
        };
        u16::try_from(turns).unwrap_or(u16::MAX)
    }

    /// Minutes so many students take at one station: briefed and shown once, then turn by
    /// turn. Nobody takes none.
    pub fn run_minutes(&self, students: usize) -> u16 {
        if students == 0 {
            return 0;
        }
        self.turn_minutes()
            .saturating_mul(self.turns(students))
            .saturating_add(self.setup_minutes())
    }

    /// How many students fit into so many minutes at one station: the first of a line that
    /// is too long for one session.
    pub fn fits(&self, students: usize, minutes: u16) -> usize {
        let Some(left) = minutes.checked_sub(self.setup_minutes()) else {
            return 0;
        };
        let turns = usize::from(left.checked_div(self.turn_minutes()).unwrap_or(0));
        let most = match self.run.form {
            RunForm::Together if turns > 0 => students,
            RunForm::Together => 0,
            RunForm::Pairs => turns.saturating_mul(2),
            RunForm::OneByOne => turns,
        };
        students.min(most)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::course::starter;

    fn first_dives(id: &str) -> Skill {
        let outline = starter::outline().unwrap();
        outline.skill(&id.parse().unwrap()).unwrap().clone()
    }

    #[test]
    fn eight_who_share_gas_in_pairs_take_fifteen_minutes_not_twenty_seven() {
        let take = first_dives("gas-take");
        assert_eq!(take.run.form, RunForm::Pairs);
        assert_eq!(take.run_minutes(8), 15);
        let alone = Skill {
            run: SkillRun::default(),
            ..take
        };
        assert_eq!(alone.run_minutes(8), 27, "what is not said is one by one");
    }

    #[test]
    fn a_float_of_ten_minutes_takes_eight_students_what_it_takes_one() {
        let float = first_dives("float-10");
        assert_eq!(float.run_minutes(8), float.run_minutes(1));
        assert_eq!(float.run_minutes(0), 0);
    }

    #[test]
    fn one_left_over_in_pairs_still_has_a_turn() {
        let hover = first_dives("neutral-hover");
        assert_eq!((hover.turns(7), hover.turns(8), hover.turns(1)), (4, 4, 1));
    }

    #[test]
    fn a_line_too_long_for_the_session_is_cut_and_never_dropped() {
        let off = first_dives("unit-under");
        assert!(off.run_minutes(8) > 30);
        let fit = off.fits(8, 30);
        assert!((1..8).contains(&fit));
        assert!(off.run_minutes(fit) <= 30 && off.run_minutes(fit + 1) > 30);
        assert_eq!(
            first_dives("float-10").fits(8, 5),
            0,
            "half a float is none"
        );
    }
}
