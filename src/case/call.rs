//! What a call reports: the words for it, and the table of what is done about it, read from catalog/tables/calls.toml.

use std::collections::BTreeMap;
use std::fmt;
use std::sync::LazyLock;

use serde::{Deserialize, Serialize};

use super::model::words;
use crate::catalog::{Kind, Position};

words! {
    /// What happened, as far as somebody looked.
    Broken {
        NotKnown "not-known",
        Loose "loose",
        ProstheticScrew "prosthetic-screw",
        StrippedHead "stripped-head",
        AbutmentScrew "abutment-screw",
        Abutment "abutment",
        AbutmentLoose "abutment-loose",
        WornThread "worn-thread",
        UngluedBase "unglued-base",
        Facing "facing",
        ImplantMoves "implant-moves",
        ImplantNeck "implant-neck",
    }
}
words! {
    /// What stayed behind.
    #[derive(PartialOrd, Ord)]
    Left {
        NotKnown "not-known",
        Nothing "nothing",
        WholeScrew "whole-screw",
        ShankInAbutment "shank-in-abutment",
        FragmentInImplant "fragment-in-implant",
    }
}

impl Broken {
    /// The report as a person says it, of any assembly.
    pub fn report(self) -> &'static str {
        Calls::shipped().row(self, |_| false).map_or(self.word(), |call| call.report.as_str())
    }
}

/// An assembly a row of the table is meant for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum When {
    /// The abutment screws into the implant by itself.
    OnePiece,
    /// The abutment is angled.
    Angled,
    /// The restoration is cemented.
    Cemented,
    /// It stands straight on its implants, without abutments.
    OnImplants,
}

/// At which sites.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Scope {
    /// This one.
    Own,
    /// Every site of the restoration.
    Bridge,
}

/// Which part.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Which {
    /// The one in this position.
    At(Position),
    /// The screw that holds the restoration.
    RetainingScrew,
    /// The part whose thread the prosthetic screw goes into, and its own screw.
    Holder,
    /// What holds the abutment: its own screw, or itself when it is of one piece.
    Fixing,
}

/// Parts a row names: 'bridge prosthetic-screw'.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(try_from = "String")]
pub struct Wanted {
    /// At which sites.
    pub scope: Scope,
    /// Which of them.
    pub which: Which,
}

impl TryFrom<String> for Wanted {
    type Error = String;

    fn try_from(text: String) -> Result<Self, String> {
        if text == "holder" {
            return Ok(Self { scope: Scope::Own, which: Which::Holder });
        }
        let wrong = || format!("'{text}' is no scope and position");
        let (scope, which) = text.split_once(' ').ok_or_else(wrong)?;
        let scope = match scope {
            "own" => Scope::Own,
            "bridge" => Scope::Bridge,
            _ => return Err(wrong()),
        };
        let which = match which {
            "retaining-screw" => Which::RetainingScrew,
            "fixing" => Which::Fixing,
            slug => Which::At(Position::from_slug(slug).ok_or_else(wrong)?),
        };
        Ok(Self { scope, which })
    }
}

/// What a call comes to.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Ends {
    /// Parts are changed at the chair.
    #[default]
    Parts,
    /// The laboratory has work to do.
    Laboratory,
    /// Not a parts matter.
    Refer,
}

impl Ends {
    /// Its word.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Parts => "parts",
            Self::Laboratory => "laboratory",
            Self::Refer => "refer",
        }
    }
}

/// A row of the table.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Call {
    /// What is reported.
    pub word: Broken,
    /// For which assemblies.
    #[serde(default)]
    pub when: Vec<When>,
    /// The report in words.
    pub report: String,
    /// The positions it can concern, the first on record is meant.
    #[serde(default)]
    pub about: Vec<Position>,
    /// What to say beside it where no such part is on record.
    pub absent: Option<String>,
    /// What is unscrewed on the way, in order.
    #[serde(default)]
    pub undo: Vec<Wanted>,
    /// What must be new.
    #[serde(default)]
    pub new: Vec<Wanted>,
    /// What is tightened again, the same part.
    #[serde(default)]
    pub again: Vec<Wanted>,
    /// What is new as well when the fragment does not come out.
    #[serde(default)]
    pub step_up: Vec<Wanted>,
    /// What it comes to.
    #[serde(default)]
    pub ends: Ends,
    /// Where something stays behind.
    pub stays_in: Option<String>,
    /// The first choice.
    pub first: String,
    /// What if it will not come out or hold.
    pub then: Option<String>,
    /// What stayed behind where nobody says it.
    pub left: Option<Left>,
    /// How to get at what stayed behind; `{holder}` is the part whose thread it sits in.
    #[serde(default)]
    pub fragment: Vec<String>,
    /// The same when it is the whole screw.
    #[serde(default)]
    pub fragment_whole: Vec<String>,
    /// Tools for what stayed behind.
    #[serde(default)]
    pub tools: Vec<Kind>,
    /// How it is told from the others.
    pub tells: Option<String>,
    /// What cannot have stayed behind, and why.
    #[serde(default)]
    pub cannot_be: BTreeMap<Left, String>,
    /// Who says so; common practice where nobody is named.
    pub source: Option<String>,
}

impl Call {
    /// Whether something can have stayed behind.
    pub fn leaves_something(&self) -> bool {
        !self.fragment.is_empty()
    }

    /// Whether a piece of what broke may still be somewhere in the mouth, whether or not it is got out at the chair.
    pub fn may_leave(&self) -> bool {
        self.stays_in.as_deref().is_some_and(|place| place != "nothing")
    }

