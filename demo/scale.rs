//! A made-up home of any size, for benchmarks: so many parts, cases and entries.
//!
//! INVENTED, all of it: the parts are copies of the shipped made-up family Plover under other made-up names, the cases
//! copies of the made-up case 1047 (the last of several a full arch on six), the movements drawn at random. No patient may be treated by any of it.
//!
//! `cargo run --release --example scale -- --home DIR [--parts 100000] [--cases 1000] [--entries 100000]
//! [--systems 0] [--seed 1]`; then `spareseat --home DIR --on 2026-11-25 visit 100000 --site 25 …`.
//!
//! Every family has its own interfaces, so a question meets as many candidates at a million parts as at a thousand.
//! The lines go straight into the file, with one sync at the end: nothing here is anybody's only copy.

use std::error::Error;
use std::fs::OpenOptions;
use std::io::{BufWriter, Write as _};
use std::ops::ControlFlow;
use std::path::PathBuf;

use jiff::ToSpan as _;
use jiff::civil::{Date, date};
use serde_json::value::RawValue;
use spareseat::case::{Event, Happening, TorqueRecord, read_case};
use spareseat::catalog::{Edition, EditionLine, Part, Position, Value, order_of, shipped};
use spareseat::demo;
use spareseat::desk::{Home, Today};
use spareseat::logbook::{Draft, Head, LOGBOOK_FILE, Logbook as _, draft_line};
use spareseat::record::{
    Became, CaseImported, CatalogueChanged, Entry, HappenedEntered, MoveLine, Moved, ReceiveLine, Received,
    Replaced, UseLine, Used,
};
use spareseat::units::{
    Act, CaseNumber, Expiry, Initials, Lot, Note, PartCode, PlaceId, PracticeName, Tooth,
};

type Outcome<T> = Result<T, Box<dyn Error>>;

/// The day the last entry is made on; ask with `--on 2026-11-25`.
const TODAY: Date = date(2026, 11, 25);
/// Over how many years the entries are spread.
const YEARS: i64 = 10;
/// The number of the first case.
const FIRST_CASE: usize = 100_000;
const CASE: &str = include_str!("cases/1047.toml");

/// What every family has in its drawers: code without the family's name, and how many came on the first day.
const STOCKED: [(&str, u32); 8] = [
    ("prosthetic-screw-1.4", 12),
    ("mua-4.1-c2.0", 1),
    ("mua-4.1-c3.0", 1),
    ("mua-5.0-c4.0", 1),
    ("mua-4.1-c3.0-b", 1),
    ("mua-4.1-c3.5", 1),
    ("healing-cap-4.8", 4),
    ("abutment-screw-mua", 2),
];
/// The sites of case 1047 and which of the stocked abutments stands there.
const SITES: [(&str, usize); 3] = [("24", 1), ("25", 2), ("27", 3)];
/// Never taken by the random uses, so that a visit finds what it asks for.
const LEFT_ALONE: u32 = 6;

/// What is asked for.
struct Ask {
    home: PathBuf,
    parts: usize,
    cases: usize,
    entries: usize,
    /// Over how many families the cases are spread; 0 for all of them.
    systems: usize,
    seed: u64,
}

fn main() -> Outcome<()> {
    let ask = arguments()?;
    let today = Today { now: demo::noon(TODAY).ok_or("no such day")?, date: TODAY, said: true };
    let home = Home::at(&ask.home);
    let by = Initials::new("SCALE")?;
    let practice = PracticeName::new("Saltpan Practice (made up)")?;
    let mut random = Random(ask.seed);
    home.make(random.act(), true, &practice, &by, today, random.act())?;

    let family = Family::shipped()?;
    let (content, systems) = family.edition(ask.parts)?;
    let edition = home.logbook().keep(&content)?;
    drop(content);

    let mut out = Lines::after_the_first(&home, ask.entries, practice, by)?;
    let from = Note::new("made up by demo/scale.rs")?;
    let parts = ask.parts as u32;
    out.add(
        &mut random,
        Entry::Catalogue(CatalogueChanged { edition, parts, added: parts, changed: 0, from }).to_raw(),
    )?;
    let in_use = match ask.systems {
        0 => systems,
        some => some.min(systems),
    };
    Practice::new(&family, in_use.min(ask.cases).max(1), ask.cases)?.live(&mut out, &mut random)?;
    out.finish()?;
    println!(
        "{} parts in {systems} families, {} cases, {} entries in {}",
        ask.parts,
        ask.cases,
        ask.entries,
        home.shown()
    );
    Ok(())
}

