//! Photographs and sounds by commands alone: kept with a session without where they were taken,
//! listed, written out as they are kept, put into words, and refused by name.

use std::path::Path;

use crate::json::against_the_page;
use crate::support::{done, err, folder, refused, tallywater, tool, with_session};

const PLACE: &str = "47.5123 N 9.6021 E";

/// A picture of four by three, with this text beside it.
fn png(text: Option<&str>) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut png = png::Encoder::new(&mut bytes, 4, 3);
    png.set_color(png::ColorType::Rgb);
    if let Some(text) = text {
        png.add_text_chunk("Comment".into(), text.into()).unwrap();
    }
    let mut png = png.write_header().unwrap();
    let pixels: Vec<u8> = (0..36).map(|at| at * 7).collect();
    png.write_image_data(&pixels).unwrap();
    png.finish().unwrap();
    bytes
}

/// A PNG file of one chunk of so many bytes; nothing that could be drawn, and larger than any
/// photograph.
fn long_png(length: usize) -> Vec<u8> {
    let chunk = |name: &[u8], body: &[u8]| {
        let size = u32::try_from(body.len()).unwrap().to_be_bytes();
        [&size[..], name, body, &[0; 4]].concat()
    };
    [
        b"\x89PNG\r\n\x1a\n".to_vec(),
        chunk(b"IHDR", &[0; 13]),
        chunk(b"IDAT", &vec![0; length]),
        chunk(b"IEND", &[]),
    ]
    .concat()
}

/// A tenth of a second of a WAV recording, and what the recorder says of itself behind it.
fn wav(by: &[u8]) -> Vec<u8> {
    let size = |of: usize| u32::try_from(of).unwrap().to_le_bytes();
    let (format, samples) = ([1_u8; 16], [128_u8; 800]);
    let mut chunks = [
        &b"WAVEfmt "[..],
        &size(format.len()),
        &format,
        b"data",
        &size(samples.len()),
        &samples,
    ]
    .concat();
    if !by.is_empty() {
        chunks.extend([&b"LIST"[..], &size(by.len()), by].concat());
    }
    [&b"RIFF"[..], &size(chunks.len()), &chunks].concat()
}

/// Keeps a file of this name; answers the entry.
fn keep(within: &Path, session: &str, name: &str, more: &[&str]) -> String {
    let line = [
        "file",
        "keep",
        "tablet",
        name,
        "--session",
        session,
        "--ids",
    ];
    let said = done(within, &[&line, more].concat());
    said.trim().to_owned()
}

#[test]
fn a_photograph_is_kept_without_its_place_listed_and_written_out_byte_for_byte() {
    let folder = folder();
    let within = folder.path();
    let session = with_session(within);
    let (given, clean) = (png(Some(PLACE)), png(None));
    assert_ne!(given, clean);
    std::fs::write(within.join("slate.png"), given).unwrap();
    let entry = keep(within, &session, "slate.png", &["--slate", "B7QD"]);
    let listed = done(within, &["file", "list", "tablet"]);
    for said in [&entry, "Photograph, PNG", "slate B7QD", "SHA-256"] {
        assert!(listed.contains(said), "{said}: {listed}");
    }
    let bytes = format!("{} bytes", clean.len());
    assert!(listed.contains(&bytes), "{bytes}: {listed}");

    let show = ["file", "show", "tablet", &entry, "--out"];
    done(within, &[&show[..], &["kept.png"]].concat());
    assert_eq!(std::fs::read(within.join("kept.png")).unwrap(), clean);
    let piped = tallywater(within, &[&show[..], &["-"]].concat());
    assert!(piped.status.success(), "{}", err(&piped));
    assert_eq!(piped.stdout, clean);
    println!("## What is there is not written over");
    let again = refused(within, &[&show[..], &["kept.png"]].concat(), 4);
    assert!(again.contains("already"), "{again}");

    println!("## One that was withdrawn is not listed any more");
    done(within, &["entry", "withdraw", "tablet", &entry]);
    assert_eq!(done(within, &["file", "list", "tablet", "--ids"]), "");
    refused(within, &[&show[..], &["gone.png"]].concat(), 3);
    assert!(!within.join("gone.png").exists());
}

