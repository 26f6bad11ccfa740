//! Making a bundle.

use chrono::{DateTime, FixedOffset, SecondsFormat};

use super::{
    AROUND_FILE, BundleError, BundleFile, DOMAIN, MADE, MAGIC, MOST_BYTES, VERSION, public_part,
    read_bundle,
};
use crate::entry::DeviceKey;
use crate::ledger::Ledger;
use crate::trust::SecretKey;

/// Signs: gets the domain tag and what is signed under it.
pub type Signing<'a> = &'a dyn Fn(&[u8], &[u8]) -> [u8; 64];

/// Puts a course into one file, signed by this device.
///
/// `root` is the shop's root key. `people` are the students' own ledgers that shall go with
/// it: whoever gets the file then has their details.
///
/// # Errors
/// [`BundleError::Ledger`] when the engine gives up.
pub fn write_bundle(
    root: DeviceKey,
    shop: &Ledger,
    course: &Ledger,
    people: &[&Ledger],
    now: DateTime<FixedOffset>,
    device: &SecretKey,
) -> Result<Vec<u8>, BundleError> {
    let sign = |domain: &[u8], bytes: &[u8]| device.sign(domain, bytes);
    let parts = BundleParts {
        root,
        shop,
        course,
        people,
        files: &[],
        now,
    };
    write_bundle_of(&parts, device.public(), &sign)
}

/// What goes into a course file.
#[derive(Debug, Clone, Copy)]
pub struct BundleParts<'a> {
    /// The shop's root key.
    pub root: DeviceKey,
    /// The shop's ledger; the part of it that the course needs is taken.
    pub shop: &'a Ledger,
    /// The course's.
    pub course: &'a Ledger,
    /// The students' own ledgers that shall go with it.
    pub people: &'a [&'a Ledger],
    /// Photographs and sounds that shall go with it, each named by an entry of the course.
    pub files: &'a [BundleFile],
    /// Now.
    pub now: DateTime<FixedOffset>,
}

/// Puts a course into one file, where the key that signs is somewhere else. One without
/// photographs and sounds is of version 1, as it always was, and older versions read it.
///
/// # Errors
/// [`BundleError::Ledger`] when the engine gives up; [`BundleError::TooLarge`] for more than is
/// read again.
pub fn write_bundle_of(
    parts: &BundleParts<'_>,
    device: DeviceKey,
    sign: Signing<'_>,
) -> Result<Vec<u8>, BundleError> {
    let BundleParts {
        root,
        shop,
        course,
        people,
        files,
        now,
    } = *parts;
    let of = |ledger: &Ledger| {
        let ledger = *ledger.id();
        move |source| BundleError::Ledger { ledger, source }
    };
    let part = public_part(root, shop, course).map_err(of(shop))?;
    let mut ledgers = vec![(part.id(), part.plain().map_err(of(&part))?)];
    for ledger in std::iter::once(course).chain(people.iter().copied()) {
        ledgers.push((ledger.id(), ledger.plain().map_err(of(ledger))?));
    }
    let made = now.to_rfc3339_opts(SecondsFormat::Secs, false);
    let mut made = made.into_bytes();
    made.resize(MADE, b' ');
    let mut bytes = MAGIC.to_vec();
    bytes.push(if files.is_empty() { 1 } else { VERSION });
    bytes.extend_from_slice(&root.0);
    bytes.extend_from_slice(&made);
    let count = u16::try_from(ledgers.len()).map_err(|_| BundleError::TooMany {
        most: usize::from(u16::MAX) - 2,
    })?;
    bytes.extend_from_slice(&count.to_be_bytes());
    for (id, saved) in &ledgers {
        let length = u64::try_from(saved.len()).unwrap_or(u64::MAX);
        bytes.extend_from_slice(&id.signed_form());
        bytes.extend_from_slice(&length.to_be_bytes());
        bytes.extend_from_slice(saved);
    }
    if !files.is_empty() {
        write_files(&mut bytes, files)?;
    }
    bytes.extend_from_slice(&device.0);
    let signature = sign(DOMAIN, &bytes);
    bytes.extend_from_slice(&signature);
    Ok(bytes)
}

fn write_files(bytes: &mut Vec<u8>, files: &[BundleFile]) -> Result<(), BundleError> {
    let room = MOST_BYTES.saturating_sub(bytes.len());
    let wanted: usize = files.iter().map(|one| one.bytes.len() + AROUND_FILE).sum();
    // The count, the key and the signature.
    if wanted + 4 + 32 + 64 > room {
        return Err(BundleError::TooLarge { most: MOST_BYTES });
    }
    let count = u32::try_from(files.len()).unwrap_or(u32::MAX);
    bytes.extend_from_slice(&count.to_be_bytes());
    for one in files {
        bytes.extend_from_slice(&one.file.sha256.0);
        bytes.extend_from_slice(&one.file.bytes.to_be_bytes());
        bytes.extend_from_slice(&one.bytes);
    }
    Ok(())
}

/// Opens a file that was made, before it is handed out: whoever gets it has nothing else.
///
/// # Errors
/// [`BundleError`] of reading it; [`BundleError::Unsound`] if it holds something else.
pub(crate) fn read_back(
    bytes: &[u8],
    course: &Ledger,
    people: &[&Ledger],
    files: &[BundleFile],
) -> Result<(), BundleError> {
    let read = read_bundle(bytes, [0; 16])?;
    let whole = |ledger: &Ledger| (*ledger.id(), ledger.heads());
    let made: Vec<_> = people.iter().map(|ledger| whole(ledger)).collect();
    let back: Vec<_> = read.people.iter().map(whole).collect();
    if whole(&read.course) == whole(course) && back == made && read.files == files {
        Ok(())
    } else {
        Err(BundleError::Unsound)
    }
}
