//! Power cuts and sudden ends: the log cut at every step, the log torn, the program killed
//! in mid-commit and mid-compaction. What was acknowledged is there; nothing half-done is.

use std::collections::BTreeSet;
use std::io::{BufRead as _, BufReader};
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Duration;

use tallywater_core::course::EntryId;
use tallywater_core::store::Store;

use crate::support::entries::course;
use crate::support::files::{Place, Writer, entries_in, loaded};

/// A file and its log as a power cut leaves them.
struct Cut {
    place: Place,
    file: Vec<u8>,
    log: Vec<u8>,
}

impl Cut {
    fn of(place: &Place) -> Self {
        Self {
            file: std::fs::read(place.path()).unwrap(),
            log: std::fs::read(place.log()).unwrap(),
            place: Place::new(),
        }
    }

    /// Opens the file with this log.
    fn open(&self, log: &[u8]) -> Store {
        for ending in ["", "-wal", "-shm"] {
            let mut path = self.place.path().into_os_string();
            path.push(ending);
            if Path::new(&path).exists() {
                std::fs::remove_file(path).unwrap();
            }
        }
        std::fs::write(self.place.path(), &self.file).unwrap();
        std::fs::write(self.place.log(), log).unwrap();
        self.place.open()
    }
}

/// Every 97 bytes, which no page or frame is a multiple of, and around every end.
fn cuts(length: usize, ends: impl IntoIterator<Item = usize>) -> BTreeSet<usize> {
    let around = ends
        .into_iter()
        .flat_map(|end| [end.saturating_sub(1), end, (end + 1).min(length)]);
    (0..=length).step_by(97).chain(around).collect()
}

#[test]
fn the_log_cut_anywhere_leaves_exactly_the_complete_commits() {
    let place = Place::new();
    let mut writer = Writer::new(place.open(), course(1));
    let length = || usize::try_from(std::fs::metadata(place.log()).unwrap().len()).unwrap();
    let mut complete: Vec<(usize, BTreeSet<EntryId>)> = vec![(0, BTreeSet::new())];
    for _ in 0..10 {
        writer.marks(1);
        complete.push((length(), writer.acknowledged.clone()));
    }
    let cut = Cut::of(&place);
    assert_eq!(cut.log.len(), length());
    let mut opened = 0;
    for at in cuts(cut.log.len(), complete.iter().map(|(end, _)| *end)) {
        let store = cut.open(&cut.log[..at]);
        let (_, expected) = complete.iter().rfind(|(end, _)| *end <= at).unwrap();
        assert_eq!(&entries_in(&store, course(1)), expected, "cut at {at}");
        opened += 1;
    }
    assert!(opened > 1_000, "only {opened} cuts");
    let mut writer = Writer::new(cut.open(&cut.log[..cut.log.len() - 1]), course(1));
    assert_eq!(writer.acknowledged.len(), 9);
    writer.assert_nothing_lost("after a cut");
}

#[test]
fn a_log_torn_in_the_middle_leaves_the_commits_before_the_tear() {
    let place = Place::new();
    let mut writer = Writer::new(place.open(), course(1));
    let mut complete: Vec<(u64, BTreeSet<EntryId>)> = vec![(0, BTreeSet::new())];
    for _ in 0..10 {
        writer.marks(1);
        let length = std::fs::metadata(place.log()).unwrap().len();
        complete.push((length, writer.acknowledged.clone()));
    }
    let cut = Cut::of(&place);
    // A sector that was never written, in the middle of what was.
    for at in (0..cut.log.len() - 512).step_by(1009) {
        let mut log = cut.log.clone();
        if log[at..at + 512].iter().all(|byte| *byte == 0) {
            continue;
        }
        log[at..at + 512].fill(0);
        let store = cut.open(&log);
        let (_, expected) = complete
            .iter()
            .rfind(|(end, _)| *end <= u64::try_from(at).unwrap())
            .unwrap();
        let found = entries_in(&store, course(1));
        // Zeroes over bytes that were zero already tear nothing, so a commit may be whole
        // although the tear is inside it; but none may be there after one that is not.
        assert!(found.is_superset(expected), "torn at {at}");
        assert!(
            complete.iter().any(|(_, whole)| *whole == found),
            "torn at {at}"
        );
    }
}

