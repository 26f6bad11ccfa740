//! Pictures: every screen drawn into memory and written as PNG, where there is no display.

mod tour;

use std::cell::Cell;
use std::fs::File;
use std::io::BufWriter;
use std::path::Path;
use std::rc::Rc;
use std::sync::Arc;
use std::time::{Duration, Instant};

use slint::platform::software_renderer::{MinimalSoftwareWindow, RepaintBufferType};
use slint::platform::{Platform, WindowAdapter};
use slint::{ComponentHandle, PhysicalSize, PlatformError, Rgb8Pixel, SharedPixelBuffer};
use tallywater_bindings::{Fault, Tallywater};

use crate::shell::{Shell, setup};
use crate::ui::{App, Theme};

pub use tour::{Stop, tour};

/// Phone, tablet upright, tablet across, and the shop's computer: width and height in pixels.
pub const SIZES: [(u32, u32); 4] = [(390, 844), (800, 1280), (1280, 800), (1920, 1080)];

/// The text sizes that a device can be read in, in per cent of the usual one.
pub const TEXT: [&str; 4] = {
    let [usual, larger, large, twice] = setup::TEXT;
    [usual.0, larger.0, large.0, twice.0]
};

/// Has a device read in this language, by its code (`en`, `de`), and in this text size, one of
/// [`TEXT`], from the next window on. What is neither is kept and read as the first of them.
///
/// # Errors
/// [`Fault`] when the device cannot keep it.
pub fn read_in(desk: &Tallywater, language: &str, text: &str) -> Result<(), Fault> {
    desk.keep_preference("language".to_owned(), language.to_owned())?;
    desk.keep_preference("text".to_owned(), text.to_owned())
}

/// A platform with one window that is drawn into memory, and a clock.
struct Memory {
    window: Rc<MinimalSoftwareWindow>,
    start: Instant,
}

impl Platform for Memory {
    fn create_window_adapter(&self) -> Result<Rc<dyn WindowAdapter>, PlatformError> {
        Ok(self.window.clone())
    }

    fn duration_since_start(&self) -> Duration {
        self.start.elapsed()
    }
}

/// A window in memory: the shell's own, drawn by the software renderer.
pub struct Canvas {
    window: Rc<MinimalSoftwareWindow>,
    size: Cell<(u32, u32)>,
}

impl Canvas {
    /// Makes the one window of this process live in memory.
    ///
    /// # Errors
    /// [`Fault::Internal`] when a platform is set already.
    pub fn new() -> Result<Self, Fault> {
        let window = MinimalSoftwareWindow::new(RepaintBufferType::NewBuffer);
        let memory = Memory {
            window: Rc::clone(&window),
            start: Instant::now(),
        };
        slint::platform::set_platform(Box::new(memory)).map_err(|error| Fault::Internal {
            detail: format!("drawing without a display: {error}"),
        })?;
        let size = Cell::new((0, 0));
        Ok(Self { window, size })
    }

    /// Makes the window this large.
    pub fn resize(&self, (width, height): (u32, u32)) {
        self.size.set((width, height));
        self.window.set_size(PhysicalSize::new(width, height));
        self.settle();
    }

    /// Lets bindings, timers and change handlers run.
    pub fn settle(&self) {
        for _ in 0..4 {
            slint::platform::update_timers_and_animations();
        }
    }

    /// What is to be seen now, pixel by pixel in rows from the top left.
    pub fn draw(&self) -> Vec<Rgb8Pixel> {
        let (width, height) = self.size.get();
        let wide = usize::try_from(width).unwrap_or_default();
        let high = usize::try_from(height).unwrap_or_default();
        let mut pixels = vec![Rgb8Pixel::default(); wide.saturating_mul(high)];
        self.settle();
        self.window.request_redraw();
        self.window.draw_if_needed(|renderer| {
            renderer.set_repaint_buffer_type(RepaintBufferType::NewBuffer);
            renderer.render(&mut pixels, wide);
        });
        pixels
    }

