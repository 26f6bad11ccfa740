//! Season: what the marks of every course on this device say of the outline: minutes planned
//! and taken, what is held on another day, where two people's marks differ, and what could be
//! changed. Nothing is changed by itself, nobody is put in an order, and of fewer than six
//! nothing is said.
//!
//! The definitions and the least number are our own; there is no published practice.

mod again;
mod judges;
mod minutes;
mod proposal;

use super::evidence::MarkPair;
use super::reader::count;
use super::{Chart, EvidenceView, Leave, Reader};
use crate::course::Outline;
use crate::entry::Kind;
use crate::plan::season::{LEAST, Told, changed};
use crate::standing::CourseStanding;

pub use again::{AgainAfter, AgainPlace, AgainRow, AgainSpan, HeldShare};
pub use judges::SeasonJudges;
pub use minutes::MinutesRow;
pub use proposal::{ProposedChange, SeasonProposal};

/// What one course has to tell.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SeasonTold {
    told: Told,
    pairs: Vec<MarkPair>,
}

impl SeasonTold {
    /// Of one course.
    pub fn of(course: &CourseStanding) -> Self {
        Self {
            told: Told::of(course),
            pairs: EvidenceView::of(&[course]).pairs,
        }
    }
}

/// The season.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SeasonView {
    /// How many courses it rests on.
    pub courses: u32,
    /// The title of the school's outline, which everything is held against; `None` without
    /// one, and then only marks that differ are told.
    pub outline: Option<String>,
    /// Minutes planned and taken, in outline order.
    pub minutes: Vec<MinutesRow>,
    /// Skills whose lines were timed, and too few times to say.
    pub minutes_few: u32,
    /// The minutes as a picture; `None` where there are none.
    pub picture: Option<Chart>,
    /// What is held when it is tried again, in outline order.
    pub again: Vec<AgainRow>,
    /// Skills that were tried again, and too few times to say.
    pub again_few: u32,
    /// Pairs of people who marked the same tries.
    pub judges: Vec<SeasonJudges>,
    /// Pairs with too few such tries to say.
    pub judges_few: u32,
    /// What could be changed in the outline, by these figures.
    pub proposals: Vec<SeasonProposal>,
    /// Of fewer than so many nothing is said.
    pub least: u32,
    /// Whether the reader may set the school's outline.
    pub may_set: Leave,
}

impl SeasonView {
    /// Of these courses, the latest first, held against the school's outline.
    pub fn of(courses: &[SeasonTold], reader: &Reader<'_>) -> Self {
        let mut told = Told::default();
        for one in courses {
            told.join(one.told.clone());
        }
        let pairs = courses.iter().flat_map(|one| &one.pairs);
        let (judges, judges_few) = judges::rows(pairs, reader);
        let mut view = Self {
            courses: count(courses.len()),
            outline: None,
            minutes: Vec::new(),
            minutes_few: 0,
            picture: None,
            again: Vec::new(),
            again_few: 0,
            judges,
            judges_few,
            proposals: Vec::new(),
            least: LEAST,
            may_set: reader.may_write(Kind::OutlineSet),
        };
        if let Some((_, outline)) = reader.shop.outline() {
            view.outline = Some(outline.title.clone());
            (view.minutes, view.minutes_few) = minutes::rows(outline, &told);
            view.picture = Chart::minutes(&view.minutes);
            (view.again, view.again_few) = again::rows(outline, &told);
            view.proposals = proposal::rows(outline, &view.minutes, &told);
        }
        view
    }

    /// The school's outline with these proposals taken over, to be recorded like any other.
    ///
    /// # Errors
    /// The first id that is no proposal of this season.
    pub fn outline_with(&self, outline: &Outline, ids: &[String]) -> Result<Outline, String> {
        let found = ids.iter().map(|id| {
            let proposed = self.proposals.iter().find(|one| one.id == *id);
            proposed.map(SeasonProposal::change).ok_or(id)
        });
        let changes: Vec<_> = found.collect::<Result<_, _>>().map_err(String::clone)?;
        Ok(changed(outline, &changes))
    }
}

/// Hundredths of a share, rounded down.
fn down(share: f64) -> u32 {
    let whole = |percent: &u32| f64::from(*percent) <= share * 100.0 + 1e-9;
    (0..=100).rev().find(whole).unwrap_or(0)
}

/// Hundredths of a share, rounded up.
fn up(share: f64) -> u32 {
    100 - down(1.0 - share)
}
