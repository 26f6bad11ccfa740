//! Sheet: the paper it is printed on.

/// The papers of the trade: A4 or Letter for the office, A5 and A6 for waterproof slates.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum Sheet {
    /// 210 by 297 mm (ISO 216).
    #[default]
    A4,
    /// 8.5 by 11 inches.
    Letter,
    /// 148 by 210 mm (ISO 216).
    A5,
    /// 105 by 148 mm (ISO 216).
    A6,
}

/// Which way the sheet is held.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum Turn {
    /// Higher than wide.
    #[default]
    Upright,
    /// Wider than high.
    Sideways,
}

/// Width and height in points.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Size {
    /// Across.
    pub(crate) width: f32,
    /// Down.
    pub(crate) height: f32,
}

/// Millimetres in points.
pub(crate) const fn mm(millimetres: f32) -> f32 {
    millimetres * 72.0 / 25.4
}

impl Sheet {
    /// The sheet's measures.
    pub(crate) const fn size(self, turn: Turn) -> Size {
        let (short, long) = match self {
            Self::A4 => (mm(210.0), mm(297.0)),
            Self::Letter => (612.0, 792.0),
            Self::A5 => (mm(148.0), mm(210.0)),
            Self::A6 => (mm(105.0), mm(148.0)),
        };
        match turn {
            Turn::Upright => Size {
                width: short,
                height: long,
            },
            Turn::Sideways => Size {
                width: long,
                height: short,
            },
        }
    }
}