fn arguments() -> Outcome<Ask> {
    let mut ask =
        Ask { home: PathBuf::new(), parts: 100_000, cases: 1_000, entries: 100_000, systems: 0, seed: 1 };
    let mut words = std::env::args().skip(1);
    while let Some(word) = words.next() {
        let value = words.next().ok_or_else(|| format!("{word} needs a value"))?;
        match word.as_str() {
            "--home" => ask.home = value.into(),
            "--parts" => ask.parts = value.parse()?,
            "--cases" => ask.cases = value.parse()?,
            "--entries" => ask.entries = value.parse()?,
            "--systems" => ask.systems = value.parse()?,
            "--seed" => ask.seed = value.parse()?,
            _ => return Err(format!("{word} is not known; see the head of demo/scale.rs").into()),
        }
    }
    if ask.home.as_os_str().is_empty() {
        return Err("--home DIR is missing: a new folder".into());
    }
    Ok(ask)
}

/// SplitMix64: the same home for the same seed, on every machine.
struct Random(u64);

impl Random {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    fn below(&mut self, n: usize) -> usize {
        (self.next() % n as u64) as usize
    }

    fn act(&mut self) -> Act {
        Act::from_bits(u128::from(self.next()) << 64 | u128::from(self.next()))
    }
}

/// The shipped family, as lines of an edition in which only the name is to be replaced.
struct Family {
    shipped: Edition,
    lines: Vec<(String, String)>,
}

fn family_name(n: usize) -> String {
    format!("sys-{n:05}")
}

/// Another family's name, and its own interfaces, in a text about the shipped one.
fn renamed(text: &str, name: &str) -> String {
    text.replace("plover", name).replace("\"top-4.8\"", &format!("\"{name}-top-4.8\""))
}

impl Family {
    fn shipped() -> Outcome<Self> {
        let shipped = Edition::from_files(shipped())?;
        let mut lines = Vec::new();
        // Drivers and other tools serve every family: they are not copied.
        for part in shipped.parts.iter().filter(|p| p.code.as_str().starts_with("plover-")) {
            lines.push((
                part.code.to_string(),
                serde_json::to_string(&EditionLine::Part(Box::new(part.clone())))?,
            ));
        }
        // In the order of the codes, so that a family cut short is the same whatever the seed.
        lines.sort();
        Ok(Self { shipped, lines })
    }

    /// The content of an edition of exactly so many parts, and how many whole families it holds.
    fn edition(&self, parts: usize) -> Outcome<(Vec<u8>, usize)> {
        let base = &self.shipped;
        let more = parts.checked_sub(base.parts.len()).filter(|n| *n >= self.lines.len());
        let more = more.ok_or_else(|| format!("at least {} parts", base.parts.len() + self.lines.len()))?;
        let families = more.div_ceil(self.lines.len());
        let mut head: Vec<String> = Vec::new();
        for system in &base.systems {
            head.push(serde_json::to_string(&EditionLine::System(system.clone()))?);
        }
        for interface in &base.interfaces {
            head.push(serde_json::to_string(&EditionLine::Interface(interface.clone()))?);
        }
        let plover: Vec<String> =
            head.iter().filter(|l| l.contains("plover") || l.contains("top-4.8")).cloned().collect();
        let mut lines: Vec<(u32, String, String)> = Vec::with_capacity(parts);
        for part in &base.parts {
            let line = serde_json::to_string(&EditionLine::Part(Box::new(part.clone())))?;
            lines.push((order_of(&part.code), part.code.to_string(), line));
        }
        for n in 0..families {
            let name = family_name(n);
            head.extend(plover.iter().map(|l| renamed(l, &name)));
            let room = parts - lines.len();
            for (code, line) in self.lines.iter().take(room) {
                let code = PartCode::new(&renamed(code, &name))?;
                lines.push((order_of(&code), code.to_string(), renamed(line, &name)));
            }
        }
        lines.sort();
        let kind = |tag: &str| head.iter().filter(|l| l.starts_with(&format!("{{\"{tag}\""))).count() as u32;
        let first = EditionLine::Edition {
            form: 1,
            systems: kind("system"),
            interfaces: kind("interface"),
            parts: parts as u32,
        };
        let mut content = serde_json::to_string(&first)?;
        content.push('\n');
        for line in head.iter().chain(lines.iter().map(|(_, _, line)| line)) {
            content.push_str(line);
            content.push('\n');
        }
        Ok((content.into_bytes(), more / self.lines.len()))
    }

