//! From the TOML form of catalog/README.md to systems, interfaces and parts, with the line each stands on.

use std::fmt::Display;

use semver::{Version, VersionReq};

use super::form::{Form, Mistake, Table};
use super::{
    Drive, DriveForm, HeadSeat, Interface, Kind, Made, Material, Part, Port, Reuse, Revision, Seat, SeatForm,
    Side, Sterile, System, Thread, TorqueSpec, Value, Variant,
};
use crate::units::{
    Angle, InterfaceId, LIMITS, Length, Name, PartCode, QuantityError, Range, SystemId, Torque, did_you_mean,
    printable,
};

/// What a file says, each item with its file and line, not yet checked against the rest.
#[derive(Debug, Default)]
#[allow(missing_docs)]
pub struct Draft {
    pub systems: Vec<(System, String, usize)>,
    pub interfaces: Vec<(Interface, String, usize)>,
    pub parts: Vec<(Part, String, usize)>,
    pub mistakes: Vec<Mistake>,
}

/// Reads one file into `draft`.
pub fn read_file(file: &str, text: &str, draft: &mut Draft) {
    let form = Form::new(file, text);
    let root = form.parse();
    let top = Table::root(&form, &root);
    let form_number = top.need("form", |t| match t {
        "1" => Ok(1_u8),
        "2" => Ok(2),
        _ => Err(format!("'{}' is not known here: expected 1 or 2", printable(t))),
    });
    let invented = match top.flag("invented") {
        Value::Known(yes) => yes,
        _ => {
            top.mistake("invented", "invented is missing: expected true or false");
            true
        }
    };
    // `system` is either the file's default or the list of systems it defines.
    let defines = top.is_list("system");
    let defaults = Defaults {
        source: top.maybe("source", Name::new),
        maker: top.maybe("maker", maker_name),
        system: if defines { None } else { top.maybe("system", SystemId::new) },
    };
    for table in if defines { top.tables("system") } else { Vec::new() } {
        if let Some(system) = read_system(&table, &defaults, invented) {
            draft.systems.push((system, file.to_owned(), table.line()));
        }
        table.finish();
    }
    for table in top.tables("interface") {
        if let Some(interface) = read_interface(&table, &defaults) {
            draft.interfaces.push((interface, file.to_owned(), table.line()));
        }
        table.finish();
    }
    for table in top.tables("part") {
        if let Some(part) = read_part(&table, &defaults) {
            draft.parts.push((part, file.to_owned(), table.line()));
        }
        table.finish();
    }
    if form_number == Some(1) {
        // A form says what may stand in it: an older program would take the key for a mistake.
        let states = |(part, from, _): &&(Part, String, usize)| from == file && !part.maker.is_unknown();
        if let Some((part, _, line)) = draft.parts.iter().find(states) {
            let what = format!("part {}: its maker is stated, which is form 2: write form = 2", part.code);
            draft.mistakes.push(Mistake { file: file.to_owned(), line: *line, what });
        }
    }
    top.finish();
    draft.mistakes.extend(form.into_mistakes());
}

struct Defaults {
    source: Option<Name>,
    maker: Option<Name>,
    system: Option<SystemId>,
}

impl Defaults {
    fn source(&self, table: &Table<'_, '_>) -> Option<Name> {
        let own = table.maybe("source", Name::new);
        let source = own.or_else(|| self.source.clone());
        if source.is_none() && !table.has("source") {
            table.mistake("source", "source is missing: who states these numbers?");
        }
        source
    }
}

fn read_system(t: &Table<'_, '_>, defaults: &Defaults, invented: bool) -> Option<System> {
    let id = t.need("id", SystemId::new);
    let name = t.need("name", Name::new);
    let source = defaults.source(t);
    Some(System { id: id?, name: name?, source: source?, invented })
}

