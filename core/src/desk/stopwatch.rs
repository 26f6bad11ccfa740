//! Stopwatch: one a device. It runs on while its screen is left and while the program is not
//! there: what is kept is when it was started, by the device's clock.

use std::sync::{Mutex, PoisonError};

use chrono::{DateTime, FixedOffset};

use super::Desk;
use crate::view::{Figure, FigureKind, Units};

/// The preference it is kept under.
const KEPT: &str = "stopwatch";

/// The stopwatch as it is shown.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct StopwatchView {
    /// Whether it runs.
    pub running: bool,
    /// Minutes and seconds; as it stands it can be read as a measure.
    pub time: Figure,
    /// Whole seconds.
    pub seconds: u32,
    /// Tenths beside them, 0 to 9.
    pub tenths: u8,
    /// What it was started for.
    pub timed: Option<Timed>,
    /// Whether the bound that was asked about is reached.
    pub reached: Option<bool>,
}

/// Whose try is timed: ids as texts, for they are only held against each other.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct Timed {
    /// In which course.
    pub course: String,
    /// Who.
    pub student: String,
    /// What.
    pub skill: String,
}

/// A device's stopwatch.
#[derive(Debug, Default)]
pub struct Stopwatch(Mutex<Kept>);

/// What is kept of it.
#[derive(Debug, Clone, Default)]
struct Kept {
    started: Option<DateTime<FixedOffset>>,
    before_ms: i64,
    timed: Option<Timed>,
}

impl Stopwatch {
    /// What was kept when the program was last there; a stopwatch at nought if that cannot be
    /// read, for it stops nobody from marking.
    pub fn of(desk: &Desk) -> Self {
        let kept = desk.preference(KEPT).ok().flatten();
        let kept = kept.and_then(|text| Kept::read(&text));
        Self(Mutex::new(kept.unwrap_or_default()))
    }

    /// As it stands, against a bound in seconds where one is given.
    pub fn shown(&self, desk: &Desk, bound: Option<u32>) -> StopwatchView {
        self.turn(desk, bound, |_, _| {})
    }

    /// Starts it, or lets it go on; for another cell it begins at nought.
    pub fn start(&self, desk: &Desk, timed: Option<Timed>) -> StopwatchView {
        self.turn(desk, None, |kept, now| {
            if kept.timed != timed {
                *kept = Kept {
                    timed,
                    ..Kept::default()
                };
            }
            kept.started.get_or_insert(now);
        })
    }

    /// Stops it.
    pub fn stop(&self, desk: &Desk) -> StopwatchView {
        self.turn(desk, None, |kept, now| {
            kept.before_ms = kept.ms(now);
            kept.started = None;
        })
    }

    /// Puts it back to nought.
    pub fn reset(&self, desk: &Desk) -> StopwatchView {
        self.turn(desk, None, |kept, _| *kept = Kept::default())
    }

    /// A step of it. When the device is full it runs on in memory, and only a program that is
    /// killed then would not find it again.
    fn turn(
        &self,
        desk: &Desk,
        bound: Option<u32>,
        step: impl FnOnce(&mut Kept, DateTime<FixedOffset>),
    ) -> StopwatchView {
        let now = desk.now();
        let mut kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let before = kept.text();
        step(&mut kept, now);
        let after = kept.text();
        if before != after {
            let _ = desk.keep_preference(KEPT, &after);
        }
        kept.shown(now, bound)
    }
}

impl Kept {
    fn read(text: &str) -> Option<Self> {
        let value: serde_json::Value = serde_json::from_str(text).ok()?;
        let text = |name: &str| Some(value.get(name)?.as_str()?.to_owned());
        Some(Self {
            started: text("started").and_then(|at| DateTime::parse_from_rfc3339(&at).ok()),
            before_ms: value.get("before_ms")?.as_i64()?,
            timed: text("course").zip(text("student")).zip(text("skill")).map(
                |((course, student), skill)| Timed {
                    course,
                    student,
                    skill,
                },
            ),
        })
    }

    fn text(&self) -> String {
        let timed = self.timed.as_ref();
        serde_json::json!({
            "started": self.started.map(|at| at.to_rfc3339()),
            "before_ms": self.before_ms,
            "course": timed.map(|timed| &timed.course),
            "student": timed.map(|timed| &timed.student),
            "skill": timed.map(|timed| &timed.skill),
        })
        .to_string()
    }

    /// How long it has run; a clock that was put back counts as no time at all.
    fn ms(&self, now: DateTime<FixedOffset>) -> i64 {
        let since = |at: DateTime<FixedOffset>| (now - at).num_milliseconds().max(0);
        self.before_ms.saturating_add(self.started.map_or(0, since))
    }

    fn shown(&self, now: DateTime<FixedOffset>, bound: Option<u32>) -> StopwatchView {
        let ms = self.ms(now);
        let seconds = u32::try_from(ms / 1_000).unwrap_or(u32::MAX);
        StopwatchView {
            running: self.started.is_some(),
            // A stopwatch shows the same in either system.
            time: FigureKind::Seconds.show(i64::from(seconds), Units::default()),
            seconds,
            tenths: u8::try_from(ms / 100 % 10).unwrap_or(0),
            timed: self.timed.clone(),
            reached: bound.map(|bound| seconds >= bound),
        }
    }
}
