//! What has been kept long enough: a list for a person, who then asks for what shall go.

use std::collections::BTreeMap;

use crate::course::StudentId;
use crate::desk::{Desk, DeskError};
use crate::entry::HoldOn;
use crate::paper::retention::{Keeping, Kept, TextToRead, texts_to_read};

/// A free text, for a person to read before someone is forgotten.
#[derive(Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct TextRead {
    /// Where it stands.
    pub at: TextToRead,
    /// Its words.
    pub texts: Vec<String>,
}

impl std::fmt::Debug for TextRead {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("TextRead")
            .field("at", &self.at)
            .finish_non_exhaustive()
    }
}

impl Desk {
    /// Everything this device keeps, with its time by the shop's policy, in the order in which
    /// it ends. Nothing is deleted: [`crate::desk::Request::Forget`] and
    /// [`crate::desk::Request::DropCourse`] are for a person to ask.
    ///
    /// # Errors
    /// [`DeskError`].
    pub fn kept(&self) -> Result<Vec<Kept>, DeskError> {
        let (policy, holds) = {
            let shelf = self.shelf();
            let (shop, _) = shelf.shop()?;
            let holds: BTreeMap<HoldOn, String> = shop
                .standing
                .holds(shelf.today())
                .into_iter()
                .map(|(on, (_, hold))| (on, hold.why.clone()))
                .collect();
            (shop.standing.policy(), holds)
        };
        let mut keeping = Keeping::new(policy.as_ref(), &holds);
        for course in self.courses_here()? {
            keeping.take(&self.papers(&course)?.source());
        }
        Ok(keeping.list())
    }

    /// Every free text that may hold this person's name or is about the person, in every course
    /// this device holds.
    ///
    /// # Errors
    /// [`DeskError`].
    pub fn texts_to_read(&self, student: StudentId) -> Result<Vec<TextRead>, DeskError> {
        let mut list = Vec::new();
        for course in self.courses_here()? {
            let papers = self.papers(&course)?;
            let details = papers.people.students.get(&student);
            for at in texts_to_read(&papers.source(), student, details) {
                let one = papers.course.tally().get(&at.entry);
                let texts = one.into_iter().flat_map(|one| one.entry.body.texts());
                let texts = texts.map(str::to_owned).collect();
                list.push(TextRead { at, texts });
            }
        }
        Ok(list)
    }
}
