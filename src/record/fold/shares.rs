//! What a case taken from a share and an answer taken back do to the view.

use super::{Meta, forget_sites, push};
use crate::case::CaseHead;
use crate::record::entry::{AnswerSwap, CaseTaken, SwapConfirmed};
use crate::record::key;
use crate::record::view::{BuiltOn, ConfirmedRow, OriginRow, View, ViewError};
use crate::units::CaseNumber;

/// An answer with its swaps is longer than most items.
const ANSWERS_CHUNK: usize = 32;

/// The rows of an import, and where they came from; what happened here since it was taken before stays.
pub(super) fn taken(view: &mut View, seq: u64, meta: &Meta, e: CaseTaken) -> Result<(), ViewError> {
    let number = e.case.number.clone();
    forget_sites(view, &number)?;
    *view.open_list(key::restorations(&number))? = e.restorations;
    for ((tooth, assembly), built_on) in e.case.sites.iter().zip(e.assemblies).zip(e.built_on) {
        *view.open_list(key::fitted(&number, *tooth))? = assembly;
        let rows = built_on.into_iter().map(|(position, part)| BuiltOn { position, part });
        *view.open_list(key::built_on(&number, *tooth))? = rows.collect();
    }
    *view.open_list::<CaseHead>(key::case(&number))? = vec![e.case];
    let row = OriginRow {
        origin: e.origin,
        as_of: e.as_of,
        shared_on: e.shared_on,
        file: e.file,
        entry: seq,
        on: meta.on,
    };
    *view.open_list(key::origin(&number))? = vec![row];
    Ok(())
}

pub(super) fn confirmed(view: &mut View, seq: u64, meta: &Meta, e: SwapConfirmed) -> Result<(), ViewError> {
    let SwapConfirmed { case, answer, laboratory, by, on, computed_on: _, swaps, verdict, worst_gap, bands } =
        e;
    let code = |s: AnswerSwap| AnswerSwap { site: s.site, position: s.position, part: s.part.code };
    let swaps = swaps.into_iter().map(code).collect();
    let (entry, taken_on) = (seq, meta.on);
    let row = ConfirmedRow { entry, taken_on, answer, laboratory, by, on, swaps, verdict, worst_gap, bands };
    push(view, ANSWERS_CHUNK, |n| key::confirmed(&case, n), row)
}

/// A case that is imported in place of another one came from nowhere else, and nobody has answered about it.
pub(super) fn forget(view: &mut View, number: &CaseNumber) -> Result<(), ViewError> {
    view.open_list::<OriginRow>(key::origin(number))?.clear();
    view.ends().set_chunk(&key::confirmed(number, 0), 0);
    for n in 0.. {
        let mut answers = view.open_list::<ConfirmedRow>(key::confirmed(number, n))?;
        if answers.is_empty() {
            break;
        }
        answers.clear();
    }
    Ok(())
}
