//! State: which entries a ledger held at one moment, in a few digits that fit on paper.
//!
//! A fingerprint says of which entries it is only to whoever has exactly these. What another
//! device wrote before the moment and sent after it comes to lie among them; the state names
//! the latest changes that were here, and so everything behind them and nothing else.

use std::collections::BTreeSet;
use std::fmt;
use std::str::FromStr;

use super::{Heads, Ledger};
use crate::course::{BadId, EntryId};

/// How many readings of a state are tried. Two changes that share four bytes of their hash are
/// rare by chance; whoever makes them on purpose shall not make a verification endless.
const MOST_MOMENTS: usize = 64;

/// The beginnings of the hashes of the latest changes, in order: four bytes each, enough to
/// tell a ledger's changes apart. Where they do not, the fingerprint printed beside them does.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct State(BTreeSet<[u8; 4]>);

impl State {
    /// The state of a ledger now.
    pub fn of(ledger: &Ledger) -> Self {
        Self(ledger.heads().iter().map(beginning).collect())
    }

    /// What the ledger may have held then. Usually one answer; none if one of the changes is
    /// not here; several where the digits fit several changes, which a fingerprint tells apart.
    pub fn moments(&self, ledger: &Ledger) -> Vec<BTreeSet<EntryId>> {
        let all = ledger.changes();
        let mut choices: Vec<Vec<u8>> = vec![Vec::new()];
        for digits in &self.0 {
            let fitting = all.iter().filter(|hash| beginning(hash) == *digits);
            let fitting: Vec<&[u8; 32]> = fitting.collect();
            choices = choices
                .iter()
                .flat_map(|named| {
                    fitting
                        .iter()
                        .map(move |hash| [named.as_slice(), hash.as_slice()].concat())
                })
                .take(MOST_MOMENTS)
                .collect();
        }
        let heads = choices.iter().filter_map(|named| Heads::from_bytes(named));
        heads
            .filter_map(|heads| ledger.entries_at(&heads))
            .collect()
    }
}

fn beginning(hash: &[u8; 32]) -> [u8; 4] {
    let [a, b, c, d, ..] = *hash;
    [a, b, c, d]
}

/// Groups of eight digits, a space between them.
impl fmt::Display for State {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (place, digits) in self.0.iter().enumerate() {
            let space = if place == 0 { "" } else { " " };
            write!(f, "{space}{:08x}", u32::from_be_bytes(*digits))?;
        }
        Ok(())
    }
}

/// Reads one as it was typed off a page: groups of eight digits, capitals do not matter.
impl FromStr for State {
    type Err = BadId;
    fn from_str(text: &str) -> Result<Self, BadId> {
        let bad = || BadId { what: "state" };
        let group = |text: &str| {
            let whole = text.len() == 8 && text.bytes().all(|digit| digit.is_ascii_hexdigit());
            let number = u32::from_str_radix(text, 16).ok().filter(|_| whole);
            number.map(u32::to_be_bytes).ok_or_else(bad)
        };
        let groups: BTreeSet<_> = text
            .split_whitespace()
            .map(group)
            .collect::<Result<_, _>>()?;
        if groups.is_empty() {
            return Err(bad());
        }
        Ok(Self(groups))
    }
}

#[cfg(test)]
mod tests {
    use uuid::Uuid;

    use super::*;
    use crate::course::{CourseId, LedgerId};
    use crate::ledger::{Fingerprint, Likeness};

    fn ledger(actor: u8) -> Ledger {
        let id = LedgerId::Course(CourseId::new(Uuid::from_u128(7)));
        Ledger::new(id, [actor; 16]).unwrap()
    }

    /// An entry whose writer's clock said `n`.
    fn add(ledger: &mut Ledger, n: u128) -> EntryId {
        crate::ledger::sample::add(ledger, n, "")
    }

    fn bring(to: &mut Ledger, from: &Ledger) {
        let taken = to.take_bytes(&from.plain().unwrap()).unwrap();
        to.adopt(taken);
    }

    #[test]
    fn what_came_late_and_lies_among_them_is_told_from_what_was_there() {
        let (mut shop, mut slow) = (ledger(1), ledger(2));
        add(&mut shop, 10);
        add(&mut shop, 30);
        let late = add(&mut slow, 20);
        let printed = (Fingerprint::of(&shop), State::of(&shop));
        bring(&mut shop, &slow);
        let last = add(&mut shop, 40);
        assert_eq!(
            printed.0.compare(&shop),
            Likeness::Other,
            "20 lies among them"
        );
        let Likeness::Before { entries, since } = printed.0.compare_at(&printed.1, &shop) else {
            panic!("it is of the two that were there");
        };
        assert_eq!((entries, since), (2, vec![late, last]));
        // Of the state now it is of everything; of a state that is not its own, of nothing.
        let now = (Fingerprint::of(&shop), State::of(&shop));
        assert_eq!(now.0.compare_at(&now.1, &shop), Likeness::Same);
        assert_eq!(printed.0.compare_at(&now.1, &shop), Likeness::Other);
        assert_eq!(now.0.compare_at(&printed.1, &shop), Likeness::Other);
        // A change that is not here claims nothing.
        let elsewhere: State = "00000000".parse().unwrap();
        assert_eq!(elsewhere.moments(&shop), []);
        assert_eq!(printed.0.compare_at(&elsewhere, &shop), Likeness::Other);
    }

    #[test]
    fn it_is_read_as_it_is_printed_and_nothing_else_is() {
        let (mut one, mut other) = (ledger(1), ledger(2));
        add(&mut one, 11);
        add(&mut other, 12);
        bring(&mut one, &other);
        let state = State::of(&one);
        let text = state.to_string();
        assert_eq!(text.len(), 17, "two devices, two groups: {text}");
        assert_eq!(text.to_uppercase().parse::<State>(), Ok(state.clone()));
        assert_eq!(state.moments(&one)[0].len(), 2);
        for bad in [
            "",
            " ",
            "3f2a",
            "3f2a91c",
            "3f2a91c00",
            "3f2a91cg",
            "+f2a91c0",
            "3f2a 91c0",
        ] {
            assert!(bad.parse::<State>().is_err(), "{bad:?}");
        }
    }
}
