//! Acts that are booked and told alike: the entry in a sentence, its movements in JSON, what it leaves short.

use super::Context;
use super::failure::Failure;
use crate::desk::{Desk, DeskError, Failing};
use crate::lots::holds;
use crate::record::{Entry, View};
use crate::report::{json, text};
use crate::shelf::counting;

impl Context<'_> {
    /// Books what `decide` makes of the view and says what was booked.
    pub(super) fn act_on_stock<E: Failing>(
        &mut self,
        decide: impl Fn(&View) -> Result<Entry, E>,
    ) -> Result<u8, Failure>
    where
        Failure: From<DeskError<E>>,
    {
        let desk = self.open()?;
        self.act_at(desk, decide)
    }

    /// The same at a desk that was asked before.
    pub(super) fn act_at<E: Failing>(
        &mut self,
        mut desk: Desk,
        decide: impl Fn(&View) -> Result<Entry, E>,
    ) -> Result<u8, Failure>
    where
        Failure: From<DeskError<E>>,
    {
        let mut decided = None;
        let booked = desk.book::<E>(self.by(), self.act()?, |view| {
            let entry = decide(view)?;
            decided = Some(entry.clone());
            Ok(entry)
        })?;
        // Nothing was decided where the same act had booked it before.
        let said = decided.as_ref().map_or(String::new(), text::act);
        let told = decided.as_ref().map_or(serde_json::json!({}), json::act);
        // It is booked: a view that fails now takes nothing of that back.
        let short = decided.as_ref().filter(|_| !booked.before).map_or(Vec::new(), |entry| {
            let view = desk.view();
            let mut said = holds::short(view, &holds::parts_of(entry), desk.today()).unwrap_or_default();
            said.extend(counting::called_back_there(view, entry).unwrap_or_default());
            said
        });
        let code = self.booked(&mut desk, &booked, said, told)?;
        for hold in short {
            writeln!(self.err, "note: {hold}.")?;
        }
        Ok(code)
    }
}
