//! Each fault of an outline, made by the smallest outline that has it.

use super::*;
use crate::course::{
    Block, Demand, Family, Method, MinuteRange, Requirement, RunPlace, Setting, SkillRun, Slip,
};

fn id(text: &str) -> SkillId {
    text.parse().unwrap()
}

fn skill(name: &str) -> Skill {
    Skill {
        id: id(name),
        name: name.to_owned(),
        family: Family::Mask,
        settings: [Setting::Confined].into(),
        needs: Vec::new(),
        requirement: Requirement {
            says: "Stay for a minute.".to_owned(),
            measures: vec![Measure::Hold { seconds: 60 }],
        },
        methods: Vec::new(),
        methods_needed: MethodsNeeded::Any,
        demand: Demand::default(),
        cues: vec!["Slowly".to_owned()],
        slips: Vec::new(),
        caution: None,
        hazard: false,
        minutes: MinuteRange { quick: 1, slow: 2 },
        run: SkillRun::default(),
        required: true,
        proves: None,
    }
}

fn block(name: &str, setting: Setting, run_list: &[&str]) -> Block {
    Block {
        id: name.parse().unwrap(),
        title: "Pool".to_owned(),
        setting,
        run_list: run_list.iter().map(|name| id(name)).collect(),
        minutes: 90,
    }
}

fn outline(skills: Vec<Skill>) -> Outline {
    Outline {
        title: "Small".to_owned(),
        edition: 1,
        source: "our own".to_owned(),
        skills,
        blocks: Vec::new(),
    }
}

/// The faults of an outline of one skill, spoiled.
fn spoiled(spoil: impl FnOnce(&mut Skill)) -> Vec<OutlineFault> {
    let mut one = skill("a");
    spoil(&mut one);
    outline(vec![one]).faults()
}

fn text_fault(what: &'static str, most: usize) -> Vec<OutlineFault> {
    vec![OutlineFault::Text {
        what,
        of: "a".to_owned(),
        most,
    }]
}

fn needing(name: &str, needs: &[&str]) -> Skill {
    Skill {
        needs: needs.iter().map(|need| id(need)).collect(),
        ..skill(name)
    }
}

fn method(name: &str, required: bool) -> Method {
    Method {
        id: name.parse().unwrap(),
        name: name.to_owned(),
        cues: Vec::new(),
        required,
    }
}

#[test]
fn a_small_sound_outline_has_no_fault() {
    let mut sound = outline(vec![skill("a"), needing("b", &["a"])]);
    sound.blocks = vec![block("pool-1", Setting::Confined, &["a", "b"])];
    assert_eq!(sound.faults(), []);
}

#[test]
fn an_outline_without_a_skill_is_empty() {
    assert_eq!(outline(Vec::new()).faults(), [OutlineFault::Empty]);
}

#[test]
fn editions_start_at_one() {
    let mut bad = outline(vec![skill("a")]);
    bad.edition = 0;
    assert_eq!(bad.faults(), [OutlineFault::Edition]);
}

#[test]
fn too_much_of_anything_is_named_with_its_limit() {
    let many = |n: usize| outline((0..n).map(|i| skill(&format!("s{i}"))).collect());
    let too_many = |what, of: &str, most| OutlineFault::TooMany {
        what,
        of: of.to_owned(),
        most,
    };
    assert_eq!(many(120).faults(), []);
    assert_eq!(many(121).faults(), [too_many("skills", "the outline", 120)]);

    let mut blocks = outline(vec![skill("a")]);
    blocks.blocks = (0..61)
        .map(|i| block(&format!("b{i}"), Setting::Confined, &[]))
        .collect();
    assert_eq!(blocks.faults(), [too_many("blocks", "the outline", 60)]);

    let mut run = outline(vec![skill("a")]);
    run.blocks = vec![block("pool-1", Setting::Confined, &["a"; 61])];
    assert_eq!(
        run.faults(),
        [too_many("skills on its run list", "pool-1", 60)]
    );

    let crowd = |what| vec![too_many(what, "a", 12)];
    assert_eq!(spoiled(|s| s.needs = vec![id("b"); 13]), crowd("needs"));
    assert_eq!(
        spoiled(|s| s.cues = vec!["x".to_owned(); 13]),
        crowd("cues")
    );
    assert_eq!(
        spoiled(|s| s.methods = (0..13).map(|i| method(&format!("m{i}"), true)).collect()),
        crowd("methods")
    );
    assert_eq!(
        spoiled(|s| s.requirement.measures = vec![Measure::Hold { seconds: 1 }; 13]),
        crowd("figures")
    );
    let slip = |i| Slip {
        id: format!("s{i}").parse().unwrap(),
        fault: "x".into(),
        fix: "y".into(),
    };
    assert_eq!(
        spoiled(|s| s.slips = (0..13).map(slip).collect()),
        crowd("slips")
    );
    let chatty = Method {
        cues: vec!["x".to_owned(); 13],
        ..method("m", true)
    };
    assert_eq!(
        spoiled(|s| s.methods = vec![chatty]),
        crowd("cues of a method")
    );
}

