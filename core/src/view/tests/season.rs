//! The season: what is said of six and not of five, and what is proposed.

use super::Eyes;
use crate::course::{Block, Outline, Setting};
use crate::entry::{Body, Kind, Mark, OutlineSet, SessionPlanned};
use crate::standing::sample::{
    ODD, OFFICE, RENATE, Sample, outline, plan, session, shop, skill_id,
};
use crate::view::{Leave, ProposedChange, SeasonTold, SeasonView};

fn with_block() -> Outline {
    let mut outline = outline();
    outline.blocks = vec![Block {
        id: "pool-1".parse().unwrap(),
        title: "Pool 1".to_owned(),
        setting: Setting::Confined,
        run_list: ["once", "both", "builds"].map(skill_id).to_vec(),
        minutes: 90,
    }];
    outline
}

/// A course in which these skills were marked one after the other in a session of the block.
fn ran(skills: &[&str]) -> SeasonTold {
    let mut sample = Sample::new();
    let after = sample.now.all_of_kind(Kind::OutlineSet);
    let outline = with_block();
    sample.add(OFFICE, &after, OutlineSet { outline, why: None });
    let mut plan = plan(Setting::Confined, "2026-06-02T10:00:00+02:00");
    plan.block = Some("pool-1".parse().unwrap());
    let session = session(1);
    let after = sample.now.session_entries(&session);
    sample.add(OFFICE, &after, SessionPlanned { session, plan });
    sample.clock("2026-06-02T10:10:00+02:00");
    for skill in skills {
        sample.mark(RENATE, 1, skill, Mark::Met, 1);
    }
    SeasonTold::of(&sample.now)
}

fn eyes() -> Eyes {
    let outline = with_block();
    let set = OutlineSet { outline, why: None };
    Eyes {
        shop: shop(vec![Body::from(set)]),
        ..Eyes::new()
    }
}

fn many(told: &SeasonTold, times: usize) -> Vec<SeasonTold> {
    vec![told.clone(); times]
}

#[test]
fn an_order_is_proposed_from_six_who_ran_it_so_and_not_from_five() {
    let eyes = eyes();
    let turned = ran(&["both", "once"]);
    let five = SeasonView::of(&many(&turned, 5), &eyes.reader(OFFICE));
    assert_eq!((five.courses, five.least), (5, 6));
    assert_eq!(five.proposals, []);
    let six = SeasonView::of(&many(&turned, 6), &eyes.reader(OFFICE));
    assert_eq!(six.may_set, Leave::Yes);
    assert_eq!(six.proposals.len(), 1);
    let one = &six.proposals[0];
    assert_eq!(one.id, "order:pool-1:both");
    let ProposedChange::Order {
        name,
        before_name,
        turned,
        of,
        low,
        high,
        ..
    } = &one.what
    else {
        panic!("{one:?}");
    };
    assert_eq!(
        (name.as_str(), before_name.as_str()),
        ("The both", "The once")
    );
    // Wilson, six of six: 0.6097 to one.
    assert_eq!((*turned, *of, *low, *high), (6, 6, 60, 100));
    let outline = with_block();
    let next = six
        .outline_with(&outline, std::slice::from_ref(&one.id))
        .unwrap();
    let expected = ["both", "once", "builds"].map(skill_id);
    assert_eq!(next.blocks[0].run_list, expected);
    let none = ["order:pool-1:once".to_owned()];
    assert_eq!(six.outline_with(&outline, &none), Err(none[0].clone()));
}

#[test]
fn an_order_that_half_of_them_ran_is_left_and_so_is_one_that_is_needed() {
    let eyes = eyes();
    let mut told = many(&ran(&["both", "once"]), 5);
    told.extend(many(&ran(&["once", "both"]), 4));
    let view = SeasonView::of(&told, &eyes.reader(OFFICE));
    assert_eq!(view.proposals, []);
    // What builds on a skill is run after it, whoever ran it otherwise.
    let mut needed = eyes;
    let mut outline = with_block();
    outline.blocks[0].run_list = ["once", "builds"].map(skill_id).to_vec();
    let set = OutlineSet { outline, why: None };
    needed.shop = shop(vec![Body::from(set)]);
    let told = many(&ran(&["builds", "once"]), 8);
    assert_eq!(SeasonView::of(&told, &needed.reader(OFFICE)).proposals, []);
}

#[test]
fn marks_that_differ_are_told_of_pairs_with_six_tries_and_without_an_outline_too() {
    let mut sample = Sample::new();
    sample.mark_after(RENATE, &[], 1, "once", Mark::Met, 1);
    sample.mark_after(ODD, &[], 1, "once", Mark::NotYet, 1);
    let told = SeasonTold::of(&sample.now);
    let eyes = Eyes::new();
    let five = SeasonView::of(&many(&told, 5), &eyes.reader(RENATE));
    assert_eq!((five.judges.len(), five.judges_few), (0, 1));
    let six = SeasonView::of(&many(&told, 6), &eyes.reader(RENATE));
    assert_eq!((six.outline.clone(), six.judges_few), (None, 0));
    let pair = &six.judges[0];
    let names = (pair.first.name.as_str(), pair.second.name.as_str());
    assert_eq!(names, ("Renate Solberg", "Odd Lien"));
    // Wilson, none of six: nought to 0.3903.
    assert_eq!((pair.same, pair.of, pair.low, pair.high), (0, 6, 0, 40));
    assert_eq!((six.minutes.len(), six.again.len()), (0, 0));
}
