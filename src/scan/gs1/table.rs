//! The application identifiers: how long a value is, of which characters, what it must say and what must stand beside
//! it.
//!
//! Source: GS1 General Specifications, sections 3 and 4.13; the rows were held against the GS1 syntax dictionary (GS1,
//! commit bc3bff0 of July 2026) one by one: lengths, characters, check digits, separators, what must stand beside. Of what
//! must not, only the items' own is kept.

use super::part::Rule::{Day, DayOrMonth, Hour, HourMinute, HourMinuteOrNone, LongDay, Minute, Second};
use super::part::{Part, Set, check, maybe, n, n_to, of, pieces, when, x, x_to};

/// Of every inner list one must be on the label.
type Needs = &'static [&'static [&'static str]];

/// One identifier, or a run of them that are alike.
pub(super) struct Row {
    first: &'static str,
    last: &'static str,
    /// One more digit follows, up to this: where the decimal point stands, or which of several.
    tail: Option<u8>,
    pub(super) parts: &'static [Part],
    pub(super) needs: Needs,
    /// What must not stand beside it.
    pub(super) clashes: &'static [&'static str],
    /// What it is.
    pub(super) words: &'static str,
}

const fn ai(name: &'static str, parts: &'static [Part], needs: Needs, words: &'static str) -> Row {
    Row { first: name, last: name, tail: None, parts, needs, clashes: &[], words }
}

const fn without(row: Row, clashes: &'static [&'static str]) -> Row {
    Row { clashes, ..row }
}

const fn to(last: &'static str, row: Row) -> Row {
    Row { last, ..row }
}

const fn tail(most: u8, row: Row) -> Row {
    Row { tail: Some(most), ..row }
}

/// Measures of six digits, from one leading three digits to another.
const fn measure(first: &'static str, last: &'static str, needs: Needs) -> Row {
    tail(5, to(last, ai(first, SIX, needs, "measure")))
}

const NONE: Needs = &[];
const GTIN: Needs = &[&["01"]];
const MADE: Needs = &[&["01", "03"]];
const TRADE: Needs = &[&["01", "02"]];
const GOODS: Needs = &[&["01", "02", "03"]];
const GOODS_OR_PIECE: Needs = &[&["01", "02", "8006", "8026"]];
const ITEM: Needs = &[&["01", "02", "03", "8006", "8026"]];
const PIECE: Needs = &[&["01", "03", "8006"]];
const PHONE: Needs = &[&["01"], &["21"], &["8040"]];
const UNIT: Needs = &[&["00"]];
const MOVED: Needs = &[&["00", "01"]];
const WEIGHED: &[&str] = &["30", "31", "32", "35", "36"];
const CARE: Needs = &[&["8017", "8018"]];
const PATIENT: Needs = &[&["8018"]];
const CERTIFIED: Needs = &[&["01", "8004"]];
const SIGNED: Needs = &[&["00", "01", "253", "255", "8003", "8004", "8006", "8010", "8017", "8018"]];
const SIX: &[Part] = &[n(6)];
const DATE: &[Part] = &[when(DayOrMonth)];

