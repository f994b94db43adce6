//! Every act that can be booked, with what must have been booked before it: the families of faults go through them all.
//!
//! The table also makes a test of each act, which kills it at every system call. Whoever adds a kind of entry finds
//! `every_kind_of_entry_is_booked_by_an_act_of_the_table` red until it stands here.

use std::collections::{BTreeMap, BTreeSet};

use spareseat::desk::Desk;
use spareseat::record::Entry;

use super::kill::kill_at_every_call;
use super::ledger::{Ledger, lines};
use super::recording::Recording;
use super::stocking::Stocking;
use super::visits::{BRIDGE, Visiting};
use super::world::{self, CASE, READY, Step, act, today};
use crate::practice::desk_over;

/// An act: what it is called, what it is, what comes before it.
pub struct Known {
    pub name: &'static str,
    pub step: Step,
    pub before: &'static [Step],
}

macro_rules! acts {
    ($($name:ident: $step:expr, after $before:expr;)*) => {
        /// Every one of them.
        pub const ACTS: &[Known] = &[$(Known { name: stringify!($name), step: $step, before: &$before }),*];

        mod killed_at_every_call_of {
            use super::*;

            $(#[test]
            fn $name() {
                kill_at_every_call(&Known { name: stringify!($name), step: $step, before: &$before });
            })*
        }
    };
}

const CATALOGUE: Step = READY[0];
const IMPORTED: Step = READY[1];
const SIX: Step = READY[2];
const WITH_A_BRIDGE: Step = Step::Visit(Visiting::Case);
const BRIDGE_END: Step = Step::Record(Recording::BridgeEnd);
const OPENED: Step = Step::Visit(Visiting::Open);
const TRAY: Step = Step::Visit(Visiting::Tray);

// Entry 1 is the founding, so that what is booked first here is entry 2.
acts! {
    part_import: CATALOGUE, after [];
    part_import_of_a_wrong_number: Step::Correct, after READY;
    part_verify: Step::Record(Recording::Verify), after READY;
    case_import: IMPORTED, after [CATALOGUE];
    case_fit: Step::Record(Recording::Fit), after READY;
    case_note: Step::Record(Recording::Note), after READY;
    case_measured: Step::Measure, after READY;
    case_check: Step::Record(Recording::Check), after READY;
    case_close: Step::Record(Recording::Close(true)), after [CATALOGUE, IMPORTED, SIX, WITH_A_BRIDGE];
    case_reopen: Step::Record(Recording::Close(false)),
        after [CATALOGUE, IMPORTED, SIX, WITH_A_BRIDGE, Step::Record(Recording::Close(true))];
    case_take: Step::Take(false), after READY;
    case_take_with_forms: Step::Take(true), after READY;
    case_take_an_answer: Step::Record(Recording::Answer), after [CATALOGUE, IMPORTED, SIX, WITH_A_BRIDGE];
    case_bridge_end: BRIDGE_END, after [CATALOGUE, IMPORTED, SIX, WITH_A_BRIDGE];
    case_bridge: Step::Record(Recording::Bridge), after [CATALOGUE, IMPORTED, SIX, WITH_A_BRIDGE, BRIDGE_END];
    bands: Step::Record(Recording::Bands(0)), after READY;
    visit_open: OPENED, after [CATALOGUE, IMPORTED, SIX, WITH_A_BRIDGE];
    use_visit: TRAY, after [CATALOGUE, IMPORTED, SIX, WITH_A_BRIDGE, OPENED];
    visit_end: Step::Visit(Visiting::End), after [CATALOGUE, IMPORTED, SIX, WITH_A_BRIDGE, OPENED, TRAY];
    receive: Step::Receive(2, 0), after READY;
    receive_lines: Step::Stock(Stocking::Deliver(1)), after READY;
    move_stock: Step::Move(2, 0), after READY;
    use_one: Step::Use(0), after READY;
    use_held: Step::Stock(Stocking::UseHeld),
        after [CATALOGUE, IMPORTED, SIX, WITH_A_BRIDGE, Step::Stock(Stocking::Hold(6, BRIDGE))];
    counter: Step::Counter(5), after [CATALOGUE, IMPORTED, SIX, Step::Use(0)];
    hold: Step::Stock(Stocking::Hold(2, CASE)), after READY;
    release: Step::Stock(Stocking::Release(5)), after [CATALOGUE, IMPORTED, SIX, Step::Stock(Stocking::Hold(2, CASE))];
    discard: Step::Stock(Stocking::Discard), after READY;
    return_to_waste: Step::Stock(Stocking::Return), after READY;
    return_to_reprocess: Step::Stock(Stocking::GiveBack), after READY;
    reprocess: Step::Stock(Stocking::Reprocess), after [CATALOGUE, IMPORTED, SIX, Step::Stock(Stocking::GiveBack)];
    quarantine: Step::Stock(Stocking::Quarantine), after READY;
    quarantine_lift: Step::Stock(Stocking::Lift), after [CATALOGUE, IMPORTED, SIX, Step::Stock(Stocking::Quarantine)];
    withdraw: Step::Stock(Stocking::Withdraw), after READY;
    count: Step::Stock(Stocking::Count), after READY;
    need: Step::Stock(Stocking::Need), after READY;
    need_off: Step::Stock(Stocking::NeedOff(5)), after [CATALOGUE, IMPORTED, SIX, Step::Stock(Stocking::Need)];
}

