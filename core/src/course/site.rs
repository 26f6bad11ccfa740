//! Site: a place where the school dives, and what is done there in an emergency. A session
//! names its site in words; it is the one of that name.

use serde::{Deserialize, Serialize};

use super::{WaterKind, clean_line, folded};

/// A place where the school dives; what nobody knows is left empty.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct Site {
    /// Its name, as sessions name it.
    pub name: String,
    /// How one gets there and where one parks.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub access: String,
    /// Where one goes in and comes out.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub entry: String,
    /// What can hurt there.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub hazards: String,
    /// High and low water, as typed from a national table; nothing is worked out from it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub tides: String,
    /// Where on earth, for the light of a day.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub position: Option<Position>,
    /// Height of the surface above the sea, in metres.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub altitude_m: Option<i16>,
    /// Fresh, brackish or salt.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub water: Option<WaterKind>,
    /// Usual depth, in centimetres.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub depth_cm: Option<u32>,
    /// Usual temperature at depth, in tenths of a degree Celsius.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub temperature_dc: Option<i16>,
}

impl Site {
    /// Whether a session's site is this one: the same name, however it is typed.
    pub fn is_called(&self, name: &str) -> bool {
        folded(&self.name) == folded(name)
    }

    /// As it is kept: texts composed, and without what cannot be seen.
    #[must_use]
    pub fn cleaned(mut self) -> Self {
        self.name = clean_line(&self.name);
        for text in [
            &mut self.access,
            &mut self.entry,
            &mut self.hazards,
            &mut self.tides,
        ] {
            *text = text.trim().to_owned();
        }
        self
    }
}

/// A place on earth, in ten thousandths of a degree: some ten metres.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct Position {
    /// North of the equator; south is below nought. At most 900,000.
    pub north_e4: i32,
    /// East of Greenwich; west is below nought. At most 1,800,000.
    pub east_e4: i32,
}

/// What is done at a site in an emergency; every part in words, as it is read out.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct EmergencyPlan {
    /// The numbers to call.
    #[serde(default)]
    pub numbers: String,
    /// The address to give.
    #[serde(default)]
    pub address: String,
    /// The nearest chamber.
    #[serde(default)]
    pub chamber: String,
    /// The nearest hospital.
    #[serde(default)]
    pub hospital: String,
    /// Where the oxygen is.
    #[serde(default)]
    pub oxygen: String,
    /// Where the first-aid kit is.
    #[serde(default)]
    pub first_aid: String,
    /// Where everybody gathers.
    #[serde(default)]
    pub assembly: String,
    /// Who does what.
    #[serde(default)]
    pub roles: String,
}

impl EmergencyPlan {
    /// Its parts in the order in which they are needed, each with the field's name.
    pub const fn parts(&self) -> [(&'static str, &String); 8] {
        [
            ("numbers", &self.numbers),
            ("address", &self.address),
            ("oxygen", &self.oxygen),
            ("first aid", &self.first_aid),
            ("chamber", &self.chamber),
            ("hospital", &self.hospital),
            ("assembly", &self.assembly),
            ("roles", &self.roles),
        ]
    }

    /// As it is kept.
    #[must_use]
    pub fn cleaned(mut self) -> Self {
        for text in [
            &mut self.numbers,
            &mut self.address,
            &mut self.chamber,
            &mut self.hospital,
            &mut self.oxygen,
            &mut self.first_aid,
            &mut self.assembly,
            &mut self.roles,
        ] {
            *text = text.trim().to_owned();
        }
        self
    }
}

/// What goes wrong in the water, each with a card of its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum Alarm {
    /// A buddy is not seen any more.
    LostBuddy,
    /// Somebody panics at the surface.
    Panic,
    /// Somebody does not answer.
    Unresponsive,
    /// A bubble or a lung injury is suspected.
    Injury,
    /// Oxygen is given.
    Oxygen,
    /// Everybody is called back.
    Recall,
}

impl Alarm {
    /// All of them, in the order of the cards.
    pub const ALL: [Self; 6] = [
        Self::LostBuddy,
        Self::Panic,
        Self::Unresponsive,
        Self::Injury,
        Self::Oxygen,
        Self::Recall,
    ];
}
