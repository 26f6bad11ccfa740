//! What is typed in: session plans, dives, weight checks, people's details.

use tallywater_core::{course, entry};

use crate::cross::mirror;
use crate::{
    BodyMeasures, Condition, EmergencyContact, GasUsed, Setting, Sizes, WaterKind, WaterPlan,
};

mirror! {
    /// A session as planned; planning it again replaces it, and the record shows both.
    both record SessionPlan = course::SessionPlan {
        title: String,
        block: Option<String>,
        setting: Setting,
        site: String,
        starts: String,
        minutes: u16,
        students: Vec<String>,
        staff: Vec<String>,
        run_list: Vec<String>,
        water: WaterPlan,
        stations: Vec<StationPlan>,
        also: Vec<Condition>,
        bring: Option<String>,
    }

    /// What one member of staff runs in a session, and with whom.
    both record StationPlan = course::StationPlan {
        staff: String,
        runs: Vec<StationRunPlan>,
        buddies: Vec<Vec<String>>,
    }

    /// One skill at a station.
    both record StationRunPlan = course::StationRunPlan {
        skill: String,
        starts: u16,
        minutes: u16,
        kept: u16,
        students: Vec<String>,
    }

    /// One diver's dive.
    both record DiveLog = course::DiveLog {
        down: String,
        up: String,
        max_depth_cm: u32,
        mean_depth_cm: Option<u32>,
        ascents: Option<u8>,
        gas: Option<GasUsed>,
        water: WaterKind,
        temperature_dc: Option<i16>,
        profile: Vec<ProfilePoint>,
    }

    /// A point of a dive's profile.
    both tuple ProfilePoint = (u32, u32) {
        seconds: u32,
        depth_cm: u32,
    }

    /// What is known of a student: the least that serves.
    both private record PersonDetails = course::PersonDetails {
        name: String,
        called: Option<String>,
        born: Option<String>,
        adult: Option<AdultSeen>,
        contact: Option<String>,
        emergency: Option<EmergencyContact>,
        body: Option<BodyMeasures>,
        sizes: Option<Sizes>,
    }

    /// Somebody saw from a paper that a person is of age.
    both private record AdultSeen = course::AdultSeen {
        by: String,
        on: String,
    }

    /// A student or a member of staff.
    both enum Who = entry::Who {
        Student(student: String),
        Staff(staff: String),
    }

    /// How a mark came into the record.
    both enum Origin = entry::Origin {
        Live,
        Memory { seen: String },
        Slate { seen: String },
    }
}
