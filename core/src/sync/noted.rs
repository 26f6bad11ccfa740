//! Noted: what a conversation remembers of a message that was heard.
//!
//! The same that the engine's own `receive_sync_message` (automerge 0.12) would remember,
//! with one difference in how it gets there: to know which of the changes that were sent the
//! peer now has, the engine walks back from the peer's heads through the whole history, for
//! every message. Here only what lies past those heads is looked at.

use std::collections::BTreeSet;

use automerge::ChangeHash;
use automerge::sync::{Message, MessageFlags, State};

use crate::ledger::{Heads, Ledger, LedgerError, guarded};

/// Notes a message. `before` were the ledger's heads when it came; `ledger` is as it is with
/// what the message brought, which `brought` says was anything.
pub(super) fn note(
    state: &mut State,
    before: &Heads,
    ledger: &Ledger,
    message: Message,
    brought: bool,
) -> Result<(), LedgerError> {
    let before: BTreeSet<ChangeHash> = before.iter().copied().map(ChangeHash).collect();
    let now: BTreeSet<ChangeHash> = ledger.heads().iter().copied().map(ChangeHash).collect();
    state.in_flight = false;
    if let Some(flags) = message.flags {
        if flags.contains(MessageFlags::SYNC_RESET) {
            state.sent_hashes.clear();
        }
        state.peer_read_only = flags.contains(MessageFlags::READ_ONLY);
    }
    if brought {
        let shared: BTreeSet<ChangeHash> = state.shared_heads.iter().copied().collect();
        let common = shared.intersection(&now);
        let advanced: BTreeSet<ChangeHash> =
            now.difference(&before).chain(common).copied().collect();
        state.shared_heads = advanced.into_iter().collect();
    }
    let theirs: BTreeSet<ChangeHash> = message.heads.iter().copied().collect();
    let known: Vec<ChangeHash> = theirs
        .iter()
        .filter(|hash| ledger.has(hash))
        .copied()
        .collect();
    if !state.sent_hashes.is_empty() && !known.is_empty() {
        let past = guarded("look past heads", || {
            let past = ledger.document().get_changes_meta(&known);
            Ok::<_, LedgerError>(past.iter().map(|one| one.hash).collect::<BTreeSet<_>>())
        })?;
        state.sent_hashes.retain(|hash| past.contains(hash));
    }
    if !brought && theirs == before {
        state.last_sent_heads.clone_from(&message.heads);
    }
    if known.len() == theirs.len() {
        state.shared_heads.clone_from(&message.heads);
        if message.heads.is_empty() {
            // The peer has lost everything: it is sent everything again.
            state.last_sent_heads.clear();
            state.sent_hashes.clear();
        }
    } else {
        let shared: BTreeSet<ChangeHash> = state.shared_heads.drain(..).chain(known).collect();
        state.shared_heads = shared.into_iter().collect();
    }
    // A peer that says it takes packed messages would be sent one.
    state.their_capabilities = None;
    state.their_have = Some(message.have);
    state.their_heads = Some(message.heads);
    state.their_need = Some(message.need);
    Ok(())
}

#[cfg(test)]
mod tests {
    use automerge::sync::SyncDoc as _;
    use uuid::Uuid;

    use super::*;
    use crate::course::{CourseId, LedgerId};
    use crate::ledger::{changes_in, ready};

    fn ledger(actor: u8) -> Ledger {
        let id = LedgerId::Course(CourseId::new(Uuid::from_u128(7)));
        Ledger::new(id, [actor; 16]).unwrap()
    }

    /// Draws numbers from a row of its own, the same every time.
    struct Dice(u64);

    impl Dice {
        fn throw(&mut self, sides: u64) -> u64 {
            self.0 = self
                .0
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1);
            (self.0 >> 33) % sides
        }
    }

    /// Two sides write, speak and are overheard at random, on the engine's way and on ours;
    /// after every message both remember the same.
    #[test]
    fn what_is_remembered_is_what_the_engine_remembers() {
        let mut compared = 0;
        for seed in 0..60 {
            let mut dice = Dice(seed);
            let mut sides = [ledger(1), ledger(2)];
            let mut states = [State::new(), State::new()];
            let mut n = 0_u32;
            for _ in 0..40 {
                let who = usize::try_from(dice.throw(2)).unwrap();
                match dice.throw(5) {
                    0 | 1 => {
                        n += 1;
                        sides[who].add(&n.to_be_bytes()).unwrap();
                    }
                    2 if dice.throw(6) == 0 => states[who] = State::new(),
                    _ => {
                        let Some(mut message) = sides[who]
                            .document()
                            .generate_sync_message(&mut states[who])
                        else {
                            continue;
                        };
                        match dice.throw(8) {
                            0 => message.heads.clear(),
                            1 => message.heads.insert(0, ChangeHash([0; 32])),
                            2 => continue,
                            3 => {
                                let mut flags = MessageFlags::new();
                                flags.set(MessageFlags::SYNC_RESET);
                                message.flags = Some(flags);
                            }
                            _ => (),
                        }
                        let there = 1 - who;
                        let before = sides[there].heads();
                        let mut engine = states[there].clone();
                        let mut copy = sides[there].document().clone();
                        copy.receive_sync_message(&mut engine, message.clone())
                            .unwrap();
                        engine.their_capabilities = None;
                        let bytes: Vec<u8> = message.changes.iter().flatten().copied().collect();
                        let changes = changes_in(&bytes).unwrap();
                        let brought = !changes.is_empty();
                        let (now, _) = ready(changes, |hash| sides[there].has(hash));
                        let taken = sides[there].take(now).unwrap();
                        sides[there].adopt(taken);
                        let mut ours = states[there].clone();
                        note(&mut ours, &before, &sides[there], message, brought).unwrap();
                        assert_eq!(sides[there].document().get_heads(), copy.get_heads());
                        assert_eq!(ours, engine, "seed {seed}");
                        states[there] = ours;
                        compared += 1;
                    }
                }
            }
        }
        assert!(compared > 500, "{compared}");
    }
}
