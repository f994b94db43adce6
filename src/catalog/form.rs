//! A TOML file read as a form: every key asked for by name, every mistake kept with its line.
//!
//! Numbers are taken as text, so 4.1 is 4.1; what nobody asked for is an unknown field.

use std::cell::RefCell;
use std::collections::BTreeSet;
use std::fmt::{self, Display};
use std::ops::Range;

use thiserror::Error;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::Value;
use crate::units::{did_you_mean, printable};

/// One thing wrong in a file.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Mistake {
    /// Which file.
    pub file: String,
    /// Which line, from 1.
    pub line: usize,
    /// What is wrong and what was expected.
    pub what: String,
}

impl Display for Mistake {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}: {}", self.file, self.line, self.what)
    }
}

/// Everything wrong in what was read, in file and line order.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{} mistake{} found, nothing was taken:\n{}", .0.len(), if .0.len() == 1 { "" } else { "s" }, lines(.0))]
pub struct Mistakes(pub Vec<Mistake>);

fn lines(mistakes: &[Mistake]) -> String {
    mistakes.iter().map(|m| format!("  {m}")).collect::<Vec<_>>().join("\n")
}

/// A file being read.
pub struct Form<'i> {
    file: &'i str,
    text: &'i str,
    mistakes: RefCell<Vec<Mistake>>,
}

impl<'i> Form<'i> {
    /// A form over the text of `file`.
    pub fn new(file: &'i str, text: &'i str) -> Self {
        Self { file, text, mistakes: RefCell::default() }
    }

    /// Parses the text; what cannot be parsed is a list of mistakes.
    pub fn parse(&self) -> Spanned<DeTable<'i>> {
        let (table, errors) = DeTable::parse_recoverable(self.text);
        for error in errors {
            self.mistake(error.span().unwrap_or(0..0), format!("not TOML: {}", error.message()));
        }
        table
    }

    /// Notes a mistake at a place in the text.
    pub fn mistake(&self, span: Range<usize>, what: impl Display) {
        let line = self.line(span.start);
        self.mistakes.borrow_mut().push(Mistake { file: self.file.to_owned(), line, what: what.to_string() });
    }

    /// The line of a place in the text, from 1.
    pub fn line(&self, at: usize) -> usize {
        self.text.as_bytes()[..at.min(self.text.len())].iter().filter(|b| **b == b'\n').count() + 1
    }

    /// The file's name.
    pub fn file(&self) -> &str {
        self.file
    }

    /// All mistakes so far, in line order.
    pub fn into_mistakes(self) -> Vec<Mistake> {
        let mut all = self.mistakes.into_inner();
        all.sort();
        all.dedup();
        all
    }
}

/// A table of a form.
pub struct Table<'f, 'i> {
    form: &'f Form<'i>,
    table: &'f DeTable<'i>,
    span: Range<usize>,
    asked: RefCell<BTreeSet<&'static str>>,
}

impl<'f, 'i> Table<'f, 'i> {
    /// The whole file.
    pub fn root(form: &'f Form<'i>, root: &'f Spanned<DeTable<'i>>) -> Self {
        Self { form, table: root.get_ref(), span: 0..0, asked: RefCell::default() }
    }

    /// Where this table stands.
    pub fn span(&self) -> Range<usize> {
        self.span.clone()
    }

    /// The line this table begins on.
    pub fn line(&self) -> usize {
        self.form.line(self.span.start)
    }

    /// Notes a mistake at a key, or at the table when the key is absent.
    pub fn mistake(&self, key: &str, what: impl Display) {
        let span = self.table.get(key).map_or(self.span(), |v| v.span());
        self.form.mistake(span, what);
    }

    fn get(&self, key: &'static str) -> Option<&'f Spanned<DeValue<'i>>> {
        self.asked.borrow_mut().insert(key);
        self.table.get(key)
    }

    /// Whether the key stands there.
    pub fn has(&self, key: &'static str) -> bool {
        self.get(key).is_some()
    }

    /// Whether the key holds a list.
    pub fn is_list(&self, key: &'static str) -> bool {
        self.get(key).is_some_and(|v| v.get_ref().is_array())
    }

