//! Fonts: what the pages are set in.
//!
//! Inter (SIL Open Font License, see `font/OFL.txt`) is inside the program in three weights
//! and covers Latin, Greek and Cyrillic. Right-to-left and East Asian scripts would add some
//! 20 MB, so they come from the device's own fonts if the caller allows it, and are embedded
//! in the document like the rest. What no font has is printed as a box, with the person's id
//! beside it, and the true text stays in the file for reading aloud and searching.

use std::sync::Arc;

use parley::FontContext;
use parley::fontique::{Blob, Collection, CollectionOptions, FontInfoOverride, SourceCache};

use super::PdfError;

/// The family name under which the bundled weights are registered, so that an Inter of
/// another version on the device cannot get between them.
pub(super) const FAMILY: &str = "Tallywater Inter";

const REGULAR: &[u8] = include_bytes!("../font/Inter-Regular.otf");
const SEMI_BOLD: &[u8] = include_bytes!("../font/Inter-SemiBold.otf");
const BOLD: &[u8] = include_bytes!("../font/Inter-Bold.otf");

/// The fonts a document may be set in.
///
/// Cloning is cheap; looking up the device's fonts is not, so keep one and clone it.
#[derive(Clone)]
pub struct Fonts {
    pub(super) context: FontContext,
}

impl Fonts {
    /// The bundled fonts alone: the same pages on every device.
    ///
    /// # Errors
    /// [`PdfError::Fonts`] when the program was built from damaged fonts.
    pub fn bundled() -> Result<Self, PdfError> {
        Self::with(false)
    }

    /// The bundled fonts, and the device's own for scripts that they lack. Asks the system
    /// where its fonts are and reads those that are needed: the one thing of this room that
    /// looks outside.
    ///
    /// # Errors
    /// [`PdfError::Fonts`] when the program was built from damaged fonts.
    pub fn of_this_device() -> Result<Self, PdfError> {
        Self::with(true)
    }

    fn with(system_fonts: bool) -> Result<Self, PdfError> {
        let mut collection = Collection::new(CollectionOptions {
            shared: false,
            system_fonts,
        });
        for bytes in [REGULAR, SEMI_BOLD, BOLD] {
            let family = FontInfoOverride {
                family_name: Some(FAMILY),
                ..FontInfoOverride::default()
            };
            let found = collection.register_fonts(Blob::new(Arc::new(bytes)), Some(family));
            if found.iter().all(|(_, fonts)| fonts.is_empty()) {
                return Err(PdfError::Fonts);
            }
        }
        Ok(Self {
            context: FontContext {
                collection,
                source_cache: SourceCache::default(),
            },
        })
    }
}

impl std::fmt::Debug for Fonts {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Fonts(..)")
    }
}
