//! What is entered into the small practice's record beside stock, visits and measurings: what stands in a case, what
//! happened to it, whether it is closed, what was tried, what is called a fit, what a laboratory answered.

use std::sync::OnceLock;

use serde_json::json;
use spareseat::bench::bands;
use spareseat::case::{Bands, Event, Happening, Span, Sure, TorqueRecord};
use spareseat::cases::bridging::{self, HeldBy};
use spareseat::cases::entering;
use spareseat::cases::standing;
use spareseat::catalog::Position;
use spareseat::desk::lookup::NotFound;
use spareseat::desk::{Desk, Home, Refused};
use spareseat::lab::sharing::{self, Answering, Opened, write_answer};
use spareseat::maintenance::parts;
use spareseat::record::{AnswerSwap, Booked, FitWord};
use spareseat::units::{Act, CaseNumber, Length, Lot, Note, PartCode, Tooth};

use super::stocking::ABUTMENT;
use super::visits::{BRIDGE, Visiting};
use super::world::{self, CASE, SCREW, Step, act, by, code, today};

/// The lot of the cylinder as it is entered anew.
pub const CYLINDER_LOT: &str = "CY-0808";
const CYLINDER: &str = "plover-cylinder-4.8";
/// A screw that another maker offers for the same joint.
const OTHER_SCREW: &str = "snipe-prosthetic-screw-1.4";
/// The bridge as it is typed.
const SPAN: &str = "24-25-26";
const TEXT: &str = "looked at";
/// Up to how many µm it keeps the fit, when the bands are set and when they are set again.
const KEEPS: [&str; 2] = ["25", "30"];

/// Something that is entered.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Recording {
    /// The cylinder of the case with a lot.
    Fit,
    /// That somebody looked at the case.
    Note,
    /// Another maker's screw was tried.
    Verify,
    /// The case with the bridge is closed, or open again.
    Close(bool),
    /// When it is to be checked next.
    Check,
    /// What is called a fit: one thing or another, by turns, with a reason that is longer by one letter each time.
    Bands(usize),
    /// What a laboratory answered about the bridge.
    Answer,
    /// The bridge is not in any more.
    BridgeEnd,
    /// It is entered by a command.
    Bridge,
}

fn number(text: &str) -> CaseNumber {
    CaseNumber::new(text).expect("a case number")
}

fn note(text: &str) -> Note {
    Note::new(text).expect("a note")
}

fn span() -> Span {
    Span::parse(SPAN).expect("a bridge")
}

fn tooth() -> Tooth {
    Tooth::from_iso(25).expect("a tooth")
}

fn because(which: usize) -> String {
    format!("{TEXT}{}", ".".repeat(which))
}

fn bands_of(which: usize) -> Bands {
    let um = |text: &str| Bands::width(text).unwrap_or_else(|e| panic!("{text}: {e}"));
    Bands::new(um(KEEPS[which % 2]), um("80"), um("120"), note(&because(which))).expect("bands")
}

/// The answer as a file, made over the same case in a home of its own.
fn answer() -> &'static str {
    static FILE: OnceLock<String> = OnceLock::new();
    FILE.get_or_init(|| {
        let folder = crate::support::folder();
        let home = Home::at(&folder.path().join("home"));
        home.make(world::id(), true, &world::practice(), &by(), today(), act(1)).expect("a home");
        let (mut desk, _) = world::open(home.root()).expect("it opens");
        for (n, step) in (2..).zip([Step::Catalogue, Step::Visit(Visiting::Case)]) {
            step.book(&mut desk, act(n)).expect("booked");
        }
        let part = PartCode::new(ABUTMENT).expect("a code");
        let part = desk.view().part(&part).expect("a view").expect("the abutment");
        let ask = Answering {
            swaps: vec![AnswerSwap { site: tooth(), position: Position::Abutment, part }],
            verdict: FitWord::CheckAtTryIn,
            worst_gap_um: Some(41.2),
            bands_um: (20.0, 60.0),
            working: json!({}),
            by: by(),
            on: today().date,
            laboratory: None,
        };
        write_answer(desk.view(), &number(BRIDGE), ask).expect("an answer").text
    })
}