#[rustfmt::skip] // A table: one row a line.
const TABLE: &[Row] = &[
    ai("00", &[check(18)], NONE, "logistic unit (SSCC)"),
    without(ai("01", &[check(14)], NONE, "item (GTIN)"), &["02", "255", "37"]),
    ai("02", &[check(14)], &[&["37"]], "item inside (GTIN)"),
    without(ai("03", &[check(14)], NONE, "item made to order (GTIN)"), &["01", "02", "37", "235"]),
    ai("10", &[x_to(20)], ITEM, "lot"),
    ai("11", DATE, ITEM, "made on"),
    ai("12", DATE, &[&["8020"]], "payment due"),
    ai("13", DATE, ITEM, "packed on"),
    ai("15", DATE, ITEM, "best before"),
    ai("16", DATE, ITEM, "sell by"),
    ai("17", DATE, &[&["01", "02", "03", "255", "8006", "8026"]], "expiry"),
    ai("20", &[n(2)], ITEM, "variant"),
    without(ai("21", &[x_to(20)], &[&["01", "03", "8006"]], "serial number"), &["235"]),
    ai("22", &[x_to(20)], GTIN, "consumer product variant"),
    ai("235", &[x_to(28)], GTIN, "third-party serial number"),
    ai("240", &[x_to(30)], ITEM, "additional item number"),
    ai("241", &[x_to(30)], ITEM, "customer's part number"),
    ai("242", &[n_to(6)], GOODS_OR_PIECE, "made-to-order variant"),
    ai("243", &[x_to(20)], MADE, "packaging component"),
    ai("250", &[x_to(30)], &[&["01", "03", "8006"], &["21"]], "secondary serial number"),
    ai("251", &[x_to(30)], PIECE, "source"),
    ai("253", &[check(13), maybe(x_to(17))], NONE, "document"),
    ai("254", &[x_to(20)], &[&["414"]], "extension of the location"),
    without(ai("255", &[check(13), maybe(n_to(12))], NONE, "coupon"), &["01", "02", "415", "8006", "8020", "8026"]),
    ai("30", &[pieces(8)], TRADE, "quantity"),
    measure("310", "316", TRADE),
    measure("320", "329", TRADE),
    measure("330", "336", MOVED),
    measure("337", "337", GTIN),
    measure("340", "349", MOVED),
    measure("350", "352", TRADE),
    measure("353", "355", MOVED),
    measure("356", "357", TRADE),
    measure("360", "361", TRADE),
    measure("362", "363", MOVED),
    measure("364", "366", TRADE),
    measure("367", "369", MOVED),
    ai("37", &[pieces(8)], &[&["00"], &["02", "8026"]], "quantity inside"),
    tail(9, ai("390", &[n_to(15)], &[&["255", "8020"]], "amount")),
    tail(9, ai("391", &[n(3), n_to(15)], &[&["8020"]], "amount with currency")),
    tail(9, ai("392", &[n_to(15)], &[&["01"], WEIGHED], "price")),
    tail(9, ai("393", &[n(3), n_to(15)], &[WEIGHED], "price with currency")),
    tail(3, ai("394", &[n(4)], &[&["255"]], "discount")),
    tail(5, ai("395", &[n(6)], &[WEIGHED], "price per measure")),
    ai("400", &[x_to(30)], NONE, "order number"),
    ai("401", &[x_to(30)], NONE, "consignment"),
    ai("402", &[check(17)], NONE, "shipment"),
    ai("403", &[x_to(30)], UNIT, "route"),
    to("414", ai("410", &[check(13)], NONE, "location (GLN)")),
    ai("415", &[check(13)], &[&["8020"]], "invoicing party (GLN)"),
    to("417", ai("416", &[check(13)], NONE, "location (GLN)")),
    without(ai("420", &[x_to(20)], NONE, "ship to post code"), &["421"]),
    ai("421", &[n(3), x_to(9)], NONE, "ship to post code with country"),
    ai("422", &[n(3)], ITEM, "country of origin"),
    ai("423", &[n(3), maybe(n(3)), maybe(n(3)), maybe(n(3)), maybe(n(3))], GOODS, "country of first processing"),
    ai("424", &[n(3)], GOODS, "country of processing"),
    ai("425", &[n(3), maybe(n(3)), maybe(n(3)), maybe(n(3)), maybe(n(3))], GOODS, "country of disassembly"),
    ai("426", &[n(3)], GOODS, "country of every processing"),
    ai("427", &[x_to(3)], &[&["01", "02", "03"], &["422"]], "part of the country of origin"),
    to("4301", ai("4300", &[x_to(35)], UNIT, "ship to")),
    ai("4302", &[x_to(70)], UNIT, "ship to"),
    ai("4303", &[x_to(70)], &[&["4302"]], "ship to"),
    to("4306", ai("4304", &[x_to(70)], UNIT, "ship to")),
    ai("4307", &[x(2)], UNIT, "ship to country"),
    ai("4308", &[x_to(30)], UNIT, "ship to telephone"),
    ai("4309", &[n(10), n(10)], UNIT, "ship to coordinates"),
    to("4311", ai("4310", &[x_to(35)], UNIT, "return to")),
    ai("4312", &[x_to(70)], UNIT, "return to"),
    ai("4313", &[x_to(70)], &[&["4312"]], "return to"),
    to("4316", ai("4314", &[x_to(70)], UNIT, "return to")),
    ai("4317", &[x(2)], UNIT, "return to country"),
    ai("4318", &[x_to(20)], UNIT, "return to post code"),
    ai("4319", &[x_to(30)], UNIT, "return to telephone"),
    ai("4320", &[x_to(35)], UNIT, "service"),
    to("4323", ai("4321", &[n(1)], UNIT, "handling flag")),
    to("4325", ai("4324", &[when(DayOrMonth), when(HourMinuteOrNone)], UNIT, "delivery time")),
    ai("4326", &[when(Day)], UNIT, "release date"),
    to("4333", ai("4330", &[n(6), maybe(x(1))], UNIT, "temperature")),
    ai("7001", &[n(13)], GOODS_OR_PIECE, "NATO stock number"),
    ai("7002", &[x_to(30)], TRADE, "meat cut"),
    ai("7003", &[when(Day), when(HourMinute)], GOODS, "expiry with time"),
    ai("7004", &[n_to(4)], &[&["01", "03"], &["10"]], "active potency"),
    ai("7005", &[x_to(12)], TRADE, "catch area"),
    ai("7006", &[when(Day)], TRADE, "first freeze"),
    ai("7007", &[when(Day), maybe(when(Day))], TRADE, "harvest"),
    ai("7008", &[x_to(3)], TRADE, "species"),
    ai("7009", &[x_to(10)], TRADE, "fishing gear"),
    ai("7010", &[x_to(2)], GOODS, "production method"),
    ai("7011", &[when(Day), maybe(when(HourMinute))], GOODS, "test by"),
    ai("7020", &[x_to(20)], &[&["01", "03", "8006"], &["416"]], "refurbishment lot"),
    ai("7021", &[x_to(20)], PIECE, "functional status"),
    ai("7022", &[x_to(20)], &[&["01", "03", "8006"], &["7021"]], "revision status"),
    ai("7023", &[x_to(30)], NONE, "assembly (GIAI)"),
    tail(9, ai("703", &[n(3), x_to(27)], TRADE, "processor")),
    ai("7040", &[n(1), x(1), x(1), x(1)], NONE, "unique identification code"),
    ai("7041", &[x_to(4)], UNIT, "freight unit"),
    to("717", ai("710", &[x_to(20)], GTIN, "national reimbursement number")),
    tail(9, ai("723", &[x(2), x_to(28)], CERTIFIED, "certification")),
    ai("7240", &[x_to(20)], PIECE, "protocol"),
    ai("7241", &[n(2)], CARE, "medium"),
    ai("7242", &[x_to(25)], CARE, "version control number"),
    ai("7250", &[when(LongDay)], PATIENT, "date of birth"),
    ai("7251", &[when(LongDay), when(HourMinute)], PATIENT, "date and time of birth"),
    ai("7252", &[n(1)], PATIENT, "biological sex"),
    to("7254", ai("7253", &[x_to(40)], CARE, "person's name")),
    ai("7255", &[x_to(10)], CARE, "person's name suffix"),
    ai("7256", &[x_to(90)], CARE, "person's full name"),
    ai("7257", &[x_to(70)], PATIENT, "person's address"),
    ai("7258", &[x(3)], &[&["8018"], &["7259"]], "baby's sequence"),
    ai("7259", &[x_to(40)], PATIENT, "baby of family"),
    ai("8001", &[n(14)], GTIN, "roll dimensions"),
    ai("8002", &[x_to(20)], NONE, "mobile telephone"),
    ai("8003", &[check(14), maybe(x_to(16))], NONE, "returnable asset"),
    ai("8004", &[x_to(30)], NONE, "individual asset (GIAI)"),
    ai("8005", &[n(6)], TRADE, "price per unit"),
    without(ai("8006", &[check(14), n(4)], NONE, "piece of an item"), &["01", "03", "37"]),
    ai("8007", &[x_to(34)], &[&["415"]], "bank account"),
    ai("8008", &[when(Day), when(Hour), maybe(when(Minute)), maybe(when(Second))], GOODS, "made at"),
    ai("8009", &[x_to(50)], &[&["00", "01", "03"]], "sensor"),
    ai("8010", &[of(Set::Component, 30)], NONE, "component"),
    ai("8011", &[n_to(12)], &[&["8010"]], "component serial number"),
    ai("8012", &[x_to(20)], PIECE, "software version"),
    ai("8013", &[x_to(25)], NONE, "model (GMN)"),
    ai("8014", &[x_to(25)], GTIN, "individualised device registration"),
    without(ai("8017", &[check(18)], NONE, "caregiver (GSRN)"), &["8018"]),
    ai("8018", &[check(18)], NONE, "patient (GSRN)"),
    ai("8019", &[n_to(10)], CARE, "service instance"),
    ai("8020", &[x_to(25)], &[&["415"]], "payment slip"),
    without(ai("8026", &[check(14), n(4)], &[&["37"]], "piece of an item inside"), &["02", "03", "8006"]),
    ai("8030", &[of(Set::Base64, 90)], SIGNED, "digital signature"),
    ai("8040", &[n(15)], &[&["01"], &["21"]], "telephone (IMEI)"),
    ai("8041", &[n(15)], PHONE, "second telephone (IMEI)"),
    ai("8042", &[n(32)], PHONE, "telephone card (ESIM)"),
    ai("8043", &[n(18), maybe(n_to(2))], PHONE, "telephone card (PSIM)"),
    ai("8110", &[x_to(70)], NONE, "coupon"),
    ai("8111", &[n(4)], &[&["255"]], "loyalty points"),
    ai("8112", &[x_to(70)], NONE, "coupon"),
    ai("8200", &[x_to(70)], GTIN, "web address"),
    ai("90", &[x_to(30)], NONE, "agreed between partners"),
    to("99", ai("91", &[x_to(90)], NONE, "company's own")),
];