    /// Who says so, in words.
    pub fn source_words(&self) -> &str {
        self.source.as_deref().unwrap_or("common practice, no source")
    }
}

/// What holds a restoration, as the order of causes goes by it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[allow(missing_docs)]
pub enum Held {
    #[serde(rename = "to abutments")]
    ToAbutments,
    #[serde(rename = "to implants")]
    ToImplants,
    #[serde(rename = "cemented")]
    Cemented,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Likely {
    held: Held,
    causes: Vec<Broken>,
}

/// The table.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Calls {
    #[serde(rename = "form")]
    _form: u32,
    call: Vec<Call>,
    likely: Vec<Likely>,
}

impl Calls {
    /// The table that ships with the program.
    pub fn shipped() -> &'static Self {
        static TABLE: LazyLock<Calls> = LazyLock::new(|| {
            toml::from_str(include_str!("../../catalog/tables/calls.toml"))
                .expect("the table is part of the program and read by its tests")
        });
        &TABLE
    }

    /// The row for a report, for an assembly of which `holds` is true.
    pub fn row(&self, word: Broken, holds: impl Fn(When) -> bool) -> Option<&Call> {
        self.call.iter().find(|c| c.word == word && c.when.iter().all(|w| holds(*w)))
    }

    /// The likely causes, the likeliest first.
    pub fn likely(&self, held: Held) -> &[Broken] {
        self.likely.iter().find(|l| l.held == held).map_or(&[], |l| &l.causes)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_word_has_a_row_that_holds_for_any_assembly() {
        let table = Calls::shipped();
        for (word, text) in Broken::ALL {
            assert!(table.row(*word, |_| false).is_some(), "{text}");
        }
        for held in [Held::ToAbutments, Held::ToImplants, Held::Cemented] {
            assert!(table.likely(held).len() > 3);
            for cause in table.likely(held) {
                let row = table.row(*cause, |_| false).unwrap();
                assert!(row.tells.is_some(), "{cause}: how is it told from the others?");
            }
        }
    }

    #[test]
    fn a_row_that_speaks_of_a_thread_says_what_is_tried_first_and_then() {
        for call in &Calls::shipped().call {
            assert!(!call.first.is_empty());
            if call.leaves_something() {
                assert!(call.then.is_some() && !call.tools.is_empty(), "{}", call.report);
            }
            assert!(call.ends != Ends::Refer || call.new.is_empty(), "{}: nothing is put on it", call.report);
        }
    }

    #[test]
    fn what_may_be_left_in_the_mouth_and_what_is_got_out_at_the_chair() {
        for (word, may_leave, fragment) in [
            (Broken::NotKnown, false, false),
            (Broken::Loose, false, false),
            (Broken::ProstheticScrew, true, true),
            (Broken::StrippedHead, true, true),
            (Broken::AbutmentScrew, true, true),
            (Broken::Abutment, true, true),
            (Broken::AbutmentLoose, false, false),
            (Broken::WornThread, false, false),
            (Broken::UngluedBase, false, false),
            (Broken::Facing, false, false),
            (Broken::ImplantMoves, false, false),
            // What is left of it is in the bone: nobody gets it out at the chair.
            (Broken::ImplantNeck, true, false),
        ] {
            let rows: Vec<&Call> = Calls::shipped().call.iter().filter(|c| c.word == word).collect();
            assert!(!rows.is_empty(), "{word}");
            for call in rows {
                assert_eq!(
                    (call.may_leave(), call.leaves_something()),
                    (may_leave, fragment),
                    "{word} {:?}",
                    call.when
                );
            }
        }
    }

    #[test]
    fn no_row_contradicts_itself() {
        for call in &Calls::shipped().call {
            let told = format!("{} {:?}", call.word, call.when);
            assert!(
                call.left.is_none_or(|left| !call.cannot_be.contains_key(&left)),
                "{told}: its own default"
            );
            assert!(!call.cannot_be.contains_key(&Left::NotKnown), "{told}: not knowing is always possible");
            assert!(call.step_up.is_empty() || call.then.is_some(), "{told}: a step up that nobody explains");
            if call.ends == Ends::Refer {
                assert!(call.undo.is_empty() && call.step_up.is_empty(), "{told}: nothing is turned on it");
            }
        }
    }

    #[test]
    fn a_scope_and_a_position_in_words() {
        let at = |scope, position| Some(Wanted { scope, which: Which::At(position) });
        for (text, expected) in [
            ("own abutment", at(Scope::Own, Position::Abutment)),
            ("bridge prosthetic-screw", at(Scope::Bridge, Position::ProstheticScrew)),
            ("bridge retaining-screw", Some(Wanted { scope: Scope::Bridge, which: Which::RetainingScrew })),
            ("own fixing", Some(Wanted { scope: Scope::Own, which: Which::Fixing })),
            ("holder", Some(Wanted { scope: Scope::Own, which: Which::Holder })),
            ("own holder", None),
            ("own", None),
            ("", None),
            ("every abutment", None),
            ("own  abutment", None),
            ("own Abutment", None),
        ] {
            assert_eq!(Wanted::try_from(text.to_owned()).ok(), expected, "'{text}'");
        }
    }

    #[test]
    fn the_narrower_row_wins() {
        let table = Calls::shipped();
        let screw = |angled| {
            table.row(Broken::AbutmentScrew, move |w| w == When::Angled && angled).unwrap().report.as_str()
        };
        assert!(screw(true).starts_with("angled"));
        assert!(!screw(false).starts_with("angled"));
        assert_eq!(
            Wanted::try_from("own shelf".to_owned()).unwrap_err(),
            "'own shelf' is no scope and position"
        );
    }
}
