use super::*;

/// A segment of a JPEG.
fn segment(marker: u8, body: &[u8]) -> Vec<u8> {
    let size = u16::try_from(body.len() + 2).unwrap();
    [&[0xff, marker][..], &size.to_be_bytes(), body].concat()
}

/// An EXIF segment with an orientation, a place and a camera, in either order of bytes.
fn exif(turned: u16, big: bool) -> Vec<u8> {
    let short = |n: u16| {
        if big {
            n.to_be_bytes()
        } else {
            n.to_le_bytes()
        }
    };
    let long = |n: u32| {
        if big {
            n.to_be_bytes()
        } else {
            n.to_le_bytes()
        }
    };
    let mut body = b"Exif\0\0".to_vec();
    body.extend(if big { b"MM" } else { b"II" });
    body.extend(short(42));
    body.extend(long(8));
    body.extend(short(2));
    for (tag, kind, value) in [(0x0112, 3, turned), (0x8825, 4, 60)] {
        body.extend(short(tag));
        body.extend(short(kind));
        body.extend(long(1));
        body.extend(short(value));
        body.extend(short(0));
    }
    body.extend(long(0));
    body.extend(b"GPS 47.5123 N 9.6021 E, camera of somebody");
    segment(0xe1, &body)
}

const QUANTA: [u8; 3] = [0, 1, 2];
const CODED: &[u8] = b"\x11\xff\0\x22\xff\xd3\x33";

/// A progressive picture of two scans, with these segments before it and this behind its end.
fn jpeg(before: &[Vec<u8>], behind: &[u8]) -> Vec<u8> {
    let scan = [&segment(0xda, &[1])[..], CODED].concat();
    [
        &[0xff, 0xd8][..],
        &before.concat(),
        &segment(0xdb, &QUANTA),
        &scan,
        &segment(0xc4, &[9]),
        &scan,
        &[0xff, 0xd9],
        behind,
    ]
    .concat()
}

fn holds(bytes: &[u8], part: &[u8]) -> bool {
    bytes.windows(part.len()).any(|window| window == part)
}

#[test]
fn a_photograph_loses_its_place_and_keeps_what_is_drawn_and_which_way_is_up() {
    for big in [true, false] {
        let given = jpeg(
            &[
                segment(0xe0, b"JFIF\0rest"),
                exif(6, big),
                segment(0xe1, b"http://ns.adobe.com/xap/1.0/\0 place"),
                segment(0xed, b"Photoshop 3.0\0 place"),
                segment(0xe2, b"ICC_PROFILE\0\x01\x01colours"),
                segment(0xe2, b"MPF\0more pictures"),
                segment(0xee, b"Adobe\0transform"),
                segment(0xfe, b"a comment with a place"),
            ],
            b"a film with its place behind the end",
        );
        let clean = cleaned(&given).unwrap();
        assert_eq!(clean.media, Media::Jpeg);
        for gone in [
            &b"GPS"[..],
            b"camera",
            b"place",
            b"MPF",
            b"film",
            b"Photoshop",
        ] {
            assert!(
                holds(&given, gone) && !holds(&clean.bytes, gone),
                "{gone:?}"
            );
        }
        let upright = b"Exif\0\0MM\0\x2a\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0\x06\0\0\0\0\0\0";
        for kept in [
            &upright[..],
            b"JFIF",
            b"ICC_PROFILE",
            b"Adobe",
            CODED,
            &QUANTA,
        ] {
            assert!(holds(&clean.bytes, kept), "{kept:?}");
        }
        assert!(clean.bytes.ends_with(&[0xff, 0xd9]));
        // Once more changes nothing, and the turn is read from what was written.
        assert_eq!(cleaned(&clean.bytes).unwrap(), clean);
    }
}

#[test]
fn a_photograph_that_stands_upright_or_says_nonsense_needs_no_word_about_it() {
    for turned in [0, 1, 9, 700] {
        let clean = cleaned(&jpeg(&[exif(turned, true)], &[])).unwrap();
        assert_eq!(clean.bytes, jpeg(&[], &[]), "{turned}");
    }
}

#[test]
fn a_picture_without_loss_keeps_its_pixels_and_loses_its_texts() {
    let chunk = |name: &[u8; 4], body: &[u8]| {
        let size = u32::try_from(body.len()).unwrap().to_be_bytes();
        [&size[..], name, body, b"sum!"].concat()
    };
    let whole = |beside: &[Vec<u8>]| {
        [
            &b"\x89PNG\r\n\x1a\n"[..],
            &chunk(b"IHDR", &[0; 13]),
            &beside.concat(),
            &chunk(b"IDAT", b"pixels"),
            &chunk(b"IEND", &[]),
        ]
        .concat()
    };
    let beside = [
        chunk(b"tEXt", b"place"),
        chunk(b"eXIf", b"place"),
        chunk(b"tIME", b"place"),
    ];
    let given = [&whole(&beside)[..], b"place"].concat();
    let clean = cleaned(&given).unwrap();
    assert_eq!(clean.bytes, whole(&[]));
    let colours = whole(&[chunk(b"iCCP", b"colours")]);
    assert_eq!(cleaned(&colours).unwrap().bytes, colours);
}