#[test]
fn what_is_heard_is_said_by_a_person_and_printed_and_a_program_reads_all_of_it() {
    let folder = folder();
    let within = folder.path();
    let session = with_session(within);
    std::fs::write(within.join("note.wav"), wav(b"INFOrecorder of somebody")).unwrap();
    std::fs::write(within.join("slate.png"), png(None)).unwrap();
    let note = keep(within, &session, "note.wav", &["--student", "Ottilie"]);
    keep(within, &session, "slate.png", &["--slate", "B7QD"]);
    let say = ["file", "say", "tablet", &note];
    done(within, &[&say[..], &["Clears the mask"]].concat());
    done(within, &[&say[..], &["Clears the mask late"]].concat());
    let listed = done(within, &["file", "list", "tablet", "--student", "Ottilie"]);
    let words = "In words, by Tove Askildsen: Clears the mask late";
    assert!(listed.contains(words), "{listed}");
    assert!(
        listed.contains("Sound, WAV") && !listed.contains("PNG"),
        "{listed}"
    );
    let hers = done(within, &["file", "list", "tablet", "--student", "Hannu"]);
    assert_eq!(hers, "");
    done(within, &["file", "show", "tablet", &note, "-o", "kept.wav"]);
    assert_eq!(std::fs::read(within.join("kept.wav")).unwrap(), wav(b""));

    let json = done(within, &["file", "list", "tablet", "--json"]);
    assert_eq!(against_the_page(&json), (Vec::new(), Vec::new()));
    let value: serde_json::Value = serde_json::from_str(&json).unwrap();
    let files = value["value"]["files"].as_array().unwrap();
    let said = files.iter().find(|file| file["entry"] == note.as_str());
    let said = said.unwrap();
    assert_eq!(said["words"]["text"], "Clears the mask late");
    assert_eq!(said["kind"], "wav");
    assert_eq!(said["here"], "whole");
    assert_eq!(said["have"], said["bytes"]);

    println!("## On the record of the one it is of, and of nobody else");
    for (name, theirs) in [("Ottilie", true), ("Hannu", false)] {
        let sheet = format!("{name}.pdf");
        done(
            within,
            &["paper", "record", "tablet", "-s", name, "-o", &sheet],
        );
        let sheet = within.join(&sheet);
        let text = tool("pdftotext", &["-raw", sheet.to_str().unwrap(), "-"]);
        let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
        assert_eq!(text.contains("Clears the mask late"), theirs, "{text}");
    }
}

#[test]
fn what_cannot_be_kept_is_refused_by_name_and_nothing_of_it_stays() {
    let folder = folder();
    let within = folder.path();
    let session = with_session(within);
    let cut = png(None);
    let cut = &cut[..cut.len() - 20];
    std::fs::write(within.join("paper.png"), b"%PDF-1.7 and more").unwrap();
    std::fs::write(within.join("cut.png"), cut).unwrap();
    std::fs::write(within.join("long.png"), long_png(8 << 20)).unwrap();
    fn keep<'a>(session: &'a str, name: &'a str, more: &[&'a str]) -> Vec<&'a str> {
        let line = ["file", "keep", "tablet", name, "--session", session];
        [&line[..], more].concat()
    }
    let said = refused(within, &keep(&session, "paper.png", &[]), 4);
    assert!(said.contains("no JPEG or PNG picture"), "{said}");
    let said = refused(within, &keep(&session, "cut.png", &[]), 4);
    assert!(said.contains("damaged or was cut short"), "{said}");
    let said = refused(within, &keep(&session, "long.png", &[]), 4);
    assert!(
        said.contains("in picture") && said.contains("8388608"),
        "{said}"
    );
    refused(within, &keep(&session, "nowhere.png", &[]), 3);
    std::fs::write(within.join("right.png"), png(None)).unwrap();
    let nobody = refused(
        within,
        &keep(&session, "right.png", &["--student", "Nobody"]),
        3,
    );
    assert!(nobody.contains("no student Nobody"), "{nobody}");
    let long = "A slate's number of more than sixteen characters";
    refused(within, &keep(&session, "right.png", &["--slate", long]), 4);
    assert_eq!(done(within, &["file", "list", "tablet", "--ids"]), "");

    println!("## In words: of what is there, and neither nothing nor a book");
    done(within, &keep(&session, "right.png", &["--slate", "B7QD"]));
    let entry = done(within, &["file", "list", "tablet", "--ids"]);
    let say = |file: &str, text: &str, code| {
        refused(within, &["file", "say", "tablet", file, text], code)
    };
    let said = say(entry.trim(), "", 4);
    assert!(said.contains("left empty"), "{said}");
    let said = say(entry.trim(), &"x".repeat(4_001), 4);
    assert!(said.contains("at most 4000"), "{said}");
    let said = say("ffffffff", "seen", 3);
    assert!(said.contains("no file ffffffff"), "{said}");
    let listed = done(within, &["file", "list", "tablet"]);
    assert!(!listed.contains("In words"), "{listed}");
}

#[test]
fn a_recording_is_asked_for_in_the_place_of_a_file() {
    let folder = folder();
    let within = folder.path();
    let session = with_session(within);
    for more in [
        &[][..],
        &["note.wav", "--record"],
        &["note.wav", "--seconds", "5"],
        &["--seconds", "5"],
        &["--record", "--seconds", "soon"],
    ] {
        let line = ["file", "keep", "tablet", "--session", &session];
        refused(within, &[&line[..], more].concat(), 2);
    }
    let ids = done(within, &["file", "list", "tablet", "--ids"]);
    assert_eq!(ids, "");
}

/// A build that has one may stand on a machine with a microphone: there it would hear.
#[cfg(not(any(target_os = "windows", target_os = "macos", feature = "microphone")))]
#[test]
fn a_build_without_a_microphone_says_so_and_keeps_nothing() {
    let folder = folder();
    let within = folder.path();
    let session = with_session(within);
    let line = ["file", "keep", "tablet", "--session", &session, "--record"];
    let said = refused(within, &line, 4);
    assert!(said.contains("built without the microphone"), "{said}");
    let german = [&line[..], &["--seconds", "5", "--language", "de"]].concat();
    let said = refused(within, &german, 4);
    assert!(said.contains("ohne Mikrofon gebaut"), "{said}");
    let ids = done(within, &["file", "list", "tablet", "--ids"]);
    assert_eq!(ids, "");
}