impl Recording {
    /// Books it.
    pub fn book(self, desk: &mut Desk, act: Act) -> Result<Booked, String> {
        let (who, day, case, bridge) = (by(), today().date, number(CASE), number(BRIDGE));
        let who = Some(&who);
        match self {
            Self::Fit => {
                let fitted = entering::FittedWithout {
                    position: Position::Cylinder,
                    lot: Some(Lot::new(CYLINDER_LOT).expect("a lot")),
                    label: None,
                    on: None,
                    torque: TorqueRecord::NotRecorded,
                    lean: None,
                    driver: None,
                    sure: Sure::Label,
                };
                let part = PartCode::new(CYLINDER).expect("a code");
                let ask = entering::Enter { case, site: tooth(), part, fitted };
                desk.book(who, act, |view| entering::enter(view, &ask, day)).map_err(|e| e.to_string())
            }
            Self::Note => {
                let (what, note) = (Happening::Noted, Some(note(TEXT)));
                let event = Event { on: day, tooth: None, position: None, what, note, kept: None };
                desk.book(who, act, |view| entering::happened(view, &case, None, event.clone(), day))
                    .map_err(|e| e.to_string())
            }
            Self::Verify => {
                let other = PartCode::new(OTHER_SCREW).expect("a code");
                desk.book(who, act, |view| parts::verify(view, &code(), &other, 3, &note(TEXT), &by(), day))
                    .map_err(|e| e.to_string())
            }
            Self::Close(closed) => desk
                .book(who, act, |view| standing::close(view, &bridge, closed, &note(TEXT)))
                .map_err(|e| e.to_string()),
            Self::Check => desk
                .book(who, act, |view| standing::check(view, &case, Some(day), &note(TEXT), day))
                .map_err(|e| e.to_string()),
            Self::Bands(which) => {
                desk.book(who, act, |view| bands::set(view, Ok(bands_of(which)))).map_err(|e| e.to_string())
            }
            Self::BridgeEnd => desk
                .book(who, act, |view| bridging::end(view, &bridge, &span(), day, day))
                .map_err(|e| e.to_string()),
            Self::Bridge => {
                let ask = bridging::BridgeAsk {
                    case: bridge,
                    span: span(),
                    held_by: HeldBy::Abutments,
                    cement: None,
                    cantilever_right: 0,
                    cantilever_left: 0,
                    frame_seat: None,
                    head_seat: None,
                    crown: None,
                    built_on: None,
                };
                let earlier = |_| unreachable!("it was built today");
                let entered = bridging::enter(desk, who, act, &ask, earlier);
                entered.map(|(booked, _)| booked).map_err(|e| e.to_string())
            }
            Self::Answer => {
                let Opened::Answer(file, sum) = sharing::open("file", answer()).map_err(|e| e.to_string())?
                else {
                    return Err("the file is no answer".to_owned());
                };
                desk.book(who, act, |view| sharing::confirm(view, &file, sum, day)).map_err(|e| e.to_string())
            }
        }
    }

    /// The command that books it; `file` writes a file for it.
    pub fn command(self, file: &dyn Fn(&str, &str) -> String) -> Vec<String> {
        let (day, because) = (today().date.to_string(), format!("--because={TEXT}"));
        let at = ["--site=25", "--position=cylinder", "--part", CYLINDER, "--lot", CYLINDER_LOT];
        let words: Vec<&str> = match self {
            Self::Fit => [&["case", "found", CASE][..], &at, &["--sure=label"]].concat(),
            Self::Note => vec!["case", "note", CASE, TEXT],
            Self::Verify => vec!["part", "verify", SCREW, OTHER_SCREW, "--pieces=3", "--how", TEXT],
            Self::Close(true) => vec!["case", "close", BRIDGE, &because],
            Self::Close(false) => vec!["case", "reopen", BRIDGE, &because],
            Self::Check => vec!["case", "next-check", CASE, "--due", &day, &because],
            Self::Bands(which) => {
                let keeps = ["bands", "--keeps", KEEPS[which % 2], "--doubtful=80", "--check=120"];
                let because = self::because(which);
                return [&keeps[..], &["--because", &because]]
                    .concat()
                    .iter()
                    .map(ToString::to_string)
                    .collect();
            }
            Self::BridgeEnd => vec!["case", "bridge", BRIDGE, SPAN, "--end", &day],
            Self::Bridge => vec!["case", "bridge", BRIDGE, SPAN, "--retention=screwed-to-abutments"],
            Self::Answer => {
                let path = file("answer.json", answer());
                return ["case", "take", &path].map(ToOwned::to_owned).into();
            }
        };
        words.into_iter().map(ToOwned::to_owned).collect()
    }
}

/// Holds what was entered against the entries that did it: `Err` says what is not true.
pub fn check(desk: &mut Desk, entered: &[(u64, Recording)]) -> Result<(), String> {
    let (case, bridge) = (number(CASE), number(BRIDGE));
    let asked = desk.ask(|view| {
        let noted = |e: &&Event| e.note == Some(note(TEXT));
        let answers: Vec<u64> = view.confirmed(&bridge)?.iter().map(|row| row.entry).collect();
        Ok::<_, Refused<NotFound>>((
            view.events(&case)?.iter().filter(noted).count(),
            view.verifications(&code())?.len(),
            view.state(&bridge)?.closed.is_some(),
            view.state(&case)?.check.map(|(due, _)| due),
            view.bands()?.map(|b| b.keeps),
            answers,
            view.restorations(&bridge)?.len(),
        ))
    });
    let found = asked.map_err(|e| e.to_string())?;
    let count = |which| entered.iter().filter(|(_, step)| *step == which).count();
    let (mut closed, mut keeps): (bool, Option<Length>) = (false, None);
    let case_is_there = desk.view().case(&bridge).map_err(|e| e.to_string())?.is_some();
    let ended = count(Recording::BridgeEnd) > count(Recording::Bridge);
    for (_, step) in entered {
        match step {
            Recording::Close(now) => closed = *now,
            Recording::Bands(which) => keeps = Some(bands_of(*which).keeps),
            _ => {}
        }
    }
    let answers = entered.iter().filter(|(_, step)| *step == Recording::Answer);
    let expected = (
        count(Recording::Note),
        count(Recording::Verify),
        closed,
        (count(Recording::Check) > 0).then(|| today().date),
        keeps,
        answers.map(|(entry, _)| *entry).collect(),
        usize::from(case_is_there && !ended),
    );
    if found == expected {
        return Ok(());
    }
    Err(format!(
        "noted, verified, closed, to be checked, keeps the fit up to, answers, restorations: {found:?}, the entries make it {expected:?}"
    ))
}
