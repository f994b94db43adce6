//! Every date on a label has the length that its standard gives it: with any other one the label is refused.
//!
//! Sources: GS1 General Specifications, sections 3.4 (11 to 17), 3.5 to 3.9 and the GS1 syntax dictionary for the rest
//! (`yymmddhh` with `mmoptss` behind it for 8008: minutes, or minutes and seconds); ANSI/HIBC 2.6, tables of the
//! secondary data for the forms behind `$$`, and YYYYMMDD behind 14D and 16D.

use proptest::prelude::*;

use spareseat::scan::{Verdict, check_character, read};

const GTIN: &str = "09521234543213";

/// The identifier of a date, and what a good value of each allowed length is put together from: D a date of YYMMDD,
/// L one of YYYYMMDD, h hour, m minute, s second.
const GS1: &[(&str, &[&str])] = &[
    ("11", &["D"]),
    ("12", &["D"]),
    ("13", &["D"]),
    ("15", &["D"]),
    ("16", &["D"]),
    ("17", &["D"]),
    ("4324", &["Dhm"]),
    ("4325", &["Dhm"]),
    ("4326", &["D"]),
    ("7003", &["Dhm"]),
    ("7006", &["D"]),
    ("7007", &["D", "DD"]),
    ("7011", &["D", "Dhm"]),
    ("7250", &["L"]),
    ("7251", &["Lhm"]),
    ("8008", &["Dh", "Dhm", "Dhms"]),
];

/// A moment written in one of those ways.
fn written(form: &str, (y, m, d): (u32, u32, u32), (hour, minute, second): (u32, u32, u32)) -> String {
    let piece = |c: char| match c {
        'D' => format!("{:02}{m:02}{d:02}", y % 100),
        'L' => format!("{y}{m:02}{d:02}"),
        'h' => format!("{hour:02}"),
        'm' => format!("{minute:02}"),
        _ => format!("{second:02}"),
    };
    form.chars().map(piece).collect()
}

/// Shorter, or longer by digits that would be a good time or a good day by themselves.
fn of_length(good: &str, len: usize) -> String {
    good.chars().chain("1012270630".chars().cycle()).take(len).collect()
}

fn day() -> impl Strategy<Value = (u32, u32, u32)> {
    (2000_u32..2060, 1_u32..13, 1_u32..29)
}

fn time() -> impl Strategy<Value = (u32, u32, u32)> {
    (0_u32..24, 0_u32..60, 0_u32..60)
}

fn hibc(data: &str) -> String {
    format!("{data}{}", check_character(data).expect("one of the 43"))
}

/// Whether anything was read of a label, be it with a doubt.
fn taken(text: &str) -> bool {
    matches!(read(text, 2026).verdict(), Verdict::Ok | Verdict::Warn)
}

proptest! {
    #[test]
    fn a_gs1_date_of_every_other_length_is_refused(day in day(), time in time()) {
        for (ai, forms) in GS1 {
            let good: Vec<String> = forms.iter().map(|form| written(form, day, time)).collect();
            for value in &good {
                prop_assert!(taken(&format!("(01){GTIN}({ai}){value}")), "({ai}){value}");
            }
            let longest = good.iter().max_by_key(|v| v.len()).expect("each has one");
            for len in (0..=24).filter(|len| good.iter().all(|v| v.len() != *len)) {
                let value = of_length(longest, len);
                let printed = format!("(01){GTIN}({ai}){value}");
                prop_assert!(!taken(&printed), "{printed}");
                // Behind a date whose end needs no separator the next identifier begins, whatever it is.
                if ai.len() == 4 || len < 6 {
                    let scanned = format!("]d201{GTIN}{ai}{value}\u{1d}10L1");
                    prop_assert!(!taken(&scanned), "{scanned}");
                }
            }
        }
    }

    #[test]
    fn an_hibc_date_of_every_other_length_is_refused(day in day(), hour in 0_u32..24, of_year in 1_u32..366) {
        let (y, m, d) = day;
        let yy = y % 100;
        for flag in ["14D", "16D"] {
            let good = format!("{y}{m:02}{d:02}");
            prop_assert!(taken(&hibc(&format!("+A99912345/$L1/{flag}{good}"))), "{flag}{good}");
            for len in (0..=16).filter(|len| *len != 8) {
                for more in ["", "/S7"] {
                    let label = hibc(&format!("+A99912345/$L1/{flag}{}{more}", of_length(&good, len)));
                    prop_assert!(!taken(&label), "{label}");
                }
            }
        }
        // Behind these the lot begins, so only what is missing shows.
        for (flag, good) in [
            ("", format!("{m:02}{yy:02}")),
            ("2", format!("{m:02}{d:02}{yy:02}")),
            ("3", format!("{yy:02}{m:02}{d:02}")),
            ("4", format!("{yy:02}{m:02}{d:02}{hour:02}")),
            ("5", format!("{yy:02}{of_year:03}")),
            ("6", format!("{yy:02}{of_year:03}{hour:02}")),
        ] {
            for start in ["+A99912345/$$", "+A99912345/$$+", "+A99912345/$$824", "+A99912345/$$900024"] {
                prop_assert!(taken(&hibc(&format!("{start}{flag}{good}"))), "{start}{flag}{good}");
                let least = usize::from(flag.is_empty());
                for len in least..good.len() {
                    for lot in ["", "L1"] {
                        let label = hibc(&format!("{start}{flag}{}{lot}", &good[..len]));
                        prop_assert!(!taken(&label), "{label}");
                    }
                }
            }
        }
        let five = format!("{yy:02}{of_year:03}");
        for len in 0..5 {
            let label = hibc(&format!("+A99912345/{}L1", &five[..len]));
            prop_assert!(!taken(&label), "{label}");
        }
    }
}

