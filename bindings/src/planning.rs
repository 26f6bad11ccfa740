//! Planning: a session as a draft, a proposal for its run list, and the shop's and a
//! course's outline and rules, to be edited and checked before they are recorded.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use tallywater_core::course::{self, BlockId, SkillId, starter};
use tallywater_core::plan::expect::Prior;
use tallywater_core::plan::history;
use tallywater_core::view;

use crate::cross::{Asked as _, Shown};
use crate::{
    AheadAsked, EvidenceView, Fault, Measured, Outline, OutlineView, OutlookView, Policy,
    PolicyView, ProposalView, Scope, SessionPlan, SessionView, Tallywater,
};

#[uniffi::export]
impl Tallywater {
    /// A plan to begin with: for a block of the outline, where one is given; in the school's
    /// next free slot for its water, where one is left.
    pub fn draft_session(
        &self,
        course: String,
        block: Option<String>,
    ) -> Result<SessionPlan, Fault> {
        let block: Option<BlockId> = block.asked()?;
        Ok(self
            .see_among(&course, |course, reader| {
                view::draft(course, reader, block.as_ref())
            })?
            .shown())
    }

    /// A make-up for one student: the skills still needed of the block that was held and of
    /// which most is open. Refused by "nothing_to_make_up" where nothing is needed; the title is the
    /// block's, for the caller to say in its own words that it is a make-up.
    pub fn draft_make_up(&self, course: String, student: String) -> Result<SessionPlan, Fault> {
        let id: course::StudentId = student.asked()?;
        let seen = self.see_among(&course, |course, reader| view::make_up(course, reader, id))?;
        seen.map(Shown::shown)
            .ok_or_else(|| Fault::rule("nothing_to_make_up"))
    }

    /// A session as planned, for its plan to be changed.
    pub fn session_plan(&self, course: String, session: String) -> Result<SessionPlan, Fault> {
        let id: course::SessionId = session.clone().asked()?;
        Ok(self
            .find(&course, ("session", &session), |course, _| {
                Some(course.sessions().get(&id)?.plan.clone())
            })?
            .shown())
    }

    /// What a plan comes to, before it is recorded: ratio, limits, gaps, minutes. `session` is
    /// the one that is planned anew, where it is one: what was set aside for it holds.
    pub fn check_plan(
        &self,
        course: String,
        session: Option<String>,
        plan: SessionPlan,
    ) -> Result<SessionView, Fault> {
        let plan: course::SessionPlan = plan.asked()?;
        let session: Option<course::SessionId> = session.asked()?;
        Ok(self
            .see_among(&course, |course, reader| {
                view::SessionView::of_change(course, reader, &plan, session)
            })?
            .shown())
    }

    /// The best session for those whom a plan names: run list, stations, buddies, why each
    /// was chosen and what was left out. What is pinned is run, what is left out is not.
    pub fn propose(
        &self,
        course: String,
        plan: SessionPlan,
        pinned: Vec<String>,
        left_out: Vec<String>,
    ) -> Result<ProposalView, Fault> {
        let plan: course::SessionPlan = plan.asked()?;
        let pinned: Vec<SkillId> = pinned.asked()?;
        let left_out: Vec<SkillId> = left_out.asked()?;
        Ok(self
            .see(&course, |course, reader| {
                view::ProposalView::of(course, reader, &plan, &pinned, &left_out)
            })?
            .shown())
    }

    /// The best of what is left of a session that is being held. The plan is the whole
    /// session's, as it stands or is being changed, and so is the plan that is answered. Who
    /// missed today may go again; what was shown or met today is not shown or asked for again.
    pub fn propose_what_is_left(
        &self,
        course: String,
        session: String,
        plan: SessionPlan,
        pinned: Vec<String>,
        left_out: Vec<String>,
    ) -> Result<ProposalView, Fault> {
        let session: course::SessionId = session.asked()?;
        let plan: course::SessionPlan = plan.asked()?;
        let pinned: Vec<SkillId> = pinned.asked()?;
        let left_out: Vec<SkillId> = left_out.asked()?;
        let proposed = self.see(&course, |course, reader| {
            let view = view::ProposalView::of_what_is_left;
            view(course, reader, session, &plan, &pinned, &left_out)
        })?;
        Ok(proposed.shown())
    }