/// The identifiers whose value is as long as its first two digits say, so that no separator is needed behind it
/// (General Specifications, figure 7.8.5-2); those not given out are not in the table above.
const PREDEFINED: &[(&str, &str)] = &[("00", "04"), ("11", "20"), ("31", "36"), ("41", "41")];

impl Row {
    /// Least and most characters of a value.
    pub(super) fn lengths(&self) -> (usize, usize) {
        let least = self.parts.iter().filter(|p| !p.optional).map(|p| p.least).sum();
        (least, self.parts.iter().map(|p| p.most).sum())
    }

    /// How many characters the value has where nothing marks its end.
    pub(super) fn predefined(&self) -> Option<usize> {
        let two = self.first.get(..2)?;
        PREDEFINED.iter().any(|(a, b)| (*a..=*b).contains(&two)).then(|| self.lengths().1)
    }

    fn is(&self, name: &str) -> bool {
        let head = self.first.len();
        let (lead, rest) = match name.split_at_checked(head) {
            Some(cut) => cut,
            None => return false,
        };
        let tail_fits = match (self.tail, rest.as_bytes()) {
            (None, []) => true,
            (Some(most), [b]) => b.is_ascii_digit() && b - b'0' <= most,
            _ => false,
        };
        tail_fits && lead.bytes().all(|b| b.is_ascii_digit()) && (self.first..=self.last).contains(&lead)
    }
}

