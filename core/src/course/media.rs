//! Media: what kinds of photograph and sound are kept, how large each may be, and why one is
//! not taken.

use std::fmt;

use serde::{Deserialize, Serialize};

/// What is kept beside the entries. The list is closed: what is not on it is not taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "border", derive(uniffi::Enum), uniffi(name = "MediaKind"))]
pub enum Media {
    /// A photograph as cameras write it: ISO/IEC 10918-1.
    #[serde(rename = "image/jpeg")]
    Jpeg,
    /// A picture without loss: W3C, "Portable Network Graphics", third edition.
    #[serde(rename = "image/png")]
    Png,
    /// Sound in an Ogg file: RFC 3533.
    #[serde(rename = "audio/ogg")]
    Ogg,
    /// Sound as it was sampled, in a RIFF file.
    #[serde(rename = "audio/wav")]
    Wav,
    /// Sound in an MP4 file: ISO/IEC 14496-12, without any moving picture.
    #[serde(rename = "audio/mp4")]
    Mp4,
}

/// The longest picture, in bytes: a photograph of a telephone has 2 to 6 MB (from memory).
pub const MOST_PICTURE: u32 = 8 << 20;
/// The longest sound, in bytes: a quarter of an hour at 128 kbit/s.
pub const MOST_SOUND: u32 = 16 << 20;

impl Media {
    /// Every kind.
    pub const ALL: [Self; 5] = [Self::Jpeg, Self::Png, Self::Ogg, Self::Wav, Self::Mp4];

    /// Its name by RFC 6838, as it is stored.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Jpeg => "image/jpeg",
            Self::Png => "image/png",
            Self::Ogg => "audio/ogg",
            Self::Wav => "audio/wav",
            Self::Mp4 => "audio/mp4",
        }
    }

    /// How the name of a file of it ends, without the dot.
    pub const fn ending(self) -> &'static str {
        match self {
            Self::Jpeg => "jpg",
            Self::Png => "png",
            Self::Ogg => "ogg",
            Self::Wav => "wav",
            Self::Mp4 => "m4a",
        }
    }

    /// Whether it is to be heard and not to be seen.
    pub const fn is_sound(self) -> bool {
        matches!(self, Self::Ogg | Self::Wav | Self::Mp4)
    }

    /// The most bytes of it that are kept.
    pub const fn most_bytes(self) -> u32 {
        if self.is_sound() {
            MOST_SOUND
        } else {
            MOST_PICTURE
        }
    }

    /// The kind whose first bytes these are, whatever a file is called.
    pub fn begins(bytes: &[u8]) -> Option<Self> {
        let at = |place: usize, what: &[u8]| {
            let found = bytes.get(place..place.saturating_add(what.len()));
            found == Some(what)
        };
        if at(0, &[0xff, 0xd8, 0xff]) {
            Some(Self::Jpeg)
        } else if at(0, b"\x89PNG\r\n\x1a\n") {
            Some(Self::Png)
        } else if at(0, b"OggS\0") {
            Some(Self::Ogg)
        } else if at(0, b"RIFF") && at(8, b"WAVE") {
            Some(Self::Wav)
        } else if at(4, b"ftyp") && SOUND_BRANDS.iter().any(|brand| at(8, *brand)) {
            Some(Self::Mp4)
        } else {
            None
        }
    }
}

/// Brands of MP4 files that recorders write, from memory of the registry of the MP4 Registration
/// Authority. Pictures in the same container (`heic`, `avif`) are none of them.
const SOUND_BRANDS: [&[u8; 4]; 10] = [
    b"M4A ", b"M4B ", b"mp41", b"mp42", b"isom", b"iso2", b"iso4", b"iso5", b"iso6", b"3gp4",
];

impl fmt::Display for Media {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

/// Why a photograph or a sound is not taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, thiserror::Error)]
pub enum MediaFault {
    /// Of none of the kinds that are kept.
    #[error("this is no JPEG or PNG picture and no Ogg, WAV or MP4 sound")]
    Unknown,
    /// It begins as one of them and does not go on as one.
    #[error("the {media} file is damaged: its {what}")]
    Damaged {
        /// What it begins as.
        media: Media,
        /// Which part of it does not hold.
        what: &'static str,
    },
    /// A film: only its sound would be kept, and nobody would know.
    #[error("the file holds a moving picture, and only sound is kept")]
    Moving,
    /// A file with more in it than may be looked at in reasonable time.
    #[error("the {media} file has more than {most} parts")]
    TooManyParts {
        /// What it begins as.
        media: Media,
        /// The most that are looked at.
        most: usize,
    },
}

impl MediaFault {
    /// A short word for it, stable across versions.
    pub const fn rule(self) -> &'static str {
        match self {
            Self::Unknown => "media_unknown",
            Self::Damaged { .. } | Self::TooManyParts { .. } => "media_damaged",
            Self::Moving => "media_moving",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_kind_is_known_by_its_first_bytes_and_stored_under_its_name() {
        let begin: [(&[u8], Option<Media>); 9] = [
            (&[0xff, 0xd8, 0xff, 0xe0], Some(Media::Jpeg)),
            (b"\x89PNG\r\n\x1a\n\0\0", Some(Media::Png)),
            (b"OggS\0\x02", Some(Media::Ogg)),
            (b"RIFF\x24\0\0\0WAVEfmt ", Some(Media::Wav)),
            (b"\0\0\0\x20ftypM4A \0\0", Some(Media::Mp4)),
            (b"\0\0\0\x20ftypheic\0\0", None),
            (b"RIFF\x24\0\0\0WEBP", None),
            (b"%PDF-1.7", None),
            (b"", None),
        ];
        for (bytes, expected) in begin {
            assert_eq!(Media::begins(bytes), expected, "{bytes:?}");
        }
        for media in Media::ALL {
            let stored = serde_json::to_string(&media).unwrap();
            assert_eq!(stored, format!("{:?}", media.name()));
            let limit = if media.is_sound() { 16 } else { 8 };
            assert_eq!(media.most_bytes(), limit << 20);
        }
    }
}
