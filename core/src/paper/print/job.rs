//! Job: many records as one piece of work, with a word after each.

use super::Press;
use crate::course::StudentId;
use crate::paper::pdf::PdfError;
use crate::paper::record::Record;
use crate::paper::source::Source;

/// One record of a job, done.
#[derive(Debug)]
pub struct JobStep {
    /// Whose.
    pub student: StudentId,
    /// The record as PDF.
    pub pdf: Vec<u8>,
    /// How many are done, this one included.
    pub done: usize,
    /// Of so many.
    pub of: usize,
}

/// Whether a job goes on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Go {
    /// It does.
    On,
    /// It stops here; what was handed out stays.
    Stop,
}

impl Press {
    /// Every student's record of these courses, one after another: each is handed out as soon
    /// as it is printed, so that a year of them never lies in memory at once. Answers how many
    /// were printed.
    ///
    /// # Errors
    /// [`PdfError`] of the first record that cannot be printed.
    pub fn records(
        &self,
        sources: &[Source<'_>],
        each: &mut dyn FnMut(JobStep) -> Go,
    ) -> Result<usize, PdfError> {
        let of = sources
            .iter()
            .map(|source| source.course.students().len())
            .sum();
        let mut done = 0;
        for source in sources {
            for student in source.course.students() {
                let record = Record::of(source, student);
                let pdf = self.record(&record, source.course.outline(), source.now)?;
                done += 1;
                let step = JobStep {
                    student,
                    pdf,
                    done,
                    of,
                };
                if each(step) == Go::Stop {
                    return Ok(done);
                }
            }
        }
        Ok(done)
    }
}
