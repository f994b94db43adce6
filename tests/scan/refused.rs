//! What is refused, doubted or not read, word for word.

use spareseat::scan::{Item, Verdict, check_character, read};
use spareseat::units::{Expiry, RawLabel};

/// The end of most refusals.
const AGAIN: &str = "; scan it again, and if it stays so type item, lot and expiry as printed";

fn said(text: &str) -> (Verdict, Vec<String>) {
    let label = read(text, 2026);
    (label.verdict(), label.reasons())
}

fn refused(text: &str, says: &str) {
    assert_eq!(said(text), (Verdict::Error, vec![says.to_owned()]), "{text:?}");
}

#[test]
fn gs1_that_breaks_the_rules_is_refused() {
    for (text, says) in [
        ("", "the label is empty: expected what the scanner sent"),
        ("]d2", "nothing is in the label but ']d2': expected application identifiers with their values"),
        (
            "\u{1d}",
            "nothing is in the label but '\\u{1d}': expected application identifiers with their values",
        ),
        (
            "]d2010952123454321305123",
            "'0512' at character 20 is no GS1 application identifier: expected one such as 01, 10, 17 or 21, and a separator behind every value of free length",
        ),
        (
            "(01)09521234543213(05)1",
            "'(05)' at character 19 is no GS1 application identifier: expected one such as 01, 10, 17 or 21, and a separator behind every value of free length",
        ),
        ("]d2010952123454321", "(01) at character 4 has 13 characters: expected 14"),
        ("(01)09521234543213(10)(21)1", "(10) at character 19 has 0 characters: expected 1 to 20"),
        (
            "]d201095212345432137003270630121510X",
            "(7003) at character 20 has 13 characters: expected 10; the separator behind it may be lost",
        ),
        (
            "]d201095212345432138008270630121",
            "(8008) at character 20 has 9 characters: expected 2 more or none behind the first 8",
        ),
        (
            "]d2010952123454321310LOT 7",
            "a space at character 25 must not stand in (10): expected letters, digits and !\"%&'()*+,-./:;<=>?_ without spaces",
        ),
        ("(01)09521234543213(30)1x", "'x' at character 24 must not stand in (30): expected digits only"),
        (
            "(8010)a",
            "'a' at character 7 must not stand in (8010): expected digits, capital letters, # - and /",
        ),
        ("(8030)a+", "'+' at character 8 must not stand in (8030): expected letters, digits, - _ and ="),
        (
            "]d2010952123454321310L\u{d6}T",
            "'Ö' at character 23 must not stand in a GS1 label: expected letters, digits and signs of ASCII",
        ),
        (
            "]d2010952123454321410L1",
            "(01) at character 4, 09521234543214, ends in 4: its other digits ask for 3",
        ),
        (
            "]d2010952123454321317271301",
            "'271301' in (17) at character 20 is no day: expected YYMMDD, with 00 for the day where it is a whole month",
        ),
        ("(7006)270600", "'270600' in (7006) at character 1 is no day: expected YYMMDD"),
        (
            "]d2010952123454321370032706302415",
            "'2415' in (7003) at character 20 is no time: expected HHMM, 0000 to 2359",
        ),
        (
            "(4324)2706302460",
            "'2460' in (4324) at character 1 is no time: expected HHMM, 0000 to 2359, or 9999 for none",
        ),
        (
            "(7250)19691231",
            "'19691231' in (7250) at character 1 is no day: expected YYYYMMDD in the years 1970 to 2100",
        ),
        ("]d2010952123454321310A\u{1d}10B", "the label gives two values for (10), 'A' and 'B': expected one"),
    ] {
        refused(text, &format!("{says}{AGAIN}"));
    }
}

