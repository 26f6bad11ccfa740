//! A folder that may only be read, and one on a disk without room: what is there is seen.

use std::os::unix::fs::{PermissionsExt as _, chown};
use std::os::unix::process::CommandExt as _;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::Arc;

use tallywater_core::desk::{Desk, DeskError, FileKeyStore, MarkTap, Request};
use tallywater_core::entry::Mark;
use tallywater_core::store::StoreError;

use crate::support::devices::{Device, School, open_desk};
use crate::support::stamps::SetStamps;

/// An account without rights, by the usual number.
const NOBODY: u32 = 65_534;

/// Everything in a folder and the folder itself, the deepest first.
fn all(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for one in std::fs::read_dir(folder).unwrap() {
        let path = one.unwrap().path();
        if path.is_dir() {
            found.extend(all(&path));
        } else {
            found.push(path);
        }
    }
    found.push(folder.to_owned());
    found
}

#[test]
fn child_looks_into_a_shut_folder() {
    let Ok(folder) = std::env::var("TALLYWATER_SHUT") else {
        return;
    };
    let folder = Path::new(&folder);
    let made = std::fs::write(folder.join("new"), b"");
    assert!(made.is_err(), "the folder is shut");
    let stamps: Arc<SetStamps> = Arc::new(SetStamps::new("2026-06-07T10:00:00+02:00", 9));
    let keys = || Box::new(FileKeyStore::new(&folder.join("keys")));
    let desk = Desk::open_to_read(folder, keys(), Arc::clone(&stamps) as _).unwrap();
    assert_eq!(desk.course_summaries().unwrap().len(), 1);
    let name = "Isa Tern".to_owned();
    assert!(desk.record(Request::JoinStaff { name }).is_err());
    drop(desk);
    // To work there is refused in words, and nothing is taken for damage.
    let opened = Desk::open(folder, keys(), stamps);
    let why = opened.map(drop).unwrap_err();
    assert!(
        !matches!(why, DeskError::Store(StoreError::Hurt { .. })),
        "{why}"
    );
    println!("looked and left: {why}");
}

#[test]
fn a_folder_that_may_only_be_read_can_be_looked_at() {
    let school = School::new(2);
    let folder = school.shop.folder.path().to_owned();
    let exe = std::env::current_exe().unwrap();
    let own = std::fs::metadata(&folder).map(|found| std::os::unix::fs::MetadataExt::uid(&found));
    let root = own.unwrap() == 0;
    // The desk is let go of, as at the end of a day; its folder stays.
    let School { shop, .. } = school;
    let Device {
        desk, folder: kept, ..
    } = shop;
    drop(desk);
    let paths = all(&folder);
    for path in &paths {
        if root {
            chown(path, Some(NOBODY), None).unwrap();
        }
        let mode = if path.is_dir() { 0o500 } else { 0o400 };
        std::fs::set_permissions(path, std::fs::Permissions::from_mode(mode)).unwrap();
    }
    // Whoever may do everything is held by no mode: then the child is somebody else, who must
    // be able to reach the program.
    let reach = tempfile::tempdir().unwrap();
    let mut child = Command::new(&exe);
    if root {
        let open = std::fs::Permissions::from_mode(0o755);
        std::fs::set_permissions(reach.path(), open).unwrap();
        let copy = reach.path().join("looks");
        std::fs::copy(&exe, &copy).unwrap();
        child = Command::new(copy);
        child.uid(NOBODY).current_dir("/");
    }
    let child = child
        .args([
            "tight_places::child_looks_into_a_shut_folder",
            "--exact",
            "--nocapture",
        ])
        .env("TALLYWATER_SHUT", &folder)
        .output()
        .unwrap();
    for path in paths.iter().rev() {
        let mode = if path.is_dir() { 0o700 } else { 0o600 };
        let _ = std::fs::set_permissions(path, std::fs::Permissions::from_mode(mode));
    }
    drop(kept);
    let said = String::from_utf8_lossy(&child.stdout);
    assert!(
        child.status.success() && said.contains("looked and left"),
        "{said}\n{}",
        String::from_utf8_lossy(&child.stderr)
    );
}

/// A disk of so many kilobytes, taken away when it is dropped; `None` where the system lets
/// nobody make one.
struct SmallDisk(tempfile::TempDir);

impl SmallDisk {
    fn new(kilobytes: u32) -> Option<Self> {
        let at = tempfile::tempdir().unwrap();
        let size = format!("size={kilobytes}k");
        let made = Command::new("mount")
            .args(["-t", "tmpfs", "-o", &size, "tmpfs"])
            .arg(at.path())
            .output();
        made.is_ok_and(|made| made.status.success())
            .then(|| Self(at))
    }

    /// Takes all room but so many bytes.
    fn leave(&self, bytes: u64) {
        let fill = self.0.path().join("fill");
        let mut length = 0_u64;
        let block = vec![7_u8; 4_096];
        let mut file = std::fs::File::create(&fill).unwrap();
        while std::io::Write::write(&mut file, &block).is_ok_and(|written| written == block.len()) {
            length += 4_096;
        }
        file.set_len(length.saturating_sub(bytes)).unwrap();
    }
}

impl Drop for SmallDisk {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg(self.0.path()).output();
    }
}

#[test]
fn a_folder_on_a_disk_with_sixteen_kilobytes_free_opens_and_a_mark_says_there_is_no_room() {
    let Some(disk) = SmallDisk::new(8_192) else {
        println!("not tried: this account may not make a disk");
        return;
    };
    let school = School::new(2);
    let tap = school.tap(&school.instructor, 0, "mask-full", Mark::Met);
    let (student, skill) = school.key(0, "mask-full");
    let School {
        instructor, course, ..
    } = school;
    let Device {
        desk, folder: from, ..
    } = instructor;
    drop(desk);
    let stamps: Arc<SetStamps> = Arc::new(SetStamps::new("2026-06-07T10:00:00+02:00", 9));
    let folder = disk.0.path().join("device");
    copy(from.path(), &folder);
    for free in [16_384, 4_096] {
        disk.leave(free);
        let desk = open_desk(&folder, &stamps).unwrap();
        assert_eq!(desk.course_summaries().unwrap().len(), 1, "{free} free");
        let board = desk.with_course(&course, |course| course.cells().len());
        assert!(board.unwrap() > 0);
        // A thousand marks do not fit into that: the first that does not says so.
        let refused = (0..1_000).find_map(|_| {
            let on = desk.on_screen(&course, student, &skill).unwrap();
            let tap = MarkTap { on, ..tap.clone() };
            desk.record(Request::Mark(tap)).err()
        });
        assert!(
            matches!(refused, Some(DeskError::Store(StoreError::Full { .. }))),
            "{refused:?}"
        );
    }
}

/// A folder and everything in it, elsewhere.
fn copy(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).unwrap();
    for one in std::fs::read_dir(from).unwrap() {
        let path = one.unwrap().path();
        let target = to.join(path.file_name().unwrap());
        if path.is_dir() {
            copy(&path, &target);
        } else {
            std::fs::copy(&path, &target).unwrap();
        }
    }
}
