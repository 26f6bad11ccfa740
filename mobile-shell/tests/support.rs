//! What every test of the shell stands on: a window without a display, a clock that moves
//! when told, and hands that tap.

use std::path::{Path, PathBuf};
use std::sync::Once;
use std::time::Duration;

use i_slint_backend_testing::{
    self as bench, AccessibleRole, ElementHandle, ElementQuery, TestingBackend,
    TestingBackendOptions,
};
use slint::ComponentHandle;
use slint::platform::PointerEventButton::Left;
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
    let mut options = TestingBackendOptions::default();
    options.mock_time = true;
    options.renderer_name = Some("software".into());
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

/// Every button that is on screen, in order.
pub(crate) fn buttons(app: &App) -> Vec<ElementHandle> {
    ElementQuery::from_root(app)
        .match_accessible_role(AccessibleRole::Button)
        .find_all()
}

/// The one button with this label.
pub(crate) fn button(app: &App, label: &str) -> ElementHandle {
    let all: Vec<ElementHandle> = buttons(app)
        .into_iter()
        .filter(|one| one.accessible_label().is_some_and(|it| it == label))
        .collect();
    assert_eq!(all.len(), 1, "buttons called {label}");
    all.into_iter().next().unwrap()
}

/// One tap of ordinary length on the button with this label.
pub(crate) fn tap(app: &App, label: &str) {
    button(app, label).mock_single_click(Left);
    settle();
}

/// Writes what the window shows into the folder of pictures.
pub(crate) fn picture(app: &App, name: &str) -> PathBuf {
    settle();
    let pixels = app.window().take_snapshot().unwrap();
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("pictures");
    std::fs::create_dir_all(&folder).unwrap();
    let path = folder.join(format!("{name}.png"));
    let file = std::fs::File::create(&path).unwrap();
    let mut encoder = png::Encoder::new(file, pixels.width(), pixels.height());
    encoder.set_color(png::ColorType::Rgba);
    encoder.set_depth(png::BitDepth::Eight);
    encoder
        .write_header()
        .unwrap()
        .write_image_data(pixels.as_bytes())
        .unwrap();
    path
}