    /// The stocked parts of a family.
    fn stocked(&self, name: &str) -> Outcome<Vec<Part>> {
        let mut out = Vec::new();
        for (code, _) in STOCKED {
            let code = format!("plover-{code}");
            let line =
                self.lines.iter().find(|(c, _)| *c == code).ok_or_else(|| format!("no part {code}"))?;
            let EditionLine::Part(part) = serde_json::from_str(&renamed(&line.1, name))? else { continue };
            out.push(*part);
        }
        Ok(out)
    }

    /// Case 1047 as an entry, still under its own number and the shipped family's name; `arch`: with its sites on the other
    /// side of the jaw as well, a full arch on six.
    fn case(&self, arch: bool) -> Outcome<String> {
        let text = demo::lay_dates(CASE, TODAY)?;
        let find = |code: &PartCode| {
            let found = self.shipped.parts.iter().find(|p| p.code == *code);
            found.cloned().ok_or_else(|| format!("no part {code}"))
        };
        let mut case = read_case("demo/cases/1047.toml", &text, TODAY, &find)?;
        for site in case.head.sites.clone().into_iter().filter(|_| arch) {
            let beside = Tooth::from_iso(site.iso() - 10).ok_or("no such tooth")?;
            let assembly = case.sites.get(&site).cloned().unwrap_or_default();
            case.sites.insert(beside, assembly);
            case.head.sites.push(beside);
        }
        case.head.sites.sort_by_key(|t| t.along_arch());
        for restoration in case.restorations.iter_mut().filter(|_| arch) {
            restoration.sites = case.head.sites.clone();
            let between = [16, 13, 12, 11, 21, 22, 23, 26];
            restoration.pontics = between.into_iter().filter_map(Tooth::from_iso).collect();
        }
        let assemblies = case.head.sites.iter().map(|t| case.sites.remove(t).unwrap_or_default()).collect();
        let (restorations, events) = (case.restorations, case.events);
        let entry = Entry::Case(CaseImported { case: case.head, restorations, assemblies, events });
        Ok(entry.to_raw().get().to_owned())
    }
}

/// The logbook being written: so many lines, spread over the years.
struct Lines {
    file: BufWriter<std::fs::File>,
    head: Head,
    entries: u64,
    practice: PracticeName,
    by: Initials,
}

impl Lines {
    fn after_the_first(home: &Home, entries: usize, practice: PracticeName, by: Initials) -> Outcome<Self> {
        let logbook = home.logbook();
        let mut head = Head::start(logbook.identity()?);
        logbook.read(&head.clone(), &mut |_, at| {
            head = *at;
            ControlFlow::Continue(())
        })?;
        let file = OpenOptions::new().append(true).open(home.root().join(LOGBOOK_FILE))?;
        Ok(Self {
            file: BufWriter::with_capacity(1 << 20, file),
            head,
            entries: entries as u64,
            practice,
            by,
        })
    }

    fn left(&self) -> u64 {
        self.entries.saturating_sub(self.head.seq)
    }

    /// The day of the next entry.
    fn day(&self) -> Outcome<Date> {
        let days = YEARS * 365 * (self.left() as i64) / (self.entries.max(1) as i64);
        Ok(TODAY.checked_sub(days.days())?)
    }