    /// Draws over pixels that hold what was drawn before, as a window does that keeps them: only
    /// what changed since. Answers whether anything had. Pixels of another size than the window's
    /// are drawn whole.
    pub fn draw_over(&self, pixels: &mut Vec<Rgb8Pixel>) -> bool {
        let (width, height) = self.size.get();
        let wide = usize::try_from(width).unwrap_or_default();
        let high = usize::try_from(height).unwrap_or_default();
        let of_old = pixels.len() == wide.saturating_mul(high);
        pixels.resize(wide.saturating_mul(high), Rgb8Pixel::default());
        self.settle();
        if !of_old {
            self.window.request_redraw();
        }
        self.window.draw_if_needed(|renderer| {
            renderer.set_repaint_buffer_type(if of_old {
                RepaintBufferType::ReusedBuffer
            } else {
                RepaintBufferType::NewBuffer
            });
            renderer.render(pixels.as_mut_slice(), wide);
        })
    }

    /// Writes what is to be seen now.
    ///
    /// # Errors
    /// [`Fault::Internal`] when the file cannot be written.
    pub fn write(&self, file: &Path) -> Result<(), Fault> {
        let (width, height) = self.size.get();
        let mut pixels = SharedPixelBuffer::<Rgb8Pixel>::new(width, height);
        pixels.make_mut_slice().copy_from_slice(&self.draw());
        let write = || -> Result<(), png::EncodingError> {
            let mut encoder = png::Encoder::new(BufWriter::new(File::create(file)?), width, height);
            encoder.set_color(png::ColorType::Rgb);
            encoder.set_depth(png::BitDepth::Eight);
            encoder.set_compression(png::Compression::Fast);
            encoder.write_header()?.write_image_data(pixels.as_bytes())
        };
        write().map_err(|error| Fault::Internal {
            detail: format!("writing a picture: {error}"),
        })
    }
}

/// How a screen is drawn: once, or in every size and light.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Each {
    /// As a tablet held across shows it in the sun.
    Once,
    /// In each of [`SIZES`], in the sun and at dusk.
    SizeAndLight,
}

/// Draws every screen of this desk into this folder, in the language and text size that the
/// device is read in, and answers how many pictures there are. `told` hears how many of how
/// many stand.
///
/// # Errors
/// [`Fault`] when the folder cannot be written or a display was taken already.
pub fn pictures(
    desk: &Arc<Tallywater>,
    folder: &Path,
    each: Each,
    told: &dyn Fn(usize, usize),
) -> Result<usize, Fault> {
    let detail = |error: &dyn std::fmt::Display| Fault::Internal {
        detail: format!("drawing without a display: {error}"),
    };
    std::fs::create_dir_all(folder).map_err(|error| detail(&error))?;
    let canvas = Canvas::new()?;
    let ui = App::new().map_err(|error| detail(&error))?;
    ui.show().map_err(|error| detail(&error))?;
    let shell = Shell::over(&ui, Arc::clone(desk));
    let stops = tour(&shell);
    let [_, _, across, _] = SIZES;
    let lights = [(false, "sun"), (true, "dusk")];
    let (sizes, lights) = match each {
        Each::Once => (vec![across], vec![(false, "sun")]),
        Each::SizeAndLight => (SIZES.to_vec(), lights.to_vec()),
    };
    let a_stop = sizes.len().saturating_mul(lights.len());
    let all = stops.len().saturating_mul(a_stop);
    let mut done: usize = 0;
    for size in sizes {
        canvas.resize(size);
        for stop in &stops {
            (stop.go)(&shell);
            for &(dusk, theme) in &lights {
                ui.global::<Theme>().set_dusk(dusk);
                let (width, height) = size;
                let name = format!("{}-{width}x{height}-{theme}.png", stop.name);
                canvas.write(&folder.join(name))?;
                done = done.saturating_add(1);
                told(done, all);
            }
        }
    }
    Ok(done)
}
