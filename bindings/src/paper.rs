//! Paper: what is printed, as bytes; and the one way of writing a file that was asked for.

use std::io::Write as _;
use std::path::Path;
use std::sync::{Arc, PoisonError};

use tallywater_core::course::{CourseId, SessionId, SkillId, StudentId};
use tallywater_core::desk::paper::Papers;
use tallywater_core::paper::{self, Fonts, Go, Press};

use crate::cross::{Asked as _, Shown as _};
use crate::{Fault, PaperLanguage, SlateSize, Tallywater};

/// The papers of the office.
#[derive(Debug, Clone, Copy, PartialEq, Eq, uniffi::Enum)]
pub enum OfficeSheet {
    /// 210 by 297 mm.
    A4,
    /// 8.5 by 11 inches.
    Letter,
}

/// What papers are printed with. Units are those the device shows.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct PaperSetup {
    /// The office paper; slates have sizes of their own.
    pub sheet: OfficeSheet,
    /// In which language.
    pub language: PaperLanguage,
    /// Whether scripts that the program has no font for may be set in the device's own. Without
    /// them such a name is printed as boxes, with the end of the id beside it.
    pub device_fonts: bool,
}

/// One record of a job, printed.
#[derive(Clone, PartialEq, uniffi::Record)]
pub struct PrintedRecord {
    /// The course.
    pub course: String,
    /// Whose.
    pub student: String,
    /// The name; `None` for one who was forgotten.
    pub name: Option<String>,
    /// The record as PDF.
    pub pdf: Vec<u8>,
    /// How many are done, this one included.
    pub done: u32,
    /// Of so many.
    pub of: u32,
}

/// Written by hand so that no name can reach a log through `{:?}`.
impl std::fmt::Debug for PrintedRecord {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("PrintedRecord(..)")
    }
}

/// What one student takes home: the same on paper and for a phone.
#[derive(Clone, PartialEq, Eq, uniffi::Record)]
pub struct TakeHome {
    /// The sheet, as PDF.
    pub pdf: Vec<u8>,
    /// One HTML file that opens in any browser and asks no network for anything.
    pub html: Vec<u8>,
    /// The student's dives as UDDF, for a log of their own.
    pub uddf: Vec<u8>,
}

/// As for [`PrintedRecord`].
impl std::fmt::Debug for TakeHome {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("TakeHome(..)")
    }
}

/// Takes the records of a job, one after another.
#[uniffi::export(with_foreign)]
pub trait PaperTray: Send + Sync {
    /// Takes one; answers whether the job goes on. A fault ends the job and is passed on.
    fn take(&self, printed: PrintedRecord) -> Result<bool, Fault>;
}

/// The fonts of the presses, found once: the bundled alone, and with the device's own.
#[derive(Default)]
pub(crate) struct Presses {
    plain: Option<Press>,
    device: Option<Press>,
}

impl Tallywater {
    pub(crate) fn press(&self, setup: PaperSetup) -> Result<Press, Fault> {
        let mut presses = self.presses.lock().unwrap_or_else(PoisonError::into_inner);
        let kept = if setup.device_fonts {
            &mut presses.device
        } else {
            &mut presses.plain
        };
        let mut press = match kept {
            Some(press) => press.clone(),
            None => {
                let fonts = if setup.device_fonts {
                    Fonts::of_this_device()
                } else {
                    Fonts::bundled()
                };
                kept.insert(Press::new(fonts?)?).clone()
            }
        };
        drop(presses);
        press.sheet = match setup.sheet {
            OfficeSheet::A4 => paper::Sheet::A4,
            OfficeSheet::Letter => paper::Sheet::Letter,
        };
        press.units = self.units();
        press.language = setup.language;
        Ok(press)
    }

    pub(crate) fn papers(&self, course: &str) -> Result<Papers, Fault> {
        let course: CourseId = course.to_owned().asked()?;
        Ok(self.desk.papers(&course)?)
    }
}

#[uniffi::export]
impl Tallywater {
    /// A student's training record as PDF/A.
    pub fn print_record(
        &self,
        course: String,
        student: String,
        setup: PaperSetup,
    ) -> Result<Vec<u8>, Fault> {
        let course: CourseId = course.asked()?;
        let student: StudentId = student.asked()?;
        let papers = self.desk.papers_of(&course, &student)?;
        let record = papers.record(&student)?;
        let source = papers.source();
        let outline = source.course.outline();
        Ok(self.press(setup)?.record(&record, outline, source.now)?)
    }

