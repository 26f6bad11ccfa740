//! Staff and devices: who works here, and which device may sign for whom.

use std::collections::BTreeMap;

use super::people::folded;
use super::reader::count;
use super::{Day, Leave, Reader, StaffName};
use crate::course::{CourseId, EntryId, Role, StaffId, StaffPaper};
use crate::entry::{Body, Certificate, DeviceKey, Kind, Revocation, StaffJoined};

/// Staff and their devices.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct StaffView {
    /// The shop's name, if it has opened.
    pub shop: Option<String>,
    /// In order of name.
    pub staff: Vec<StaffRow>,
    /// Devices, own first, then those admitted, by name.
    pub devices: Vec<DeviceRow>,
    /// Whether the reader may add staff.
    pub may_add: Leave,
    /// Whether the reader may revoke devices at all; which, each row says.
    pub may_revoke: Leave,
}

/// A member of staff.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct StaffRow {
    /// Who.
    pub name: StaffName,
    /// Roles that their devices are admitted in.
    pub roles: Vec<Role>,
    /// As what they may teach a course: the higher of those roles that do.
    pub teaches: Option<Role>,
    /// Whether it is the reader.
    pub own: bool,
    /// Devices that may sign for them today.
    pub devices: u32,
    /// Courses that list them, still running.
    pub courses: Vec<CourseId>,
    /// What they renew, all of it, in the order it is asked for.
    pub papers: Vec<StaffPaperRow>,
    /// Whether the reader may give them another name: only the shop changes one that it gave.
    pub may_rename: Leave,
    /// What was on screen: goes into the `after` of the next naming.
    pub after: Vec<EntryId>,
}

/// Something that a member of staff renews.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct StaffPaperRow {
    /// What.
    pub what: StaffPaper,
    /// Whether somebody has recorded it.
    pub seen: Option<Day>,
    /// Who.
    pub by: Option<StaffName>,
    /// Its last day; `None` without an end.
    pub until: Option<Day>,
    /// Its last day is past.
    pub ended: bool,
}

/// A device.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct DeviceRow {
    /// Its key.
    pub key: DeviceKey,
    /// The key's first digits, to compare by eye.
    pub fingerprint: String,
    /// What it is called.
    pub name: String,
    /// Whose it is.
    pub staff: StaffName,
    /// What it makes its holder.
    pub role: Role,
    /// First day.
    pub from: Option<Day>,
    /// Last day, if there is one.
    pub until: Option<Day>,
    /// Whether it may act today.
    pub state: DeviceState,
    /// Why it was revoked, if it was.
    pub why: Option<String>,
    /// Whether it is this device.
    pub own: bool,
    /// Whether the reader may revoke it; nothing is open on one that is revoked.
    pub may_revoke: Leave,
}

/// Whether a device may act.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum DeviceState {
    /// The shop's own key.
    Root,
    /// It may.
    Admitted,
    /// From a later day.
    NotYet,
    /// Its last day is past: what it signs still counts, but the shop admits it no more.
    Lapsed,
    /// It was shut out.
    Revoked,
}

impl StaffView {
    /// Staff and devices; `own` is the key of the device that is looked at.
    pub fn of(reader: &Reader<'_>, own: Option<&DeviceKey>) -> Self {
        let devices = devices(reader, own);
        let mut staff: Vec<StaffRow> = reader
            .shop
            .staff()
            .keys()
            .map(|id| StaffRow::of(reader, id, &devices))
            .collect();
        staff.sort_by_cached_key(|row| (folded(&row.name.name), row.name.staff));
        Self {
            shop: reader.shop.name().map(str::to_owned),
            staff,
            devices,
            may_add: reader.may_write(Kind::StaffJoined),
            may_revoke: reader.may_write(Kind::Revocation),
        }
    }
}

impl StaffRow {
    fn of(reader: &Reader<'_>, id: &StaffId, devices: &[DeviceRow]) -> Self {
        let own = devices.iter().filter(|device| device.staff.staff == *id);
        let active: Vec<&DeviceRow> = own
            .filter(|device| matches!(device.state, DeviceState::Admitted | DeviceState::Root))
            .collect();
        let mut roles: Vec<Role> = active.iter().map(|device| device.role).collect();
        roles.sort_unstable();
        roles.dedup();
        Self {
            name: reader.staff(id),
            teaches: teaches_in(&roles),
            own: reader.writer().is_some_and(|writer| writer.staff == *id),
            roles,
            devices: count(active.len()),
            courses: reader
                .shop
                .courses()
                .filter(|listed| listed.staff.contains(id))
                .filter(|listed| listed.state == crate::entry::CourseState::Running)
                .map(|listed| listed.course)
                .collect(),
            papers: StaffPaper::ALL
                .into_iter()
                .map(|what| StaffPaperRow::of(reader, id, what))
                .collect(),
            may_rename: may_rename(reader, id),
            after: reader.shop.staff_entries(id),
        }
    }
}

