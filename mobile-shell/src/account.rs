//! Account: a device's folder closed to the other accounts of a machine. On Unix the core sets
//! modes as it makes files; Windows has lists of rights, which its own `icacls` sets. What is
//! made in the folder later takes them over from it.

use std::path::Path;

/// What a folder of ours may hold already; one that holds anything else is somebody's own and
/// keeps the rights it has.
const OURS: [&str; 2] = ["tallywater.db", "keys"];

/// Whether this folder is not there yet, is empty, or is a device's.
#[must_use]
pub fn is_ours(folder: &Path) -> bool {
    let Ok(mut within) = std::fs::read_dir(folder) else {
        return !folder.exists();
    };
    within.next().is_none() || OURS.iter().any(|name| folder.join(name).exists())
}

/// What `icacls` is asked for, beside the folder: nothing is taken over from above, the account
/// and the system itself may do everything, and so in all that is made below.
///
/// S-1-5-18 is the local system in every language of Windows (Microsoft, "Well-known SIDs").
#[must_use]
pub fn rights(domain: Option<&str>, account: &str) -> [String; 4] {
    let whole = domain.map_or_else(
        || account.to_owned(),
        |domain| format!("{domain}\\{account}"),
    );
    [
        "/inheritance:r".to_owned(),
        "/grant:r".to_owned(),
        format!("{whole}:(OI)(CI)F"),
        "*S-1-5-18:(OI)(CI)F".to_owned(),
    ]
}

/// Makes the folder and closes it to other accounts, where the system has lists of rights. What
/// cannot be closed is said in the log and goes on: a person who chose a stick without rights
/// must still be able to work.
///
/// # Errors
/// What the system said when the folder could not be made.
pub fn make(folder: &Path) -> std::io::Result<()> {
    let ours = is_ours(folder);
    std::fs::create_dir_all(folder)?;
    if ours {
        close(folder);
    }
    Ok(())
}

#[cfg(windows)]
fn close(folder: &Path) {
    let named = |name| std::env::var(name).ok().filter(|text| !text.is_empty());
    let Some(account) = named("USERNAME") else {
        return tracing::warn!("the account has no name: the folder keeps the rights it has");
    };
    let closed = std::process::Command::new("icacls")
        .arg(folder)
        .args(rights(named("USERDOMAIN").as_deref(), &account))
        .stdout(std::process::Stdio::null())
        .stderr(std::process::Stdio::null())
        .status();
    if !closed.is_ok_and(|status| status.success()) {
        tracing::warn!("the folder could not be closed to other accounts");
    }
}

/// The core closes what it makes.
#[cfg(not(windows))]
fn close(_: &Path) {}
