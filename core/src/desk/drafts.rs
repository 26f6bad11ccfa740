//! Drafts: entries about to be written, in order.

use crate::course::{CourseId, EntryId, LedgerId};
use crate::entry::{Amendment, Body, Enrolment};

/// One entry about to be written.
#[derive(Debug, Clone)]
pub(super) struct Draft {
    pub(super) ledger: LedgerId,
    pub(super) body: Body,
    /// What was on screen.
    pub(super) after: Vec<EntryId>,
    /// Whether the body carries the digest of the details written just before it.
    pub(super) takes_digest: bool,
    /// Whether it comes after what of its kind was written before it in the same request.
    pub(super) follows: bool,
}

/// The entries of one request, written together or not at all.
#[derive(Debug, Clone)]
pub(super) struct Drafts {
    pub(super) list: Vec<Draft>,
    pub(super) made: Option<String>,
}

impl Drafts {
    pub(super) fn one(ledger: LedgerId, body: impl Into<Body>, after: Vec<EntryId>) -> Self {
        let draft = Draft {
            ledger,
            body: body.into(),
            after,
            takes_digest: false,
            follows: false,
        };
        Self {
            list: vec![draft],
            made: None,
        }
    }

    /// One in a course's ledger, after nothing.
    pub(super) fn of_course(course: CourseId, body: impl Into<Body>) -> Self {
        Self::of_course_after(course, body, Vec::new())
    }

    /// One in a course's ledger.
    pub(super) fn of_course_after(
        course: CourseId,
        body: impl Into<Body>,
        after: Vec<EntryId>,
    ) -> Self {
        Self::one(LedgerId::Course(course), body, after)
    }

    pub(super) fn and(
        mut self,
        ledger: LedgerId,
        body: impl Into<Body>,
        after: Vec<EntryId>,
    ) -> Self {
        self.list.push(Draft {
            ledger,
            body: body.into(),
            after,
            takes_digest: false,
            follows: false,
        });
        self
    }

    /// One that comes after those of its kind before it in the same request too.
    pub(super) fn and_following(
        mut self,
        ledger: LedgerId,
        body: impl Into<Body>,
        after: Vec<EntryId>,
    ) -> Self {
        self.list.push(Draft {
            ledger,
            body: body.into(),
            after,
            takes_digest: false,
            follows: true,
        });
        self
    }

    /// An enrolment over the details just before it.
    pub(super) fn and_enrol(mut self, ledger: LedgerId, body: Enrolment) -> Self {
        self.list.push(Draft {
            ledger,
            body: body.into(),
            after: Vec::new(),
            takes_digest: true,
            follows: false,
        });
        self
    }

    /// An amendment over the details just before it.
    pub(super) fn and_amend(
        mut self,
        ledger: LedgerId,
        body: Amendment,
        after: Vec<EntryId>,
    ) -> Self {
        self.list.push(Draft {
            ledger,
            body: body.into(),
            after,
            takes_digest: true,
            follows: false,
        });
        self
    }

    /// These, and then those: what they make is not told any more.
    pub(super) fn then(mut self, more: Self) -> Self {
        self.list.extend(more.list);
        self.made = None;
        self
    }

    /// Nothing to write yet.
    pub(super) const fn none() -> Self {
        Self {
            list: Vec::new(),
            made: None,
        }
    }

    /// The id of what these entries make, read back.
    pub(super) fn made_id<T: std::str::FromStr>(&self) -> Option<T> {
        self.made.as_deref()?.parse().ok()
    }

    /// The id of what these entries make.
    pub(super) fn making(mut self, id: impl ToString) -> Self {
        self.made = Some(id.to_string());
        self
    }
}
