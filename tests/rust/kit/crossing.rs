//! Kit over the border.

use tallywater_bindings as border;

use crate::paper_tools::Opened;

fn fields(fault: border::Fault) -> [Option<String>; 4] {
    match fault {
        border::Fault::Refused {
            rule,
            what,
            id,
            value,
            ..
        } => [Some(rule), what, id, value],
        other => panic!("{other:?}"),
    }
}

#[test]
fn kit_crosses_the_border_with_what_was_refused_and_what_asks_for_a_reason() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path().to_str().unwrap().to_owned();
    let tablet = border::Tallywater::open(at).unwrap();
    let (course, session, students) = crate::teams::day_of(&tablet, folder.path());
    let set = || border::Request::SetKit {
        piece: None,
        details: border::KitPiece {
            kind: border::KitKind::Regulator,
            number: "7".into(),
            size: String::new(),
            serial: String::new(),
            serviced: None,
            service_due: Some("2026-06-05".into()),
            test_due: None,
            note: String::new(),
        },
    };
    let piece = tablet.record(set()).unwrap().made.unwrap();
    let said = |rule: &str, what: &str, id: &String, value: Option<&str>| {
        let given = [Some(rule), Some(what), Some(id.as_str()), value];
        given.map(|text| text.map(str::to_owned))
    };
    assert_eq!(
        fields(tablet.record(set()).unwrap_err()),
        said("piece_number", "regulator", &piece, Some("7"))
    );
    let issue = |n: usize, despite: Option<&str>| {
        tablet
            .record(border::Request::IssueKit {
                course: course.clone(),
                session: session.clone(),
                piece: piece.clone(),
                to: border::Who::Student {
                    student: students[n].clone(),
                },
                despite: despite.map(str::to_owned),
                when: None,
            })
            .map_err(Box::new)
    };
    assert_eq!(
        fields(*issue(0, None).unwrap_err()),
        said("piece_asks", "service", &piece, None)
    );
    issue(0, Some("looked at")).unwrap();
    let list = tablet.kit_issue(course.clone(), session.clone()).unwrap();
    assert_eq!((list.wrong, list.rows.len()), (1, 4));
    let lines = list.rows.iter().flat_map(|row| &row.lines);
    let out: Vec<&border::KitOutRow> = lines.flat_map(|line| &line.issued).collect();
    assert_eq!(out[0].despite.as_deref(), Some("looked at"));
    assert_eq!(
        fields(*issue(1, Some("looked at")).unwrap_err()),
        said(
            "piece_out",
            "student",
            &students[0],
            Some(out[0].entry.to_string().as_str())
        )
    );
    let (kind, any) = (border::KitKind::Regulator, String::new());
    let choice = tablet.kit_for(course.clone(), session.clone(), kind, any);
    assert_eq!(choice.unwrap()[0].state, border::KitState::Out);
    println!("## Sizes, lists and papers");
    tablet
        .record(border::Request::SetSizes {
            course: course.clone(),
            student: students[0].clone(),
            sizes: border::Sizes {
                suit: " ML ".into(),
                boots: String::new(),
                fins: String::new(),
                mask: String::new(),
                bcd: String::new(),
                own: vec![border::KitKind::Mask],
            },
        })
        .unwrap();
    let sizes = tablet.sizes(course.clone(), students[0].clone()).unwrap();
    assert_eq!(sizes.sizes.unwrap().suit, "ML");
    let hints = border::RosterHints::default;
    let file = tablet.export_kit().unwrap();
    assert_eq!(file.name, "kit.csv");
    let seen = tablet
        .look_at_kit_list(file.bytes.clone(), hints())
        .unwrap();
    assert_eq!(
        (seen.rows.len(), seen.rows[0].there.as_ref()),
        (1, Some(&piece))
    );
    let taken = tablet.take_kit_list(file.bytes, hints(), border::KitThere::LeaveOut);
    let taken = taken.unwrap();
    assert_eq!((taken.added, taken.left_out), (0, vec![2]));
    let no = tablet.look_at_kit_list(b"colour\nblue\n".to_vec(), hints());
    let no = fields(no.unwrap_err());
    assert_eq!(no[0].as_deref(), Some("kit_no_column"));
    let setup = || border::PaperSetup {
        sheet: border::OfficeSheet::A4,
        language: border::PaperLanguage::German,
        device_fonts: false,
    };
    let pdf = tablet.print_issue_list(course.clone(), session, setup());
    Opened::new("border-issue-list", &pdf.unwrap()).check();
    Opened::new("border-kit-list", &tablet.print_kit_list(setup()).unwrap()).check();
    println!("## Back, with a fault");
    tablet
        .record(border::Request::ReturnKit {
            course,
            issue: out[0].entry.to_string(),
            fault: Some("free flows".into()),
            when: None,
        })
        .unwrap();
    let kit = tablet.kit().unwrap();
    assert_eq!((kit.out, kit.faulty, kit.overdue), (0, 1, 1));
    assert_eq!(kit.rows[0].faults[0].what, "free flows");
}
