//! Whether what somebody says stands there can stand there: a remark, never a refusal.

use super::Enter;
use crate::case::Fitted;
use crate::catalog::{Mating, Position, Side, mate_below, mating};
use crate::record::{View, ViewError};

/// What the person should hear about a part that does not mate with what is on record beside it.
///
/// What was seen is booked, whatever it is: the mistake may be in what the record said before.
pub fn remarks(view: &View, ask: &Enter) -> Result<Vec<String>, ViewError> {
    let Some(part) = view.part(&ask.part)? else { return Ok(Vec::new()) };
    let position = ask.fitted.position;
    let assembly = view.assembly(&ask.case, ask.site)?;
    let others = Fitted::others(&assembly, position);
    let site: Vec<_> = others.iter().copied().chain([(position, &part)]).collect();
    let mut against: Vec<(Position, &str, Vec<String>)> = Vec::new();
    for (at, standing) in &site {
        for port in standing.ports.iter().filter(|p| p.side() == Side::Below) {
            let Some((below, carrying, met)) = mate_below(*at, port, &site) else { continue };
            // Two parts that were on record before are not the matter now.
            let (other, code) = match (*at == position, below == position) {
                (true, _) => (below, carrying.code.as_str()),
                (_, true) => (*at, standing.code.as_str()),
                _ => continue,
            };
            let Mating::Not(why) = mating(met, port) else { continue };
            match against.iter_mut().find(|(there, ..)| *there == other) {
                Some((_, _, reasons)) => reasons.push(why),
                None => against.push((other, code, vec![why])),
            }
        }
    }
    let told = against.into_iter().map(|(at, code, why)| {
        format!(
            "by the record this part does not mate with the {} {code}: {}. Look again",
            at.words(),
            why.join("; ")
        )
    });
    Ok(told.collect())
}