    /// What to expect of a course: how many more sessions for each student and for all, and
    /// what else is asked. It takes a moment and holds nothing up; `None` where the glance was
    /// ended meanwhile. Refused by "date_out_of_bounds" for a day that is past, and by
    /// "out_of_bounds" for a prior of none or of more than 50.
    pub fn look_ahead(
        &self,
        course: String,
        asked: AheadAsked,
        glance: Arc<Glance>,
    ) -> Result<Option<OutlookView>, Fault> {
        let asked: view::AheadAsked = asked.asked()?;
        let today = self.desk.now().date_naive();
        if let Some(day) = asked.by.filter(|day| *day < today) {
            let fault = Fault::rule("date_out_of_bounds").of("by").value(day);
            return Err(fault.bounds(Some(today.to_string()), None));
        }
        sound(asked.prior)?;
        let id: course::CourseId = course.clone().asked()?;
        let mut go_on = || glance.goes_on();
        let told = self.desk.ask_courses(&mut go_on, |other| {
            if *other.id() == id {
                return Vec::new();
            }
            history(other)
        })?;
        let Some(told) = told else {
            return Ok(None);
        };
        let ahead = self.look_among(&course, |course, courses, reader| {
            view::OutlookAhead::of(course, courses, reader, asked, told.concat())
        })?;
        let seen = ahead.answer(&mut || glance.goes_on());
        Ok(seen)
    }

    /// The outline in force.
    pub fn outline(&self, scope: Scope) -> Result<OutlineView, Fault> {
        let found = match scope {
            Scope::Shop => self.see_shop(view::OutlineView::of_shop)?,
            Scope::Course { course } => self.see(&course, view::OutlineView::of_course)?,
        };
        found
            .map(Shown::shown)
            .ok_or_else(|| Fault::not_found("outline", ""))
    }

    /// An outline that is being edited, with everything that is wrong with it.
    pub fn check_outline(&self, outline: Outline) -> Result<OutlineView, Fault> {
        let outline: course::Outline = outline.asked()?;
        Ok(view::OutlineView::of_draft(&outline, self.units()).shown())
    }

    /// The rules in force.
    pub fn policy(&self, scope: Scope) -> Result<PolicyView, Fault> {
        let found = match scope {
            Scope::Shop => self.see_shop(view::PolicyView::of_shop)?,
            Scope::Course { course } => self.see(&course, view::PolicyView::of_course)?,
        };
        found
            .map(Shown::shown)
            .ok_or_else(|| Fault::not_found("policy", ""))
    }

    /// Rules that are being edited, with everything that is wrong with them.
    pub fn check_policy(&self, scope: Scope, policy: Policy) -> Result<PolicyView, Fault> {
        let policy: course::Policy = policy.asked()?;
        let draft = match scope {
            Scope::Shop => {
                self.see_shop(|reader| view::PolicyView::of_draft(&policy, None, reader))?
            }
            Scope::Course { course } => self.see(&course, |course, reader| {
                view::PolicyView::of_draft(&policy, Some(course), reader)
            })?,
        };
        Ok(draft.shown())
    }

    /// Whether one of these figures is below what the skill asks for: *met* then needs its
    /// reason.
    pub fn falls_short(
        &self,
        course: String,
        skill: String,
        measured: Vec<Measured>,
    ) -> Result<bool, Fault> {
        let id: SkillId = skill.clone().asked()?;
        self.find(&course, ("skill", &skill), |course, _| {
            let skill = course.outline()?.skill(&id)?;
            Some(!tallywater_core::entry::falls_short(skill, &measured).is_empty())
        })
    }