#[test]
fn an_empty_or_endless_text_is_named_with_its_length() {
    let long = || "é".repeat(10_000);
    assert_eq!(
        spoiled(|s| s.name = String::new()),
        text_fault("the name", 40)
    );
    assert_eq!(spoiled(|s| s.name = "é".repeat(40)), []);
    assert_eq!(
        spoiled(|s| s.name = "é".repeat(41)),
        text_fault("the name", 40)
    );
    assert_eq!(
        spoiled(|s| s.requirement.says = long()),
        text_fault("the requirement", 400)
    );
    assert_eq!(
        spoiled(|s| s.cues = vec![" ".to_owned()]),
        text_fault("a cue", 120)
    );
    assert_eq!(
        spoiled(|s| s.caution = Some(long())),
        text_fault("the caution", 300)
    );
    let slip = |fault: &str, fix: &str| Slip {
        id: "x".parse().unwrap(),
        fault: fault.to_owned(),
        fix: fix.to_owned(),
    };
    assert_eq!(
        spoiled(|s| s.slips = vec![slip("", "fix")]),
        text_fault("a slip", 120)
    );
    assert_eq!(
        spoiled(|s| s.slips = vec![slip("fault", "")]),
        text_fault("a fix", 160)
    );
    let nameless = Method {
        name: long(),
        ..method("m", true)
    };
    assert_eq!(
        spoiled(|s| s.methods = vec![nameless]),
        text_fault("the name of a method", 40)
    );
    let mute = Method {
        cues: vec![String::new()],
        ..method("m", true)
    };
    assert_eq!(
        spoiled(|s| s.methods = vec![mute]),
        text_fault("a cue", 120)
    );
    assert_eq!(
        spoiled(|s| s.requirement.measures = vec![Measure::Count {
            at_least: 1,
            of: long()
        }]),
        text_fault("what is counted", 60)
    );
    assert_eq!(
        spoiled(|s| {
            s.requirement.measures = vec![Measure::Reading {
                at_most: 1,
                unit: String::new(),
            }];
        }),
        text_fault("the unit of a reading", 60)
    );

    let mut head = outline(vec![skill("a")]);
    head.title = String::new();
    head.source = long();
    head.blocks = vec![Block {
        title: long(),
        ..block("pool-1", Setting::Confined, &[])
    }];
    let text = |what, of: &str, most| OutlineFault::Text {
        what,
        of: of.to_owned(),
        most,
    };
    assert_eq!(
        head.faults(),
        [
            text("the source", "the outline", 600),
            text("the title", "pool-1", 80),
            text("the title", "the outline", 80),
        ]
    );
}

#[test]
fn an_id_used_twice_is_named() {
    let twice = |id: &str| vec![OutlineFault::Twice { id: id.to_owned() }];
    assert_eq!(outline(vec![skill("a"), skill("a")]).faults(), twice("a"));
    assert_eq!(
        spoiled(|s| s.methods = vec![method("m", true); 2]),
        twice("m")
    );
    let slip = Slip {
        id: "x".parse().unwrap(),
        fault: "a".into(),
        fix: "b".into(),
    };
    assert_eq!(spoiled(|s| s.slips = vec![slip.clone(), slip]), twice("x"));
    let mut blocks = outline(vec![skill("a")]);
    blocks.blocks = vec![block("pool-1", Setting::Confined, &[]); 2];
    assert_eq!(blocks.faults(), twice("pool-1"));
}

#[test]
fn a_skill_that_is_not_there_is_named_with_who_names_it() {
    let unknown = |by: &str| {
        vec![OutlineFault::Unknown {
            by: by.to_owned(),
            id: id("z"),
        }]
    };
    assert_eq!(outline(vec![needing("a", &["z"])]).faults(), unknown("a"));
    let mut run = outline(vec![skill("a")]);
    run.blocks = vec![block("pool-1", Setting::Confined, &["z"])];
    assert_eq!(run.faults(), unknown("pool-1"));
}

