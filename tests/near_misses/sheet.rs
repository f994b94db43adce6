//! A part as a sheet of numbers: every one of them can be read, changed and taken away by its address.
//!
//! The addresses are those of the part's JSON, so a number that is added to parts later is found here without being
//! asked for, and `covers.rs` turns red until the table of what must be known says something about it.

use std::sync::{Arc, OnceLock};

use serde_json::{Value as Json, json};
use spareseat::catalog::Part;

/// A part's numbers; copies are shared until one of them is changed.
#[derive(Debug, Clone)]
pub struct Sheet {
    numbers: Arc<Json>,
    part: OnceLock<Arc<Part>>,
}

impl PartialEq for Sheet {
    fn eq(&self, other: &Self) -> bool {
        self.numbers == other.numbers
    }
}

/// What stands at an address.
#[derive(Debug, Clone, PartialEq)]
pub enum Cell {
    /// The part has no such port.
    NoPort,
    /// Left out: nobody has stated it.
    Unknown,
    /// 'n/a'.
    DoesNotApply,
    /// Stated, in base units where it is a number.
    Known(Json),
}

impl Cell {
    /// Neither stated nor said to be absent.
    pub fn is_missing(&self) -> bool {
        matches!(self, Self::NoPort | Self::Unknown)
    }

    /// A length, an angle or a torque in base units.
    pub fn number(&self) -> Option<i64> {
        match self {
            Self::Known(json) => json.as_i64().or_else(|| json.get("stated").and_then(Json::as_i64)),
            _ => None,
        }
    }
}

/// The keys that are no number of the part: its name, its ports as a list.
const NO_NUMBERS: [&str; 2] = ["code", "ports"];

impl Sheet {
    pub fn of(part: &Part) -> Self {
        let numbers = Arc::new(serde_json::to_value(part).expect("a part is plain data"));
        Self { numbers, part: OnceLock::new() }
    }

    pub fn part(&self) -> Arc<Part> {
        let read = || serde_json::from_value((*self.numbers).clone());
        self.part.get_or_init(|| Arc::new(read().unwrap_or_else(|e| panic!("{e}: {}", self.numbers)))).clone()
    }

    fn change(&mut self) -> &mut Json {
        self.part = OnceLock::new();
        Arc::make_mut(&mut self.numbers)
    }

    pub fn text(&self, key: &str) -> &str {
        self.numbers[key].as_str().unwrap_or_default()
    }

    /// Every address of the part: its own keys, then those of its ports as 'seat below/outer'.
    pub fn addresses(&self) -> Vec<String> {
        let own =
            self.numbers.as_object().expect("a table").keys().filter(|k| !NO_NUMBERS.contains(&k.as_str()));
        let mut all: Vec<String> = own.cloned().collect();
        for port in self.ports() {
            let (kind, table) = port.as_object().and_then(|p| p.iter().next()).expect("a port has a kind");
            let keys = table.as_object().expect("a table").keys().filter(|k| *k != "side");
            all.extend(
                keys.map(|key| format!("{kind} {}/{key}", table["side"].as_str().unwrap_or_default())),
            );
        }
        all
    }

    fn ports(&self) -> &Vec<Json> {
        self.numbers["ports"].as_array().expect("a list of ports")
    }

    fn ports_mut(&mut self) -> &mut Vec<Json> {
        self.change()["ports"].as_array_mut().expect("a list of ports")
    }

    /// Where the first port of that name stands, such as 'seat below'.
    fn port_at(&self, name: &str) -> Option<usize> {
        self.ports().iter().position(|p| is_port(p, name))
    }

    pub fn has_port(&self, name: &str) -> bool {
        self.port_at(name).is_some()
    }

    /// How many ports of that name it has: one at most, or nobody knows which of them is meant.
    pub fn ports_of(&self, name: &str) -> usize {
        self.ports().iter().filter(|p| is_port(p, name)).count()
    }

    pub fn take_port(&mut self, name: &str) {
        self.ports_mut().retain(|p| !is_port(p, name));
    }

    /// Adds a port of another part.
    pub fn add_port_of(&mut self, name: &str, other: &Self) {
        let at = other.port_at(name).expect("a port of that name");
        let port = other.ports()[at].clone();
        self.ports_mut().push(port);
    }

    /// A second port of the same name, with one number of its own.
    pub fn double_port(&mut self, name: &str, key: &str, value: &Json) {
        let twin = self.clone();
        self.add_port_of(name, &twin);
        let last = self.ports_mut().last_mut().expect("it was just added");
        let kind = name.split(' ').next().unwrap_or_default();
        last[kind][key] = value.clone();
    }

    /// The ports in another order.
    pub fn turn_ports(&mut self, by: usize) {
        let ports = self.ports_mut();
        let len = ports.len().max(1);
        ports.rotate_left(by % len);
    }

    fn json_at(&self, address: &str) -> Option<&Json> {
        let Some((port, key)) = address.split_once('/') else { return self.numbers.get(address) };
        let kind = port.split(' ').next().unwrap_or_default();
        self.ports().get(self.port_at(port)?)?.get(kind)?.get(key)
    }

    /// What stands at an address.
    pub fn cell(&self, address: &str) -> Cell {
        match self.json_at(address) {
            None => Cell::NoPort,
            Some(Json::Null) => Cell::Unknown,
            Some(Json::String(s)) if s == "n/a" || s == "not-applicable" => Cell::DoesNotApply,
            Some(Json::String(s)) if s == "not-known" => Cell::Unknown,
            Some(known) => Cell::Known(known.clone()),
        }
    }

    /// A length or an angle in base units, where it is stated.
    pub fn number(&self, address: &str) -> Option<i64> {
        self.cell(address).number()
    }

    /// Writes at an address; the port must be there.
    pub fn set(&mut self, address: &str, value: Json) {
        let Some((port, key)) = address.split_once('/') else {
            self.change()[address] = value;
            return;
        };
        let kind = port.split(' ').next().unwrap_or_default();
        let at = self.port_at(port).unwrap_or_else(|| panic!("no {port} on {}", self.text("code")));
        self.ports_mut()[at][kind][key] = value;
    }

    /// Takes a number away: not known, in the form this key has it.
    pub fn forget(&mut self, address: &str) {
        let unknown = match address {
            "torque" => json!("not-known"),
            "sterile" | "reuse" => json!("not-stated"),
            "belongs_to" => json!([]),
            _ => Json::Null,
        };
        self.set(address, unknown);
    }

    /// Says that a number does not exist on the part.
    pub fn does_not_apply(&mut self, address: &str) {
        self.set(address, json!(if address == "torque" { "not-applicable" } else { "n/a" }));
    }

    /// The same part under another code.
    pub fn renamed(&self, code: &str) -> Self {
        let mut other = self.clone();
        other.change()["code"] = json!(code);
        other
    }
}

fn is_port(port: &Json, name: &str) -> bool {
    let Some((kind, side)) = name.split_once(' ') else { return false };
    port.get(kind).is_some_and(|table| table["side"] == side)
}
