//! Frames are read as they were written, and nothing else is.

use proptest::prelude::*;

use super::*;

fn ledgers() -> impl Strategy<Value = LedgerId> {
    (0..3u8, any::<u128>()).prop_map(|(kind, id)| {
        let id = Uuid::from_u128(id);
        match kind {
            0 => LedgerId::Shop(ShopId::new(id)),
            1 => LedgerId::Course(CourseId::new(id)),
            _ => LedgerId::Person(StudentId::new(id)),
        }
    })
}

fn positions() -> impl Strategy<Value = Position> {
    let heads = prop::collection::vec(any::<[u8; 32]>(), 0..5);
    (ledgers(), any::<u32>(), heads).prop_map(|(ledger, entries, heads)| Position {
        ledger,
        entries,
        heads: Heads::from_bytes(&heads.concat()).unwrap(),
    })
}

fn files() -> impl Strategy<Value = FilePlace> {
    (ledgers(), any::<[u8; 32]>(), any::<u32>(), any::<u32>()).prop_map(
        |(ledger, digest, bytes, from)| FilePlace {
            ledger,
            file: FileId {
                sha256: Sha256Hex(digest),
                bytes,
            },
            from,
        },
    )
}

fn frames() -> impl Strategy<Value = Frame> {
    let bytes = prop::collection::vec(any::<u8>(), 0..300);
    prop_oneof![
        (any::<u16>(), any::<u16>(), any::<i64>()).prop_map(|(version, least, clock)| {
            Frame::Hello {
                version,
                least,
                clock,
            }
        }),
        (any::<u32>(), positions()).prop_map(|(turn, position)| Frame::Offer { turn, position }),
        Just(Frame::Listed),
        (ledgers(), any::<u32>(), any::<bool>(), bytes).prop_map(|(ledger, turn, more, bytes)| {
            Frame::Message {
                ledger,
                turn,
                more,
                bytes,
            }
        }),
        (any::<u32>(), positions()).prop_map(|(turn, position)| Frame::Stored { turn, position }),
        (ledgers(), any::<u32>(), any::<u32>(), any::<[u8; 32]>()).prop_map(
            |(ledger, turn, entries, digest)| Frame::Level {
                ledger,
                turn,
                entries,
                digest
            }
        ),
        (
            ledgers(),
            any::<u32>(),
            prop::collection::vec(any::<u128>(), 0..9)
        )
            .prop_map(|(ledger, turn, ids)| Frame::List {
                ledger,
                turn,
                ids: ids
                    .into_iter()
                    .map(|id| EntryId::new(Uuid::from_u128(id)))
                    .collect(),
            }),
        (
            ledgers(),
            any::<u32>(),
            prop::collection::vec(prop::collection::vec(any::<u8>(), 1..90), 0..5)
        )
            .prop_map(|(ledger, turn, sealed)| Frame::Entries {
                ledger,
                turn,
                sealed
            }),
        files().prop_map(Frame::Ask),
        (files(), prop::collection::vec(any::<u8>(), 1..300))
            .prop_map(|(at, bytes)| Frame::Piece { at, bytes }),
        files().prop_map(|at| Frame::Lacking {
            ledger: at.ledger,
            file: at.file
        }),
        (ledgers(), any::<u8>()).prop_map(|(ledger, why)| Frame::Refused {
            ledger,
            why: Refused::of(why)
        }),
    ]
}

proptest! {
    #[test]
    fn a_frame_is_read_as_it_was_written(frame in frames()) {
        let bytes = frame.encode().unwrap();
        let prefix = *bytes.first_chunk().unwrap();
        prop_assert_eq!(Frame::length(prefix), Ok(bytes.len() - 4));
        prop_assert_eq!(Frame::decode(&bytes[4..]), Ok(Some(frame)));
    }

    #[test]
    fn any_bytes_are_a_frame_or_an_error_and_never_a_panic(
        bytes in prop::collection::vec(any::<u8>(), 0..200)
    ) {
        let _ = Frame::decode(&bytes);
    }

    #[test]
    fn a_frame_with_one_byte_changed_is_read_or_refused(
        frame in frames(), at in any::<prop::sample::Index>(), to in any::<u8>()
    ) {
        let mut bytes = frame.encode().unwrap().split_off(4);
        let at = at.index(bytes.len());
        bytes[at] = to;
        let _ = Frame::decode(&bytes);
    }
}