/// The standard's own words for the three that were taken before.
#[test]
fn a_date_of_seven_nine_ten_or_twelve_digits_is_no_day() {
    for flag in ["14D", "16D"] {
        for digits in ["2027123", "202712301", "2027123012", "202712301230"] {
            let label = read(&hibc(&format!("+A99912345/$L1/{flag}{digits}")), 2026);
            assert_eq!(label.verdict(), Verdict::Error, "{flag}{digits}");
            assert_eq!(
                label.reasons(),
                [format!(
                    "'{digits}' in the HIBC label is no day: expected the 8 digits YYYYMMDD in the years 1970 to 2100; scan it again, and if it stays so type item, lot and expiry as printed"
                )]
            );
            assert_eq!((label.expiry(), label.made_on()), (None, None));
        }
    }
    let made = |digits: &str| read(&format!("(01){GTIN}(8008){digits}"), 2026);
    for (digits, moment) in [
        ("26010112", "2026-01-01T12:00:00"),
        ("2601011230", "2026-01-01T12:30:00"),
        ("260101123045", "2026-01-01T12:30:45"),
    ] {
        let label = made(digits);
        assert_eq!(label.elements()[1].moment().map(|m| m.to_string()).as_deref(), Some(moment), "{digits}");
    }
    for (digits, says) in [
        (
            "26010112304",
            "(8008) at character 19 has 11 characters: expected 2 more or none behind the first 10",
        ),
        ("2601011260", "'60' in (8008) at character 19 is no time: expected minutes, 00 to 59"),
        ("260101123060", "'60' in (8008) at character 19 is no time: expected seconds, 00 to 59"),
    ] {
        let said = made(digits).reasons();
        assert!(said.len() == 1 && said[0].starts_with(says), "{digits}: {said:?}");
    }
}

/// No pack holds nothing: neither scanned, nor printed, nor in either standard.
#[test]
fn a_label_that_says_no_piece_is_refused() {
    let tail = " says 0 pieces: expected 1 or more; count the pieces, then type item, lot, expiry and how many there are";
    let zeros = |most: usize| (1..=most).map(|n| "0".repeat(n)).collect::<Vec<_>>();
    for zero in zeros(8) {
        for (text, place) in [
            (format!("(01){GTIN}(10)L1(30){zero}"), "(30) at character 25"),
            (format!("]d201{GTIN}30{zero}\u{1d}10L1"), "(30) at character 20"),
            (format!("(02){GTIN}(37){zero}(10)L1"), "(37) at character 19"),
        ] {
            let label = read(&text, 2026);
            assert_eq!((label.verdict(), label.quantity()), (Verdict::Error, None), "{text}");
            assert_eq!(label.reasons(), [format!("{place}{tail}")], "{text}");
        }
    }
    let hibc_zeros = zeros(5).into_iter().map(|z| format!("+A99912345/$L1/Q{z}"));
    let flagged =
        ["+A99912345/$$800", "+A99912345/$$900000", "+A99912345/$$8007L1", "+A99912345/$$90000020630270L1"];
    for data in hibc_zeros.chain(flagged.map(ToOwned::to_owned)) {
        let label = read(&hibc(&data), 2026);
        assert_eq!((label.verdict(), label.quantity()), (Verdict::Error, None), "{data}");
        assert_eq!(label.reasons(), [format!("the quantity of the HIBC label{tail}")], "{data}");
    }
    // A zero in front of a number is no zero.
    assert_eq!(read(&format!("(01){GTIN}(30)04"), 2026).quantity(), Some(4));
    assert_eq!(read(&hibc("+A99912345/$L1/Q05"), 2026).quantity(), Some(5));
}