    /// A student's page to take home: met, open, next session and what to bring, own dives and
    /// from when one may fly. Nobody else's data is in it.
    pub fn student_page(
        &self,
        course: String,
        student: String,
        setup: PaperSetup,
    ) -> Result<TakeHome, Fault> {
        let course: CourseId = course.asked()?;
        let student: StudentId = student.asked()?;
        let page = self
            .desk
            .student_page(&course, &student, &self.press(setup)?)?;
        Ok(TakeHome {
            pdf: page.pdf,
            html: page.html.into_bytes(),
            uddf: page.uddf,
        })
    }

    /// How a class stands: students by skills.
    pub fn print_class_summary(&self, course: String, setup: PaperSetup) -> Result<Vec<u8>, Fault> {
        let papers = self.papers(&course)?;
        Ok(self.press(setup)?.class_summary(&papers.source())?)
    }

    /// Forms and checks of a course that are missing: the list to chase.
    pub fn print_chase_list(&self, course: String, setup: PaperSetup) -> Result<Vec<u8>, Fault> {
        let papers = self.papers(&course)?;
        Ok(self.press(setup)?.chase_list(&papers.source())?)
    }

    /// A session's sheet for the clipboard.
    pub fn print_session_sheet(
        &self,
        course: String,
        session: String,
        setup: PaperSetup,
    ) -> Result<Vec<u8>, Fault> {
        let course: CourseId = course.asked()?;
        let id: SessionId = session.clone().asked()?;
        let papers = self.desk.papers_of_sessions(&course)?;
        let sheet = self.press(setup)?.session_sheet(&papers.source(), id)?;
        sheet.ok_or_else(|| Fault::not_found("session", &session))
    }

    /// A session's slate for waterproof paper.
    pub fn print_slate(
        &self,
        course: String,
        session: String,
        size: SlateSize,
        setup: PaperSetup,
    ) -> Result<Vec<u8>, Fault> {
        let course: CourseId = course.asked()?;
        let session: SessionId = session.asked()?;
        let slate = self.desk.slate_to_print(&course, session, setup.language)?;
        Ok(self.press(setup)?.slate(&slate, size)?)
    }

    /// The action cards: what is done when something goes wrong.
    pub fn print_alarm_cards(&self, setup: PaperSetup) -> Result<Vec<u8>, Fault> {
        Ok(self.press(setup)?.alarm_cards(self.desk.now())?)
    }

    /// Briefing cards for these skills of a course's outline, in this order; for all of them
    /// where none is named.
    pub fn print_briefing_cards(
        &self,
        course: String,
        skills: Vec<String>,
        setup: PaperSetup,
    ) -> Result<Vec<u8>, Fault> {
        let papers = self.papers(&course)?;
        let source = papers.source();
        let skills: Vec<SkillId> = skills.asked()?;
        let outline = source
            .course
            .outline()
            .ok_or_else(|| Fault::not_found("outline", &course))?;
        if let Some(missing) = skills.iter().find(|skill| outline.skill(skill).is_none()) {
            return Err(Fault::not_found("skill", missing.as_str()));
        }
        let press = self.press(setup)?;
        Ok(press.briefing_cards(outline, &skills, source.now)?)
    }

    /// What staff did under water in these courses together; in every course here where none is
    /// named.
    pub fn print_activity(
        &self,
        courses: Vec<String>,
        setup: PaperSetup,
    ) -> Result<Vec<u8>, Fault> {
        let courses = self.these_or_all(courses)?;
        let found = self.desk.staff_activity(&courses)?;
        let (papers, activity) = found.ok_or_else(|| Fault::not_found("course", ""))?;
        Ok(self.press(setup)?.activity(&papers.source(), &activity)?)
    }

    /// Every student's record of these courses as one job; of every course here where none is
    /// named. It may take long: call it off the drawing thread. Answers how many were printed.
    pub fn print_records(
        &self,
        courses: Vec<String>,
        setup: PaperSetup,
        tray: Arc<dyn PaperTray>,
    ) -> Result<u32, Fault> {
        let courses = self.these_or_all(courses)?;
        let press = self.press(setup)?;
        let mut failed = None;
        let done = self
            .desk
            .print_records(&courses, &press, &mut |papers, step| {
                let source = papers.source();
                let name = source.names.details(&step.student);
                let printed = PrintedRecord {
                    course: source.course.id().shown(),
                    student: step.student.shown(),
                    name: name.map(|details| details.name),
                    pdf: step.pdf,
                    done: step.done.shown(),
                    of: step.of.shown(),
                };
                match tray.take(printed) {
                    Ok(true) => Go::On,
                    Ok(false) => Go::Stop,
                    Err(fault) => {
                        failed = Some(fault);
                        Go::Stop
                    }
                }
            })?;
        failed.map_or_else(|| Ok(done.shown()), Err)
    }
}

