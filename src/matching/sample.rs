//! Invented parts and questions for the tests of this folder: everything known, one twin as candidate.

use std::sync::LazyLock;

use super::{Judgement, Question, Rule, StandsOn, Verification, judge, table};
use crate::catalog::{
    Draft, HeadSeat, Lean, Part, Placed, Port, Position, Seat, Side, Thread, Value, read_file,
};
use crate::units::{Length, PartCode};

/// A known length from µm.
pub fn mm(base: i32) -> Value<Length> {
    Value::Known(Length::from_base(base))
}

/// The part of this code.
pub fn part(code: &str) -> Part {
    // Read once: the near misses ask for thousands.
    static DRAFT: LazyLock<Draft> = LazyLock::new(|| {
        let mut draft = Draft::default();
        read_file("sample.toml", include_str!("sample.toml"), &mut draft);
        draft
    });
    assert_eq!(DRAFT.mistakes, []);
    let found = DRAFT.parts.iter().find(|(p, ..)| p.code.as_str() == code);
    found.unwrap_or_else(|| panic!("no sample part {code}")).0.clone()
}

/// Its seat on that side, to change.
pub fn seat(part: &mut Part, side: Side) -> &mut Seat {
    let found = part.ports.iter_mut().find_map(|p| match p {
        Port::Seat(s) if s.side == side => Some(s),
        _ => None,
    });
    found.expect("a seat on that side")
}

/// Its thread on that side, to change.
pub fn thread(part: &mut Part, side: Side) -> &mut Thread {
    let found = part.ports.iter_mut().find_map(|p| match p {
        Port::Thread(t) if t.side == side => Some(t),
        _ => None,
    });
    found.expect("a thread on that side")
}

/// Its head seat on that side, to change.
pub fn head(part: &mut Part, side: Side) -> &mut HeadSeat {
    let found = part.ports.iter_mut().find_map(|p| match p {
        Port::HeadSeat(h) if h.side == side => Some(h),
        _ => None,
    });
    found.expect("a head seat on that side")
}

/// How a row of a table differs from the plain case.
pub type Change = fn(&mut Case);

/// A question that owns what it asks about.
#[derive(Debug, Clone)]
pub struct Case {
    pub position: Position,
    pub fitted: Part,
    pub candidate: Part,
    pub others: Vec<(Position, Part)>,
    pub lean: Value<Lean>,
    pub stands_on: StandsOn,
    pub verifications: Vec<Verification>,
}

impl Case {
    fn new(position: Position, code: &str, stands_on: StandsOn, others: &[(Position, &str)]) -> Self {
        let fitted = part(code);
        let mut candidate = fitted.clone();
        candidate.code = PartCode::new(&format!("{code}-twin")).unwrap();
        let others = others.iter().map(|(at, code)| (*at, part(code))).collect();
        let lean = if fitted.is_angled() { Value::Known(Lean::Buccal) } else { Value::NotApplicable };
        Self { position, fitted, candidate, others, lean, stands_on, verifications: Vec::new() }
    }

    /// A straight one-piece multi-unit abutment under a bridge.
    pub fn abutment() -> Self {
        let others = [
            (Position::Implant, "implant"),
            (Position::Cylinder, "cylinder"),
            (Position::ProstheticScrew, "prosthetic-screw"),
        ];
        Self::new(Position::Abutment, "one-piece", StandsOn::Bridge, &others)
    }

    /// A straight two-piece multi-unit abutment under a bridge.
    pub fn two_piece() -> Self {
        Self::with_own_screw("two-piece")
    }

    /// The same, with the thread for the prosthetic screw in the abutment screw's head.
    pub fn two_piece_threaded_screw() -> Self {
        let mut case = Self::two_piece();
        let is_upper_thread = |p: &Port| p.side() == Side::Above && matches!(p, Port::Thread(_));
        for part in [&mut case.fitted, &mut case.candidate] {
            part.ports.retain(|p| !is_upper_thread(p));
        }
        case.others[1].1.ports.push(Self::upper_thread());
        case
    }

