//! What every test of the shell stands on: a window without a display, and a clock that
//! moves when told.

use std::path::Path;
use std::sync::Once;
use std::time::Duration;

use i_slint_backend_testing::{self as bench, TestingBackend, TestingBackendOptions};
use slint::ComponentHandle;
use tallywater::ui::App;

/// Only the bundled fonts are seen, so that a picture is the same on every machine, and a
/// machine without fonts does not stop the toolkit.
fn fonts() {
    static ONCE: Once = Once::new();
    ONCE.call_once(|| {
        let folder = std::env::temp_dir().join(format!("tallywater-fonts-{}", std::process::id()));
        std::fs::create_dir_all(&folder).unwrap();
        let ours = Path::new(env!("CARGO_MANIFEST_DIR")).join("ui/fonts");
        let file = folder.join("fonts.conf");
        std::fs::write(
            &file,
            format!(
                "<?xml version=\"1.0\"?><fontconfig><dir>{}</dir><cachedir>{}</cachedir></fontconfig>",
                ours.display(),
                folder.display()
            ),
        )
        .unwrap();
        // Before any other thread of the test asks for a font: guarded by the `Once`.
        #[allow(unsafe_code, reason = "the environment is set once, before it is read")]
        unsafe {
            std::env::set_var("FONTCONFIG_FILE", &file);
        }
    });
}

/// Prepares this thread for a window without a display.
pub(crate) fn platform() {
    fonts();
    let options = TestingBackendOptions {
        mock_time: true,
        renderer_name: Some("software".into()),
        ..TestingBackendOptions::default()
    };
    // A second test on the same thread finds the platform set already.
    let _ = slint::platform::set_platform(Box::new(TestingBackend::new(options)));
}

/// The empty window of the shell at this size.
pub(crate) fn app(width: u32, height: u32) -> App {
    platform();
    let app = App::new().unwrap();
    app.window()
        .set_size(slint::PhysicalSize::new(width, height));
    app.show().unwrap();
    settle();
    app
}

/// Lets change handlers and timers run.
pub(crate) fn settle() {
    bench::mock_elapsed_time(Duration::from_millis(32));
}