fn read_interface(t: &Table<'_, '_>, defaults: &Defaults) -> Option<Interface> {
    let id = t.need("id", InterfaceId::new);
    let description = t.need("description", Name::new);
    let source = defaults.source(t);
    let form = t.value("form", |x| seat_form(x, "a joint"));
    let mut revisions: Vec<Revision> = Vec::new();
    for step in t.tables("revisions") {
        let revision = step.need("revision", version);
        let what = step.need("what", Name::new);
        if let (Some(revision), Some(what)) = (revision, what) {
            if revisions.last().is_some_and(|last| last.revision >= revision) {
                step.mistake(
                    "revision",
                    format!("revision {revision} does not follow the one before: expected oldest first"),
                );
            }
            revisions.push(Revision { revision, what });
        }
        step.finish();
    }
    if revisions.is_empty() {
        t.mistake("revisions", "revisions is missing: expected at least one { revision, what }");
        return None;
    }
    Some(Interface { id: id?, description: description?, source: source?, form, revisions })
}

fn version(text: &str) -> Result<Version, String> {
    Version::parse(text).map_err(|e| format!("'{}' is not a revision such as 1.0.0 ({e})", printable(text)))
}

fn requirement(text: &str) -> Result<VersionReq, String> {
    VersionReq::parse(text)
        .map_err(|e| format!("'{}' is not a requirement such as ^1.1 ({e})", printable(text)))
}

fn length(range: &'static Range) -> impl Fn(&str) -> Result<Length, QuantityError> {
    move |text| Length::parse(text, range)
}

fn whole<T: TryFrom<i64>>(range: &'static Range) -> impl Fn(&str) -> Result<T, String> {
    move |text| {
        let n = range.whole(text).map_err(|e| e.to_string())?;
        T::try_from(n).map_err(|_| format!("'{}' is too large", printable(text)))
    }
}

fn one_of<T: Copy>(text: &str, what: &str, all: &[(T, &str)]) -> Result<T, String> {
    let expected = || all.iter().map(|(_, w)| format!("'{w}'")).collect::<Vec<_>>().join(", ");
    all.iter().find(|(_, word)| *word == text).map(|(value, _)| *value).ok_or_else(|| {
        let hint = did_you_mean(text, all.iter().map(|(_, w)| *w));
        format!("'{}' is not {what}: expected one of {}.{hint}", printable(text), expected())
    })
}

/// Asks for a field where the kind has it; a kind that cannot have it makes the field a mistake.
fn has<T, E: Display>(
    t: &Table<'_, '_>,
    kind: Option<Kind>,
    applies: impl Fn(Kind) -> bool,
    key: &'static str,
    read: impl FnOnce(&str) -> Result<T, E>,
) -> Value<T> {
    match kind {
        Some(kind) if !applies(kind) => {
            let value = t.value(key, read);
            if value.known().is_some() {
                t.mistake(key, format!("{key}: a part of kind {} has none", kind.slug()));
            }
            Value::NotApplicable
        }
        _ => t.value(key, read),
    }
}

/// The torque of a part: a number, 'by hand', 'n/a', or left out.
pub fn read_torque(text: &str) -> Result<TorqueSpec, String> {
    match text {
        "by hand" => Ok(TorqueSpec::ByHand),
        "n/a" => Ok(TorqueSpec::NotApplicable),
        _ => Torque::parse(text, &LIMITS.torque)
            .map(TorqueSpec::Stated)
            .map_err(|e| format!("{e}, or 'by hand' (the maker says so), or left out: not known")),
    }
}

/// A part of a case file that was made for one patient.
pub fn read_made_part(t: &Table<'_, '_>, source: &Name, system: &SystemId) -> Option<Part> {
    read_part(t, &Defaults { source: Some(source.clone()), maker: None, system: Some(system.clone()) })
}

