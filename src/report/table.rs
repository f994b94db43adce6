//! Text tables. The one file that names tabled, and the one place where a cell is cleaned.

use tabled::builder::Builder;
use tabled::settings::object::Rows;
use tabled::settings::style::HorizontalLine;
use tabled::settings::{Padding, Style};

use crate::units::visible;

/// A table with a head; no cell ever carries a control character.
pub fn table(head: &[&str], rows: impl IntoIterator<Item = Vec<String>>) -> String {
    let mut builder = Builder::default();
    builder.push_record(head.iter().map(|h| (*h).to_owned()));
    for row in rows {
        builder.push_record(row.iter().map(|cell| visible(cell)));
    }
    let style = Style::blank().horizontals([(1, HorizontalLine::new('-').intersection(' '))]);
    let mut table = builder.build();
    table.with(style).modify(Rows::new(..), Padding::new(0, 1, 0, 0));
    table.to_string().lines().map(|l| format!("  {}\n", l.trim_end())).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_cell_reaches_the_terminal_raw() {
        let out = table(&["lot"], [vec!["a\u{1b}[31mb\u{1d}".to_owned()]]);
        assert!(out.contains("a\\u{1b}[31mb\\u{1d}"), "{out}");
        assert!(out.chars().all(|c| c == '\n' || !c.is_control()));
    }
}
