//! A tooth, a torque or a collar is never a bare number on the screen: a word or a unit stands beside it.
//!
//! A number is *named* when a unit or a noun follows it ('15 Ncm', '3 pieces'), when a naming word stands before it
//! ('tooth 25', 'revision 2.0.0'), when it goes on a list that is named ('teeth 24, 25 and 27'), or when it is part of
//! a date. Codes, lots and sizes with letters in them (PS-1120, M1.4, c3.0) are names, not numbers.

/// What may follow a number. Lengths, torques and angles have units; everything else that is counted has its noun.
const AFTER: &[&str] = &[
    "mm",
    "µm",
    "Ncm",
    "°",
    "°C",
    "%",
    "times",
    "day",
    "days",
    "degrees",
    "minutes",
    "months",
    "piece",
    "pieces",
    "line",
    "lines",
    "lot",
    "lots",
    "UNIT",
    "candidates",
    "pairs",
    "parts",
    "more",
    "entries",
    "entry",
    "interface",
    "interfaces",
    "catalogue",
    "check",
    "checks",
    "visit",
    "visits",
    "closed",
    "case",
    "sites",
    "restorations",
    "restoration",
    "site",
    "tooth",
    "teeth",
    "here",
    "of",
    "prosthetic",
    "multi-unit",
    "abutment",
    "abutments",
    "screws",
    "cases",
];

/// What may stand before a number.
const BEFORE: &[&str] = &[
    "tooth",
    "teeth",
    "entry",
    "case",
    "revision",
    "platform",
    "hexagon",
    "square",
    "take",
    "crown",
    "bridge",
    "grade", // Typed words: --site 25, --torque 15, --quantity 4.
    "--site",
    "--torque",
    "use",
    "visit",
    "next-check",
    "found",
    "bag",
    "complaint",
    "exit",
];

const MONTHS: &[&str] = &["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];

/// The word without the punctuation around it.
fn plain(word: &str) -> &str {
    word.trim_matches(|c: char| matches!(c, ',' | ';' | ':' | '.' | '(' | ')' | '\'' | '"' | '[' | ']'))
}

fn is_number(word: &str) -> bool {
    word.starts_with(|c: char| c.is_ascii_digit()) && word.chars().all(|c| c.is_ascii_digit() || c == '.')
}

/// 24-25-(26)-27: teeth only, pontics in brackets.
fn is_span(word: &str) -> bool {
    let teeth: Vec<&str> = word.trim_matches(|c| matches!(c, ',' | ':' | ';' | '.')).split('-').collect();
    let tooth = |t: &str| {
        let t = t.strip_prefix('(').and_then(|t| t.strip_suffix(')')).unwrap_or(t);
        t.len() == 2 && t.bytes().all(|b| b.is_ascii_digit())
    };
    teeth.len() > 1 && teeth.iter().all(|t| tooth(t))
}

/// The numbers of a line that nothing names.
pub fn bare_numbers(line: &str) -> Vec<String> {
    let words: Vec<&str> = line.split_whitespace().collect();
    let at = |n: usize| words.get(n).copied().unwrap_or_default();
    let mut bare = Vec::new();
    for (n, word) in words.iter().enumerate() {
        // A word that ends in a colon or a comma names nothing behind it.
        let before = if n > 0 { words[n - 1].trim_start_matches('(').to_lowercase() } else { String::new() };
        if is_span(word) {
            if !["bridge", "crown"].contains(&before.as_str()) {
                bare.push(plain(word).to_owned());
            }
            continue;
        }
        if !is_number(plain(word)) {
            continue;
        }
        // A comma or a colon behind the number ends it: what follows is no unit of it.
        let ends = word.ends_with([',', ';', ':', '.']);
        let after = if ends { "" } else { plain(at(n + 1)) };
        let day = MONTHS.contains(&after);
        let year = n > 0 && MONTHS.contains(&plain(at(n - 1)));
        let named = BEFORE.contains(&before.as_str()) || AFTER.contains(&after);
        if !(named || day || year || goes_on_a_list_of_teeth(&words[..n])) {
            bare.push(plain(word).to_owned());
        }
    }
    bare
}

/// 'teeth 24, 25 and 27', 'teeth 24 to 27': numbers, commas, 'and', 'to' back to the word that names them.
fn goes_on_a_list_of_teeth(before: &[&str]) -> bool {
    let back = before.iter().rev().find(|w| !is_number(plain(w)) && !["and", "to"].contains(*w));
    back.is_some_and(|w| plain(w) == "teeth")
        && before.last().is_some_and(|w| ["and", "to"].contains(w) || w.ends_with(','))
}

#[test]
fn what_is_named_passes() {
    for line in [
        "for teeth 24, 25 and 27; tighten to 15 Ncm.",
        "Case 1047, tooth 25 (upper left second premolar), bridge 24-25-(26)-27: broken",
        "usable until 30 Nov 2026 (5 days left). Same seat height (3.0 mm): it goes straight back.",
        "plover-mua-4.1-c3.0 = multi-unit abutment, platform 4.1, collar 3.0 mm; 30 Ncm",
        "interface top-4.8: the upper part accepts revision ^1, the other is revision 2.0.0",
        "  take 3 (6 here)  plover-prosthetic-screw-1.4  lot PS-1120  usable until end of Sep 2028",
        "2 of 24 candidates put it back as it was",
        "spareseat use 1047 --site 25 --torque 15",
        "Crown 46: screwed to implants",
        "cobalt-chrome framework, teeth 24 to 27",
    ] {
        assert_eq!(bare_numbers(line), [""; 0], "{line}");
    }
}

#[test]
fn what_stands_alone_is_found() {
    for (line, bare) in [
        ("prosthetic screw at 25 broken", "25"),
        ("for 24, 25 and 27", "24 25 27"),
        ("tighten to 15", "15"),
        ("tighten to 15, then again", "15"),
        ("collar 3.0, straight", "3.0"),
        ("meets the crown: 34: middle of the chewing face", "34"),
        ("facing chipped at 26, polished", "26"),
        ("loose: 24-25-(26)-27", "24-25-(26)-27"),
        ("30 Ncm, then 15", "15"),
        ("teeth 24 25", "25"),
        ("seat height 3.0; mm are meant", "3.0"),
    ] {
        assert_eq!(bare_numbers(line).join(" "), bare, "{line}");
    }
}