#[test]
fn a_length_beyond_the_cap_is_refused_before_anything_is_read() {
    let most = u32::try_from(MOST_FRAME).unwrap();
    assert_eq!(Frame::length(most.to_be_bytes()), Ok(MOST_FRAME));
    let length = MOST_FRAME + 1;
    assert_eq!(
        Frame::length((most + 1).to_be_bytes()),
        Err(FrameError::Length { length })
    );
    assert_eq!(Frame::length([0; 4]), Err(FrameError::Length { length: 0 }));
    assert!(Frame::length([0xff; 4]).is_err());
}

#[test]
fn a_frame_that_would_be_too_long_is_not_sent() {
    let ledger = LedgerId::Shop(ShopId::new(Uuid::nil()));
    let message = |length| Frame::Message {
        ledger,
        turn: 0,
        more: false,
        bytes: vec![0; length],
    };
    assert!(message(MOST_FRAME - 23).encode().is_ok());
    assert!(message(MOST_FRAME - 22).encode().is_err());
}

#[test]
fn what_a_newer_version_sends_is_skipped() {
    assert_eq!(Frame::decode(&[200, 1, 2, 3]), Ok(None));
    let mut stored = vec![5, 9];
    stored.extend([0; 24]);
    assert_eq!(Frame::decode(&stored), Ok(None));
    // A field added at the end of a frame we know is not in the way.
    assert_eq!(Frame::decode(&[3, 1, 99]), Ok(Some(Frame::Listed)));
}

#[test]
fn frames_are_these_bytes() {
    let ledger = LedgerId::Course(CourseId::new(Uuid::from_u128(0x0102)));
    let position = Position {
        ledger,
        entries: 258,
        heads: Heads::from_bytes(&[0xaa; 32]).unwrap(),
    };
    let hex = |frame: Frame| {
        let bytes = frame.encode().unwrap();
        bytes
            .iter()
            .map(|byte| format!("{byte:02x}"))
            .collect::<String>()
    };
    let id = "0200000000000000000000000000000102";
    let heads = "aa".repeat(32);
    let hello = Frame::Hello {
        version: 1,
        least: 1,
        clock: 256,
    };
    assert_eq!(hex(hello), "0000000d01000100010000000000000100");
    assert_eq!(
        hex(Frame::Offer {
            turn: 7,
            position: position.clone()
        }),
        format!("0000003a02{id}0000000700000102{heads}")
    );
    assert_eq!(hex(Frame::Listed), "0000000103");
    let message = Frame::Message {
        ledger,
        turn: 9,
        more: true,
        bytes: vec![0x42],
    };
    assert_eq!(hex(message), format!("0000001804{id}000000090142"));
    assert_eq!(
        hex(Frame::Stored { turn: 8, position }),
        format!("0000003a05{id}0000000800000102{heads}")
    );
    let refused = Frame::Refused {
        ledger,
        why: Refused::NotYours,
    };
    assert_eq!(hex(refused), format!("0000001306{id}01"));
    let file = FileId {
        sha256: Sha256Hex([0xdd; 32]),
        bytes: 258,
    };
    let from = 3;
    let at = FilePlace { ledger, file, from };
    let digest = "dd".repeat(32);
    assert_eq!(
        hex(Frame::Ask(at)),
        format!("0000003a0a{id}{digest}0000010200000003")
    );
    let bytes = vec![0x42];
    assert_eq!(
        hex(Frame::Piece { at, bytes }),
        format!("0000003b0b{id}{digest}000001020000000342")
    );
    assert_eq!(
        hex(Frame::Lacking { ledger, file }),
        format!("000000360c{id}{digest}00000102")
    );
    // A piece is bounded before anybody looks at it.
    let at = Frame::Ask(at).encode().unwrap().split_off(5);
    let piece = |length| [&[11][..], &at, &vec![0; length]].concat();
    assert!(Frame::decode(&piece(FILE_PIECE_BYTES)).is_ok());
    assert!(Frame::decode(&piece(FILE_PIECE_BYTES + 1)).is_err());
    assert!(Frame::decode(&piece(0)).is_err());
}
