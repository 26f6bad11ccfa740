//! Export: the same facts as files for other programs.

use tallywater_core::entry;
use tallywater_core::paper::data;

use crate::cross::Asked as _;
use crate::{Fault, PaperLanguage, TableName, Tallywater, Who};

/// A file, and what it is usually called.
#[derive(Clone, PartialEq, uniffi::Record)]
pub struct NamedFile {
    /// `marks.csv`.
    pub name: String,
    /// What is in it.
    pub bytes: Vec<u8>,
}

/// Written by hand so that nobody's details can reach a log through `{:?}`.
impl std::fmt::Debug for NamedFile {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("NamedFile")
            .field("name", &self.name)
            .finish_non_exhaustive()
    }
}

#[uniffi::export]
impl Tallywater {
    /// Tables of a course as CSV (RFC 4180), and `csv-metadata.json`, which says what their
    /// columns mean (W3C CSV on the Web). All of the tables where none is named.
    pub fn export_tables(
        &self,
        course: String,
        tables: Vec<TableName>,
    ) -> Result<Vec<NamedFile>, Fault> {
        let papers = self.papers(&course)?;
        let source = papers.source();
        let mut names = tables;
        if names.is_empty() {
            names.extend(TableName::ALL);
        }
        names.sort_unstable();
        names.dedup();
        let mut written = Vec::new();
        for name in names {
            written.push(match name {
                TableName::Roster => data::roster_csv(&source)?,
                TableName::Marks => data::marks_csv(&source)?,
                TableName::Dives => data::dives_csv(&source)?,
                TableName::Activity => {
                    let activity = tallywater_core::paper::Activity::of([&source]);
                    data::activity_csv(&activity)?
                }
                TableName::Kit => data::kit_csv(source.shop, source.today())?,
            });
        }
        let metadata = data::csvw(&written.iter().collect::<Vec<_>>())?;
        let mut files: Vec<NamedFile> = written
            .into_iter()
            .map(|table| NamedFile {
                name: table.name.file().to_owned(),
                bytes: table.csv,
            })
            .collect();
        files.push(NamedFile {
            name: "csv-metadata.json".to_owned(),
            bytes: metadata,
        });
        Ok(files)
    }

    /// What staff did under water in these courses together, day by day, as CSV; in every course
    /// here where none is named.
    pub fn export_activity(&self, courses: Vec<String>) -> Result<NamedFile, Fault> {
        let courses = self.these_or_all(courses)?;
        let found = self.desk.staff_activity(&courses)?;
        let (_, activity) = found.ok_or_else(|| Fault::not_found("course", ""))?;
        let table = data::activity_csv(&activity)?;
        Ok(NamedFile {
            name: table.name.file().to_owned(),
            bytes: table.csv,
        })
    }

    /// The course board as a workbook (xlsx).
    pub fn export_board(&self, course: String, language: PaperLanguage) -> Result<Vec<u8>, Fault> {
        let papers = self.papers(&course)?;
        Ok(data::workbook(&papers.source(), language)?)
    }

    /// The sessions of a course as iCalendar. Students are counted and never named.
    pub fn export_calendar(
        &self,
        course: String,
        language: PaperLanguage,
    ) -> Result<Vec<u8>, Fault> {
        let papers = self.papers(&course)?;
        let source = papers.source();
        let events = source.course.sessions().len();
        let bytes = data::calendar(&source, language);
        Ok(data::opened(data::Opened::Calendar { events }, bytes)?)
    }

    /// One diver's dives of a course as UDDF.
    pub fn export_dives(&self, course: String, who: Who) -> Result<Vec<u8>, Fault> {
        let course: tallywater_core::course::CourseId = course.asked()?;
        let who: entry::Who = who.asked()?;
        let papers = match &who {
            entry::Who::Student(student) => self.desk().papers_of(&course, student)?,
            entry::Who::Staff(_) => self.desk().papers(&course)?,
        };
        let source = papers.source();
        let name = match &who {
            entry::Who::Student(student) => {
                papers.in_course(student)?;
                let details = source.names.details(student);
                details.map_or_else(|| student.to_string(), |details| details.name)
            }
            entry::Who::Staff(staff) => source
                .staff_name(staff)
                .ok_or_else(|| Fault::not_found("staff", &staff.to_string()))?,
        };
        let dives = data::uddf_dives(&source, &who);
        Ok(data::write_uddf(&name, &dives, source.now)?)
    }
}
