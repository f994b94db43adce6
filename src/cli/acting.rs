//! What is told of an act: one answer, in text and in JSON, whatever was booked.

use serde_json::{Value as Json, json};

use super::failure::Failure;
use super::{Answer, Context};
use crate::desk::{Desk, Refusal, Refused};
use crate::lots::holds;
use crate::maintenance::upkeep;
use crate::record::{Booked, Entry, View};
use crate::report;
use crate::shelf::counting;

/// What is told of what was booked, beside its entry.
pub(super) struct Acted {
    text: String,
    json: Json,
    version: u32,
    careful: Vec<String>,
    notes: Vec<String>,
}

impl Acted {
    /// In a sentence, and in JSON.
    pub fn new(text: impl Into<String>, json: Json) -> Self {
        let (careful, notes) = (Vec::new(), Vec::new());
        Self { text: text.into(), json, version: report::json::VERSION, careful, notes }
    }

    /// As the movements of an entry tell it.
    fn of(entry: Option<&Entry>) -> Self {
        let text = entry.map_or(String::new(), report::text::act);
        Self::new(text, entry.map_or(json!({}), report::json::act))
    }

    /// Its JSON has lost a key, or one of another type: a reader of the form before cannot read on.
    pub fn version(self, version: u32) -> Self {
        Self { version, ..self }
    }

    /// What must be known before anybody takes the pack it is about.
    pub fn careful(mut self, lines: impl IntoIterator<Item = String>) -> Self {
        self.careful.extend(lines.into_iter().map(|l| l.trim_end_matches('.').to_owned()));
        self
    }

    /// What else there is to hear of it.
    pub fn notes(mut self, lines: impl IntoIterator<Item = String>) -> Self {
        self.notes.extend(lines);
        self
    }
}

impl Context<'_> {
    /// Books what `decide` makes of the view and says what was booked.
    pub(super) fn act_on_stock<E: Refusal>(
        &mut self,
        decide: impl Fn(&View) -> Result<Entry, Refused<E>>,
    ) -> Result<u8, Failure> {
        let desk = self.open()?;
        self.act_at(desk, Vec::new(), decide)
    }

    /// The same at a desk that was asked before, with what must be known of the packs.
    pub(super) fn act_at<E: Refusal>(
        &mut self,
        mut desk: Desk,
        careful: Vec<String>,
        decide: impl Fn(&View) -> Result<Entry, Refused<E>>,
    ) -> Result<u8, Failure> {
        let booked = desk.book(self.by(), self.act()?, decide)?;
        // It is booked: a view that fails now takes nothing of that back.
        let notes = booked.entry.as_ref().map_or(Vec::new(), |entry| {
            let view = desk.view();
            let mut said = holds::short(view, &holds::parts_of(entry), desk.today()).unwrap_or_default();
            said.extend(counting::called_back_there(view, entry).unwrap_or_default());
            said
        });
        let told = Acted::of(booked.entry.as_ref()).careful(careful).notes(notes);
        self.booked(&mut desk, &booked, told)
    }

    /// Prints that something was booked.
    pub(super) fn booked(&mut self, desk: &mut Desk, booked: &Booked, told: Acted) -> Result<u8, Failure> {
        let seq = booked.seq;
        if booked.before {
            // What was asked now may be something else: only what stands in the record is said.
            let head = desk.view().head().head;
            let stands = upkeep::entry(desk.record().logbook(), &head, seq)
                .map_err(|e| Failure::from(e).after_booking(seq))?;
            let told = stands.as_ref().map_or("it cannot be read".to_owned(), report::text::told);
            let text = format!(
                "Booked before by the same act; nothing was booked now. Entry {seq} stands: {told}\n"
            );
            let json = json!({
                "version": report::json::VERSION, "entry": seq, "booked_before": true, "stands": told,
            });
            return self.print(Some(desk), Answer::yes(text, json));
        }
        let Acted { text, mut json, version, careful, notes } = told;
        let mut text = format!("entry {seq}: {text}\n");
        careful.iter().for_each(|line| text += &format!("CAREFUL: {line}.\n"));
        notes.iter().for_each(|line| text += &format!("note: {line}.\n"));
        json["version"] = version.into();
        json["entry"] = seq.into();
        json["booked_before"] = false.into();
        json["moved"] = booked.entry.as_ref().map_or(json!([]), report::json::moved);
        json["remarks"] = careful.into_iter().chain(notes).collect();
        self.print(Some(desk), Answer::yes(text, json)).map_err(|e| e.after_booking(seq))
    }
}
