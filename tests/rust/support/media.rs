//! Photographs and sounds of a test: whole files of their kind, as long as is asked for, and the
//! same for the same seed. Nobody is on them.

/// Bytes that look like nothing, without the sign that begins a part of a JPEG.
fn noise(length: usize, seed: u64) -> Vec<u8> {
    let mut state = seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1;
    let mut next = || {
        state ^= state >> 12;
        state ^= state << 25;
        state ^= state >> 27;
        state.wrapping_mul(0x2545_F491_4F6C_DD1D).to_be_bytes()[0] & 0x7f
    };
    (0..length).map(|_| next()).collect()
}

/// What a camera writes about where it was.
pub(crate) const PLACE: &[u8] = b"GPS 47.5123 N 9.6021 E";

/// A photograph of so many bytes when it is clean.
pub(crate) fn photograph(length: usize, seed: u64) -> Vec<u8> {
    let tables = [0xff, 0xdb, 0, 4, 1, 2];
    let scan = [0xff, 0xda, 0, 3, 1];
    let around = 2 + tables.len() + scan.len() + 2;
    let coded = noise(length - around, seed);
    [&[0xff, 0xd8][..], &tables, &scan, &coded, &[0xff, 0xd9]].concat()
}

/// The same as a camera hands it over: with the place where it was taken.
pub(crate) fn with_place(photograph: &[u8]) -> Vec<u8> {
    let body = [b"Exif\0\0nonsense", PLACE].concat();
    let size = u16::try_from(body.len() + 2).unwrap().to_be_bytes();
    let (start, rest) = photograph.split_at(2);
    [start, &[0xff, 0xe1], &size, &body, rest].concat()
}

/// A sound of so many bytes, an even number.
pub(crate) fn sound(length: usize, seed: u64) -> Vec<u8> {
    let samples = noise(length - 44, seed);
    let size = |n: usize| u32::try_from(n).unwrap().to_le_bytes();
    [
        &b"RIFF"[..],
        &size(length - 8),
        b"WAVEfmt ",
        &size(16),
        &[1; 16],
        b"data",
        &size(samples.len()),
        &samples,
    ]
    .concat()
}
