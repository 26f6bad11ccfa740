//! Devices on a network: real desks behind real links, on loopback.

use std::net::SocketAddr;
use std::sync::{Arc, Condvar, Mutex};
use std::time::{Duration, Instant};

use tallywater_core::course::LedgerId;
use tallywater_core::desk::{Desk, LinkBell};
use tallywater_core::link::{
    Depot, Discovery, Link, LinkConfig, LinkEvent, Listener, Parting, Patience,
};

use tallywater_core::view::{BoardOf, BoardView, Reader, Units};

use super::devices::{Device, School, time};

/// Long after which a test that waits has failed. Nothing is measured against it.
const GUARD: Duration = Duration::from_secs(90);

/// What a listener has heard.
#[derive(Default)]
pub(crate) struct Ear {
    events: Mutex<Vec<LinkEvent>>,
    rings: Condvar,
}

impl Listener for Ear {
    fn link_event(&self, event: LinkEvent) {
        self.events.lock().unwrap().push(event);
        self.rings.notify_all();
    }
}

impl Ear {
    pub(crate) fn events(&self) -> Vec<LinkEvent> {
        self.events.lock().unwrap().clone()
    }

    /// What was heard, but for devices that are looked for and are not there.
    pub(crate) fn news(&self) -> Vec<LinkEvent> {
        let not_there = |event: &LinkEvent| {
            let why = Parting::NotReached;
            matches!(event, LinkEvent::Parted { why: found, .. } if *found == why)
        };
        let mut events = self.events();
        events.retain(|event| !not_there(event));
        events
    }

    /// Waits until something of the kind has been heard.
    pub(crate) fn hears(&self, what: &str, is: impl Fn(&LinkEvent) -> bool) -> LinkEvent {
        let mut events = self.events.lock().unwrap();
        let start = Instant::now();
        loop {
            if let Some(event) = events.iter().find(|event| is(event)) {
                return event.clone();
            }
            assert!(start.elapsed() < GUARD, "never heard {what}: {events:#?}");
            let waited = self.rings.wait_timeout(events, Duration::from_millis(200));
            events = waited.unwrap().0;
        }
    }
}

/// A device that is on the network.
pub(crate) struct Online {
    pub(crate) link: Arc<Link>,
    pub(crate) ear: Arc<Ear>,
}

/// Short waits, so that a lost device is looked for again at once.
pub(crate) fn quick() -> Patience {
    Patience {
        redial_first: Duration::from_millis(40),
        redial_most: Duration::from_millis(400),
        tick: Duration::from_millis(500),
        ..Patience::default()
    }
}

pub(crate) fn loopback() -> SocketAddr {
    SocketAddr::from(([127, 0, 0, 1], 0))
}

pub(crate) fn config(patience: Patience) -> LinkConfig {
    LinkConfig {
        listen: vec![loopback()],
        discovery: Discovery::KnownAddresses,
        patience,
    }
}

/// Puts a desk on the network.
pub(crate) fn go_online(desk: &Arc<Desk>) -> Online {
    let depot: Arc<dyn Depot> = Arc::<Desk>::clone(desk);
    let online = go_online_as(depot, quick());
    desk.listen(Arc::new(LinkBell::new(&online.link)));
    online
}

/// Puts any depot on the network.
pub(crate) fn go_online_as(depot: Arc<dyn Depot>, patience: Patience) -> Online {
    let ear = Arc::new(Ear::default());
    let listener: Arc<dyn Listener> = Arc::<Ear>::clone(&ear);
    let link = Link::open(depot, listener, &config(patience)).expect("a link");
    let link = Arc::new(link);
    Online { link, ear }
}

impl Online {
    /// Looks for the other where it is.
    pub(crate) fn look_at(&self, other: &Self) {
        self.link.look_at(other.link.place());
    }

    /// Waits until both hold the same of what they share.
    pub(crate) fn in_step_with(&self, other: &Self) {
        until("two devices in step", || {
            let state = |of: &Self, with: &Self| of.link.peers().get(&with.link.key()).copied();
            let both = (state(self, other), state(other, self));
            matches!(both, (Some(a), Some(b)) if a.in_step && b.in_step)
        });
    }
}

/// Waits until it is so.
pub(crate) fn until(what: &str, is: impl Fn() -> bool) {
    let start = Instant::now();
    while !is() {
        assert!(start.elapsed() < GUARD, "never came about: {what}");
        std::thread::sleep(Duration::from_millis(3));
    }
}

/// The rows of a board as text, without what only this device may do with them: that differs
/// between two devices, and nothing else does.
pub(crate) fn rows_as_text(board: &BoardView) -> String {
    let mut text = String::new();
    for row in &board.rows {
        let sums = (row.done, row.left, row.of, row.two_views, row.waiting);
        let state = (row.slipped, row.ended, row.water_gaps, row.in_water);
        text += &format!("{:?} {sums:?} {state:?}\n", row.name);
        for cell in &row.cells {
            let met = (cell.met, cell.of, cell.tries, cell.waiting, cell.done);
            let last = (cell.last, cell.slipped_since, cell.sat_out);
            text += &format!("  {} {:?} {met:?} {last:?}\n", cell.skill, cell.state);
        }
    }
    text
}

/// A board as text: every cell, every line and what it means, in order.
pub(crate) fn board(device: &Device, school: &School) -> String {
    let shown = device
        .desk
        .look(&school.course, Units::Metric, |course, reader| {
            // Looked at on the same day: what is due depends on it, and clocks may be wrong.
            let now = time("2026-06-06T18:00:00+02:00");
            let board = BoardView::of(course, &Reader { now, ..*reader }, BoardOf::default());
            let names: Vec<_> = board
                .rows
                .iter()
                .map(|row| (&row.name.name, &row.name.short))
                .collect();
            let (rows, counts) = (rows_as_text(&board), &board.counts);
            format!("{:#?}\n{names:?}\n{rows}\n{counts:#?}", course.cells())
        });
    let shown = shown.unwrap_or_else(|error| error.to_string());
    let heads = device.desk.heads(&LedgerId::Course(school.course));
    format!("{shown}\n{heads:?}")
}
