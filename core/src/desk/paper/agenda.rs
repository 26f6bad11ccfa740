//! A calendar, looked at beside what the school has: what is new, what moved, what is here
//! already. It is taken by the requests that a person makes of it, so that the same rules hold.

use std::collections::BTreeSet;
use std::sync::Arc;

use crate::course::{Away, CourseId, Setting, Slot};
use crate::desk::{Desk, DeskError};
use crate::entry::Who;
use crate::paper::agenda::{Agenda, AgendaEvent, AgendaFault, read_agenda};

/// How an event of a file stands to what is here.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ReadIs {
    /// Not known yet.
    New,
    /// Known by its id, at other hours or another place.
    Changed,
    /// Known just so: nothing is to be recorded.
    Here,
    /// Known, and called off in the file.
    Dropped,
    /// Called off in the file and not known, or the same id once more: nothing is to be
    /// recorded.
    LeftOut,
}

/// A slot of a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SlotRead {
    /// On which line.
    pub line: u64,
    /// As it would be kept.
    pub slot: Slot,
    /// What is to be done.
    pub stands: ReadIs,
}

/// What a file says; nothing has been recorded yet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AgendaRead<R> {
    /// In the order of the file.
    pub rows: Vec<R>,
    /// What cannot be read.
    pub faults: Vec<AgendaFault>,
}

/// The slots of a file.
pub type SlotsRead = AgendaRead<SlotRead>;

/// An absence of a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AwayRead {
    /// On which line.
    pub line: u64,
    /// As it would be kept.
    pub away: Away,
    /// What is to be done.
    pub stands: ReadIs,
}

/// The absences of a file.
pub type AwaysRead = AgendaRead<AwayRead>;

impl ReadIs {
    fn of<T: PartialEq>(known: Option<&T>, read: &T, cancelled: bool, first: bool) -> Self {
        match known {
            _ if !first => Self::LeftOut,
            None if cancelled => Self::LeftOut,
            None => Self::New,
            Some(_) if cancelled => Self::Dropped,
            Some(known) if known == read => Self::Here,
            Some(_) => Self::Changed,
        }
    }
}

impl Desk {
    /// The hours of a pool or a site in a file, beside those that the school has. What a
    /// calendar does not say is held in `setting`. A time without a zone is by the clock of
    /// this device's place on that day. Nothing is recorded.
    ///
    /// # Errors
    /// [`DeskError::NotStarted`] before the device has a shop.
    pub fn look_at_slots(&self, bytes: &[u8], setting: Setting) -> Result<SlotsRead, DeskError> {
        let agenda = self.agenda(bytes);
        let shelf = self.shelf();
        let known = shelf.shop()?.0.standing.slots();
        let mut seen = BTreeSet::new();
        let rows = agenda.events.into_iter().map(|event| {
            let slot = slot_of(&event, setting);
            let first = seen.insert(slot.uid.clone());
            let here = known.get(slot.uid.as_str()).copied();
            SlotRead {
                line: event.line,
                stands: ReadIs::of(here, &slot, event.cancelled, first),
                slot,
            }
        });
        Ok(SlotsRead {
            rows: rows.collect(),
            faults: agenda.faults,
        })
    }

    /// The times in a file at which somebody is away, beside those that are known: of a student
    /// in this course, of staff in the school's book. Nothing is recorded.
    ///
    /// # Errors
    /// [`DeskError::NotFound`] if this device does not hold the course.
    pub fn look_at_away(
        &self,
        course: Option<&CourseId>,
        who: Who,
        bytes: &[u8],
    ) -> Result<AwaysRead, DeskError> {
        let agenda = self.agenda(bytes);
        let mut shelf = self.shelf();
        let known = match course {
            Some(course) => shelf.course(course)?.standing.away(),
            None => shelf.shop()?.0.standing.away(),
        };
        let mut seen = BTreeSet::new();
        let rows = agenda.events.into_iter().map(|event| {
            let away = away_of(&event);
            let first = seen.insert(away.uid.clone());
            let mut all = known.iter();
            let here = all.find(|(of, known)| *of == who && known.uid == away.uid);
            AwayRead {
                line: event.line,
                stands: ReadIs::of(here.map(|one| one.1), &away, event.cancelled, first),
                away,
            }
        });
        Ok(AwaysRead {
            rows: rows.collect(),
            faults: agenda.faults,
        })
    }

    fn agenda(&self, bytes: &[u8]) -> Agenda {
        let stamps = { Arc::clone(&self.shelf().stamps) };
        read_agenda(bytes, &|local| {
            local.and_local_timezone(stamps.offset_at(local)).single()
        })
    }
}

fn slot_of(event: &AgendaEvent, setting: Setting) -> Slot {
    let minutes = (event.ends - event.starts).num_minutes();
    let slot = Slot {
        uid: event.uid.clone(),
        setting: event.setting.unwrap_or(setting),
        site: event.place.clone(),
        starts: event.starts,
        minutes: u16::try_from(minutes).unwrap_or(u16::MAX),
        price: event.price.clone(),
    };
    slot.cleaned()
}

fn away_of(event: &AgendaEvent) -> Away {
    let away = Away {
        uid: event.uid.clone(),
        from: event.starts,
        until: event.ends,
    };
    away.cleaned()
}
