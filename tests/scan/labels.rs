//! Texts of no label, and labels with something wrong: drawn from a seed, the same every time.

/// The beginnings of texts: what is mutated and what is glued to it. Invented, but for their forms.
pub const SEEDS: &[&str] = &[
    "(01)09521234543213(17)270228(10)LOT-7/A(21)SN0001",
    "]d201095212345432131727022810LOT-7/A\u{1d}21SN0001",
    "]C1010952123454321310ABC17270630",
    "\u{1d}010952123454321310L1\u{1d}17270200\u{1d}21S9",
    "010952123454321311260101172712313012\u{1d}7003270630121530",
    "]Q300006141411234567890\u{1d}3105000123800826010112\u{1d}8200x",
    "]e0011231231231233310ABC123\u{1d}1199122598TESTING\u{1d}97XYZ",
    "+A123BJC5D6E71G",
    "*+A123AA40_*",
    "+$$52001510X3GD",
    "+$$824050928223C001LG",
    "+A99912345/$$902345710X3/16D20111212/14D20200906/S77DEFG45F",
    "]d1+H123PARTNO1234567890120/$$420020216LOT123456789012345/SXYZ456789012345678/16D20130202H",
    "]E09521234543213",
];

/// What a scanner, a keyboard or somebody bad may put into a text.
const PIECES: &[&str] = &[
    "\u{1d}",
    "+",
    "/",
    "$",
    "$$",
    "$$+",
    "(",
    ")",
    "(01)",
    "]d2",
    "]C1",
    "*",
    "_",
    "00",
    "01",
    "10",
    "17",
    "21",
    "30",
    "37",
    "99",
    "7003",
    "8008",
    "3103",
    "9999",
    "000000",
    "\r\n",
    " ",
    "\0",
    "\u{1b}[2J",
    "\u{202e}",
    "Ö",
    "٣",
    "🦷",
    "\u{feff}",
    "A",
    "Z",
    "14D",
    "16D",
    "Q",
    "S",
];

fn any_char(rng: &mut fastrand::Rng) -> char {
    match rng.u8(..8) {
        0 => rng.char(..),
        1 => char::from(rng.u8(..0x20)),
        2..=4 => char::from(rng.u8(b'0'..=b'9')),
        _ => char::from(rng.u8(0x20..0x7f)),
    }
}

/// A text: a label changed in one to six places, two of them glued, or noise, at times far too long.
pub fn label(rng: &mut fastrand::Rng) -> String {
    let mut text: Vec<char> = match rng.u8(..8) {
        0 => (0..rng.usize(..40)).map(|_| any_char(rng)).collect(),
        1 => (0..rng.usize(1..20)).flat_map(|_| pick(rng, PIECES).chars()).collect(),
        2 => [pick(rng, SEEDS), pick(rng, SEEDS)].concat().chars().collect(),
        _ => pick(rng, SEEDS).chars().collect(),
    };
    for _ in 0..rng.usize(1..=6) {
        let at = rng.usize(..=text.len());
        match rng.u8(..6) {
            0 => text.insert(at, any_char(rng)),
            1 => text.truncate(at),
            2 if at < text.len() => drop(text.remove(at)),
            3 if at < text.len() => text[at] = any_char(rng),
            4 => drop(text.splice(at..at, pick(rng, PIECES).chars())),
            _ => {}
        }
    }
    if rng.u16(..1000) == 0 {
        text = text.iter().cycle().take(text.len() * rng.usize(1..5000)).copied().collect();
    }
    text.into_iter().collect()
}

fn pick<'a>(rng: &mut fastrand::Rng, from: &[&'a str]) -> &'a str {
    from[rng.usize(..from.len())]
}

/// The year two digits are near to: one of today's, at times one that no calendar has.
pub fn year(rng: &mut fastrand::Rng) -> i16 {
    if rng.u8(..10) == 0 { rng.i16(..) } else { rng.i16(1970..=2100) }
}
