//! What was typed and not understood, said back without what could move the cursor or fill the screen.

use clap::Error;
use clap::error::ContextValue;

use crate::units::printable;

/// The same error with every typed word made visible and cut: clap repeats it as it came.
pub fn cleaned(mut error: Error) -> Error {
    let typed: Vec<_> = error
        .context()
        .filter_map(|(kind, value)| match value {
            ContextValue::String(text) => Some((kind, ContextValue::String(printable(text)))),
            _ => None,
        })
        .collect();
    for (kind, value) in typed {
        error.insert(kind, value);
    }
    error
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::error::{ContextKind, ErrorKind};

    #[test]
    fn a_typed_word_is_said_back_visible_and_short() {
        let mut error = Error::new(ErrorKind::InvalidValue);
        let typed = format!("a\u{1b}[2J{}", "x".repeat(1 << 16));
        error.insert(ContextKind::InvalidValue, ContextValue::String(typed));
        let said = cleaned(error).context().find_map(|(_, v)| match v {
            ContextValue::String(text) => Some(text.clone()),
            _ => None,
        });
        assert_eq!(said, Some(format!("a\\u{{1b}}[2J{}…", "x".repeat(55))));
    }
}