impl Tallywater {
    pub(crate) fn these_or_all(&self, courses: Vec<String>) -> Result<Vec<CourseId>, Fault> {
        if courses.is_empty() {
            Ok(self.desk.courses_here()?)
        } else {
            courses.asked()
        }
    }
}

/// Writes a file that was asked for: whole or not at all, and over one that is there only where
/// `replace` says so. Never into a device's folder, where stores and keys lie, and never over
/// what is not a regular file.
#[uniffi::export]
pub fn save_file(path: String, bytes: Vec<u8>, replace: bool) -> Result<(), Fault> {
    let to = Path::new(&path);
    let failed = |error: std::io::Error| {
        use std::io::ErrorKind;
        let kind = error.kind();
        if kind == ErrorKind::AlreadyExists {
            Fault::rule("file_exists").what("file").id(&path)
        } else if kind == ErrorKind::NotFound {
            Fault::not_found("folder", &path)
        } else if kind == ErrorKind::StorageFull {
            Fault::DeviceFull
        } else if [ErrorKind::PermissionDenied, ErrorKind::ReadOnlyFilesystem].contains(&kind) {
            Fault::rule("read_only").what("file").id(&path)
        } else {
            Fault::Internal {
                detail: format!("could not write the file: {kind}"),
            }
        }
    };
    if let Ok(there) = to.symlink_metadata() {
        if !there.is_file() {
            return Err(Fault::rule("not_a_file").what("file").id(&path));
        }
        if !replace {
            return Err(Fault::rule("file_exists").what("file").id(&path));
        }
    }
    if in_device_folder(to) {
        return Err(Fault::rule("device_folder").what("file").id(&path));
    }
    // Beside it first: a full disk must not leave half a record under the name of a whole one.
    // Under a name that nobody else has, and never over a file or through a link of that name.
    let mut name = std::ffi::OsString::from(format!(".{}-", std::process::id()));
    name.push(to.file_name().unwrap_or_default());
    name.push(".part");
    let part = to.with_file_name(name);
    let made = std::fs::OpenOptions::new()
        .write(true)
        .create_new(true)
        .open(&part);
    if made.is_err() && part.symlink_metadata().is_ok() {
        return Err(Fault::rule("file_exists").what("file").id(part.display()));
    }
    let written = made.and_then(|mut file| {
        file.write_all(&bytes)?;
        file.sync_all()
    });
    let done = written.and_then(|()| {
        if replace {
            std::fs::rename(&part, to)
        } else {
            // Fails where a file came to be there meanwhile; a rename would replace it.
            std::fs::hard_link(&part, to).or_else(|error| {
                if error.kind() == std::io::ErrorKind::AlreadyExists {
                    Err(error)
                } else if to.symlink_metadata().is_err() {
                    // A stick or a share without links.
                    std::fs::rename(&part, to)
                } else {
                    Err(std::io::ErrorKind::AlreadyExists.into())
                }
            })
        }
    });
    // Gone already after a rename.
    let _ = std::fs::remove_file(&part);
    done.map_err(failed)
}

/// Whether a path lies in the folder of a device, however it is written: nothing may be made
/// there but by the device itself.
#[uniffi::export]
pub fn is_in_device_folder(path: String) -> bool {
    in_device_folder(Path::new(&path))
}

fn in_device_folder(path: &Path) -> bool {
    let parent = path
        .parent()
        .filter(|parent| !parent.as_os_str().is_empty());
    let parent = parent.unwrap_or(Path::new("."));
    // A folder that is not there yet is in one if the nearest that is there is.
    let mut there = parent.ancestors().filter_map(|at| {
        let at = if at.as_os_str().is_empty() {
            Path::new(".")
        } else {
            at
        };
        at.canonicalize().ok()
    });
    let Some(there) = there.next() else {
        return false;
    };
    there
        .ancestors()
        .any(|at| at.join("tallywater.db").exists() || at.join("keys").join("device.key").exists())
}