    /// An upper thread M1.4 as the samples have it.
    pub fn upper_thread() -> Port {
        Port::Thread(part("one-piece").thread(Side::Above).expect("a thread above").clone())
    }

    /// An angled multi-unit abutment under a bridge, its lean on record.
    pub fn angled() -> Self {
        Self::with_own_screw("angled")
    }

    fn with_own_screw(code: &str) -> Self {
        let others = [
            (Position::Implant, "implant"),
            (Position::AbutmentScrew, "abutment-screw"),
            (Position::Cylinder, "cylinder"),
            (Position::ProstheticScrew, "prosthetic-screw"),
        ];
        Self::new(Position::Abutment, code, StandsOn::Bridge, &others)
    }

    /// The prosthetic screw of a bridge on a one-piece abutment.
    pub fn prosthetic_screw() -> Self {
        let others = [
            (Position::Implant, "implant"),
            (Position::Abutment, "one-piece"),
            (Position::Cylinder, "cylinder"),
        ];
        Self::new(Position::ProstheticScrew, "prosthetic-screw", StandsOn::Bridge, &others)
    }

    /// An angled abutment's own screw under a bridge.
    pub fn abutment_screw() -> Self {
        let others = [(Position::Implant, "implant"), (Position::Abutment, "angled")];
        Self::new(Position::AbutmentScrew, "abutment-screw", StandsOn::Bridge, &others)
    }

    /// A cylinder for a bridge that is still to be made.
    pub fn cylinder() -> Self {
        let others = [
            (Position::Implant, "implant"),
            (Position::Abutment, "one-piece"),
            (Position::ProstheticScrew, "prosthetic-screw"),
        ];
        Self::new(Position::Cylinder, "cylinder", StandsOn::Nothing, &others)
    }

    /// A base for a bridge that is still to be made.
    pub fn base() -> Self {
        let others = [(Position::Implant, "implant"), (Position::AbutmentScrew, "abutment-screw")];
        Self::new(Position::Base, "base", StandsOn::Nothing, &others)
    }

    /// A healing cap on a one-piece abutment.
    pub fn healing_cap() -> Self {
        let others = [(Position::Implant, "implant"), (Position::Abutment, "one-piece")];
        Self::new(Position::HealingCap, "healing-cap", StandsOn::Nothing, &others)
    }

    /// A cover screw on the implant.
    pub fn cover_screw() -> Self {
        Self::new(Position::CoverScrew, "cover-screw", StandsOn::Nothing, &[(Position::Implant, "implant")])
    }

    /// One of every position.
    pub fn all() -> [Self; 10] {
        [
            Self::abutment(),
            Self::two_piece(),
            Self::two_piece_threaded_screw(),
            Self::angled(),
            Self::prosthetic_screw(),
            Self::abutment_screw(),
            Self::cylinder(),
            Self::base(),
            Self::healing_cap(),
            Self::cover_screw(),
        ]
    }

    /// Asks the question.
    pub fn ask<T>(&self, asker: impl FnOnce(&Question<'_>) -> T) -> T {
        asker(&self.question(&self.placed()))
    }

    /// The other parts as a question takes them.
    pub fn placed(&self) -> Vec<Placed<'_>> {
        self.others.iter().map(|(at, part)| (*at, part)).collect()
    }

    /// The question itself.
    pub fn question<'a>(&'a self, others: &'a [Placed<'a>]) -> Question<'a> {
        Question {
            position: self.position,
            fitted: &self.fitted,
            lean: &self.lean,
            others,
            stands_on: self.stands_on,
            candidate: &self.candidate,
            verifications: &self.verifications,
        }
    }

    /// What one rule of the table states, as 'Level: effect'.
    pub fn states(&self, rule: Rule) -> Vec<String> {
        assert!(table().iter().any(|r| r.id == rule.id), "{} is not in the table", rule.id);
        self.ask(rule.states).iter().map(|f| format!("{:?}: {}", f.level, f.effect)).collect()
    }

    /// The judgement by all rules.
    pub fn judged(&self) -> Judgement {
        self.ask(judge)
    }
}