    fn add(&mut self, random: &mut Random, entry: Box<RawValue>) -> Outcome<()> {
        let on = self.day()?;
        let at = demo::noon(on).ok_or("no such day")?;
        let (practice, by) = (self.practice.clone(), self.by.clone());
        let (bytes, head) = draft_line(&self.head, &Draft { at, on, by, practice, act: random.act(), entry });
        self.head = head;
        Ok(self.file.write_all(&bytes)?)
    }

    fn finish(self) -> Outcome<()> {
        Ok(self.file.into_inner()?.sync_all()?)
    }
}

/// Some units of a lot in a drawer.
struct Lying {
    lot: Lot,
    place: PlaceId,
    quantity: u32,
}

/// What the random entries know of the practice, so that no balance ever goes below zero.
struct Practice {
    /// The stocked parts of every family in use.
    parts: Vec<Vec<Part>>,
    /// Beside them what lies in the drawers.
    lying: Vec<Vec<Vec<Lying>>>,
    /// What stands at each site of each case: the lot of the screw, and of the abutment.
    fitted: Vec<[[Lot; 2]; SITES.len()]>,
    case: String,
    arch: String,
    places: Vec<PlaceId>,
    lots: u64,
}

impl Practice {
    fn new(family: &Family, systems: usize, cases: usize) -> Outcome<Self> {
        let mut parts = Vec::new();
        for n in 0..systems {
            parts.push(family.stocked(&family_name(n))?);
        }
        let lying = parts.iter().map(|p| p.iter().map(|_| Vec::new()).collect()).collect();
        let (screw, abutments) = ("PS-0952", ["MU-1180", "MU-1203", "MU-1219"]);
        let mut site = Vec::new();
        for abutment in abutments {
            site.push([Lot::new(screw)?, Lot::new(abutment)?]);
        }
        let site: [_; SITES.len()] = site.try_into().map_err(|_| "three sites")?;
        let mut places = Vec::new();
        for n in 0..60 {
            places.push(PlaceId::new(&format!("cabinet-{}-drawer-{}", n / 10 + 1, n % 10 + 1))?);
        }
        Ok(Self {
            parts,
            lying,
            fitted: vec![site; cases],
            case: family.case(false)?,
            arch: family.case(true)?,
            places,
            lots: 0,
        })
    }

    fn live(&mut self, out: &mut Lines, random: &mut Random) -> Outcome<()> {
        for system in 0..self.parts.len() {
            let lines =
                (0..STOCKED.len()).map(|part| self.delivery(system, part, STOCKED[part].1, TODAY, random));
            let lines = lines.collect::<Outcome<Vec<_>>>()?;
            out.add(random, Entry::Received(Received { lines }).to_raw())?;
        }
        for case in 0..self.fitted.len() {
            // The last of several is a full arch.
            let arch = case > 0 && case + 1 == self.fitted.len();
            let text = if arch { &self.arch } else { &self.case };
            let text = renamed(text, &family_name(case % self.parts.len()));
            let text = text.replace("1047", &(FIRST_CASE + case).to_string());
            out.add(random, RawValue::from_string(text)?)?;
        }
        if out.entries < out.head.seq {
            return Err(format!("at least {} entries for so many cases and families", out.head.seq).into());
        }
        while out.left() > 0 {
            let (case, on) = (random.below(self.fitted.len()), out.day()?);
            let entry = match random.below(10) {
                0..4 => self.using(case, on, random)?,
                4..6 => {
                    let part = random.below(STOCKED.len());
                    self.received(case % self.parts.len(), part, on, random)?
                }
                6 => self.moved(case % self.parts.len(), random),
                _ => checked(case, on, random)?,
            };
            out.add(random, entry.to_raw())?;
        }
        Ok(())
    }

    fn delivery(
        &mut self,
        system: usize,
        part: usize,
        quantity: u32,
        on: Date,
        random: &mut Random,
    ) -> Outcome<ReceiveLine> {
        self.lots += 1;
        let lot = Lot::new(&format!("L{:07}", self.lots))?;
        let place = self.places[random.below(self.places.len())].clone();
        let month = on.checked_add((18 + random.below(42) as i64).months())?.first_of_month();
        self.lying[system][part].push(Lying { lot: lot.clone(), place: place.clone(), quantity });
        let part = self.parts[system][part].code.clone();
        Ok(ReceiveLine { part, lot, quantity, place, expiry: Some(Expiry::Month(month)), label: None })
    }