/// Kinds of entry that no act of the table books, and which test kills the command that does.
const BESIDE: [(&str, &str); 2] = [
    ("new.1", "kill::killed_at_every_call_of_new: before it there is no home to book in"),
    ("accept.1", "kill::killed_at_every_call_of_logbook_accept: before it the record is read-only"),
];

/// Every kind of entry there is: serde names them all when it meets one it does not know.
///
/// The second names of a kind are left out: they are the same entry with a part in it that states its maker, which the
/// parts of this catalogue do not; `record::entry` and the demo's tests write and read those.
fn kinds() -> BTreeSet<String> {
    let refused = serde_json::from_str::<Entry>(r#"{"nobody.0":{}}"#).expect_err("no such kind");
    let refused = refused.to_string();
    let mut kinds: BTreeSet<String> = refused.split('`').skip(3).step_by(2).map(ToOwned::to_owned).collect();
    for with_makers in WITH_MAKERS {
        assert!(kinds.remove(with_makers), "{with_makers} is no kind any more");
    }
    assert!(
        kinds.contains("new.1") && kinds.contains("need-off.1"),
        "serde says it otherwise now: {refused}"
    );
    kinds
}

/// Kinds that hold a part which states its maker.
const WITH_MAKERS: [&str; 9] =
    ["use.3", "use.4", "case.2", "fit.2", "verification.2", "tray.2", "counter.2", "taken.3", "confirmed.2"];

/// A desk in memory over a founded logbook.
fn desk() -> Desk {
    desk_over(world::founded().in_memory(), today())
}

#[test]
fn every_kind_of_entry_is_booked_by_an_act_of_the_table() {
    let mut booked: BTreeMap<&str, &str> = BESIDE.into();
    for known in ACTS {
        let mut desk = desk();
        for (n, step) in (1..).zip(known.before.iter().chain([&known.step])) {
            step.book(&mut desk, act(n)).unwrap_or_else(|e| panic!("{}: {step:?}: {e}", known.name));
        }
        let all: Vec<Step> = known.before.iter().copied().chain([known.step]).collect();
        Ledger::of(&all).check_whole(&mut desk).unwrap_or_else(|e| panic!("{}: {e}", known.name));
        let (_, entry) = lines(&mut desk).expect("it reads").pop().expect("a line");
        booked.insert(entry.kind(), known.name);
    }
    let there: BTreeSet<String> = booked.keys().map(ToString::to_string).collect();
    assert_eq!(
        there,
        kinds(),
        "kinds of entry that no act of this table books, or that are no more: {booked:?}"
    );
}
