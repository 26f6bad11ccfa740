//! A scale: from a figure to its place in the box, and the round figures on its axis.

use super::{HEIGHT, Tick, WIDTH};

/// An axis that begins at nought, or at another figure, and runs for so much.
#[derive(Debug, Clone, Copy)]
pub(super) struct Scale {
    from: f64,
    span: f64,
    length: u16,
}

impl Scale {
    /// From left to right.
    pub(super) fn across(from: f64, until: f64) -> Self {
        Self::of(from, until, WIDTH)
    }

    /// From top to bottom.
    pub(super) fn down(from: f64, until: f64) -> Self {
        Self::of(from, until, HEIGHT)
    }

    fn of(from: f64, until: f64, length: u16) -> Self {
        let span = (until - from).max(f64::MIN_POSITIVE);
        Self { from, span, length }
    }

    /// Where a figure stands; beyond either end at that end.
    pub(super) fn place(&self, figure: f64) -> u16 {
        let share = ((figure - self.from) / self.span).clamp(0.0, 1.0);
        let place = (share * f64::from(self.length)).round();
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a share of the length of an axis"
        )]
        let place = place as u16;
        place
    }

    /// The same, counted from the other end.
    pub(super) fn place_up(&self, figure: f64) -> u16 {
        self.length - self.place(figure)
    }
}

/// A round step that parts so much into at most so many: 1, 2 or 5 times a power of ten, and at
/// least the least.
pub(super) fn step(span: f64, most: f64, least: f64) -> f64 {
    let mut power = least;
    loop {
        for times in [1.0, 2.0, 5.0] {
            if power * times * most >= span {
                return power * times;
            }
        }
        power *= 10.0;
        if !power.is_finite() {
            return span;
        }
    }
}

/// The round figures of an axis, with their places.
pub(super) fn ticks(
    span: f64,
    by: f64,
    place: impl Fn(f64) -> u16,
    says: impl Fn(f64) -> String,
) -> Vec<Tick> {
    let mut all = Vec::new();
    let mut figure = 0.0;
    while figure <= span * (1.0 + 1e-9) && all.len() < 50 {
        all.push(Tick {
            at: place(figure),
            says: says(figure),
        });
        figure += by;
    }
    all
}

/// A figure that has no decimals.
pub(super) fn whole(figure: f64) -> String {
    format!("{figure:.0}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_are_round_and_part_the_axis_into_no_more_than_asked() {
        for (span, most, wanted) in [
            (18.0, 5.0, 5.0),
            (4.2, 5.0, 1.0),
            (60.0, 6.0, 10.0),
            (61.0, 6.0, 20.0),
            (200.0, 5.0, 50.0),
            (0.0, 5.0, 1.0),
        ] {
            assert!((step(span, most, 1.0) - wanted).abs() < 1e-9, "{span}");
        }
    }

    #[test]
    fn a_figure_beyond_an_axis_stands_at_its_end() {
        let scale = Scale::down(0.0, 20.0);
        assert_eq!(
            [-5.0, 0.0, 10.0, 20.0, 30.0].map(|figure| scale.place(figure)),
            [0, 0, 200, 400, 400]
        );
        assert_eq!(scale.place_up(5.0), 300);
        assert_eq!(Scale::across(3.0, 3.0).place(3.0), 0);
    }
}
