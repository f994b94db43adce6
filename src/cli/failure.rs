//! Failures at the rim: exit code, sentence, and what to do.

use std::fmt;
use std::io;

use crate::desk::lookup::NotFound;
use crate::desk::{ClockError, DeskError, ExitClass, HomeError, NotComplete, Refusal, Refused, of_record};
use crate::logbook::LogbookError;
use crate::record::RecordError;

/// The answer is no, or the facts refuse.
pub const NO: u8 = 1;
/// What was typed is wrong.
pub const TYPED: u8 = 2;
/// The record is unavailable or damaged.
pub const RECORD: u8 = 3;
/// Ours.
pub const BUG: u8 = 70;

/// What to do about a damaged record.
pub const DECIDE: &str = "what to do: keep a copy of the whole home as it is; compare the sum of the last entry with the one on paper; restore logbook.jsonl from a backup, or, once a person has decided that the logbook in place is the right one, 'spareseat logbook accept --because REASON'";

const BUG_HINT: &str = "this is a fault of the program, not yours: please report it";

/// A command that did not go through.
#[derive(Debug)]
pub struct Failure {
    code: u8,
    text: String,
    hint: Option<&'static str>,
    broken_pipe: bool,
}

impl Failure {
    fn new(code: u8, text: impl ToString) -> Self {
        Self { code, text: text.to_string(), hint: None, broken_pipe: false }
    }

    /// With the exit code of its class, and the sentence that goes with every fault of ours.
    fn of(class: ExitClass, text: impl ToString) -> Self {
        match class {
            ExitClass::Typed => Self::new(TYPED, text),
            ExitClass::Facts => Self::new(NO, text),
            ExitClass::Record => Self::new(RECORD, text),
            ExitClass::Bug => Self { hint: Some(BUG_HINT), ..Self::new(BUG, text) },
        }
    }

    /// What was typed is wrong.
    pub fn typed(text: impl ToString) -> Self {
        Self::new(TYPED, text)
    }

    /// Our own fault.
    pub fn bug(text: impl ToString) -> Self {
        Self::of(ExitClass::Bug, text)
    }

    /// A list that is not complete, where half a one must not be given.
    pub fn not_complete(short: &NotComplete) -> Self {
        let text = format!("{short}, so no bundle is made of it: {}", short.why);
        Self { hint: Some(DECIDE), ..Self::new(RECORD, text) }
    }

    /// The same failure, met when the booking already stood.
    pub fn after_booking(self, entry: u64) -> Self {
        Self {
            text: format!(
                "entry {entry} WAS booked, do not book it again; only the answer failed: {}",
                self.text
            ),
            ..self
        }
    }

    /// The exit code.
    pub fn code(&self) -> u8 {
        self.code
    }

    /// Whether only the reader of our output went away.
    pub fn is_broken_pipe(&self) -> bool {
        self.broken_pipe
    }
}

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "spareseat: {}", self.text)?;
        self.hint.map_or(Ok(()), |hint| write!(f, "\n{hint}"))
    }
}

impl From<io::Error> for Failure {
    fn from(e: io::Error) -> Self {
        let broken_pipe = e.kind() == io::ErrorKind::BrokenPipe;
        Self { broken_pipe, ..Self::new(RECORD, format!("could not write the answer: {e}")) }
    }
}

impl From<RecordError> for Failure {
    fn from(e: RecordError) -> Self {
        let hint = match &e {
            RecordError::Logbook(LogbookError::Locked { .. }) => Some(
                "nothing was booked or judged; what to do: wait for the other program, or end it if it hangs; then try again",
            ),
            RecordError::Logbook(LogbookError::NotWritten { .. }) => {
                Some("what to do: make room on the disk or mend its rights, then book again")
            }
            RecordError::Logbook(
                LogbookError::Damaged { .. }
                | LogbookError::Lost { .. }
                | LogbookError::Other { .. }
                | LogbookError::Edition { .. },
            ) => Some(DECIDE),
            _ => None,
        };
        Self { hint, ..Self::of(of_record(&e), e) }
    }
}

