//! Bounds of what was seen: dives, weight checks, passages, photographs and sounds.

use chrono::{DateTime, FixedOffset};

use super::{NAME, clock, count, figure, inside, optional, text, time};
use crate::course::{DiveLog, WeightCheck};
use crate::entry::{Attachment, Origin, Passage, Refusal, within};

pub(in crate::entry) fn dive(log: &DiveLog) -> Result<(), Refusal> {
    time("down", log.down)?;
    if log.up < log.down {
        return Err(Refusal::EndsBeforeItBegins { field: "dive" });
    }
    let lasted = (log.up - log.down).num_seconds();
    inside("dive time", lasted, within::DIVE_TIME)?;
    inside("deepest", i64::from(log.max_depth_cm), within::DEEPEST)?;
    if let Some(mean) = log.mean_depth_cm {
        figure(
            "average depth",
            i64::from(mean),
            0,
            i64::from(log.max_depth_cm),
        )?;
    }
    if let Some(ascents) = log.ascents {
        figure("ascents", i64::from(ascents), 1, 40)?;
    }
    if let Some(temperature) = log.temperature_dc {
        inside("temperature", i64::from(temperature), within::TEMPERATURE)?;
    }
    if let Some(gas) = log.gas {
        capacity(gas.capacity_dl)?;
        inside("start pressure", i64::from(gas.start_mbar), within::FILL)?;
        figure(
            "end pressure",
            i64::from(gas.end_mbar),
            0,
            i64::from(gas.start_mbar),
        )?;
        figure("oxygen", i64::from(gas.oxygen_permille), 209, 1_000)?;
    }
    let in_order = log.profile.windows(2).all(|pair| match pair {
        [(before, _), (after, _)] => before < after,
        _ => true,
    });
    if !in_order {
        return Err(Refusal::EndsBeforeItBegins { field: "profile" });
    }
    figure("profile", count(log.profile.len()), 0, 25_000)?;
    let deepest = log
        .profile
        .iter()
        .map(|(_, depth)| *depth)
        .max()
        .unwrap_or(0);
    figure("profile depth", i64::from(deepest), 0, 10_000)
}

fn capacity(capacity_dl: u16) -> Result<(), Refusal> {
    inside("cylinder", i64::from(capacity_dl), within::CAPACITY)
}

pub(in crate::entry) fn weight(check: &WeightCheck) -> Result<(), Refusal> {
    inside("lead", i64::from(check.lead_g), within::LEAD)?;
    text("suit", &check.suit, NAME)?;
    text("cylinder", &check.cylinder, NAME)?;
    capacity(check.capacity_dl)?;
    inside("pressure", i64::from(check.pressure_mbar), within::PRESSURE)
}

pub(in crate::entry) fn origin(origin: Origin) -> Result<(), Refusal> {
    origin.seen().map_or(Ok(()), |seen| time("seen", seen))
}

pub(in crate::entry) fn passage(
    passage: Passage,
    when: DateTime<FixedOffset>,
) -> Result<(), Refusal> {
    match passage {
        Passage::In | Passage::Out | Passage::Absent => clock("time", when.date_naive()),
    }
}

/// A photograph or a sound as large as one may be.
pub(in crate::entry) fn attachment(attachment: &Attachment) -> Result<(), Refusal> {
    let (bytes, media) = (attachment.file.bytes, attachment.file.media);
    let field = if media.is_sound() { "sound" } else { "picture" };
    figure(field, i64::from(bytes), 1, i64::from(media.most_bytes()))?;
    optional("slate", attachment.slate.as_ref(), 16)
}