    /// Raw counts out of a course's marks.
    pub fn evidence(&self, course: String) -> Result<EvidenceView, Fault> {
        self.see(&course, |course, _| EvidenceView::of(&[course]))
    }
}

/// A long look that another thread can end.
#[derive(Debug, Default, uniffi::Object)]
pub struct Glance {
    ended: AtomicBool,
}

#[uniffi::export]
impl Glance {
    /// One that goes on.
    #[uniffi::constructor]
    pub fn new() -> Arc<Self> {
        Arc::default()
    }

    /// Ends it; the answer is no longer wanted.
    pub fn end(&self) {
        self.ended.store(true, Ordering::Relaxed);
    }
}

impl Glance {
    /// Whether the answer is still wanted.
    pub(crate) fn goes_on(&self) -> bool {
        !self.ended.load(Ordering::Relaxed)
    }
}

fn sound(prior: Prior) -> Result<Prior, Fault> {
    prior.sound().map_err(|(name, tries, [least, most])| {
        let fault = Fault::rule("out_of_bounds").of(name).value(tries);
        fault.bounds(Some(least.to_string()), Some(most.to_string()))
    })
}

/// Where every skill begins before any try, unless a person says otherwise.
#[uniffi::export]
pub fn usual_prior() -> Prior {
    Prior::default()
}

/// A prior as it is typed: `7/10` for seven met of ten. Refused by "out_of_bounds".
#[uniffi::export]
pub fn read_prior(text: String) -> Result<Prior, Fault> {
    let bad = || Fault::rule("out_of_bounds").of("prior").value(&text);
    sound(Prior::typed(&text).ok_or_else(bad)?)
}

/// The outline that a new shop begins with.
#[uniffi::export]
pub fn starter_outline() -> Result<Outline, Fault> {
    Ok(starter::outline().map_err(built_in)?.shown())
}

/// The same outline in German: the same skills, ids and figures.
#[uniffi::export]
pub fn german_starter_outline() -> Result<Outline, Fault> {
    Ok(starter::german_outline().map_err(built_in)?.shown())
}

/// A name of the starter outline in German with soft hyphens (U+00AD) where its words may break,
/// for the head of a narrow column; any other text as it is.
#[uniffi::export]
pub fn breakable(name: String) -> String {
    starter::breakable(&name).to_owned()
}

/// The rules that a new shop begins with, confirmed by nobody.
#[uniffi::export]
pub fn starter_policy() -> Result<Policy, Fault> {
    Ok(starter::policy().map_err(built_in)?.shown())
}

/// An outline as a text, to be sent to another shop or kept.
#[uniffi::export]
pub fn outline_text(outline: Outline) -> Result<String, Fault> {
    let outline: course::Outline = outline.asked()?;
    serde_json::to_string_pretty(&outline).map_err(built_in)
}

/// An outline from such a text. Whether it is sound is asked of
/// [`Tallywater::check_outline`].
#[uniffi::export]
pub fn read_outline(text: String) -> Result<Outline, Fault> {
    let outline: course::Outline = serde_json::from_str(&text).map_err(|error| {
        Fault::rule("malformed")
            .what("outline")
            .of("line")
            .value(error.line())
    })?;
    Ok(outline.shown())
}

/// Rules as a text, to be read, edited and taken back by [`read_policy`].
#[uniffi::export]
pub fn policy_text(policy: Policy) -> Result<String, Fault> {
    let policy: course::Policy = policy.asked()?;
    serde_json::to_string_pretty(&policy).map_err(built_in)
}

/// Rules from such a text. Whether they are sound is asked of [`Tallywater::check_policy`].
#[uniffi::export]
pub fn read_policy(text: String) -> Result<Policy, Fault> {
    let policy: course::Policy = serde_json::from_str(&text).map_err(|error| {
        Fault::rule("malformed")
            .what("policy")
            .of("line")
            .value(error.line())
    })?;
    Ok(policy.shown())
}

fn built_in(error: impl std::fmt::Display) -> Fault {
    Fault::Internal {
        detail: error.to_string(),
    }
}
