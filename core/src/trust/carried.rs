//! Carried: whether the confirmations that a course took over from its shop are their writers'.
//!
//! A course's policy says of its rules who confirmed them (D11). Whoever writes that speaks in
//! others' names; so an instructor puts their own signed entries beside it, and a policy that
//! names somebody without them counts for nothing.

use std::collections::BTreeMap;

use super::{Line, TrustBook};
use crate::course::{EntryId, LedgerId, Role};
use crate::entry::{Body, Entry, PolicySet, RuleConfirmed, Writer, content_id, may_write};

/// More than any policy has rules.
const MOST: usize = 200;

/// Whether everybody whom this policy names as having confirmed a rule did. The shop speaks
/// for itself, and whoever writes for themselves.
pub(super) fn is_proven(
    book: &TrustBook,
    shop: &LedgerId,
    writer: Writer,
    set: &PolicySet,
) -> bool {
    let named: Vec<&RuleConfirmed> = set
        .confirmed
        .iter()
        .filter(|one| one.by != writer.staff)
        .collect();
    if writer.role == Role::Shop || named.is_empty() {
        return true;
    }
    if set.proofs.len() > MOST {
        return false;
    }
    let lines: BTreeMap<EntryId, Line> = set
        .proofs
        .iter()
        .map(|one| {
            let id = content_id(shop, &one.0);
            (id, Line::check(shop, id, &one.0))
        })
        .collect();
    let entries: BTreeMap<EntryId, (Writer, &Entry)> = lines
        .iter()
        .filter_map(|(id, line)| Some((*id, signed(book, shop, line)?)))
        .collect();
    named.iter().all(|one| {
        entries
            .values()
            .any(|(by, entry)| says(*by, entry, one, set, &entries))
    })
}

/// The entry, if whoever it names wrote it in the shop's ledger and may. A device that was shut
/// out since still said what it said: when, nobody can tell from this ledger alone.
fn signed<'a>(book: &TrustBook, shop: &LedgerId, line: &'a Line) -> Option<(Writer, &'a Entry)> {
    let entry = line.entry().filter(|_| line.signed)?;
    let writer = book.writer(&line.key?)?;
    let may = may_write(writer.role, &entry.body, shop).is_ok() && writer.staff == entry.by;
    may.then_some((writer, entry))
}

/// Whether an entry of the shop's ledger is this confirmation, of the very rule.
fn says(
    by: Writer,
    entry: &Entry,
    one: &RuleConfirmed,
    set: &PolicySet,
    entries: &BTreeMap<EntryId, (Writer, &Entry)>,
) -> bool {
    let same_rule = |of: &PolicySet| {
        let rule = set.policy.rule(&one.rule);
        rule.is_some() && of.policy.rule(&one.rule) == rule
    };
    if let Body::PolicyConfirmed(confirmed) = &entry.body {
        let policy = entries.get(&confirmed.policy).map(|(_, set)| &set.body);
        entry.by == one.by
            && entry.at.date_naive() == one.on
            && confirmed.read == one.read
            && confirmed.rules.contains(&one.rule)
            && matches!(policy, Some(Body::PolicySet(of)) if same_rule(of))
    } else if let Body::PolicySet(of) = &entry.body {
        by.role == Role::Shop && of.confirmed.contains(one) && same_rule(of)
    } else {
        false
    }
}