fn read_part(t: &Table<'_, '_>, defaults: &Defaults) -> Option<Part> {
    let code = t.need("code", PartCode::new);
    let kind = t.need("kind", |text| {
        let all: Vec<(Kind, &str)> = Kind::ALL.iter().map(|k| (*k, k.slug())).collect();
        one_of(text, "a kind", &all)
    });
    let system = t.maybe("system", SystemId::new).or_else(|| defaults.system.clone());
    if system.is_none() {
        t.mistake("system", "system is missing");
    }
    let description = t.need("description", Name::new);
    let source = defaults.source(t);
    let maker = match t.maybe("maker", maker_name).or_else(|| defaults.maker.clone()) {
        Some(maker) => Value::Known(maker),
        None => Value::Unknown,
    };
    let body = Kind::has_body;
    let width = |k: Kind| k.has_body() || matches!(k, Kind::Implant | Kind::HealingCap);
    let (collar_short, collar_long) = collars(t, kind);
    let angle = has(t, kind, body, "angle", |x| Angle::parse(x, &LIMITS.angle));
    let angled = angle.known().is_some_and(|a| a.base() > 0);
    let mut ports = Vec::new();
    for port in t.tables("seat") {
        ports.extend(read_seat(&port, angled).map(Port::Seat));
        port.finish();
    }
    for port in t.tables("thread") {
        ports.extend(read_thread(&port).map(Port::Thread));
        port.finish();
    }
    for port in t.tables("head_seat") {
        ports.extend(read_head_seat(&port).map(Port::HeadSeat));
        port.finish();
    }
    if ports.len() > 8 {
        t.mistake("seat", format!("{} ports: at most 8 are kept", ports.len()));
    }
    let belongs_to = t.list("belongs_to", PartCode::new);
    if belongs_to.len() > 24 {
        t.mistake("belongs_to", format!("belongs_to names {} parts: at most 24 are kept", belongs_to.len()));
    }
    // Every field is read before any `?`, so one bad field never hides the next.
    let seat_height = has(t, kind, body, "seat_height", length(&LIMITS.seat_height));
    let offset = has(t, kind, body, "offset", length(&LIMITS.offset));
    let widest = has(t, kind, width, "widest", length(&LIMITS.width));
    let neck = has(t, kind, width, "neck", length(&LIMITS.width));
    let under_head = has(t, kind, Kind::is_screw, "under_head", length(&LIMITS.screw_length));
    let shank = has(t, kind, Kind::is_screw, "shank", length(&LIMITS.bore));
    let head_diameter = has(t, kind, Kind::is_screw, "head_diameter", length(&LIMITS.head_diameter));
    let head_height = has(t, kind, Kind::is_screw, "head_height", length(&LIMITS.head_diameter));
    let channel =
        |k: Kind| k.is_screw() || matches!(k, Kind::Cylinder | Kind::TitaniumBase | Kind::Framework);
    let angled_channel = match (kind, t.flag("angled_channel")) {
        (Some(kind), value) if !channel(kind) => {
            if value.known().is_some() {
                t.mistake(
                    "angled_channel",
                    format!("angled_channel: a part of kind {} has none", kind.slug()),
                );
            }
            Value::NotApplicable
        }
        (_, value) => value,
    };
    let drive = match kind {
        Some(k) if !k.has_drive() && !t.has("drive") => Value::NotApplicable,
        _ => t.value("drive", read_drive),
    };
    let driver_length = has(t, kind, |k| k == Kind::Driver, "driver_length", length(&LIMITS.driver_length));
    let material = match t.value("material", Name::new) {
        Value::Known(of) => Value::Known(Material { of, coating: t.value("coating", Name::new) }),
        Value::NotApplicable => Value::NotApplicable,
        Value::Unknown => Value::Unknown,
    };
    let torque = t.maybe("torque", read_torque).unwrap_or(match kind {
        Some(k) if k.is_fitted() && k != Kind::Cylinder => TorqueSpec::NotKnown,
        Some(Kind::LaboratoryScrew) => TorqueSpec::NotKnown,
        _ => TorqueSpec::NotApplicable,
    });
    let length_tolerance = t.value("length_tolerance", length(&LIMITS.tolerance));
    let sterile = t
        .maybe("sterile", |x| {
            one_of(
                x,
                "a state",
                &[(Sterile::Sterile, "sterile"), (Sterile::ToBeSterilised, "to be sterilised")],
            )
        })
        .unwrap_or(Sterile::NotStated);
    let reuse = t
        .maybe("use", |x| one_of(x, "a use", &[(Reuse::SingleUse, "single"), (Reuse::Reusable, "reusable")]))
        .unwrap_or(Reuse::NotStated);
    let pack = t.value("pack", whole(&LIMITS.pack));
    let gtin = t.value("gtin", gtin);
    let hibc = t.value("hibc", hibc);
    let replaced_by = t.maybe("replaced_by", PartCode::new);
    let made = t.table("made").and_then(|m| {
        let laboratory = m.need("laboratory", Name::new);
        let job = m.need("job", Name::new);
        let file = m.value("file", Name::new);
        let days = m.value("days", whole(&LIMITS.days));
        m.finish();
        Some(Made { laboratory: laboratory?, job: job?, file, days })
    });
    Some(Part {
        code: code?,
        kind: kind?,
        system: system?,
        description: description?,
        ports,
        seat_height,
        collar_short,
        collar_long,
        angle,
        offset,
        widest,
        neck,
        under_head,
        shank,
        head_diameter,
        head_height,
        angled_channel,
        drive,
        driver_length,
        material,
        torque,
        length_tolerance,
        sterile,
        reuse,
        pack,
        gtin,
        hibc,
        replaced_by,
        belongs_to,
        made,
        source: source?,
        maker,
    })
}

