//! Pictures of figures by command, opened by other programs.

use std::path::Path;

use crate::support::{confirmed, course, done, enrolled, folder, lone, path, refused, tool};

const PROFILE: &str = "<?xml version=\"1.0\" encoding=\"utf-8\"?>
<uddf xmlns=\"http://www.streit.cc/uddf/3.2/\" version=\"3.2.3\"><profiledata><repetitiongroup id=\"g\"><dive id=\"d\">
<informationbeforedive><datetime>2026-06-06T10:00:00</datetime></informationbeforedive>
<samples>
<waypoint><depth>0</depth><divetime>0</divetime></waypoint>
<waypoint><depth>11.5</depth><divetime>240</divetime></waypoint>
<waypoint><depth>9</depth><divetime>800</divetime></waypoint>
<waypoint><depth>5</depth><divetime>1260</divetime></waypoint>
<waypoint><depth>5</depth><divetime>1450</divetime></waypoint>
<waypoint><depth>0</depth><divetime>1500</divetime></waypoint>
</samples>
<informationafterdive><greatestdepth>11.5</greatestdepth><diveduration>1500</diveduration></informationafterdive>
</dive></repetitiongroup></profiledata></uddf>";

/// A lone instructor with a planned dive to 12 m, one student who has met a skill, and a dive
/// read from a dive computer's file.
fn school(within: &Path) {
    lone(within);
    confirmed(within);
    course(within, "-1");
    enrolled(within, "Émile Quatrefaire", "1990-02-03");
    done(
        within,
        &[
            "session",
            "plan",
            "tablet",
            "--block",
            "open-2",
            "--title",
            "Morning dive",
            "--site",
            "Quarry Mere",
            "--starts",
            "tomorrow 08:00",
            "--minutes",
            "40",
            "--depth",
            "12",
        ],
    );
    done(
        within,
        &[
            "skill",
            "mark",
            "tablet",
            "met",
            "--student",
            "Émile",
            "--skill",
            "mask-full",
        ],
    );
    std::fs::write(within.join("dive.uddf"), PROFILE).unwrap();
    done(
        within,
        &[
            "import",
            "dives",
            "tablet",
            "dive.uddf",
            "-d",
            "Émile",
            "--of-course",
        ],
    );
}

#[test]
fn every_picture_is_drawn_as_a_sheet_and_as_a_file_and_says_its_figures() {
    let within = folder();
    let to = folder();
    let within = within.path();
    school(within);
    let gas = ["gas", "-p", "Émile", "--session", "Morning"];
    let time = ["no-stop", "-p", "Émile", "--session", "Morning"];
    let pictures: [(&[&str], &str, &str); 5] = [
        (&["dive", "-p", "Émile"], "11.5 m", "Depth over time"),
        (&gas, "until the turn", "Turn pressure"),
        (&time, "12", "No-stop time"),
        (&["tries"], "too few", "Met by the first try"),
        (&["way", "-p", "Émile"], "Skills required", "day by day"),
    ];
    for (asked, figure, title) in pictures {
        let [what, rest @ ..] = asked else { panic!() };
        for kind in ["pdf", "svg"] {
            let file = path(&to, &format!("{what}.{kind}"));
            let file = file.to_str().unwrap();
            let mut args = vec!["paper", "picture", "tablet", what, "-o", file];
            args.extend(rest);
            if kind == "svg" {
                args.push("--svg");
            }
            assert!(done(within, &args).contains(file));
            let text = if kind == "pdf" {
                tool("qpdf", &["--check", file]);
                tool("pdftotext", &["-layout", file, "-"])
            } else {
                std::fs::read_to_string(file).unwrap()
            };
            let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
            assert!(text.contains(figure), "{what}.{kind}: {figure} in {text}");
            assert!(text.contains(title), "{what}.{kind}: {title} in {text}");
        }
        let mut german = vec!["paper", "picture", "tablet", what, "-o", "-", "--svg"];
        german.extend(rest);
        german.extend(["--language", "de"]);
        let german = done(within, &german);
        assert!(!german.contains(title), "{german}");
    }
}

#[test]
fn where_there_is_nothing_to_draw_that_is_said_and_no_file_is_made() {
    let within = folder();
    let within = within.path();
    lone(within);
    course(within, "-1");
    enrolled(within, "Émile Quatrefaire", "1990-02-03");
    for asked in [
        &["dive", "-p", "Émile"][..],
        &["tries"],
        &["way", "-p", "Émile"],
    ] {
        let mut args = vec!["paper", "picture", "tablet", "-o", "picture.pdf"];
        args.extend(asked);
        let said = refused(within, &args, 4);
        assert!(said.contains("no figures for this picture"), "{said}");
        assert!(!within.join("picture.pdf").exists());
    }
}
