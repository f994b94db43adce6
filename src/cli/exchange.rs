//! `--fhir`: a look-up in the exchange form, for another program.

use serde_json::Value as Json;

use super::failure::Failure;
use super::{Answer, Context, screen};
use crate::desk::Desk;

impl Context<'_> {
    /// Refuses two forms at once; an exchange form carries a day, so it is judged like every date.
    pub(super) fn open_for(&mut self, fhir: bool) -> Result<Desk, Failure> {
        if !fhir {
            return self.open();
        }
        if self.common.json {
            return Err(Failure::typed("--fhir and --json are two forms of one answer: say one of them"));
        }
        self.open_dated()
    }

    /// Prints a bundle.
    pub(super) fn print_fhir(&mut self, desk: &mut Desk, bundle: &Json) -> Result<u8, Failure> {
        self.print(Some(desk), Answer::yes(screen::json(bundle) + "\n", Json::Null))
    }
}
