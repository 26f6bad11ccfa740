//! `tallywater host`: the shop computer without a window. It listens, stores, and does what
//! other terminals ask of its folder (`relay.rs`).

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, RecvTimeoutError, channel};
use std::time::{Duration, Instant};

use tallywater_bindings::{Fault, LinkListener, LinkNews, Tallywater};
use tracing::{info, warn};

/// How often the host looks whether another terminal has asked something.
const LOOK: Duration = Duration::from_millis(100);
/// How long a host that starts waits for another program to let go of its folder.
const BUSY: Duration = Duration::from_secs(10);
/// After so long without news from the network, ledgers are tidied.
const QUIET: Duration = Duration::from_secs(60);

/// The shop computer: stores what paired devices bring, day and night.
#[derive(Debug, clap::Args)]
pub(super) struct Host {
    /// The shop computer's folder; make it with `tallywater setup`.
    folder: PathBuf,
    /// Where to listen, as address:port; may be given twice, for IPv4 and IPv6. Any free
    /// port of every interface if left out: give one if a firewall must let it through. A port
    /// that is taken is an error.
    #[arg(long, value_name = "ADDRESS:PORT")]
    listen: Vec<String>,
    /// Do not look for devices by mDNS, and do not answer those who look.
    #[arg(long)]
    no_nearby: bool,
}

/// What wakes the host.
enum Wake {
    News,
    Stop,
}

/// Logs what happens on the network: devices by the first digits of their keys, ledgers by
/// id, never a name.
struct Log(std::sync::mpsc::Sender<Wake>);

impl LinkListener for Log {
    fn link_news(&self, news: LinkNews) -> Result<(), Fault> {
        log(&news);
        // Nobody is listening any more when the host is being stopped.
        let _ = self.0.send(Wake::News);
        Ok(())
    }
}

/// The first digits of a key.
fn short(device: &str) -> &str {
    device.get(..8).unwrap_or(device)
}

fn log(news: &LinkNews) {
    match news {
        LinkNews::Met { device } => info!(device = short(device), "met"),
        LinkNews::Parted { device, why } => info!(device = short(device), ?why, "parted"),
        LinkNews::ClockDiffers { device, minutes } => {
            warn!(device = short(device), minutes, "its clock differs");
        }
        LinkNews::Arrived {
            device,
            ledger,
            new,
            here,
            there,
        } => info!(device = short(device), %ledger, new, here, of = there, "stored"),
        LinkNews::Stored {
            device,
            ledger,
            here,
            there,
        } => info!(device = short(device), %ledger, here, there, "it has stored"),
        LinkNews::InStep { device } => info!(device = short(device), "in step"),
        LinkNews::NotTaken {
            device,
            ledger,
            why,
        } => warn!(device = short(device), %ledger, ?why, "it does not take this"),
        LinkNews::NotStored {
            device,
            ledger,
            full: true,
        } => warn!(
            device = short(device),
            %ledger,
            "the disk is full: nothing was taken; make room and it goes on by itself"
        ),
        LinkNews::NotStored {
            device,
            ledger,
            full: false,
        } => warn!(device = short(device), %ledger, "could not be stored"),
        LinkNews::WrongCode { left } => warn!(left, "a wrong code was typed"),
        LinkNews::CodeEnded { why } => info!(?why, "the code is no longer good"),
    }
}

/// Runs until it is told to stop (Ctrl-C, or the system's request to end).
pub(super) fn run(host: &Host) -> Result<(), Fault> {
    let desk = open(&host.folder)?;
    let (wake, woken) = channel();
    let stop = wake.clone();
    // A second call only says that one is set already: then that one stops us.
    let _ = ctrlc::set_handler(move || {
        let _ = stop.send(Wake::Stop);
    });
    let log = Arc::new(Log(wake));
    desk.go_online(host.listen.clone(), !host.no_nearby, Some(log))?;
    if let Some(place) = desk.link()?.place {
        info!(%place, "the host is running; stop it with Ctrl-C");
    }
    desk.answers_post(true)?;
    serve(&desk, &woken);
    info!("stopping");
    desk.answers_post(false)?;
    desk.go_offline();
    Ok(())
}

/// Opens the folder; a command that looks at it for a moment is waited for.
fn open(folder: &Path) -> Result<Arc<Tallywater>, Fault> {
    let start = Instant::now();
    loop {
        match super::open(folder) {
            Err(Fault::Busy) if start.elapsed() < BUSY => std::thread::sleep(LOOK),
            opened => return opened,
        }
    }
}

fn serve(desk: &Arc<Tallywater>, woken: &Receiver<Wake>) {
    let mut quiet_since = Instant::now();
    loop {
        match woken.recv_timeout(LOOK) {
            // News come thick where a shop is busy: other terminals are not left waiting.
            Ok(Wake::News) => quiet_since = Instant::now(),
            Ok(Wake::Stop) | Err(RecvTimeoutError::Disconnected) => return,
            Err(RecvTimeoutError::Timeout) => {}
        }
        match desk.asked() {
            Ok(Some(question)) => {
                let said = super::relay::by_host(desk, &question.text);
                if let Err(fault) = desk.say(question.id, said) {
                    warn!(fault = super::fault::words(&fault), "could not answer");
                }
                // The next may wait already.
                continue;
            }
            Ok(None) => {}
            Err(fault) => warn!(
                fault = super::fault::words(&fault),
                "could not look for questions"
            ),
        }
        if quiet_since.elapsed() > QUIET {
            match desk.tidy() {
                Ok(true) => info!("tidied a ledger"),
                Ok(false) => {
                    look_after(desk);
                    quiet_since = Instant::now();
                }
                Err(fault) => {
                    warn!(fault = super::fault::words(&fault), "could not tidy");
                    quiet_since = Instant::now();
                }
            }
        }
    }
}

/// The day's backup and the week's check, where they are due.
fn look_after(desk: &Tallywater) {
    match desk.look_after() {
        Ok(cared) => {
            if let Some(entries) = cared.backed_up {
                info!(entries, "backup written and read back");
            }
            if let Some(found) = cared.checked {
                let sound = found.file_sound && found.unreadable.is_empty() && found.changed == 0;
                if sound {
                    info!(entries = found.entries, "checked: the store is sound");
                } else {
                    warn!(
                        unreadable = found.unreadable.len(),
                        changed = found.changed,
                        "THE STORE IS DAMAGED: stop the host and run `tallywater check`"
                    );
                }
            }
        }
        Err(fault) => warn!(
            fault = super::fault::words(&fault),
            "could not look after the store"
        ),
    }
}
