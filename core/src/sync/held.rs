//! Held: whether a peer has stored what is here. By heads and per peer; there is no global
//! mark, because "nothing there" and "could not look" must never look alike.

use automerge::ChangeHash;

use crate::ledger::{Heads, Ledger, guarded};

/// Where a ledger's changes are held, as far as one peer has said.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Held {
    /// The peer has said what it stored, and so many changes are not among it.
    HereOnly {
        /// How many; one entry is one change.
        changes: usize,
    },
    /// The peer has stored everything that is here, and perhaps more.
    There,
    /// The peer has not said, or it holds changes we have not seen, behind which ours may
    /// or may not stand.
    NotKnown,
}

impl Held {
    /// What a peer holds of this ledger, given the heads it last said it had stored.
    pub fn of(ledger: &Ledger, said: Option<&Heads>) -> Self {
        let Some(said) = said else {
            return Self::NotKnown;
        };
        if *said == ledger.heads() {
            return Self::There;
        }
        let document = ledger.document();
        let (known, unknown): (Vec<ChangeHash>, Vec<ChangeHash>) = said
            .iter()
            .map(|hash| ChangeHash(*hash))
            .partition(|hash| document.get_change_meta_by_hash(hash).is_some());
        let missing = guarded("compare heads", || {
            // The first change is the same everywhere and nobody's to hold.
            let missing = document.get_changes_meta(&known);
            let missing = missing.iter().filter(|change| !change.deps.is_empty());
            Ok::<_, crate::ledger::LedgerError>(missing.count())
        });
        match missing {
            Ok(0) => Self::There,
            Ok(changes) if unknown.is_empty() => Self::HereOnly { changes },
            Ok(_) | Err(_) => Self::NotKnown,
        }
    }
}

#[cfg(test)]
mod tests {
    use uuid::Uuid;

    use super::*;
    use crate::course::{CourseId, LedgerId};

    fn ledger(actor: u8) -> Ledger {
        let id = LedgerId::Course(CourseId::new(Uuid::from_u128(7)));
        Ledger::new(id, [actor; 16]).unwrap()
    }

    fn add(ledger: &mut Ledger, n: u128) {
        ledger.add(&n.to_be_bytes()).unwrap();
    }

    #[test]
    fn what_a_peer_never_said_is_not_known() {
        assert_eq!(Held::of(&ledger(1), None), Held::NotKnown);
    }

    #[test]
    fn an_empty_ledger_is_held_by_whoever_has_begun_it() {
        let empty = ledger(1);
        assert_eq!(Held::of(&empty, Some(&ledger(2).heads())), Held::There);
    }

    #[test]
    fn three_states_follow_the_heads() {
        let mut here = ledger(1);
        add(&mut here, 1);
        let first = here.heads();
        assert_eq!(Held::of(&here, Some(&first)), Held::There);
        add(&mut here, 2);
        add(&mut here, 3);
        assert_eq!(Held::of(&here, Some(&first)), Held::HereOnly { changes: 2 });
        let nothing = Heads::default();
        assert_eq!(
            Held::of(&here, Some(&nothing)),
            Held::HereOnly { changes: 3 }
        );

        let mut there = ledger(2);
        there.adopt(there.take_bytes(&here.save().unwrap()).unwrap());
        add(&mut there, 4);
        // Heads we have not seen may stand on ours or not: never shown as held.
        assert_eq!(Held::of(&here, Some(&there.heads())), Held::NotKnown);
        here.adopt(here.take_bytes(&there.save().unwrap()).unwrap());
        assert_eq!(Held::of(&here, Some(&there.heads())), Held::There);
    }

    #[test]
    fn made_up_heads_never_make_anything_held() {
        let mut here = ledger(1);
        add(&mut here, 1);
        let made_up = Heads::from_bytes(&[9; 64]).unwrap();
        assert_eq!(Held::of(&here, Some(&made_up)), Held::NotKnown);
    }

    #[test]
    fn a_known_head_that_covers_ours_holds_it_beside_an_unknown_one() {
        let mut here = ledger(1);
        add(&mut here, 1);
        let mut both = here.heads().to_bytes();
        both.extend([9; 32]);
        let both = Heads::from_bytes(&both).unwrap();
        assert_eq!(Held::of(&here, Some(&both)), Held::There);
    }
}
