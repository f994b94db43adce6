//! Commands that have another name by now: for one version the old one says the new one, and does nothing.

use super::failure::Failure;

/// Called otherwise by now
#[derive(Debug, clap::Args)]
pub struct Words {
    /// What was typed behind it
    #[arg(trailing_var_arg = true, allow_hyphen_values = true, hide = true)]
    words: Vec<String>,
}

impl Words {
    /// Refuses the old name with the new one.
    pub fn refuse(&self, old: &str, new: &str) -> Result<u8, Failure> {
        let behind = if self.words.is_empty() { "" } else { ", with the same words behind it" };
        Err(Failure::typed(format!(
            "'{old}' is called '{new}' now: say 'spareseat {new}'{behind}. Nothing was done"
        )))
    }
}
