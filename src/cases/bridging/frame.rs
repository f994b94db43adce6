//! The frame of a restoration that is entered by a command: one made part, of which only what is said is known.

use super::BridgeAsk;
use crate::case::{Fitted, Restoration, Sites};
use crate::catalog::{
    Form, HeadSeat, Part, Port, Position, Seat, SeatForm, Side, Table, Value, read_made_part,
};
use crate::units::{Angle, InterfaceId, LIMITS, Length, Name, SystemId, Tooth, printable, teeth};

/// 'FORM,MEAN,BORE': the shoulder in a frame that the head of a screw rests on.
pub fn read_shoulder(text: &str) -> Result<HeadSeat, String> {
    let wrong = || {
        format!(
            "'{}' is not a head seat: expected its form, mean diameter and bore in mm, such as flat,1.9,1.6 or 'cone 30,1.9,1.6'",
            printable(text)
        )
    };
    let [form, mean, bore] = text.split(',').map(str::trim).collect::<Vec<_>>()[..] else {
        return Err(wrong());
    };
    let form = match form.strip_prefix("cone ") {
        Some(half) => SeatForm::Cone(Angle::parse(half, &LIMITS.cone).map_err(|e| e.to_string())?),
        None if form == "flat" => SeatForm::Flat,
        None => return Err(wrong()),
    };
    let mean = Length::parse(mean, &LIMITS.head_diameter).map_err(|e| e.to_string())?;
    let bore = Length::parse(bore, &LIMITS.bore).map_err(|e| e.to_string())?;
    if bore >= mean {
        return Err(format!(
            "a bore of {bore} in a head seat of {mean} mean diameter: expected the bore to be narrower"
        ));
    }
    let known = |length| Value::Known(length);
    Ok(HeadSeat {
        side: Side::Above,
        form: Value::Known(form),
        mean_diameter: known(mean),
        bore: known(bore),
    })
}

/// A part of which nothing is known but what it is: read as a case file's would be.
pub(super) fn made(code: &str, description: &str) -> Part {
    let text = format!(
        "code = \"{code}\"\nkind = \"framework\"\ndescription = \"{description}\"\n\
         made = {{ laboratory = \"laboratory not on record\", job = \"not on record\" }}\n"
    );
    let form = Form::new("frame", &text);
    let root = form.parse();
    let (source, system) = (Name::new("entered by a command"), SystemId::new("made-part"));
    let part = match (&source, &system) {
        (Ok(source), Ok(system)) => read_made_part(&Table::root(&form, &root), source, system),
        _ => None,
    };
    part.expect("code and description are made of a case number and teeth")
}

/// The frame that is said.
pub(super) fn frame(ask: &BridgeAsk, restoration: &Restoration) -> Part {
    let code = format!("frame-{}-{}", ask.case.as_str().to_lowercase(), restoration.sites[0].iso());
    let mut part = made(&code, &format!("frame of {}, as it was said", restoration.words()));
    part.ports.extend(ask.frame_seat.clone().map(|interface| Port::Seat(seat(interface))));
    part.ports.extend(ask.head_seat.clone().map(Port::HeadSeat));
    part
}

fn seat(interface: InterfaceId) -> Seat {
    Seat {
        side: Side::Below,
        interface,
        offers: Value::Unknown,
        accepts: Value::Unknown,
        outer: Value::Unknown,
        inner: Value::Unknown,
        engaging: Value::Unknown,
        index: Value::Unknown,
        variant: Value::NotApplicable,
    }
}

