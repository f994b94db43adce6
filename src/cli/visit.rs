//! `spareseat visit`

use super::acting::Acted;
use super::failure::Failure;
use super::{Answer, Context, one_of};
use crate::case::{Broken, Left};
use crate::chair::visit::{Reply, VisitQuestion, answer};
use crate::desk::{Desk, Refused};
use crate::fitting::visiting::{self, VisitingError, WalkIn};
use crate::record::{Entry, Outcome, View};
use crate::report;
use crate::units::{CaseNumber, Note, Tooth};

/// What happened: what to take, from which drawer, at what torque, and what else must be new
///
/// Without --open, --narrow, --end or --new it only looks. While a visit is open, what is left out is taken from it.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The case
    case: CaseNumber,
    /// The tooth, ISO 3950
    #[arg(long, value_name = "TOOTH", allow_hyphen_values = true)]
    site: Option<String>,
    /// What happened, as far as somebody looked
    #[arg(long, value_name = "WHAT", value_parser = one_of(Broken::ALL.iter().copied()))]
    broken: Option<Broken>,
    /// What stayed behind
    #[arg(long, value_name = "WHAT", value_parser = one_of(Left::ALL.iter().copied()))]
    left: Option<Left>,
    /// Put the visit on record: begin it, with the tray as it is shown (needs --as)
    #[arg(long, group = "step")]
    open: bool,
    /// Somebody looked: put what is known now in place of what was reported first (needs --as)
    #[arg(long, group = "step")]
    narrow: bool,
    /// End the visit that is open (needs --as)
    #[arg(long, group = "step", value_name = "HOW", value_parser = one_of(Outcome::ALL))]
    end: Option<Outcome>,
    /// The patient is not on record: make a case of that number, parts unknown, and begin the visit (needs --as)
    #[arg(long, group = "step", requires = "site", requires = "broken")]
    new: bool,
    /// Why, in words, for the record
    #[arg(long, value_name = "TEXT", requires = "step")]
    because: Option<Note>,
}

impl Args {
    fn question(&self) -> VisitQuestion {
        VisitQuestion {
            case: self.case.clone(),
            site: self.site.clone(),
            broken: self.broken,
            left: self.left,
        }
    }
}

pub fn run(args: &Args, context: &mut Context<'_>) -> Result<u8, Failure> {
    let question = args.question();
    let note = args.because.as_ref();
    if let Some(outcome) = args.end {
        if args.site.is_some() || args.broken.is_some() || args.left.is_some() {
            return Err(Failure::typed(
                "--end ends the visit that is open: leave out --site, --broken and --left, or narrow it first",
            ));
        }
        let mut desk = context.open()?;
        let remarks = desk.ask(|view| {
            visiting::remarks(view, &args.case, outcome).map_err(Refused::<VisitingError>::from)
        })?;
        let booked =
            desk.book(context.by(), context.act()?, |view| visiting::end(view, &args.case, outcome, note))?;
        let text = format!("case {}: visit ended, {}.", args.case, outcome.words());
        let json = serde_json::json!({ "case": args.case.as_str(), "ended": outcome.words() });
        return context.booked(&mut desk, &booked, Acted::new(text, json).notes(remarks));
    }
    let mut desk = context.open_dated()?;
    let today = desk.today();
    if args.new {
        let site = Tooth::parse(args.site.as_deref().unwrap_or_default()).map_err(Failure::typed)?;
        let broken = args.broken.unwrap_or(Broken::NotKnown);
        let walk_in =
            WalkIn { case: args.case.clone(), site, broken, left: args.left, note: args.because.clone() };
        return put_on_record(args, context, &mut desk, "walk-in put on record, visit begun", |view| {
            visiting::walk_in(view, &walk_in)
        });
    }
    if args.open {
        return put_on_record(args, context, &mut desk, "visit begun", |view| {
            visiting::begin(view, &question, note, today)
        });
    }
    if args.narrow {
        return put_on_record(args, context, &mut desk, "visit narrowed", |view| {
            visiting::narrow(view, &question, note, today)
        });
    }
    let reply = desk.ask(|view| answer(view, &question, today))?;
    let answer = shown(&reply, context, &desk);
    context.print(Some(&mut desk), answer)
}

/// The answer as it is shown.
fn shown(reply: &Reply, context: &Context<'_>, desk: &Desk) -> Answer {
    let entry = desk.entry();
    match reply {
        Reply::Visit(visit) => Answer {
            text: report::text::visit(visit, desk.today(), context.common.why),
            json: report::json::visit(visit, entry),
            yes: visit.is_complete(),
        },
        Reply::NotThere(why) => Answer {
            text: report::text::not_there(why),
            json: report::json::not_there(why, entry),
            yes: false,
        },
    }
}

/// Books a step of the visit, and shows the answer it was booked with.
fn put_on_record(
    args: &Args,
    context: &mut Context<'_>,
    desk: &mut Desk,
    what: &str,
    decide: impl FnMut(&View) -> Result<Entry, Refused<VisitingError>>,
) -> Result<u8, Failure> {
    let booked = desk.book(context.by(), context.act()?, decide)?;
    if booked.before {
        return context.booked(desk, &booked, Acted::new("", serde_json::Value::Null));
    }
    let today = desk.today();
    // What stands on record now is what is asked.
    let question = VisitQuestion { case: args.case.clone(), site: None, broken: None, left: None };
    let after = |e: Failure| e.after_booking(booked.seq);
    let reply = desk.ask(|view| answer(view, &question, today)).map_err(|e| after(e.into()))?;
    let Answer { text, mut json, yes } = shown(&reply, context, desk);
    json["entry"] = booked.seq.into();
    json["booked_before"] = false.into();
    let text = format!("{text}\nentry {}: case {}, {what}.\n", booked.seq, args.case);
    // It answers as the look does; of a walk-in nothing can be said yet.
    context.print(Some(desk), Answer { text, json, yes: yes || args.new }).map_err(after)
}
