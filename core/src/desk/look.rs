//! Look: what screens ask for.

use super::{Desk, DeskError};
use crate::course::CourseId;
use crate::standing::CourseStanding;

impl Desk {
    /// Asks something of a course as it stands.
    ///
    /// # Errors
    /// [`DeskError::NotFound`] if this device does not hold the course.
    pub fn with_course<T>(
        &self,
        id: &CourseId,
        ask: impl FnOnce(&CourseStanding) -> T,
    ) -> Result<T, DeskError> {
        Ok(ask(&self.shelf().course(id)?.standing))
    }
}
