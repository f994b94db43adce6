//! Somebody else books between the reading and the deciding of a counter: it reads on and decides again.

use spareseat::amend::countering::{Counter, counter};
use spareseat::desk::{DeskError, Home, Today, open_home_after};
use spareseat::record::Countered;
use spareseat::units::{Act, Initials, parse_date};

use super::booking::{booked, whole};
use super::by_hand::{SCREW, desk, sums_are_zero, units};
use super::typed::typed;
use crate::support::{DAY, Place, code, text};

const DRAWER: &str = "cabinet-2-drawer-1";

fn use_line(site: &str) -> String {
    format!(
        "use 1047 --site {site} --position prosthetic-screw --part {SCREW} --lot PS-1120 --place {DRAWER} --torque 15"
    )
}

/// Counters `entry`; while the state before it is looked up, another program types `line`.
fn counter_while(place: &Place, entry: u64, line: &str) -> Result<Countered, String> {
    let today = Today { now: jiff::Timestamp::now(), date: parse_date(DAY).unwrap(), said: true };
    let home = Home::at(&place.home());
    let ask = Counter { entry, because: None, was_in_mouth: false };
    let earlier = |until| {
        let out = typed(place, line);
        assert_eq!(code(&out), 0, "{line}: {}", text(&out.stderr));
        open_home_after(&home, today, until)
    };
    let by = Initials::new("AB").unwrap();
    match counter(&mut desk(place), Some(&by), Act::from_bits(0x3EA2), &ask, earlier) {
        Ok((_, done)) => Ok(done.expect("it was not booked before")),
        Err(DeskError::Refused(e)) => Err(e.to_string()),
        Err(e) => panic!("{e}"),
    }
}

#[test]
fn what_came_meanwhile_and_stands_on_it_is_seen() {
    let place = Place::demo();
    let used = booked(&place, &use_line("25"))["entry"].as_u64().unwrap();
    let says = format!(
        "entry {used} cannot be taken back: entry {} changed tooth 25 of case 1047 after it. Counter that one first, if it was a mistake too; nothing was booked",
        used + 1
    );
    assert_eq!(counter_while(&place, used, &use_line("25")), Err(says));
    whole(&place);
}

#[test]
fn the_same_entry_countered_meanwhile_is_not_countered_twice() {
    let place = Place::demo();
    let used = booked(&place, &use_line("25"))["entry"].as_u64().unwrap();
    let says = format!("entry {used} was taken back already, by entry {}: nothing was booked", used + 1);
    assert_eq!(counter_while(&place, used, &format!("reverse {used}")), Err(says));
    sums_are_zero(&place);
}

#[test]
fn what_came_meanwhile_elsewhere_does_not_hinder() {
    let place = Place::demo();
    let here = units(&place, SCREW, "PS-1120", DRAWER);
    let used = booked(&place, &use_line("25"))["entry"].as_u64().unwrap();
    let done = counter_while(&place, used, &use_line("24")).unwrap();
    assert_eq!(done.entry, used);
    assert_eq!(units(&place, SCREW, "PS-1120", DRAWER), here - 1);
    whole(&place);
    sums_are_zero(&place);
}
