//! Answers as text: the first line is the answer, words before codes, no bare number.

mod case;
mod countered;
mod counting;
mod find;
mod fit;
mod held;
mod loads;
mod measured;
mod mechanics;
mod part;
mod scan;
mod seating;
mod sharing;
mod sheets;
mod standing;
mod stock;
mod swap;
mod traced;
mod upkeep;
mod visit;
mod weakest;

use std::fmt::Write as _;

use super::table::table;
use crate::case::Fitted;
use crate::catalog::{Kind, TorqueSpec};
use crate::matching::{Finding, Level, Verdict};
use crate::units::{show_date, visible};

pub use crate::desk::lookup::pieces;
pub use case::case;
pub use countered::countered;
pub use counting::{compared, planned};
pub use find::found;
pub use fit::fit;
pub use held::{apart, held};
pub use loads::{bench_load, cracked_section, joint, screw_shares};
pub use measured::measured;
pub use mechanics::{preload, shut, thread, tightening};
pub use part::{holes, interfaces, part, parts};
pub use scan::scanned;
pub use seating::seating;
pub use sharing::{answered, shared, taken};
pub use sheets::{bags, complaints};
pub use standing::due;
pub use stock::{low, stock};
pub use swap::{swap, swap_set};
pub use traced::{case_trace, lots};
pub use upkeep::{act, entries, path, told, verified};
pub use visit::{not_there, visit};
pub use weakest::{three, weakest, weakest_answer};

// Writing to a String cannot fail: every `let _ = write!` in here and below rests on that.

fn section(out: &mut String, title: &str, lines: &[String]) {
    if lines.is_empty() {
        return;
    }
    let _ = writeln!(out, "\n{title}");
    for line in lines {
        let _ = writeln!(out, "  - {}", visible(line));
    }
}

/// '1 site', '3 sites': any count but one takes the plural.
pub fn counted(n: usize, one: &str, many: &str) -> String {
    if n == 1 { format!("1 {one}") } else { format!("{n} {many}") }
}

fn fitted_rows(all: &[Fitted]) -> String {
    let rows = all.iter().map(|f| {
        let lot = f.lot.as_ref().map_or("lot not recorded".to_owned(), |l| format!("lot {l}"));
        let on = f.on.map_or("date not recorded".to_owned(), |d| format!("since {}", show_date(d)));
        let tightened = f.part.kind != Kind::Implant && f.part.torque != TorqueSpec::NotApplicable;
        let torque = if tightened { f.torque.to_string() } else { String::new() };
        vec![
            f.position.words().to_owned(),
            f.part.code.to_string(),
            lot,
            on,
            torque,
            format!("by {}", f.sure),
        ]
    });
    table(&["position", "part", "lot", "since", "tightened to", "how sure"], rows)
}

fn finding(f: &Finding, why: bool) -> String {
    let mark = match f.level {
        Level::Against => "AGAINST",
        Level::Unknown => "NOT KNOWN",
        Level::Stated => "MAKER SAYS",
        Level::Change => "change",
        Level::Note => "note",
    };
    let values = match (f.fitted.as_str(), f.candidate.as_str()) {
        ("", "") => String::new(),
        ("", part) => format!(" (this part: {})", visible(part)),
        (fitted, "") => format!(" (fitted: {})", visible(fitted)),
        (fitted, part) => format!(" (fitted: {}; this part: {})", visible(fitted), visible(part)),
    };
    let rule = if why { format!(" [rule {}: {}]", f.rule, f.source) } else { String::new() };
    format!("{mark}: {}{values}{rule}", visible(&f.effect))
}

/// What a part that stays in the drawer is judged by; what it would change besides is in 'swap'.
fn worth_reading(verdict: Verdict, all: &[Finding]) -> impl Iterator<Item = &Finding> {
    all.iter().filter(move |f| match verdict {
        Verdict::DoesNotFit => f.level == Level::Against,
        Verdict::NotConfirmed => f.level != Level::Note,
        _ => true,
    })
}