    fn received(&mut self, system: usize, part: usize, on: Date, random: &mut Random) -> Outcome<Entry> {
        let quantity = 1 + random.below(6) as u32;
        Ok(Entry::Received(Received { lines: vec![self.delivery(system, part, quantity, on, random)?] }))
    }

    fn moved(&mut self, system: usize, random: &mut Random) -> Entry {
        let part = random.below(STOCKED.len());
        let lying = &mut self.lying[system][part];
        let which = random.below(lying.len());
        let old = self.places.iter().position(|p| *p == lying[which].place).unwrap_or(0);
        let to = self.places[(old + 1 + random.below(self.places.len() - 1)) % self.places.len()].clone();
        let from = std::mem::replace(&mut lying[which].place, to.clone());
        let (lot, quantity) = (lying[which].lot.clone(), lying[which].quantity);
        let part = self.parts[system][part].code.clone();
        Entry::Moved(Moved { lines: vec![MoveLine { part, lot, quantity, from, to }] })
    }

    /// A new screw, seldom a new abutment; a delivery when too little is left.
    fn using(&mut self, case: usize, on: Date, random: &mut Random) -> Outcome<Entry> {
        let system = case % self.parts.len();
        let site = random.below(SITES.len());
        let abutment = random.below(8) == 0;
        let (part, position) =
            if abutment { (SITES[site].1, Position::Abutment) } else { (0, Position::ProstheticScrew) };
        let lying = &mut self.lying[system][part];
        if lying.iter().map(|l| l.quantity).sum::<u32>() <= LEFT_ALONE {
            return self.received(system, part, on, random);
        }
        // The first lot stays, so that today's visit finds it.
        let which = lying.iter().skip(1).position(|l| l.quantity > 0).map_or(0, |n| n + 1);
        lying[which].quantity -= 1;
        let (lot, place) = (lying[which].lot.clone(), lying[which].place.clone());
        if which > 0 && lying[which].quantity == 0 {
            lying.remove(which);
        }
        let stood = &mut self.fitted[case][site][usize::from(abutment)];
        let became = if random.below(4) == 0 { Became::Kept } else { Became::Discarded };
        let part = self.parts[system][part].clone();
        let replaced =
            Replaced { part: part.code.clone(), lot: Some(std::mem::replace(stood, lot.clone())), became };
        let torque = part.torque.stated().map_or(TorqueRecord::NotMeasured, TorqueRecord::Measured);
        let line = UseLine {
            site: Tooth::parse(SITES[site].0)?,
            position,
            part,
            lot,
            place,
            label: None,
            torque,
            lean: Value::NotApplicable,
            found: false,
            expired_because: None,
            replaced: Some(replaced),
        };
        Ok(Entry::Used(Used { case: number(case)?, lines: vec![line] }))
    }
}

fn number(case: usize) -> Outcome<CaseNumber> {
    Ok(CaseNumber::new(&(FIRST_CASE + case).to_string())?)
}

fn checked(case: usize, on: Date, random: &mut Random) -> Outcome<Entry> {
    let (what, note) = [
        (Happening::Checked, "recall: seats dry, screws hold, bite as it was"),
        (Happening::Checked, "recall: facets a little larger, splint worn at night"),
        (Happening::Noted, "called: a clicking noise, nothing found"),
        (Happening::Loosened, "screw a quarter turn loose, tightened again"),
    ][random.below(4)];
    let tooth = Some(Tooth::parse(SITES[random.below(SITES.len())].0)?);
    let position = (what == Happening::Loosened).then_some(Position::ProstheticScrew);
    let event = Event { on, tooth, position, what, note: Some(Note::new(note)?), kept: None };
    Ok(Entry::Happened(HappenedEntered { case: number(case)?, event }))
}
