//! Season: what the marks of every course on this device say of the outline, and the outline
//! with what a person accepts of it.

use std::sync::Arc;

use tallywater_core::view;

use crate::cross::{Shown, mirror};
use crate::{Chart, Fault, Glance, Leave, Outline, PaperSetup, Setting, StaffName, Tallywater};

mirror! {
    /// What the marks of many courses say of the outline.
    shown record SeasonView = view::SeasonView {
        courses: u32,
        outline: Option<String>,
        minutes: Vec<MinutesRow>,
        minutes_few: u32,
        picture: Option<Chart>,
        again: Vec<AgainRow>,
        again_few: u32,
        judges: Vec<SeasonJudges>,
        judges_few: u32,
        proposals: Vec<SeasonProposal>,
        least: u32,
        may_set: Leave,
    }

    /// One skill's lines: minutes planned and taken.
    shown record MinutesRow = view::MinutesRow {
        skill: String,
        name: String,
        lines: u32,
        planned: u32,
        taken: u32,
        percent: u32,
        low: u32,
        high: u32,
    }

    /// One skill, tried again on another day.
    shown record AgainRow = view::AgainRow {
        skill: String,
        name: String,
        all: HeldShare,
        places: Vec<AgainPlace>,
        spans: Vec<AgainSpan>,
    }

    /// Of so many that were tried again, how many were held.
    shown record HeldShare = view::HeldShare {
        held: u32,
        of: u32,
        low: u32,
        high: u32,
    }

    /// The same by where.
    shown record AgainPlace = view::AgainPlace {
        setting: Setting,
        share: HeldShare,
    }

    /// The same by how long after.
    shown record AgainSpan = view::AgainSpan {
        after: AgainAfter,
        share: HeldShare,
    }

    /// How long after it had been met.
    shown enum AgainAfter = view::AgainAfter {
        Week,
        Month,
        Longer,
    }

    /// Two people who marked the same tries, in no order of merit.
    shown record SeasonJudges = view::SeasonJudges {
        first: StaffName,
        second: StaffName,
        same: u32,
        of: u32,
        low: u32,
        high: u32,
    }

    /// A change to the outline that the figures speak for.
    shown record SeasonProposal = view::SeasonProposal {
        id: String,
        what: ProposedChange,
    }

    /// What is proposed, and by which figures.
    shown enum ProposedChange = view::ProposedChange {
        Minutes {
            skill: String,
            name: String,
            setup_now: u16,
            setup: u16,
            turn_now: u16,
            turn: u16,
            lines: u32,
            percent: u32,
            low: u32,
            high: u32
        },
        Order {
            block: String,
            title: String,
            skill: String,
            name: String,
            before: String,
            before_name: String,
            turned: u32,
            of: u32,
            low: u32,
            high: u32
        },
    }
}

#[uniffi::export]
impl Tallywater {
    /// What the marks of every course on this device say of the school's outline, the latest
    /// sixty courses at most. It takes a moment; `None` where the glance was ended meanwhile.
    pub fn season(&self, glance: Arc<Glance>) -> Result<Option<SeasonView>, Fault> {
        let seen = self.season_seen(&mut || glance.goes_on(), |view, _| view)?;
        Ok(seen.map(Shown::shown))
    }

    /// The season as a sheet, as PDF/A: what is proposed, minutes as a picture with its words, and
    /// what is held on another day. It names nobody.
    pub fn print_season(&self, setup: PaperSetup) -> Result<Vec<u8>, Fault> {
        let press = self.press(setup)?;
        let seen = self.season_seen(&mut || true, |view, reader| {
            let shop = reader.shop.name().unwrap_or_default().to_owned();
            (view, shop, reader.now)
        })?;
        let (view, shop, now) = seen.ok_or_else(|| Fault::not_found("outline", ""))?;
        Ok(press.season_sheet(&shop, &view, now)?)
    }

    /// The school's outline with these proposals of the season taken over, an edition later.
    /// Nothing is recorded: that is a request like any other, and a person's.
    pub fn season_outline(&self, proposals: Vec<String>) -> Result<Outline, Fault> {
        let made = self.season_seen(&mut || true, |view, reader| {
            let (_, outline) = reader.shop.outline()?;
            Some(view.outline_with(outline, &proposals))
        })?;
        match made.flatten() {
            Some(Ok(outline)) => Ok(outline.shown()),
            Some(Err(id)) => Err(Fault::not_found("proposal", &id)),
            None => Err(Fault::not_found("outline", "")),
        }
    }
}

impl Tallywater {
    fn season_seen<T>(
        &self,
        go_on: &mut dyn FnMut() -> bool,
        of: impl FnOnce(view::SeasonView, &view::Reader<'_>) -> T,
    ) -> Result<Option<T>, Fault> {
        let Some(told) = self.desk.ask_courses(go_on, view::SeasonTold::of)? else {
            return Ok(None);
        };
        let seen = self.desk.look_at_shop(self.units(), |reader| {
            of(view::SeasonView::of(&told, reader), reader)
        })?;
        Ok(Some(seen))
    }
}
