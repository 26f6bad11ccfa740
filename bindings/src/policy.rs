//! Policy: the rules a shop works under, shown, edited and confirmed.

use tallywater_core::{course, view};

use crate::cross::mirror;
use crate::{
    AscentsOf, Before, CapExample, CapOf, ClearanceKind, Condition, Figure, Gate, KitKind, Leave,
    PolicyFault, RecordClass, Role, RuleConfirmation, Setting, SkillNamed, StaffPaper,
};

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
        confirmed: Option<RuleConfirmation>,
        example: Option<CapExample>,
    }

    /// The text that somebody read before confirming a rule.
    both record RuleText = tallywater_core::entry::RuleText {
        title: String,
        edition: Option<String>,
        clause: Option<String>,
        on: String,
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
        Ratio { setting: Setting, per_instructor: u8, per_assistant: u8, cap: u8, cap_of: CapOf },
        Depth { setting: Setting, dive: Option<u8>, max_cm: u32 },
        DivesPerDay { most: u8 },
        DivesNeeded { least: u8 },
        AssistantJudges { skills: Vec<String> },
        HealthCurrency { days: u16 },
        ConsentUnder { age: u8 },
        Needs { clearance: ClearanceKind, before: Gate },
        AscentsPerDay { most: u8, of: AscentsOf },
        Forbids { conditions: Vec<Condition> },
        StaffNeeds { role: Role, papers: Vec<StaffPaper> },
        SkillsFirst { skills: Vec<String>, before: Before },
        LeastAge { age: u8 },
        DepthByAge { under: u8, max_cm: u32 },
        RatioByAge { under: u8, per_instructor: u8 },
        PairWithAdult { under: u8 },
        DiveCounts { least_cm: u32, least_minutes: u8 },
        EmergencyPlan { months: u8 },
        KitReady { kinds: Vec<KitKind> },
        Keep { class: RecordClass, years: u8, minors_to_age: Option<u8> },
    }
}
