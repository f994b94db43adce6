//! The numbers of a part held against the table of ranges: for parts that come as JSON from another house, where no
//! form has read them.

use super::{Part, Port, SeatForm, Side, Value};
use crate::units::{Angle, LIMITS, Length, OutOfRange, Range, Torque};

fn known<T>(value: &Value<T>, check: impl FnOnce(&T) -> Result<(), OutOfRange>) -> Result<(), OutOfRange> {
    value.known().map_or(Ok(()), check)
}

fn length(value: &Value<Length>, range: &Range) -> Result<(), OutOfRange> {
    known(value, |l| range.check(i64::from(l.base()), &l.to_string()))
}

fn angle(value: Angle, range: &Range) -> Result<(), OutOfRange> {
    range.check(i64::from(value.base()), &value.to_string())
}

fn count(value: &Value<u16>, range: &Range) -> Result<(), OutOfRange> {
    known(value, |n| range.check(i64::from(*n), &n.to_string()))
}

fn port(port: &Port) -> Result<(), OutOfRange> {
    match port {
        Port::Seat(s) => {
            length(&s.outer, &LIMITS.seat_diameter)?;
            length(&s.inner, &LIMITS.seat_diameter)?;
            known(&s.index, |n| LIMITS.index_count.check(i64::from(*n), &n.to_string()))
        }
        Port::Thread(t) => {
            length(&t.diameter, &LIMITS.thread_diameter)?;
            length(&t.pitch, &LIMITS.pitch)?;
            length(&t.length, &LIMITS.thread_length)
        }
        Port::HeadSeat(h) => {
            known(&h.form, |form| match form {
                SeatForm::Cone(half) => angle(*half, &LIMITS.cone),
                SeatForm::Flat => Ok(()),
            })?;
            length(&h.mean_diameter, &LIMITS.head_diameter)?;
            length(&h.bore, &LIMITS.bore)
        }
    }
}

/// Refuses a torque outside the table.
pub fn torque_in_range(torque: Torque) -> Result<(), OutOfRange> {
    LIMITS.torque.check(i64::from(torque.base()), &torque.to_string())
}

/// Refuses a part with a number outside the table.
pub fn in_range(part: &Part) -> Result<(), OutOfRange> {
    part.ports.iter().try_for_each(port)?;
    for (value, range) in [
        (&part.seat_height, &LIMITS.seat_height),
        (&part.collar_short, &LIMITS.collar),
        (&part.collar_long, &LIMITS.collar),
        (&part.offset, &LIMITS.offset),
        (&part.widest, &LIMITS.width),
        (&part.neck, &LIMITS.width),
        (&part.under_head, &LIMITS.screw_length),
        (&part.shank, &LIMITS.bore),
        (&part.head_diameter, &LIMITS.head_diameter),
        (&part.head_height, &LIMITS.head_diameter),
        (&part.driver_length, &LIMITS.driver_length),
        (&part.length_tolerance, &LIMITS.tolerance),
    ] {
        length(value, range)?;
    }
    known(&part.angle, |a| angle(*a, &LIMITS.angle))?;
    known(&part.drive, |d| LIMITS.drive.check(i64::from(d.size.base()), &d.size.to_string()))?;
    part.torque.stated().map_or(Ok(()), torque_in_range)?;
    count(&part.pack, &LIMITS.pack)?;
    part.made.as_ref().map_or(Ok(()), |m| count(&m.days, &LIMITS.days))
}

/// Whether two parts of one code are the same thing where they meet others: heights, angle, offset, ports.
pub fn same_shape(a: &Part, b: &Part) -> bool {
    let ports = |p: &Part, side| p.ports.iter().filter(|x| x.side() == side).cloned().collect::<Vec<_>>();
    a.kind == b.kind
        && (a.seat_height, a.angle, a.offset) == (b.seat_height, b.angle, b.offset)
        && (a.under_head, a.shank, a.head_diameter) == (b.under_head, b.shank, b.head_diameter)
        && [Side::Below, Side::Above].into_iter().all(|side| ports(a, side) == ports(b, side))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::{Edition, shipped};

    #[test]
    fn every_shipped_part_is_in_range_and_a_slipped_number_is_named() {
        let edition = Edition::from_files(shipped()).unwrap_or_else(|e| panic!("{e}"));
        for part in &edition.parts {
            assert_eq!(in_range(part), Ok(()), "{}", part.code);
        }
        let with = |change: &dyn Fn(&mut Part)| {
            let mut part = edition.parts.iter().find(|p| p.seat_height.known().is_some()).cloned().unwrap();
            change(&mut part);
            in_range(&part).unwrap_err().to_string()
        };
        assert_eq!(
            with(&|p| p.seat_height = Value::Known(Length::from_base(i32::MAX))),
            "'2147483.647 mm' is not a seat height: expected 0 to 20 mm"
        );
        assert_eq!(
            with(&|p| p.angle = Value::Known(Angle::from_base(-1))),
            "'-0.001°' is not an angle: expected 0 to 60°"
        );
    }

    #[test]
    fn another_height_is_another_shape_and_another_pack_is_not() {
        let edition = Edition::from_files(shipped()).unwrap_or_else(|e| panic!("{e}"));
        let part = edition.parts.iter().find(|p| p.seat_height.known().is_some()).unwrap();
        let mut other = part.clone();
        other.pack = Value::Known(7);
        assert!(same_shape(part, &other));
        other.seat_height = Value::Known(Length::from_base(1));
        assert!(!same_shape(part, &other));
    }
}