impl From<HomeError> for Failure {
    fn from(e: HomeError) -> Self {
        match e {
            HomeError::Record(e) => e.into(),
            other => Self::of(other.class(), other),
        }
    }
}

impl From<ClockError> for Failure {
    fn from(e: ClockError) -> Self {
        Self::new(RECORD, e)
    }
}

impl From<NotFound> for Failure {
    fn from(e: NotFound) -> Self {
        Self::of(e.class(), e)
    }
}

impl<E: Refusal> From<E> for Failure {
    fn from(e: E) -> Self {
        let remedy = e.remedy();
        let failure = Self::of(e.class(), e);
        Self { hint: remedy.or(failure.hint), ..failure }
    }
}

impl<E: Refusal> From<Refused<E>> for Failure {
    fn from(e: Refused<E>) -> Self {
        match e {
            Refused::View(e) => Self::of(ExitClass::Record, e),
            Refused::Record(e) => e.into(),
            Refused::Act(e) => e.into(),
        }
    }
}

impl<E: Refusal> From<DeskError<E>> for Failure {
    fn from(e: DeskError<E>) -> Self {
        match e {
            DeskError::Refused(e) => e.into(),
            DeskError::Record(e) => e.into(),
            DeskError::Clock(e) => e.into(),
            DeskError::ReadOnly(why) => Self {
                hint: Some(DECIDE),
                ..Self::new(RECORD, format!("the record is read-only, nothing was booked: {why}"))
            },
            DeskError::NoInitials => Self::typed("say who books: --as INITIALS"),
            DeskError::Initials(e) => Self::typed(e),
            DeskError::AsOf => Self::typed("--as-of shows an earlier state: nothing can be booked there"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::amend::countering::CounterError;
    use crate::bench::bands::SetBandsError;
    use crate::bench::fit::FitError;
    use crate::bench::measuring::MeasuringError;
    use crate::bench::swap::SwapError;
    use crate::cases::bridging::BridgeError;
    use crate::cases::entering::CaseError;
    use crate::cases::standing::StandingError;
    use crate::chair::visit::VisitError;
    use crate::demo::DemoError;
    use crate::desk::PaperError;
    use crate::fitting::using::UseError;
    use crate::lab::sharing::{AnswerError, FileError, ShareError, ShareTakeError};
    use crate::lots::label::LabelError;
    use crate::lots::pack::PackError;
    use crate::maintenance::parts::PartError;
    use crate::maintenance::upkeep::UpkeepError;
    use crate::record::ViewError;
    use crate::shelf::apart::ApartError;
    use crate::shelf::counting::CountError;
    use crate::shelf::finding::FindError;
    use crate::shelf::receiving::ReceiveError;
    use crate::shelf::returning::ReturnError;
    use crate::store::StoreError;
    use crate::tracing::sheets::SheetError;
    use crate::units::{CaseNumber, PartCode, Tooth};
    use crate::weakest::WeakestError;

    fn unreadable() -> ViewError {
        StoreError::Broken("a row".to_owned()).into()
    }

    #[test]
    fn every_refusal_keeps_its_exit_status() {
        let part = || PartCode::new("screw").unwrap();
        let case = || CaseNumber::new("1047").unwrap();
        let tooth = Tooth::from_iso(25).unwrap();
        let file = || "case.json".to_owned();
        let line = |why| ReceiveError::Line { line: 1, why: Box::new(why) };
        let typed = [
            Failure::from(PackError::Which),
            PackError::NoLot.into(),
            ReceiveError::HowMany(part()).into(),
            line(ReceiveError::HowMany(part())).into(),
            CountError::Nothing.into(),
            CaseError::Exists(case()).into(),
            BridgeError::NoHeads.into(),
            CounterError::NoMouth(3).into(),
            PartError::TooLong.into(),
            UpkeepError::NoName("/".to_owned()).into(),
            SwapError::Twice(tooth).into(),
            FitError::Nothing.into(),
            MeasuringError::TooLarge(case()).into(),
            AnswerError::TooLong { what: "text", len: 2, most: 1 }.into(),
            ShareTakeError::NumberOfAnswer.into(),
            ShareTakeError::File(FileError::NotOurs { file: file() }).into(),
            PaperError::Exists(file()).into(),
            DemoError::RealHome("home".to_owned()).into(),
            HomeError::Exists("home".to_owned()).into(),
        ];
        let no = [
            Failure::from(LabelError::NoItem),
            PackError::Label(LabelError::TwoItems).into(),
            PackError::NoPart("1".to_owned()).into(),
            ReceiveError::Pack(PackError::NoPart("1".to_owned())).into(),
            line(ReceiveError::Pack(LabelError::NoItem.into())).into(),
            FindError::Label(LabelError::NoItem).into(),
            ApartError::NothingLeft { part: part(), lot: crate::units::Lot::new("L").unwrap() }.into(),
            ReturnError::Implant(part()).into(),
            StandingError::NotClosed(case()).into(),
            BridgeError::TooMany(case()).into(),
            CounterError::Meanwhile.into(),
            UpkeepError::NothingToAccept(3).into(),
            SheetError::NoPiece(case()).into(),
            SetBandsError::Same.into(),
            FitError::Implant(tooth).into(),
            MeasuringError::Same(case()).into(),
            WeakestError::NothingAt(tooth).into(),
            ShareError::NoSites(case()).into(),
            AnswerError::Facts("why".to_owned()).into(),
            ShareTakeError::OwnCase(case()).into(),
            ShareTakeError::File(FileError::Changed { file: file() }).into(),
        ];
        let record = [
            Failure::from(UpkeepError::Damage("damage".to_owned())),
            UpkeepError::Home(HomeError::Missing("home".to_owned())).into(),
            Refused::<CounterError>::from(HomeError::Record(unreadable().into())).into(),
            Refused::<PackError>::from(RecordError::from(unreadable())).into(),
        ];
        let bug = [Failure::from(DemoError::NoAct("none".to_owned()))];
        for (all, code) in [(&typed[..], TYPED), (&no, NO), (&record, RECORD), (&bug, BUG)] {
            for failure in all {
                assert_eq!(failure.code(), code, "{failure}");
            }
        }
    }

    /// It is nothing that anybody typed, whatever was looked up and however it comes to the rim.
    #[test]
    fn an_unreadable_row_is_a_record_that_is_damaged() {
        for failure in [
            Failure::from(Refused::<LabelError>::from(unreadable())),
            Refused::<LabelError>::from(unreadable()).lift::<PackError>().lift::<ReceiveError>().into(),
            Refused::<FindError>::from(unreadable()).into(),
            Refused::<CaseError>::from(NotFound::View(unreadable())).into(),
            CaseError::NotFound(NotFound::View(unreadable())).into(),
            NotFound::View(unreadable()).into(),
            DeskError::<ReceiveError>::Record(unreadable().into()).into(),
            Refused::<VisitError>::from(unreadable()).into(),
            Refused::<UseError>::from(unreadable()).into(),
        ] {
            assert_eq!(failure.code(), RECORD, "{failure}");
            assert_eq!(failure.to_string(), "spareseat: the view cannot be used: a row");
        }
    }

    #[test]
    fn a_record_that_fails_says_what_to_do_and_a_text_too_long_was_typed() {
        let long = RecordError::from(LogbookError::TooLong { len: 2, most: 1 });
        assert_eq!(Failure::from(Refused::<CaseError>::from(long)).code(), TYPED);
        let lost = RecordError::from(LogbookError::Lost { seen: 3, found: 2 });
        let said = Failure::from(Refused::<CaseError>::Record(lost));
        assert!(said.code() == RECORD && said.to_string().ends_with(DECIDE), "{said}");
        let to = "disk".to_owned();
        let said = Failure::from(UpkeepError::NotCopied { to, why: io::Error::other("full") });
        assert!(
            said.code() == RECORD && said.to_string().contains("\nwhat to do: make room there"),
            "{said}"
        );
        assert!(Failure::from(DemoError::NoAct("none".to_owned())).to_string().ends_with(BUG_HINT));
    }
}
