//! Season: something that is asked of every course of this device, one after the other.

use chrono::NaiveDate;

use super::{Desk, DeskError};
use crate::course::CourseId;
use crate::standing::CourseStanding;

/// The most courses that are asked, the latest to start first: what was taught before says
/// little of how it is taught now.
const MOST: usize = 60;

impl Desk {
    /// Asks something of every course that this device holds, closed ones too, the latest to
    /// start first and sixty at most. Between two courses the desk is free for others, and
    /// `go_on` is asked; `None` where it said to stop.
    ///
    /// # Errors
    /// [`DeskError::NotStarted`] before the device has a shop, [`DeskError::Store`].
    pub fn ask_courses<T>(
        &self,
        go_on: &mut dyn FnMut() -> bool,
        ask: impl Fn(&CourseStanding) -> T,
    ) -> Result<Option<Vec<T>>, DeskError> {
        let mut all = Vec::new();
        for course in self.courses_listed()? {
            if all.len() == MOST {
                break;
            }
            if !go_on() {
                return Ok(None);
            }
            let mut shelf = self.shelf();
            if let Some(open) = shelf.courses.get(&course) {
                all.push(ask(&open.standing));
                continue;
            }
            match shelf.course_copy(&course) {
                Ok(open) => all.push(ask(&open.standing)),
                // Listed by the shop, and not this device's to have, or not here yet.
                Err(DeskError::NotFound { .. }) => {}
                Err(error) => return Err(error),
            }
        }
        Ok(Some(all))
    }

    fn courses_listed(&self) -> Result<Vec<CourseId>, DeskError> {
        let shelf = self.shelf();
        let (shop, _) = shelf.shop()?;
        let listed = shop.standing.courses();
        let mut listed: Vec<(NaiveDate, CourseId)> =
            listed.map(|one| (one.starts, one.course)).collect();
        listed.sort_unstable_by(|one, other| other.cmp(one));
        Ok(listed.into_iter().map(|(_, course)| course).collect())
    }
}