#[test]
fn hibc_that_breaks_the_rules_is_refused() {
    for (text, says) in [
        ("+", "'+' is too short for an HIBC label: expected '+', data and a check character"),
        (
            "+a123bjc5d6e71G",
            "'a' at character 2 must not stand in an HIBC label: expected digits, capital letters, - . $ / + % and the space",
        ),
        (
            "]d1+A123AA40_",
            "'_' at character 13 must not stand in an HIBC label: expected digits, capital letters, - . $ / + % and the space",
        ),
        ("+A123BJC5D6E71H", "the label ends in the check character 'H': the text before it asks for 'G'"),
    ] {
        refused(text, &format!("{says}{AGAIN}"));
    }
    // From here on the check character is right, so that the rest is reached.
    for (text, says) in [
        (
            "+A123BJC5D6E7A",
            "'A123BJC5D6E7A' is no HIBC item: expected a labeler's code of four beginning with a letter, a catalogue number of 1 to 18 letters and digits, and one digit for the unit of measure",
        ),
        (
            "+A99912345/",
            "nothing stands in the second part of the HIBC label: expected a lot, a serial number, an expiry or a quantity",
        ),
        (
            "+A99912345/X1",
            "'X1' does not begin the second part of an HIBC label: expected $, $+, $$, $$+ or the five digits of year and day",
        ),
        (
            "+A99912345/$$K3C",
            "'K3C' in the HIBC label names no form of date: expected 0 to 7, or after $$ 8 or 9 and a quantity before it",
        ),
        ("+A99912345/$$8A7X", "'A7' is no quantity of the HIBC label: expected two digits behind the 8"),
        ("+A99912345/$$9123", "'123' is no quantity of the HIBC label: expected five digits behind the 9"),
        (
            "+A99912345/$L1/Q123456",
            "'123456' is no quantity of the HIBC label: expected one to five digits behind the Q",
        ),
        ("+A99912345/$$1305L", "'1305' in the HIBC label is no day: expected MMYY, a month without a day"),
        ("+A99912345/$$2023005L", "'023005' in the HIBC label is no day: expected MMDDYY"),
        ("+A99912345/$$3050230L", "'050230' in the HIBC label is no day: expected YYMMDD"),
        (
            "+A99912345/$$405092825",
            "'05092825' in the HIBC label is no day: expected YYMMDDHH, the hour 00 to 23",
        ),
        (
            "+A99912345/$$521366",
            "'21366' in the HIBC label is no day: expected YYJJJ, the year and its day 001 to 365 or 366",
        ),
        (
            "+A99912345/$$62000024",
            "'2000024' in the HIBC label is no day: expected YYJJJHH, the year, its day and the hour 00 to 23",
        ),
        (
            "+A99912345/$L1/14D19000101",
            "'19000101' in the HIBC label is no day: expected the 8 digits YYYYMMDD in the years 1970 to 2100",
        ),
        ("+A99912345/$A-B", "'A-B' is no lot of an HIBC label: expected 1 to 18 letters and digits"),
        (
            "+A99912345/$+1234567890123456789",
            "'1234567890123456789' is no serial number of an HIBC label: expected 1 to 18 letters and digits",
        ),
        (
            "+A99912345/$L1/17D20111231",
            "'/17D20111231' is no further part of an HIBC label: expected /14D or /16D with YYYYMMDD, /S with a serial number, or /Q with a quantity",
        ),
        (
            "+A99912345/$L1/Q5/S1",
            "'/S1' stands behind the quantity of the HIBC label: expected the quantity last",
        ),
        (
            "+A99912345/$L1/SA/SB",
            "the label gives two values for the serial number, 'A' and 'B': expected one",
        ),
        (
            "+A99912345/$$3270101L1/14D20280101",
            "the label gives two values for the expiry, '1 Jan 2027' and '1 Jan 2028': expected one",
        ),
    ] {
        let check = check_character(text).expect("one of the 43");
        refused(&format!("{text}{check}"), &format!("{says}{AGAIN}"));
    }
}