#[test]
fn a_ring_names_its_own_skills_and_not_those_behind_it() {
    let ring = |name: &str| OutlineFault::Ring { id: id(name) };
    assert_eq!(outline(vec![needing("a", &["a"])]).faults(), [ring("a")]);
    let around = outline(vec![
        needing("a", &["b"]),
        needing("b", &["c"]),
        needing("c", &["a"]),
        needing("behind", &["a"]),
        skill("free"),
    ]);
    assert_eq!(around.faults(), [ring("a"), ring("b"), ring("c")]);
    let diamond = outline(vec![
        skill("a"),
        needing("b", &["a"]),
        needing("c", &["a"]),
        needing("d", &["b", "c"]),
    ]);
    assert_eq!(diamond.faults(), []);
}

#[test]
fn a_requirement_without_a_figure_is_not_measurable() {
    let faults = spoiled(|s| s.requirement.measures.clear());
    assert_eq!(faults, [OutlineFault::NotMeasurable { id: id("a") }]);
}

#[test]
fn a_figure_that_nobody_could_miss_or_reach_is_named() {
    let cases = [
        (
            Measure::Count {
                at_least: 0,
                of: "clears".to_owned(),
            },
            1,
            1_000,
        ),
        (Measure::Hold { seconds: 0 }, 1, 7_200),
        (Measure::Within { seconds: 7_201 }, 1, 7_200),
        (Measure::Distance { decimetres: 0 }, 1, 50_000),
        (
            Measure::DepthBand {
                plus_minus_cm: 1_001,
            },
            1,
            1_000,
        ),
        (Measure::AscentRate { cm_per_minute: 0 }, 1, 3_000),
        (Measure::Miss { decimetres: 5_001 }, 0, 5_000),
        (
            Measure::Reading {
                at_most: 10_001,
                unit: "bar".to_owned(),
            },
            0,
            10_000,
        ),
    ];
    for (measure, least, most) in cases {
        let faults = spoiled(|s| s.requirement.measures = vec![measure.clone()]);
        assert_eq!(
            faults,
            [OutlineFault::Figure {
                id: id("a"),
                least,
                most
            }],
            "{measure:?}"
        );
    }
    let nought = Measure::Reading {
        at_most: 0,
        unit: "bar lost".to_owned(),
    };
    assert_eq!(
        spoiled(|s| s.requirement.measures = vec![nought]),
        [],
        "no loss can be asked"
    );
}

#[test]
fn a_hazard_without_a_caution_is_named() {
    assert_eq!(
        spoiled(|s| s.hazard = true),
        [OutlineFault::NoCaution { id: id("a") }]
    );
    assert_eq!(
        spoiled(|s| {
            s.hazard = true;
            s.caution = Some("Bubbles all the way.".to_owned());
        }),
        []
    );
}

#[test]
fn a_demand_in_water_where_it_may_not_be_shown_is_named() {
    let fault = [OutlineFault::Settings { id: id("a") }];
    assert_eq!(spoiled(|s| s.settings.clear()), fault);
    assert_eq!(
        spoiled(|s| s.demand.each_of = [Setting::Open].into()),
        fault
    );
    assert_eq!(
        spoiled(|s| s.demand.each_of = [Setting::Confined].into()),
        []
    );
}

#[test]
fn a_demand_that_cannot_be_satisfied_is_named() {
    for (times, sessions) in [(0, 0), (0, 1), (1, 0), (1, 2), (21, 1)] {
        let faults = spoiled(|s| {
            s.demand.times = times;
            s.demand.sessions = sessions;
        });
        assert_eq!(
            faults,
            [OutlineFault::Demand {
                id: id("a"),
                times,
                sessions
            }]
        );
    }
}

#[test]
fn all_methods_means_at_least_two_that_everyone_can_show() {
    let with = |methods: Vec<Method>| {
        spoiled(|s| {
            s.methods_needed = MethodsNeeded::All;
            s.methods = methods;
        })
    };
    let fault = [OutlineFault::Methods { id: id("a") }];
    assert_eq!(with(Vec::new()), fault);
    assert_eq!(with(vec![method("m", true), method("n", false)]), fault);
    assert_eq!(
        with(vec![
            method("m", true),
            method("n", true),
            method("o", false)
        ]),
        []
    );
}

