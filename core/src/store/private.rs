//! Private: what is kept here is for the account that runs the program alone. Contacts,
//! papers and incidents of people are in it.
//!
//! Where a system has no such modes, as Windows, a folder of the account is closed to other
//! accounts already.

use std::io;
use std::path::Path;

/// Makes a folder and those it lies in, for this account alone. One that is there already
/// and holds nothing, or a store of ours, is closed to others; one that holds anything else
/// is somebody's own and stays as it is.
///
/// # Errors
/// What the system said.
pub fn make_folder(folder: &Path, holds: &str) -> io::Result<()> {
    if !folder.exists() {
        let mut builder = std::fs::DirBuilder::new();
        builder.recursive(true);
        #[cfg(unix)]
        {
            use std::os::unix::fs::DirBuilderExt as _;
            builder.mode(0o700);
        }
        return builder.create(folder);
    }
    let ours = folder.join(holds).exists() || std::fs::read_dir(folder)?.next().is_none();
    if ours {
        // A folder that cannot be closed says so when it is written to.
        let _ = close(folder, 0o700);
    }
    Ok(())
}

/// Makes a file for this account alone if it is not there, and closes one that is.
///
/// # Errors
/// What the system said.
pub fn make_file(file: &Path) -> io::Result<()> {
    let mut options = std::fs::OpenOptions::new();
    options.append(true).create(true);
    #[cfg(unix)]
    {
        use std::os::unix::fs::OpenOptionsExt as _;
        options.mode(0o600);
    }
    options.open(file)?;
    close(file, 0o600)
}

/// Takes every right from others, where the system knows such.
#[cfg(unix)]
fn close(path: &Path, mode: u32) -> io::Result<()> {
    use std::os::unix::fs::PermissionsExt as _;
    let now = std::fs::metadata(path)?.permissions();
    if now.mode() & 0o077 == 0 {
        return Ok(());
    }
    std::fs::set_permissions(path, std::fs::Permissions::from_mode(mode))
}

#[cfg(not(unix))]
fn close(_: &Path, _: u32) -> io::Result<()> {
    Ok(())
}