#[test]
fn two_labels_in_one_text_are_refused_by_name() {
    let one = "]d2010952123454321310L1";
    for text in [
        format!("{one}{one}"),
        format!("{one}\r\n{one}\r\n"),
        format!("{one}\u{1d}{one}"),
        "(01)09521234543213(10)A(01)09521234543213(10)A".to_owned(),
        "010952123454321310L1 010952123454321310L1".to_owned(),
        "+A123BJC5D6E71G+A123BJC5D6E71G".to_owned(),
        "*+A123BJC5D6E71G**+A123BJC5D6E71G*".to_owned(),
    ] {
        refused(&text, "the same label stands there twice: expected it once; scan one symbol at a time");
    }
    for (text, at, begins) in [
        ("]d2010952123454321310L1]C1011231231231233310B", 24, "]C101123"),
        // A + may stand in a lot of GS1: only the right check character gives the second label away.
        ("]d2010952123454321310L1+A123BJC5D6E71G", 24, "+A123BJC"),
        ("(01)09521234543213(10)L1*+A123BJC5D6E71G*", 25, "*+A123BJ"),
        ("+A123BJC5D6E71G+$$52001510X3GD", 16, "+$$52001"),
        ("*+A123BJC5D6E71G**+$$52001510X3GD*", 18, "*+$$5200"),
        ("+A123BJC5D6E71G0109521234543213", 16, "01095212"),
        ("+A123BJC5D6E71G(01)09521234543213", 16, "(01)0952"),
        ("+A123BJC5D6E71G]d20109521234543213", 16, "]d201095"),
        ("010952123454321310L10112312312312333", 21, "01123123"),
        ("010952123454321310L1011231231231233310B", 21, "01123123"),
        ("010952123454321310L1\u{1d}011231231231233310B", 22, "01123123"),
        ("(01)09521234543213(10)A(01)12312312312333(10)B", 24, "(01)1231"),
    ] {
        refused(
            text,
            &format!(
                "a second label begins at character {at}, with '{begins}': expected one; scan one symbol at a time"
            ),
        );
    }
    // A lot with a + and something behind it that is no HIBC text.
    assert_eq!(said("]d2010952123454321310L1+A123BJC5D6E71H").0, Verdict::Ok);
    // (01) after others is no second label.
    assert_eq!(said("]d217270630010952123454321310L1").0, Verdict::Ok);
}

#[test]
fn what_is_doubtful_is_read_and_said() {
    let lost = "perhaps the scanner lost a separator";
    for (text, says) in [
        (
            "]d2010952123454321310ABC17270630",
            format!(
                "lot 'ABC17270630' ends in 17 and a day, 30 Jun 2027: {lost}, the lot is 'ABC' and that day the expiry; hold it against the label"
            ),
        ),
        (
            "]d2010952123454321321SN17270200",
            format!(
                "serial number 'SN17270200' ends in 17 and a day, 28 Feb 2027: {lost}, the serial number is 'SN' and that day the expiry; hold it against the label"
            ),
        ),
        (
            "]d2010952123454321310L1\u{1d}\u{1d}\u{1d}17270630",
            "3 separators stand in a row at character 24, where one is allowed: hold the label against what was read"
                .to_owned(),
        ),
        (
            "(17)270630",
            "(17) stands without (01) or (02) or (03) or (255) or (8006) or (8026): expected it on the same label; scan the other symbol as well"
                .to_owned(),
        ),
        (
            "(01)09521234543213(235)1(21)2",
            "(21) and (235) must not stand on one label: hold the label against what was read".to_owned(),
        ),
    ] {
        assert_eq!(said(text), (Verdict::Warn, vec![says]), "{text:?}");
    }
    // No such day, nothing before it, or brackets, which no scanner loses.
    for text in [
        "]d2010952123454321310ABC17271330",
        "]d201095212345432131017270630",
        "(01)09521234543213(10)ABC17270630",
        "]d2010952123454321310ABC18270630",
    ] {
        assert_eq!(said(text), (Verdict::Ok, Vec::new()), "{text:?}");
    }
}