/// Somebody makes every part.
fn maker_name(text: &str) -> Result<Name, String> {
    match text {
        "n/a" => Err("every part has a maker: leave it out where it is not known".to_owned()),
        _ => Name::new(text).map_err(|e| e.to_string()),
    }
}

fn collars(t: &Table<'_, '_>, kind: Option<Kind>) -> (Value<Length>, Value<Length>) {
    let both = has(t, kind, Kind::has_body, "collar", length(&LIMITS.collar));
    let short = has(t, kind, Kind::has_body, "collar_short", length(&LIMITS.collar));
    let long = has(t, kind, Kind::has_body, "collar_long", length(&LIMITS.collar));
    if t.has("collar") {
        if t.has("collar_short") || t.has("collar_long") {
            t.mistake("collar", "collar sets both sides: leave out collar_short and collar_long, or collar");
        }
        return (both, both);
    }
    if let (Value::Known(s), Value::Known(l)) = (short, long)
        && s > l
    {
        t.mistake("collar_short", format!("collar_short {s} is longer than collar_long {l}"));
    }
    (short, long)
}

fn side(t: &Table<'_, '_>) -> Option<Side> {
    t.need("side", |x| one_of(x, "a side", &[(Side::Below, "below"), (Side::Above, "above")]))
}

fn read_seat(t: &Table<'_, '_>, angled: bool) -> Option<Seat> {
    let side = side(t);
    let interface = t.need("interface", InterfaceId::new);
    let variant = t.value("variant", |x| {
        one_of(x, "a variant", &[(Variant::Flat, "flat"), (Variant::Corner, "corner")])
    });
    let engaging = t.flag("engaging");
    let index = t.value("index", whole(&LIMITS.index_count));
    let leans_here = angled && side == Some(Side::Below);
    if variant.known().is_some() && !leans_here {
        t.mistake("variant", "variant: only the lower seat of an angled part has one");
    }
    let (offers, accepts) = (t.value("offers", version), t.value("accepts", requirement));
    let ring = |key| t.value(key, length(&LIMITS.seat_diameter));
    let (outer, inner) = (ring("outer"), ring("inner"));
    Some(Seat {
        side: side?,
        interface: interface?,
        offers,
        accepts,
        outer,
        inner,
        engaging,
        index,
        variant: if leans_here { variant } else { Value::NotApplicable },
    })
}

