//! A device that writes without end, a clock that stands at its beginning, a date that no
//! calendar has, another account on the same computer: each stops at its own bound and stops
//! nothing else.

use std::collections::BTreeSet;

use chrono::{DateTime, Utc};
use tallywater_core::course::{EntryId, LedgerId, SessionId, Setting};
use tallywater_core::desk::{FileKeyStore, KeyStore as _, Request};
use tallywater_core::entry::{Body, Entry, Passage, SessionPlanned, Who, write};
use tallywater_core::ledger::{Ledger, Mishap};
use tallywater_core::link::{Depot as _, DepotError};
use tallywater_core::sync::SyncError;
use tallywater_core::trust::{Doubt, SecretKey, shop_id};
use tallywater_core::view::Units;
use uuid::Uuid;

use crate::support::devices::{Device, School, plan, time, years};

fn key_of(device: &Device) -> SecretKey {
    let keys = FileKeyStore::new(&device.folder.path().join("keys"));
    let seed = keys.load("device").unwrap().unwrap();
    SecretKey::from_seed(seed.as_slice().try_into().unwrap())
}

/// What the shop answers when a device brings it this, as over the link.
fn bring(
    school: &School,
    from: &Device,
    ledger: &LedgerId,
    sealed: &[u8],
) -> Result<(), DepotError> {
    let link = from.desk.card().link;
    let taken = school.shop.desk.take(&link, ledger, &mut |here| {
        Ok(Some(here.look()?.take_entries(&[sealed])?))
    });
    taken.map(|_| ())
}

#[test]
fn a_device_that_writes_without_end_is_stopped_and_named_and_nobody_else_is() {
    let school = School::new(1);
    let ledger = LedgerId::Shop(shop_id(&school.shop.desk.shop_root().unwrap()));
    let bad = key_of(&school.assistant);
    let mut came = 0;
    let stopped = loop {
        let payload = vec![b'a' + came; 1 << 20];
        let (_, sealed) = bad.seal(&ledger, None, &payload);
        match bring(&school, &school.assistant, &ledger, &sealed) {
            Ok(()) => came += 1,
            Err(error) => break error,
        }
        assert!(came < 20, "a shop's ledger takes ten megabytes a day");
    };
    assert_eq!(stopped, DepotError::Sync(SyncError::TooMuch));
    assert_eq!(came, 9);
    let rows = school.shop.desk.mishaps_of(&ledger).unwrap();
    let too_much = rows.iter().find(|row| row.what == Mishap::TooMuch).unwrap();
    assert_eq!(too_much.device, Some(bad.public()));
    // Another device is heard as before, and this one in another ledger.
    let (_, honest) = key_of(&school.instructor).seal(&ledger, None, b"{}");
    bring(&school, &school.instructor, &ledger, &honest).unwrap();
    let course = school.ledger();
    let (_, mark) = bad.seal(&course, None, b"{}");
    bring(&school, &school.assistant, &course, &mark).unwrap();
    // And the next day it is heard again.
    school.shop.stamps.shift(chrono::Duration::days(1));
    let (_, later) = bad.seal(&ledger, None, b"{\"later\":1}");
    bring(&school, &school.assistant, &ledger, &later).unwrap();
}

#[test]
fn keys_that_nobody_admitted_fill_no_ledger_either() {
    let school = School::new(1);
    let ledger = school.ledger();
    let mut came = 0;
    let stopped = loop {
        // A new key for each: the bound is of whoever brings them.
        let stranger = SecretKey::from_seed(&[0x90 + came; 32]);
        let (_, sealed) = stranger.seal(&ledger, None, &vec![b'x'; 1 << 20]);
        match bring(&school, &school.assistant, &ledger, &sealed) {
            Ok(()) => came += 1,
            Err(error) => break error,
        }
        assert!(
            came < 20,
            "of strangers a ledger takes four megabytes a day"
        );
    };
    assert_eq!(stopped, DepotError::Sync(SyncError::TooMuch));
    assert_eq!(came, 3);
}

#[test]
fn a_session_in_the_year_262142_counts_for_nothing_and_closes_no_screen() {
    let school = School::new(1);
    let ledger_id = school.ledger();
    let mut far = plan(
        &school.students,
        &[school.renate],
        Setting::Open,
        "2026-06-06T10:00:00+02:00",
    );
    far.starts = DateTime::<Utc>::MAX_UTC.fixed_offset();
    let entry = Entry {
        id: EntryId::new(Uuid::nil()),
        at: time("2026-06-06T09:30:00+02:00"),
        by: school.renate,
        after: Vec::new(),
        body: Body::from(SessionPlanned {
            session: SessionId::new(Uuid::from_u128(7)),
            plan: far,
        }),
    };
    let bytes = school.instructor.desk.save_ledger(&ledger_id).unwrap();
    let mut ledger = Ledger::load(ledger_id, [66; 16], &bytes, &BTreeSet::new()).unwrap();
    let payload = write(&entry).unwrap();
    let (id, sealed) = key_of(&school.instructor).seal(&ledger_id, None, &payload);
    ledger.add(&sealed).unwrap();
    let bytes = ledger.save().unwrap();
    for device in [&school.shop, &school.instructor, &school.assistant] {
        device.desk.merge(&ledger_id, &bytes).unwrap();
        device.desk.today(Units::Metric).unwrap();
        let doubt = device
            .desk
            .with_course(&school.course, |course| {
                course.tally().unverified().get(&id).copied()
            })
            .unwrap();
        assert_eq!(doubt, Some(Doubt::Malformed));
    }
}

#[test]
fn a_clock_at_its_beginning_or_far_ahead_stops_neither_a_headcount_nor_a_start() {
    for wrong in [-56, 230] {
        let school = School::new(1);
        school.instructor.stamps.shift(years(wrong));
        for passage in [Passage::In, Passage::Out] {
            school.instructor.record(Request::Pass {
                course: school.course,
                session: school.session,
                who: Who::Student(school.students[0]),
                passage,
                when: None,
            });
        }
        let alone = Device::new(77);
        alone.stamps.shift(years(wrong));
        alone
            .desk
            .start_shop("Grebe Hollow Divers", "Ansel Forde")
            .unwrap();
        assert!(alone.desk.me().is_some());
    }
}

#[cfg(unix)]
#[test]
fn what_a_device_keeps_is_closed_to_other_accounts() {
    use std::os::unix::fs::PermissionsExt as _;
    let outer = tempfile::TempDir::new().unwrap();
    let folder = outer.path().join("school");
    std::fs::create_dir(&folder).unwrap();
    std::fs::set_permissions(&folder, std::fs::Permissions::from_mode(0o755)).unwrap();
    let stamps = std::sync::Arc::new(crate::support::stamps::SetStamps::new(
        "2026-06-06T09:00:00+02:00",
        5,
    ));
    let desk = crate::support::devices::open_desk(&folder, &stamps).unwrap();
    desk.start_shop("Grebe Hollow Divers", "Ansel Forde")
        .unwrap();
    let mut seen = 0;
    let mut waiting = vec![folder];
    while let Some(path) = waiting.pop() {
        let mode = std::fs::metadata(&path).unwrap().permissions().mode();
        assert_eq!(mode & 0o077, 0, "{}: {mode:o}", path.display());
        seen += 1;
        if path.is_dir() {
            let parts = std::fs::read_dir(&path).unwrap();
            waiting.extend(parts.map(|part| part.unwrap().path()));
        }
    }
    assert!(seen > 5, "the store, its log, the keys: {seen}");
}