#[test]
fn compaction_cut_anywhere_loses_nothing() {
    let place = Place::new();
    let mut writer = Writer::new(place.open(), course(1));
    writer.marks(30);
    let before = usize::try_from(std::fs::metadata(place.log()).unwrap().len()).unwrap();
    assert!(writer.compact().unwrap());
    let cut = Cut::of(&place);
    assert!(cut.log.len() > before + 4096);
    let (mut old, mut new) = (0, 0);
    for at in (before..=cut.log.len()).step_by(97).chain([cut.log.len()]) {
        let store = cut.open(&cut.log[..at]);
        let back = loaded(&store, course(1));
        assert_eq!(back.heads(), writer.ledger.heads(), "cut at {at}");
        assert_eq!(back.lines(), writer.ledger.lines(), "cut at {at}");
        match store.load(&course(1)).unwrap().unwrap().loose_changes {
            31 => old += 1,
            0 => new += 1,
            other => panic!("{other} loose changes, cut at {at}"),
        }
    }
    assert!(old > 10 && new > 0, "{old} before, {new} after");
}

/// Set for the child process: the folder with the store that it writes to.
const CHILD: &str = "TALLYWATER_TEST_CHILD";

/// Not a test of its own: what the child process of the next test does until it is killed.
#[test]
fn child_marks_until_it_is_killed() {
    let Ok(path) = std::env::var(CHILD) else {
        return;
    };
    let store = Store::open(Path::new(&path)).unwrap().store;
    let mut writer = Writer::new(store, course(1));
    for count in 1_u32.. {
        let entry = writer.mark().unwrap();
        println!("acknowledged {entry}");
        if count.is_multiple_of(9) {
            assert!(writer.compact().unwrap());
        }
    }
}

#[test]
fn a_program_killed_at_any_moment_keeps_every_mark_it_acknowledged() {
    let place = Place::new();
    let mut acknowledged: BTreeSet<EntryId> = BTreeSet::new();
    for round in 0_u64..20 {
        let mut child = Command::new(std::env::current_exe().unwrap())
            .args([
                "power_cut::child_marks_until_it_is_killed",
                "--exact",
                "--nocapture",
            ])
            .env(CHILD, place.path())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let mut lines = BufReader::new(child.stdout.take().unwrap()).lines();
        let mut heard = |lines: &mut dyn Iterator<Item = _>| {
            for line in lines {
                let line: String = line;
                if let Some((_, id)) = line.split_once("acknowledged ")
                    && let Ok(id) = id.parse::<EntryId>()
                {
                    acknowledged.insert(id);
                }
            }
        };
        // Some marks, and then a moment that is another one each round.
        let first = usize::try_from(3 + round * 7 % 19).unwrap();
        heard(&mut lines.by_ref().map_while(Result::ok).take(first));
        std::thread::sleep(Duration::from_micros(round * 977 % 5_000));
        child.kill().unwrap();
        child.wait().unwrap();
        // What it said before it died counts as said.
        heard(&mut lines.map_while(Result::ok));

        let store = place.open();
        let found = entries_in(&store, course(1));
        assert!(found.is_superset(&acknowledged), "round {round}");
        // One more may be there: stored, and killed before it could say so.
        assert!(found.len() <= acknowledged.len() + 1, "round {round}");
        store.check().unwrap();
        acknowledged = found;
    }
    assert!(acknowledged.len() > 100, "{}", acknowledged.len());
    let mut writer = Writer::new(place.open(), course(1));
    writer.assert_nothing_lost("after twenty sudden ends");
}