/// Whether the reader may give somebody another name, asked with the name they have.
fn may_rename(reader: &Reader<'_>, id: &StaffId) -> Leave {
    let name = reader.staff(id).name;
    reader.may_record_in_shop(StaffJoined { staff: *id, name })
}

/// Whether the reader may revoke the device with this key; the reason is the person's.
fn may_revoke(reader: &Reader<'_>, key: &DeviceKey) -> Leave {
    let asked = Revocation {
        key: *key,
        why: "asked".to_owned(),
        held: BTreeMap::new(),
    };
    let open = !reader.trust.is_revoked(key);
    reader.may_record_in_shop(asked).where_open(open)
}

impl StaffPaperRow {
    fn of(reader: &Reader<'_>, id: &StaffId, what: StaffPaper) -> Self {
        let held = reader.shop.renewal(id, what);
        let until = held.and_then(|(_, renewed)| renewed.until);
        Self {
            what,
            seen: held.map(|(one, _)| reader.day(one.entry.at.date_naive())),
            by: held.map(|(one, _)| reader.staff(&one.entry.by)),
            until: until.map(|day| reader.day(day)),
            ended: until.is_some_and(|day| day < reader.today()),
        }
    }
}

/// As what a member of staff may teach a course today, by their devices.
pub(super) fn teaches(reader: &Reader<'_>, id: &StaffId) -> Option<Role> {
    let trust = reader.trust;
    let admitted = trust.certificates().filter(|(_, certificate)| {
        certificate.staff == *id && certified(reader, certificate) == DeviceState::Admitted
    });
    let roles: Vec<Role> = admitted.map(|(_, certificate)| certificate.role).collect();
    teaches_in(&roles)
}

fn teaches_in(roles: &[Role]) -> Option<Role> {
    [Role::Instructor, Role::Assistant]
        .into_iter()
        .find(|role| roles.contains(role))
}

/// How a certified device stands today.
fn certified(reader: &Reader<'_>, certificate: &Certificate) -> DeviceState {
    let today = reader.today();
    if reader.trust.is_revoked(&certificate.key) {
        DeviceState::Revoked
    } else if today < certificate.from {
        DeviceState::NotYet
    } else if certificate.until.is_some_and(|until| until < today) {
        DeviceState::Lapsed
    } else {
        DeviceState::Admitted
    }
}

fn devices(reader: &Reader<'_>, own: Option<&DeviceKey>) -> Vec<DeviceRow> {
    let trust = reader.trust;
    let admitted = trust.certificates().map(|(_, certificate)| {
        let state = certified(reader, certificate);
        DeviceRow {
            key: certificate.key,
            fingerprint: certificate.key.short(),
            name: certificate.device.clone(),
            staff: reader.staff(&certificate.staff),
            role: certificate.role,
            from: Some(reader.day(certificate.from)),
            until: certificate.until.map(|until| reader.day(until)),
            state,
            why: revoked_why(reader, &certificate.key),
            own: own == Some(&certificate.key),
            may_revoke: may_revoke(reader, &certificate.key),
        }
    });
    let mut rows: Vec<DeviceRow> = admitted.chain(root(reader, own)).collect();
    rows.sort_by_cached_key(|row| (!row.own, row.state, folded(&row.name), row.key));
    rows
}

fn root(reader: &Reader<'_>, own: Option<&DeviceKey>) -> Option<DeviceRow> {
    let key = *reader.trust.root();
    let writer = reader.trust.writer(&key)?;
    Some(DeviceRow {
        key,
        fingerprint: key.short(),
        name: reader.shop.name().unwrap_or_default().to_owned(),
        staff: reader.staff(&writer.staff),
        role: writer.role,
        from: None,
        until: None,
        state: DeviceState::Root,
        why: None,
        own: own == Some(&key),
        may_revoke: may_revoke(reader, &key),
    })
}

fn revoked_why(reader: &Reader<'_>, key: &DeviceKey) -> Option<String> {
    reader
        .shop
        .all_of_kind(Kind::Revocation)
        .iter()
        .filter_map(|id| reader.shop.tally().get(id))
        .find_map(|one| {
            if let Body::Revocation(revocation) = &one.entry.body {
                (revocation.key == *key).then(|| revocation.why.clone())
            } else {
                None
            }
        })
}
