//! Season: what the marks of many courses say of the outline: how long a line took beside how
//! long it was planned, what is held when it is tried again on another day, and in which order
//! skills are run. Counts and times alone, of skills and never of a person who marked them;
//! how sure one can be of them is [`crate::view`]'s to say, and whether anything is changed a
//! person's.

mod again;
mod change;
mod run;

pub use again::TriedAgain;
pub use change::{Change, changed, fitted, may_swap};
pub use run::{AsRun, Ran};

use crate::standing::CourseStanding;

/// Of fewer than so many nothing is said: of five figures no interval of the middle reaches
/// 95 %, and one number for all is easier to keep in mind.
pub const LEAST: u32 = 6;

/// What one course has to tell, or several.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Told {
    /// Lines that were run, with the time they took.
    pub ran: Vec<Ran>,
    /// In which order skills were run.
    pub order: Vec<AsRun>,
    /// Skills that were met and tried again on another day.
    pub again: Vec<TriedAgain>,
}

impl Told {
    /// Of one course, by the marks that stand.
    pub fn of(course: &CourseStanding) -> Self {
        let (ran, order) = run::lines(course);
        Self {
            ran,
            order,
            again: again::tried_again(course),
        }
    }

    /// With what another has to tell.
    pub fn join(&mut self, other: Self) {
        self.ran.extend(other.ran);
        self.order.extend(other.order);
        self.again.extend(other.again);
    }
}
