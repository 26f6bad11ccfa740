//! Policy: the rules a shop works under, shown, edited and confirmed.

use tallywater_core::{course, view};

use crate::cross::mirror;
use crate::{ClearanceKind, Day, Figure, Gate, Leave, RecordClass, Setting, SkillNamed, StaffName};

mirror! {
    /// A policy, in force or as a draft.
    shown record PolicyView = view::PolicyView {
        course: Option<String>,
        policy: Policy,
        rules: Vec<RuleRow>,
        unconfirmed: u32,
        faults: Vec<PolicyFault>,
        entry: Option<String>,
        shop_differs: bool,
        after: Vec<String>,
        may_set: Leave,
    }

    /// One rule.
    shown record RuleRow = view::RuleRow {
        id: String,
        rule: Rule,
        depth: Option<Figure>,
        skills: Vec<SkillNamed>,
        source: String,
        confirmed: Option<ConfirmedBy>,
    }

    /// By whom, and on which day.
    shown tuple ConfirmedBy = (view::StaffName, view::Day) {
        by: StaffName,
        on: Day,
    }

    /// A named set of rules, adopted by value.
    both record Policy = course::Policy {
        title: String,
        edition: u32,
        rules: Vec<PolicyRule>,
    }

    /// One rule and where it comes from.
    both record PolicyRule = course::PolicyRule {
        id: String,
        rule: Rule,
        source: String,
    }

    /// What a rule demands.
    both enum Rule = course::Rule {
        Ratio { setting: Setting, per_instructor: u8, per_assistant: u8, cap: u8 },
        Depth { setting: Setting, dive: Option<u8>, max_cm: u32 },
        DivesPerDay { most: u8 },
        DivesNeeded { least: u8 },
        AssistantJudges { skills: Vec<String> },
        HealthCurrency { days: u16 },
        ConsentUnder { age: u8 },
        Needs { clearance: ClearanceKind, before: Gate },
        AscentsPerDay { most: u8 },
        Keep { class: RecordClass, years: u8, minors_to_age: Option<u8> },
    }

    /// Something wrong with a policy.
    shown enum PolicyFault = course::PolicyFault {
        TooMany { most: u32 },
        Edition,
        Title { most: u32 },
        Twice { id: String },
        Clash { first: String, second: String },
        NoSource { id: String },
        LongSource { id: String, most: u32 },
        Figure { id: String, least: u32, most: u32 },
        CapBelowOne { id: String, per_instructor: u8, cap: u8 },
    }
}