    /// Text or number as text.
    pub fn scalar(&self, key: &'static str) -> Option<&'f str> {
        let value = self.get(key)?;
        match value.get_ref() {
            DeValue::String(s) => Some(s),
            DeValue::Integer(n) if n.radix() == 10 => Some(n.as_str()),
            DeValue::Float(n) => Some(n.as_str()),
            other => {
                self.form.mistake(
                    value.span(),
                    format!("{key}: expected text or a number, found {}", other.type_str()),
                );
                None
            }
        }
    }

    /// A scalar read by `read`, when it stands there.
    pub fn maybe<T, E: Display>(
        &self,
        key: &'static str,
        read: impl FnOnce(&str) -> Result<T, E>,
    ) -> Option<T> {
        let text = self.scalar(key)?;
        match read(text) {
            Ok(value) => Some(value),
            Err(e) => {
                self.mistake(key, format!("{key}: {e}"));
                None
            }
        }
    }

    /// A scalar that must stand there.
    pub fn need<T, E: Display>(
        &self,
        key: &'static str,
        read: impl FnOnce(&str) -> Result<T, E>,
    ) -> Option<T> {
        if !self.has(key) {
            self.form.mistake(self.span(), format!("{key} is missing"));
            return None;
        }
        self.maybe(key, read)
    }

    /// A scalar that may be left out (unknown) or 'n/a'.
    pub fn value<T, E: Display>(
        &self,
        key: &'static str,
        read: impl FnOnce(&str) -> Result<T, E>,
    ) -> Value<T> {
        match self.scalar(key) {
            Some("n/a") => Value::NotApplicable,
            Some(_) => self.maybe(key, read).map_or(Value::Unknown, Value::Known),
            None => Value::Unknown,
        }
    }

    /// true or false; left out is unknown.
    pub fn flag(&self, key: &'static str) -> Value<bool> {
        let Some(value) = self.get(key) else { return Value::Unknown };
        match value.get_ref() {
            DeValue::Boolean(b) => Value::Known(*b),
            DeValue::String(s) if s == "n/a" => Value::NotApplicable,
            other => {
                self.form.mistake(
                    value.span(),
                    format!("{key}: expected true or false, found {}", other.type_str()),
                );
                Value::Unknown
            }
        }
    }

    /// A list of texts or numbers, each read by `read`.
    pub fn list<T, E: Display>(&self, key: &'static str, read: impl Fn(&str) -> Result<T, E>) -> Vec<T> {
        let Some(value) = self.get(key) else { return Vec::new() };
        let DeValue::Array(items) = value.get_ref() else {
            self.form.mistake(value.span(), format!("{key}: expected a list of texts"));
            return Vec::new();
        };
        let mut out = Vec::new();
        for item in items.iter() {
            let text = match item.get_ref() {
                DeValue::String(s) => s.as_ref(),
                DeValue::Integer(n) => n.as_str(),
                DeValue::Float(n) => n.as_str(),
                _ => {
                    self.form.mistake(item.span(), format!("{key}: expected a list of texts or numbers"));
                    continue;
                }
            };
            match read(text) {
                Ok(value) => out.push(value),
                Err(e) => self.form.mistake(item.span(), format!("{key}: {e}")),
            }
        }
        out
    }

    /// The tables of a list, none when it is left out.
    pub fn tables(&self, key: &'static str) -> Vec<Table<'f, 'i>> {
        let Some(value) = self.get(key) else { return Vec::new() };
        let DeValue::Array(items) = value.get_ref() else {
            self.form.mistake(value.span(), format!("{key}: expected a list of tables, written [[{key}]]"));
            return Vec::new();
        };
        let mut out = Vec::new();
        for item in items.iter() {
            match item.get_ref() {
                DeValue::Table(table) => {
                    out.push(Table { form: self.form, table, span: item.span(), asked: RefCell::default() });
                }
                other => self
                    .form
                    .mistake(item.span(), format!("{key}: expected a table, found {}", other.type_str())),
            }
        }
        out
    }

    /// One table, when it stands there.
    pub fn table(&self, key: &'static str) -> Option<Table<'f, 'i>> {
        let value = self.get(key)?;
        match value.get_ref() {
            DeValue::Table(table) => {
                Some(Table { form: self.form, table, span: value.span(), asked: RefCell::default() })
            }
            other => {
                self.form
                    .mistake(value.span(), format!("{key}: expected a table, found {}", other.type_str()));
                None
            }
        }
    }

    /// Names every key that was not asked for.
    pub fn finish(self) {
        let asked = self.asked.borrow();
        for (key, _) in self.table.iter() {
            if !asked.contains(key.get_ref().as_ref()) {
                let hint = did_you_mean(key.get_ref(), asked.iter().copied());
                self.form.mistake(key.span(), format!("unknown field '{}'.{hint}", printable(key.get_ref())));
            }
        }
    }
}
