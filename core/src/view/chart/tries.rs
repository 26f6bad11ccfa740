//! Skill by skill, how many of those who tried have met it by the first try, the second, the
//! third, and in the end: the hardest on top, as [`JudgingView`] has them.

use super::scale::{Scale, ticks, whole};
use super::{Chart, ChartBar, HEIGHT, Shows};
use crate::view::JudgingView;

impl Chart {
    /// So many skills from the hardest on; `None` where nobody has tried one. A skill that too
    /// few tried has no bar, and says so by its count.
    pub fn tries(judging: &JudgingView, most: usize) -> Option<Self> {
        let scale = Scale::across(0.0, 100.0);
        let bars: Vec<ChartBar> = judging
            .skills
            .iter()
            .take(most)
            .map(|skill| {
                let by = |attempt| scale.place(skill.curve.met_by(attempt).0 * 100.0);
                ChartBar {
                    name: skill.name.clone(),
                    parts: if skill.too_few {
                        Vec::new()
                    } else {
                        [1, 2, 3, u32::MAX].map(by).to_vec()
                    },
                    of: skill.curve.students,
                    minutes: None,
                }
            })
            .collect();
        (!bars.is_empty()).then(|| Self {
            shows: Shows::Tries,
            across: ticks(
                100.0,
                25.0,
                |figure| scale.place(figure),
                |figure| format!("{} %", whole(figure)),
            ),
            down: Vec::new(),
            lines: Vec::new(),
            bars,
            facts: Vec::new(),
        })
    }
}

/// Where a bar begins and how thick it is, of so many that share the box.
impl ChartBar {
    /// The top and the height of the bar at a place, of so many: three quarters of its share.
    ///
    /// ```
    /// use tallywater_core::view::ChartBar;
    /// assert_eq!(ChartBar::room(1, 4), (112, 75));
    /// ```
    #[must_use]
    pub fn room(place: u16, of: u16) -> (u16, u16) {
        let share = HEIGHT / of.max(1);
        (place * share + share / 8, share * 3 / 4)
    }
}
