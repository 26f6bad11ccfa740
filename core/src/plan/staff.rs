//! Staff: what a member of staff still lacks before a session, as the policy asks it of the
//! role. Renewals stand in the shop's ledger: they are the person's and not a course's.

use chrono::NaiveDate;

use super::kit::{KitLack, lacks};
use crate::course::{KitName, KitWrong, Role, Rule, RuleId, Setting, StaffId, StaffPaper};
use crate::entry::{Kind, Who};
use crate::standing::{CourseStanding, ShopStanding};

/// One thing that a member of staff lacks.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct StaffGap {
    /// What.
    pub what: StaffMissing,
    /// The kind of entry that would close it.
    pub closes_with: Kind,
}

/// What a member of staff can lack.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum StaffMissing {
    /// A rule that this rests on has been confirmed by nobody.
    RuleUnconfirmed(#[cfg_attr(feature = "border", uniffi(name = "rule"))] RuleId),
    /// Nobody has recorded it.
    NotRecorded(#[cfg_attr(feature = "border", uniffi(name = "paper"))] StaffPaper),
    /// It counted until this day.
    Ended(
        #[cfg_attr(feature = "border", uniffi(name = "paper"))] StaffPaper,
        #[cfg_attr(feature = "border", uniffi(name = "until"))] NaiveDate,
    ),
    /// A piece of the school's kit that they have should not go into the water.
    Kit {
        /// Which.
        piece: KitName,
        /// What is wrong with it that day.
        wrong: KitWrong,
    },
}

/// Everything that a member of staff lacks before a session in this setting on this day.
/// Without a rule for the role no paper is asked.
pub fn before_staff(
    shop: &ShopStanding,
    course: &CourseStanding,
    staff: &StaffId,
    (setting, on): (Setting, NaiveDate),
) -> Vec<StaffGap> {
    let (Some(policy), Some(role)) = (course.policy(), course.staff().get(staff).copied()) else {
        return Vec::new();
    };
    if !setting.is_wet() || role == Role::Shop {
        return Vec::new();
    }
    let mut gaps = Vec::new();
    for rule in &policy.policy.rules {
        let Rule::StaffNeeds { role: of, papers } = &rule.rule else {
            continue;
        };
        if *of != role {
            continue;
        }
        if !policy.confirmed.contains_key(&rule.id) {
            gaps.push(StaffGap {
                what: StaffMissing::RuleUnconfirmed(rule.id.clone()),
                closes_with: Kind::PolicyConfirmed,
            });
        }
        for paper in papers {
            let what = match shop.renewal(staff, *paper) {
                None => StaffMissing::NotRecorded(*paper),
                Some((_, renewed)) => match renewed.until {
                    Some(until) if until < on => StaffMissing::Ended(*paper, until),
                    Some(_) | None => continue,
                },
            };
            gaps.push(StaffGap {
                what,
                closes_with: Kind::StaffRenewed,
            });
        }
    }
    let kit = lacks(shop, course, policy, &Who::Staff(*staff), on).into_iter();
    gaps.extend(kit.map(|lack| match lack {
        KitLack::RuleUnconfirmed(rule) => StaffGap {
            what: StaffMissing::RuleUnconfirmed(rule),
            closes_with: Kind::PolicyConfirmed,
        },
        KitLack::Piece(piece, wrong) => StaffGap {
            what: StaffMissing::Kit { piece, wrong },
            closes_with: Kind::KitReturned,
        },
    }));
    gaps.sort();
    gaps.dedup();
    gaps
}