/// What the person should hear about it; what was said is booked.
pub(super) fn remarks(
    ask: &BridgeAsk,
    restoration: &Restoration,
    sites: &Sites,
    frame: &Part,
) -> Vec<String> {
    let mut lines = Vec::new();
    let unnamed = ask.span.unnamed();
    if !unnamed.is_empty() {
        let (are, them) = if unnamed.len() == 1 { ("is", "it") } else { ("are", "them") };
        lines.push(format!(
            "{} between the sites {are} not named: if the restoration replaces {them}, end it and enter it again with {them} in brackets",
            teeth(&unnamed)
        ));
    }
    lines.extend(ask.frame_seat.as_ref().and_then(|seat| meets_nothing(seat, restoration, sites)));
    let old = |t: &Tooth| {
        let old = Fitted::at(sites.get(t)?, Position::Framework).filter(|f| f.part != *frame)?;
        Some((*t, &old.part.code))
    };
    let old: Vec<String> =
        restoration.sites.iter().filter_map(old).map(|(t, code)| format!("{code} at {t}")).collect();
    if !old.is_empty() {
        lines.push(format!("on record as framework before, and not any more: {}", old.join(", ")));
    }
    lines
}

/// The frame's seat meets no seat on record below it: the mistake may be in either.
fn meets_nothing(seat: &InterfaceId, restoration: &Restoration, sites: &Sites) -> Option<String> {
    let below = |t: &Tooth| {
        let own = sites.get(t).map_or(&[][..], Vec::as_slice);
        let at = |p: Position| Fitted::at(own, p);
        let bonded = at(Position::Cylinder).or_else(|| at(Position::Base));
        bonded.or_else(|| at(Position::Abutment)).or_else(|| at(Position::Implant))
    };
    let meets =
        |t: &Tooth| below(t).and_then(|f| f.part.seat(Side::Above)).is_some_and(|s| s.interface == *seat);
    let not: Vec<Tooth> = restoration.sites.iter().copied().filter(|t| !meets(t)).collect();
    if not.is_empty() {
        return None;
    }
    let there = not.iter().map(|t| match below(t) {
        Some(f) => match f.part.seat(Side::Above) {
            Some(s) => format!("{t}: {}, {}", f.part.code, s.interface),
            None => format!("{t}: {}, seat not on record", f.part.code),
        },
        None => format!("{t}: nothing on record"),
    });
    Some(format!(
        "the frame's seat, {seat}, meets no part on record at {} ({}). It is booked as said. Look again",
        teeth(&not),
        there.collect::<Vec<_>>().join("; ")
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_head_seat_is_read_or_refused_word_for_word() {
        let shoulder = read_shoulder("flat,1.9,1.6").unwrap();
        let mm = |n| Value::Known(Length::from_base(n));
        assert_eq!((shoulder.side, shoulder.form), (Side::Above, Value::Known(SeatForm::Flat)));
        assert_eq!((shoulder.mean_diameter, shoulder.bore), (mm(1900), mm(1600)));
        let cone = read_shoulder("cone 30, 1.9, 1.6").unwrap();
        assert_eq!(cone.form, Value::Known(SeatForm::Cone(Angle::from_base(30_000))));
        let form =
            "expected its form, mean diameter and bore in mm, such as flat,1.9,1.6 or 'cone 30,1.9,1.6'";
        for (text, says) in [
            ("flat", format!("'flat' is not a head seat: {form}")),
            ("round,1.9,1.6", format!("'round,1.9,1.6' is not a head seat: {form}")),
            ("flat,1.9,0.1", "'0.1' is not a bore: expected 0.5 to 8 mm".to_owned()),
            ("cone 0,1.9,1.6", "'0' is not a cone half-angle: expected 1 to 89°".to_owned()),
            (
                "flat,1.6,1.9",
                "a bore of 1.9 mm in a head seat of 1.6 mm mean diameter: expected the bore to be narrower"
                    .to_owned(),
            ),
        ] {
            assert_eq!(read_shoulder(text).unwrap_err(), says, "{text}");
        }
    }

    /// What nobody said of a frame is not known: no port, no number, no torque.
    #[test]
    fn of_a_frame_only_what_is_said_is_known() {
        let part = made("frame-1047-24", "frame of bridge 24-25-(26)-27, as it was said");
        assert!(part.ports.is_empty() && part.made.is_some() && part.material.is_unknown());
        assert_eq!(part.torque.stated(), None);
    }
}