#[test]
fn a_sound_keeps_what_is_heard_and_loses_what_stands_beside_it() {
    let chunk = |name: &[u8; 4], body: &[u8]| {
        let size = u32::try_from(body.len()).unwrap().to_le_bytes();
        let fill = vec![0; body.len() % 2];
        [&name[..], &size, body, &fill].concat()
    };
    let wav = |chunks: &[Vec<u8>]| {
        let inside = chunks.concat();
        let size = u32::try_from(inside.len() + 4).unwrap().to_le_bytes();
        [&b"RIFF"[..], &size, b"WAVE", &inside].concat()
    };
    let (format, sound) = (chunk(b"fmt ", &[1; 16]), chunk(b"data", b"sound"));
    let given = wav(&[format.clone(), chunk(b"LIST", b"INFOplace"), sound.clone()]);
    let clean = cleaned(&[&given[..], b"place"].concat()).unwrap();
    assert_eq!(clean.bytes, wav(&[format, sound]));

    let given = mp4(&[track(b"soun")], b"place");
    let clean = cleaned(&given).unwrap();
    assert_eq!(clean.media, Media::Mp4);
    // Nothing has moved: the sound stands where the tables say it does.
    assert_eq!(clean.bytes.len(), given.len());
    assert!(holds(&given, b"place") && !holds(&clean.bytes, b"place"));
    assert!(holds(&clean.bytes, b"samples") && holds(&clean.bytes, b"free"));
    assert_eq!(cleaned(&clean.bytes).unwrap(), clean);
}

fn container(name: &[u8; 4], body: &[u8]) -> Vec<u8> {
    let size = u32::try_from(body.len() + 8).unwrap().to_be_bytes();
    [&size[..], name, body].concat()
}

fn track(kind: &[u8; 4]) -> Vec<u8> {
    let handler = container(b"hdlr", &[&[0; 8][..], kind, &[0; 12]].concat());
    let beside = container(b"udta", b"place");
    container(b"trak", &[container(b"mdia", &handler), beside].concat())
}

fn mp4(tracks: &[Vec<u8>], beside: &[u8]) -> Vec<u8> {
    let beside = container(b"udta", &container(b"\xa9xyz", beside));
    let moov = container(b"moov", &[tracks.concat(), beside].concat());
    [
        container(b"ftyp", b"M4A \0\0\0\0"),
        moov,
        container(b"mdat", b"samples"),
    ]
    .concat()
}

#[test]
fn a_film_is_not_taken_for_a_sound() {
    let film = mp4(&[track(b"soun"), track(b"vide")], b"");
    assert_eq!(cleaned(&film), Err(MediaFault::Moving));
    let silent = mp4(&[track(b"text")], b"");
    let fault = MediaFault::Damaged {
        media: Media::Mp4,
        what: "sound",
    };
    assert_eq!(cleaned(&silent), Err(fault));
}

#[test]
fn a_file_that_breaks_off_anywhere_is_refused_and_what_was_turned_in_it_never_panics() {
    let whole = [
        jpeg(&[exif(6, true)], &[]),
        mp4(&[track(b"soun")], b"place"),
        [
            &b"\x89PNG\r\n\x1a\n"[..],
            b"\0\0\0\x01IHDR.sum!\0\0\0\x02IDAT..sum!\0\0\0\0IENDsum!",
        ]
        .concat(),
        [
            &b"RIFF\x1c\0\0\0WAVE"[..],
            b"fmt \x02\0\0\0..data\x06\0\0\0sample",
        ]
        .concat(),
    ];
    for file in whole {
        assert!(cleaned(&file).is_ok(), "{:?}", cleaned(&file));
        for end in 0..file.len() {
            let cut = cleaned(&file[..end]);
            // A sound whose samples stand last may be cut where nothing is missing.
            let harmless = cut.is_ok() && file.get(4..8) == Some(b"ftyp");
            assert!(cut.is_err() || harmless, "{end} of {:?}", file.len());
        }
        for place in 0..file.len() {
            for with in [0, 0x7f, 0xff] {
                let mut hurt = file.clone();
                hurt[place] = with;
                // Refused or kept; what it must not do is to lead past the end.
                if let Ok(clean) = cleaned(&hurt) {
                    assert!(clean.bytes.len() <= hurt.len() + 36);
                }
            }
        }
    }
    assert_eq!(cleaned(b"%PDF-1.7 and more"), Err(MediaFault::Unknown));
    assert_eq!(cleaned(b""), Err(MediaFault::Unknown));
}