#[test]
fn minutes_run_forwards_and_end() {
    for (quick, slow) in [(0, 2), (3, 2), (1, 241)] {
        let faults = spoiled(|s| s.minutes = MinuteRange { quick, slow });
        let id = "a".to_owned();
        assert_eq!(
            faults,
            [OutlineFault::Minutes {
                id,
                quick,
                slow,
                most: 240
            }]
        );
    }
    for minutes in [0, 721] {
        let mut bad = outline(vec![skill("a")]);
        bad.blocks = vec![Block {
            minutes,
            ..block("pool-1", Setting::Confined, &[])
        }];
        let id = "pool-1".to_owned();
        let fault = OutlineFault::Minutes {
            id,
            quick: minutes,
            slow: minutes,
            most: 720,
        };
        assert_eq!(bad.faults(), [fault]);
    }
}

#[test]
fn a_block_runs_only_what_suits_its_water() {
    let may = |shown_in: Setting, held_in: Setting| {
        let mut one = outline(vec![Skill {
            settings: [shown_in].into(),
            ..skill("a")
        }]);
        one.blocks = vec![block("b", held_in, &["a"])];
        let fault = OutlineFault::WrongPlace {
            block: "b".parse().unwrap(),
            skill: id("a"),
        };
        match one.faults().as_slice() {
            [] => true,
            faults => {
                assert_eq!(faults, [fault]);
                false
            }
        }
    };
    use Setting::{Classroom, Confined, Open, Surface};
    assert!(may(Confined, Confined) && may(Open, Open));
    assert!(
        may(Surface, Confined) && may(Surface, Open),
        "both have a surface"
    );
    assert!(may(Classroom, Surface) && may(Classroom, Confined) && may(Classroom, Open));
    assert!(!may(Confined, Open) && !may(Open, Confined));
    assert!(!may(Confined, Classroom) && !may(Surface, Classroom) && !may(Open, Surface));
}

#[test]
fn how_a_skill_is_run_names_skills_that_are_there_and_goes_in_no_ring() {
    let before = |s: &mut Skill, other: &str| s.run.before = vec![id(other)];
    assert_eq!(
        spoiled(|s| before(s, "gone")),
        [OutlineFault::Unknown {
            by: "a".to_owned(),
            id: id("gone")
        }]
    );
    assert_eq!(
        spoiled(|s| s.run.closes = Some(id("gone"))),
        [OutlineFault::Unknown {
            by: "a".to_owned(),
            id: id("gone")
        }]
    );
    assert_eq!(
        spoiled(|s| before(s, "a")),
        [OutlineFault::Ring { id: id("a") }]
    );
    // `a` runs before `b`, and `b` is what closes `b`'s own way back to `a`.
    let (mut a, mut b) = (skill("a"), skill("b"));
    before(&mut b, "a");
    b.run.closes = Some(id("a"));
    assert_eq!(
        outline(vec![a.clone(), b.clone()]).faults(),
        [
            OutlineFault::Ring { id: id("a") },
            OutlineFault::Ring { id: id("b") }
        ]
    );
    // In a session nothing can be run before what it needs, however it is said.
    b.run.closes = None;
    a.needs = vec![id("b")];
    assert_eq!(
        outline(vec![a.clone(), b.clone()]).faults(),
        [
            OutlineFault::Ring { id: id("a") },
            OutlineFault::Ring { id: id("b") }
        ]
    );
    a.needs.clear();
    a.run.closes = Some(id("b"));
    assert_eq!(outline(vec![a, b]).faults(), [], "a before b, said twice");
}

#[test]
fn how_a_skill_is_run_has_minutes_and_a_place_that_suit_it() {
    for (setup, turn) in [(241, 1), (0, 0), (0, 241)] {
        let faults = spoiled(|s| (s.run.setup, s.run.turn) = (Some(setup), Some(turn)));
        assert_eq!(
            faults,
            [OutlineFault::Minutes {
                id: "a".to_owned(),
                quick: setup,
                slow: turn,
                most: 240
            }]
        );
    }
    let fault = [OutlineFault::Settings { id: id("a") }];
    let dry = |s: &mut Skill| s.settings = [Setting::Classroom].into();
    assert_eq!(spoiled(dry), [], "a course written before runs were said");
    let placed = |s: &mut Skill, place| s.run.place = place;
    assert_eq!(
        spoiled(|s| {
            dry(s);
            placed(s, RunPlace::Surface);
        }),
        fault
    );
    assert_eq!(spoiled(|s| placed(s, RunPlace::Dry)), []);
    assert_eq!(
        spoiled(|s| {
            placed(s, RunPlace::Dry);
            s.run.ascents = 1;
        }),
        fault,
        "nobody comes up from dry land"
    );
    assert_eq!(
        spoiled(|s| s.run.ascents = 7),
        [OutlineFault::TooMany {
            what: "ascents",
            of: "a".to_owned(),
            most: 6
        }]
    );
}
