//! Away: who is away when, from what was said of each absence last.

use std::collections::BTreeMap;

use super::course::CourseStanding;
use super::shop::ShopStanding;
use super::tally::{Counted, Tally};
use crate::course::{Away, EntryId, Slot};
use crate::entry::{Body, Kind, Who};

impl ShopStanding {
    /// The hours that the school has, by their ids. Of several words written apart the one that
    /// it has them no more holds: nobody should wait at a pool that is shut.
    pub fn slots(&self) -> BTreeMap<&str, &Slot> {
        let mut said: BTreeMap<&str, Vec<EntryId>> = BTreeMap::new();
        for one in self.all_standing(Kind::SlotSet) {
            if let Body::SlotSet(set) = &one.entry.body {
                let ids = said.entry(set.slot.uid.as_str()).or_default();
                ids.push(one.entry.id);
            }
        }
        let holds = said.iter().filter_map(|(uid, ids)| {
            let one = self.tally().latest_one(
                ids,
                |entry| matches!(&entry.body, Body::SlotSet(set) if set.dropped),
            )?;
            if let Body::SlotSet(set) = &one.entry.body {
                (!set.dropped).then_some((*uid, &set.slot))
            } else {
                None
            }
        });
        holds.collect()
    }

    /// Every standing entry about a slot, by id: the `after` of the next.
    pub fn slot_entries(&self, uid: &str) -> Vec<EntryId> {
        let about =
            |one: &&Counted| matches!(&one.entry.body, Body::SlotSet(set) if set.slot.uid == uid);
        let all = self.all_standing(Kind::SlotSet).filter(about);
        all.map(|one| one.entry.id).collect()
    }

    /// Which of the staff are away when, by their beginning.
    pub fn away(&self) -> Vec<(Who, &Away)> {
        holding(self.tally(), self.all_standing(Kind::AwaySet))
    }

    /// Every standing entry about an absence, by id: the `after` of the next.
    pub fn away_entries(&self, who: &Who, uid: &str) -> Vec<EntryId> {
        entries(self.all_standing(Kind::AwaySet), who, uid)
    }
}

impl CourseStanding {
    /// Which of the students are away when, by their beginning.
    pub fn away(&self) -> Vec<(Who, &Away)> {
        holding(self.tally(), self.of_kind(Kind::AwaySet))
    }

    /// Every standing entry about an absence, by id: the `after` of the next.
    pub fn away_entries(&self, who: &Who, uid: &str) -> Vec<EntryId> {
        entries(self.of_kind(Kind::AwaySet), who, uid)
    }
}

/// Of several words written apart the one that somebody is away holds: nobody is waited for.
fn holding<'a>(tally: &'a Tally, found: impl Iterator<Item = &'a Counted>) -> Vec<(Who, &'a Away)> {
    let mut said: BTreeMap<(Who, &str), Vec<EntryId>> = BTreeMap::new();
    for one in found {
        if let Body::AwaySet(set) = &one.entry.body {
            let ids = said.entry((set.who, set.away.uid.as_str())).or_default();
            ids.push(one.entry.id);
        }
    }
    let holds = |ids: &Vec<EntryId>| -> Option<(Who, &'a Away)> {
        let one = tally.latest_one(
            ids,
            |entry| matches!(&entry.body, Body::AwaySet(set) if !set.dropped),
        )?;
        if let Body::AwaySet(set) = &one.entry.body {
            (!set.dropped).then_some((set.who, &set.away))
        } else {
            None
        }
    };
    let mut away: Vec<(Who, &Away)> = said.values().filter_map(holds).collect();
    away.sort_by_key(|(who, away)| (away.from, *who));
    away
}

fn entries<'a>(found: impl Iterator<Item = &'a Counted>, who: &Who, uid: &str) -> Vec<EntryId> {
    let about = |one: &&Counted| {
        matches!(&one.entry.body, Body::AwaySet(set)
            if set.who == *who && set.away.uid == uid)
    };
    found.filter(about).map(|one| one.entry.id).collect()
}