fn read_thread(t: &Table<'_, '_>) -> Option<Thread> {
    let side = side(t);
    let (diameter, pitch) = if t.has("size") {
        if t.has("diameter") || t.has("pitch") {
            t.mistake("size", "size sets diameter and pitch: leave those out, or size");
        }
        match t.value("size", thread_size) {
            Value::Known((d, p)) => (Value::Known(d), Value::Known(p)),
            _ => (Value::Unknown, Value::Unknown),
        }
    } else {
        (t.value("diameter", length(&LIMITS.thread_diameter)), t.value("pitch", length(&LIMITS.pitch)))
    };
    let length = t.value("length", length(&LIMITS.thread_length));
    Some(Thread { side: side?, diameter, pitch, length })
}

fn thread_size(text: &str) -> Result<(Length, Length), String> {
    let wrong = || format!("'{}' is not a thread such as M1.4x0.3", printable(text));
    let (d, p) = text.strip_prefix('M').and_then(|rest| rest.split_once('x')).ok_or_else(wrong)?;
    let d = Length::parse(d, &LIMITS.thread_diameter).map_err(|e| e.to_string())?;
    let p = Length::parse(p, &LIMITS.pitch).map_err(|e| e.to_string())?;
    if p.base() * 2 >= d.base() {
        return Err(format!("'{}': the pitch must be under half the diameter", printable(text)));
    }
    Ok((d, p))
}

fn gtin(text: &str) -> Result<Name, String> {
    if !crate::scan::is_gtin(text) {
        return Err(format!(
            "'{}' is no GTIN: expected 8, 12, 13 or 14 digits, the last of them its check digit",
            printable(text)
        ));
    }
    Name::new(text).map_err(|e| e.to_string())
}

/// The primary code of HIBC without its check character.
fn hibc(text: &str) -> Result<Name, String> {
    let code = text.strip_prefix('+').unwrap_or(text);
    let plain = code.bytes().all(|b| b.is_ascii_digit() || b.is_ascii_uppercase());
    let framed =
        code.starts_with(|c: char| c.is_ascii_uppercase()) && code.ends_with(|c: char| c.is_ascii_digit());
    if !(plain && framed && (6..=23).contains(&code.len())) {
        return Err(format!(
            "'{}' is no HIBC primary code: expected labeler, number and unit without the check character, such as A123BJC5D6E71",
            printable(text)
        ));
    }
    Name::new(text).map_err(|e| e.to_string())
}

/// 'flat', or 'cone' and its half-angle.
fn seat_form(text: &str, what: &str) -> Result<SeatForm, String> {
    match text.strip_prefix("cone ") {
        Some(half) => Angle::parse(half, &LIMITS.cone).map(SeatForm::Cone).map_err(|e| e.to_string()),
        None if text == "flat" => Ok(SeatForm::Flat),
        None => {
            Err(format!("'{}' is not {what}: expected 'flat' or 'cone 30' (half-angle)", printable(text)))
        }
    }
}

fn read_head_seat(t: &Table<'_, '_>) -> Option<HeadSeat> {
    let side = side(t);
    let form = t.value("form", |x| seat_form(x, "a head seat"));
    let mean_diameter = t.value("mean_diameter", length(&LIMITS.head_diameter));
    let bore = t.value("bore", length(&LIMITS.bore));
    if side == Some(Side::Below) && bore.known().is_some() {
        t.mistake("bore", "bore: a screw's head has none, the part it rests on has");
    }
    Some(HeadSeat {
        side: side?,
        form,
        mean_diameter,
        bore: if side == Some(Side::Below) { Value::NotApplicable } else { bore },
    })
}

fn read_drive(text: &str) -> Result<Drive, String> {
    let wrong =
        || format!("'{}' is not a drive: expected form and size, such as 'hexagon 1.22'", printable(text));
    let (form, size) = text.rsplit_once(' ').ok_or_else(wrong)?;
    let form = DriveForm::ALL.iter().find(|(_, w)| *w == form).map(|(f, _)| *f).ok_or_else(wrong)?;
    let size = Length::parse(size, &LIMITS.drive).map_err(|e| e.to_string())?;
    Ok(Drive { form, size })
}
