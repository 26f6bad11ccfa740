//! Drawing: by what the window is drawn.

use std::path::Path;

/// Chooses it, before the first window is made. A computer without a graphics device would have
/// the system's drivers compile what they then draw by the processor, in some 110 MB of
/// memory: the toolkit's own software renderer takes none of it. Who names a backend in
/// `SLINT_BACKEND`, or has set one already, keeps it.
pub(crate) fn choose() {
    let named = std::env::var_os("SLINT_BACKEND").is_some();
    if cfg!(target_os = "linux") && !named && !has_graphics(Path::new("/dev/dri")) {
        let chosen = slint::BackendSelector::new()
            .backend_name("winit".into())
            .renderer_name("software".into())
            .select();
        if let Err(error) = chosen {
            tracing::debug!(%error, "the window is drawn as was chosen before");
        }
    }
}

/// Whether there is a device in this folder, `/dev/dri`, that draws: `renderD128` and its like.
pub fn has_graphics(devices: &Path) -> bool {
    let Ok(found) = devices.read_dir() else {
        return false;
    };
    found.flatten().any(|device| {
        let name = device.file_name();
        name.as_encoded_bytes().starts_with(b"renderD")
    })
}