#[test]
fn what_is_no_label_is_not_read() {
    let symbol = |id: &str| {
        format!(
            "the symbol says by '{id}' that it carries no GS1 application identifiers: expected ]C1, ]d2, ]Q3, ]e0 or ]J1, or an HIBC text, which begins with +; scan the other symbol on the label"
        )
    };
    let neither = |text: &str| {
        format!(
            "'{text}' is neither GS1 nor HIBC: expected digits or brackets of GS1 application identifiers, or an HIBC text, which begins with +; type item, lot and expiry as printed"
        )
    };
    for (text, says) in [
        ("]E09521234543213", symbol("]E0")),
        ("]d10109521234543213", symbol("]d1")),
        (
            "9521234543213",
            "'9521234543213' is an item number and nothing else: it says no lot and no expiry; scan the other symbol on the label"
                .to_owned(),
        ),
        ("LOT-7", neither("LOT-7")),
        ("*LOT*", neither("*LOT*")),
        ("\u{1b}[2J", neither("\\u{1b}[2J")),
    ] {
        assert_eq!(said(text), (Verdict::NotGs1, vec![says]), "{text:?}");
    }
}

#[test]
fn as_much_is_read_as_the_record_keeps() {
    let long = |len: usize| format!("]d20109521234543213\u{1d}91{}", "x".repeat(len));
    assert_eq!(said(&long(90)).0, Verdict::Ok);
    refused(&"9".repeat(201), "the label has 201 bytes: at most 200 are read; scan one symbol at a time");
    let most = "9".repeat(200);
    assert!(RawLabel::new(&most).is_ok() && RawLabel::new(&"9".repeat(201)).is_err());
    assert_eq!(read(&most, 2026).raw().map(|r| r.as_raw().len()), Some(200));
    assert_eq!(read(&format!("{most}\r\n"), 2026).raw().map(|r| r.as_raw().len()), Some(200));
    assert_eq!(read(&"9".repeat(201), 2026).raw(), None);
    assert_eq!(read("]d2x\r\n", 2026).raw().map(RawLabel::as_raw), Some("]d2x\r\n"));
}

#[test]
fn what_a_delivery_needs_is_told() {
    let gs1 = read("]d20109521234543213112601001727020010A1\u{1d}21007\u{1d}3012", 2026);
    assert_eq!(gs1.item(), Some(Item::Gtin("09521234543213")));
    assert_eq!((gs1.lot(), gs1.serial(), gs1.quantity()), (Some("A1"), Some("007"), Some(12)));
    assert_eq!(gs1.expiry(), Expiry::parse("2027-02").ok());
    assert_eq!(gs1.made_on().map(|d| d.words()), Some("Jan 2026".to_owned()));
    // The earlier of two.
    let both = read("(01)09521234543213(17)270701(7003)2706301215", 2026);
    assert_eq!((both.verdict(), both.expiry()), (Verdict::Ok, Expiry::parse("2027-06-30").ok()));
    let boxed = read("(00)106141412345678908(02)09521234543213(37)24", 2026);
    assert_eq!((boxed.verdict(), boxed.quantity()), (Verdict::Ok, Some(24)));
    assert_eq!(boxed.item(), Some(Item::Gtin("09521234543213")));
    let hibc = read("+A99912345/$$902345710X3/16D20111212/14D20200906/S77DEFG45F", 2026);
    assert_eq!(hibc.item(), Some(Item::Hibc { lic: "A999", pcn: "1234", unit: 5 }));
    assert_eq!((hibc.lot(), hibc.serial(), hibc.quantity()), (Some("10X3"), Some("77DEFG45"), Some(2345)));
    assert_eq!(hibc.expiry(), Expiry::parse("2020-09-06").ok());
    assert_eq!(hibc.made_on().map(|d| d.words()), Some("12 Dec 2011".to_owned()));
    // As printed: asterisks round it, and _ for the space.
    let printed = read("*+A123AA40_*", 2026);
    assert_eq!(printed.hibc().map(|h| h.check()), Some(' '));
    assert_eq!(read("+$$824LP", 2026).quantity(), Some(24));
    assert_eq!(read("+$$09053C001XA", 2026).expiry(), Expiry::parse("2005-09").ok());
}