/// The row of a whole identifier.
pub(super) fn named(name: &str) -> Option<&'static Row> {
    TABLE.iter().find(|row| row.is(name))
}

/// The identifier a text begins with: no identifier is the beginning of another.
pub(super) fn begins(text: &str) -> Option<(&str, &'static Row)> {
    (2..=4).find_map(|len| {
        let name = text.get(..len)?;
        named(name).map(|row| (name, row))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn every() -> Vec<String> {
        let all = (0..100).map(|n| format!("{n:02}"));
        let all = all.chain((0..1000).map(|n| format!("{n:03}")));
        all.chain((0..10_000).map(|n| format!("{n:04}"))).filter(|name| named(name).is_some()).collect()
    }

    #[test]
    fn no_identifier_is_the_beginning_of_another_and_each_has_one_row() {
        let all = every();
        // 26 of two digits, 38 of three, 318 measures and 159 more of four, as in the dictionary.
        assert_eq!(all.len(), 541, "{all:?}");
        for name in &all {
            assert_eq!(TABLE.iter().filter(|row| row.is(name)).count(), 1, "{name}");
            let inside = all.iter().filter(|other| other.len() < name.len() && name.starts_with(*other));
            assert_eq!(inside.count(), 0, "{name}");
        }
    }

    #[test]
    fn what_needs_no_separator_has_one_length() {
        for row in TABLE.iter().filter(|r| r.predefined().is_some()) {
            let (least, most) = row.lengths();
            assert_eq!(least, most, "{}", row.first);
            // Figure 7.8.5-2 gives the lengths with the identifier: 20, 16, 8, 4, 10, 16.
            let whole = most + row.first.len() + usize::from(row.tail.is_some());
            let expected = match &row.first[..2] {
                "00" => 20,
                "01" | "02" | "03" => 16,
                two if ("11"..="19").contains(&two) => 8,
                "20" => 4,
                "41" => 16,
                _ => 10,
            };
            assert_eq!(whole, expected, "{}", row.first);
        }
        assert_eq!(named("7003").map(|r| (r.predefined(), r.lengths())), Some((None, (10, 10))));
    }

    #[test]
    fn only_the_last_piece_may_vary_so_a_value_is_cut_in_one_way() {
        for row in TABLE {
            let mut later = row.parts.iter().skip_while(|p| p.least == p.most && !p.optional).skip(1);
            assert!(later.all(|p| p.optional && p.least == p.most), "{}", row.first);
        }
    }

    #[test]
    fn whatever_is_needed_or_clashes_is_in_the_table() {
        let all = every();
        for row in TABLE {
            for name in row.needs.iter().copied().flatten().chain(row.clashes) {
                assert!(all.iter().any(|a| a.starts_with(name)), "{} names {name}", row.first);
            }
        }
    }

    #[test]
    fn an_identifier_is_found_at_the_front() {
        for (text, found) in [
            ("0109521234543213", Some("01")),
            ("2351", Some("235")),
            ("70032706301215", Some("7003")),
            ("3105000123", Some("3105")),
            ("3106000123", None),
            ("05123", None),
            ("0", None),
            ("", None),
            ("+A123", None),
            ("٣٣", None),
        ] {
            assert_eq!(begins(text).map(|(name, _)| name), found, "{text}");
        }
    }
}
