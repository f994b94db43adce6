//! What must be known of a part, by kind and position: the expectation, stated from what each number does in its joint.
//!
//! Nothing here is read off the rules. Sources: geometry where a length, a diameter or an angle has to pass, bear or
//! stand; ISO 965 habit for threads (nominal diameter and pitch are names, 0.01 mm beside them is another thread); the
//! rest is common practice, no source. The margins 0.30 mm (head over bore) and 0.10 mm (contact) are our own.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use super::rows::{
    Named, Row, ann, change, head, must, note, open, paper, seat, shoulder, thread, unlisted, word,
};
use super::sheet::Sheet;

/// What a part is for, as far as its numbers differ by it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Shape {
    ProstheticScrew,
    AbutmentScrew,
    MultiUnitOnePiece,
    MultiUnitTwoPieces,
    MultiUnitAngled,
    AbutmentTwoPieces,
    AbutmentAngled,
    Base,
    Cylinder,
    HealingCap,
    HealingAbutment,
    CoverScrew,
}

impl Shape {
    /// Every shape that goes into a mouth and can be changed.
    pub const ALL: [Self; 12] = [
        Self::ProstheticScrew,
        Self::AbutmentScrew,
        Self::MultiUnitOnePiece,
        Self::MultiUnitTwoPieces,
        Self::MultiUnitAngled,
        Self::AbutmentTwoPieces,
        Self::AbutmentAngled,
        Self::Base,
        Self::Cylinder,
        Self::HealingCap,
        Self::HealingAbutment,
        Self::CoverScrew,
    ];

    /// The shape of a part that is whole.
    pub fn of(part: &Sheet) -> Option<Self> {
        let angled = part.number("angle").is_some_and(|a| a > 0);
        Some(match part.text("kind") {
            "prosthetic-screw" => Self::ProstheticScrew,
            "abutment-screw" => Self::AbutmentScrew,
            "multi-unit-abutment" if angled => Self::MultiUnitAngled,
            "multi-unit-abutment" if part.has_port("thread below") => Self::MultiUnitOnePiece,
            "multi-unit-abutment" => Self::MultiUnitTwoPieces,
            "abutment" if angled => Self::AbutmentAngled,
            "abutment" => Self::AbutmentTwoPieces,
            "titanium-base" => Self::Base,
            "cylinder" => Self::Cylinder,
            "healing-cap" => Self::HealingCap,
            "healing-abutment" => Self::HealingAbutment,
            "cover-screw" => Self::CoverScrew,
            _ => return None,
        })
    }

    pub fn is_angled(self) -> bool {
        matches!(self, Self::MultiUnitAngled | Self::AbutmentAngled)
    }

    /// Stands on or goes into a multi-unit abutment.
    pub fn needs_abutment_below(self) -> bool {
        matches!(self, Self::ProstheticScrew | Self::Cylinder | Self::HealingCap)
    }

    /// A post under a cemented or bonded crown, whose form is in no number.
    pub fn has_post(self) -> bool {
        matches!(self, Self::AbutmentTwoPieces | Self::AbutmentAngled | Self::Base)
    }

    /// Covers an abutment or an implant for a while and replaces nothing.
    pub fn is_cover(self) -> bool {
        matches!(self, Self::HealingCap | Self::HealingAbutment | Self::CoverScrew)
    }

    /// Ports without which the joint is not known.
    pub fn ports(self) -> &'static [&'static str] {
        match self {
            Self::ProstheticScrew | Self::AbutmentScrew => &["head-seat below", "thread below"],
            Self::MultiUnitOnePiece => &["seat below", "thread below", "seat above", "thread above"],
            // The thread for the prosthetic screw stands in the body or in the head of its own screw.
            Self::MultiUnitTwoPieces => &["seat below", "head-seat above", "seat above"],
            Self::MultiUnitAngled => &["seat below", "head-seat above", "seat above", "thread above"],
            Self::AbutmentTwoPieces | Self::AbutmentAngled | Self::Base | Self::Cylinder => {
                &["seat below", "head-seat above"]
            }
            Self::HealingCap | Self::HealingAbutment | Self::CoverScrew => &["seat below", "thread below"],
        }
    }

    /// Whether that is one of them; a screw's upper thread too, since a prosthetic screw may hold there.
    pub fn needs(self, port: &str) -> bool {
        self.ports().contains(&port) || port == "thread above"
    }

    /// The table's rows for it.
    pub fn rows(self) -> &'static [Row] {
        static ROWS: LazyLock<BTreeMap<Shape, Vec<Row>>> =
            LazyLock::new(|| Shape::ALL.into_iter().map(|shape| (shape, shape.written())).collect());
        &ROWS[&self]
    }

    fn written(self) -> Vec<Row> {
        let mut rows = match self {
            Self::ProstheticScrew => screw(false),
            Self::AbutmentScrew => screw(true),
            Self::MultiUnitOnePiece => one_piece(),
            Self::MultiUnitTwoPieces => {
                [body("n/a torque"), top(), shoulder(), thread("thread above")].concat()
            }
            Self::MultiUnitAngled => [body("angled"), top(), shoulder(), thread("thread above")].concat(),
            Self::AbutmentTwoPieces => [body("n/a torque"), shoulder()].concat(),
            Self::AbutmentAngled => [body("angled"), shoulder()].concat(),
            Self::Base => [body("n/a torque"), shoulder(), vec![channel()]].concat(),
            Self::Cylinder => [body("cylinder"), shoulder(), vec![channel()]].concat(),
            Self::HealingCap => healing_cap(),
            Self::HealingAbutment => healing_abutment(),
            Self::CoverScrew => cover_screw(),
        };
        rows.extend(everywhere());
        rows
    }

    /// Addresses that this shape has no use for: the kind lacks them, or nothing is said about them.
    pub fn lacks(self) -> &'static [&'static str] {
        const BODY: [&str; 6] =
            ["under_head", "shank", "head_diameter", "head_height", "driver_length", "made"];
        match self {
            Self::ProstheticScrew | Self::AbutmentScrew | Self::CoverScrew => &[
                "seat_height",
                "collar_short",
                "collar_long",
                "angle",
                "offset",
                "widest",
                "neck",
                "driver_length",
                "made",
            ],
            Self::Base | Self::Cylinder => &BODY,
            Self::HealingCap => &[
                "seat_height",
                "collar_short",
                "collar_long",
                "angle",
                "offset",
                "under_head",
                "shank",
                "head_diameter",
                "head_height",
                "driver_length",
                "made",
                "angled_channel",
            ],
            _ => &[
                "under_head",
                "shank",
                "head_diameter",
                "head_height",
                "driver_length",
                "made",
                "angled_channel",
            ],
        }
    }
}

fn screw(upper_thread: bool) -> Vec<Row> {
    let mut rows = [head(), thread("thread below")].concat();
    rows.extend([
        must("under_head", 10, Named::ShorterFails, "its tip stands as much deeper as it is longer under the head; a shorter one engages fewer turns and pulls out"),
        ann(must("shank", 10, Named::AtBestChange, "it has to pass the bore, and it carries the pull; n/a: threaded up to the head")),
        must("angled_channel", 0, Named::Fails, "in a straight socket an angled driver slips and strips it, in an angled one a straight socket is out of reach"),
        must("head_diameter", 10, Named::AtBestChange, "it must not pull through the bore, and must enter the channel"),
        change("head_height", 10, "how much room is left over the head for tape and filling"),
        change("drive", 0, "another driver on the tray"),
        note("length_tolerance", "both ends of a screw are free: its thread takes the play up"),
        change("torque", 0, "another number on the wrench, another pull"),
    ]);
    if upper_thread {
        rows.extend(thread("thread above"));
    }
    rows
}

/// A body between implant and bridge or crown.
fn body(how: &str) -> Vec<Row> {
    let angled = how == "angled";
    let mut rows = seat("seat below", angled);
    rows.extend([
        if how == "cylinder" {
            ann(must("seat_height", 10, Named::UnderBridge, "it has no upper seat: n/a"))
        } else {
            must("seat_height", 10, Named::UnderBridge, "a rigid bridge cannot follow one seat that moved")
        },
        must("angle", 100, Named::UnderRestoration, "a rigid restoration does not seat on a tilted seat"),
        must(
            "offset",
            10,
            Named::UnderBridge,
            "a seat that moved sideways is not where the bridge comes down",
        ),
    ]);
    for side in ["collar_short", "collar_long"] {
        let row = change(side, 10, "where the gum ends: pressed, or an edge that shows");
        rows.push(if how == "cylinder" { ann(row) } else { row });
    }
    rows.extend([
        change("widest", 10, "the gum is pressed, or stands off"),
        change("neck", 10, "the gum, and how much of the body carries"),
        ann(change("drive", 0, "another driver; n/a where its own screw holds it")),
        tolerance(),
        ann(change(
            "torque",
            0,
            "another number on the wrench; n/a where its own screw or the framework holds it",
        )),
    ]);
    rows
}

fn one_piece() -> Vec<Row> {
    let mut rows = [body(""), top(), thread("thread below"), thread("thread above")].concat();
    // It is turned in by its own drive, at its own torque: neither is ever n/a.
    for row in rows.iter_mut().filter(|r| ["drive", "torque"].contains(&r.at.as_str())) {
        row.may_not_apply = false;
    }
    rows
}

fn top() -> Vec<Row> {
    seat("seat above", false)
}

fn channel() -> Row {
    must("angled_channel", 0, Named::Fails, "the screw for the one is not the screw for the other")
}

fn tolerance() -> Row {
    let why = "two pieces of a looser drawing differ by more: the bridge gapes; tighter ones by less";
    Row { named: Named::LooserChanges, ..change("length_tolerance", 1, why) }
}

/// Caps, healing abutments, cover screws: nothing stands on them, so their heights move nothing.
fn cover() -> Vec<Row> {
    [seat("seat below", false), thread("thread below")].concat()
}

fn healing_cap() -> Vec<Row> {
    let mut rows = cover();
    rows.extend([
        change(
            "widest",
            10,
            "cheek, gum and the temporary have less room, or the edge of the abutment is bare",
        ),
        change("drive", 0, "another driver on the tray"),
        open("neck", "a cap has none: n/a"),
        note("length_tolerance", "nothing stands on a cap"),
        change("torque", 0, "another number, or no longer by hand"),
    ]);
    rows
}

fn healing_abutment() -> Vec<Row> {
    let mut rows = cover();
    rows.extend([
        ann(change("seat_height", 10, "it has no upper seat: n/a")),
        change("collar_short", 10, "the gum is formed to it"),
        change("collar_long", 10, "the gum is formed to it"),
        change("widest", 10, "the gum is formed to it"),
        change("neck", 10, "the gum is formed to it"),
        change("drive", 0, "another driver on the tray"),
        open("angle", "healing abutments are straight; nothing stands on them"),
        open("offset", "healing abutments are straight; nothing stands on them"),
        unlisted("length_tolerance", "nothing stands on it: a change at most"),
        change("torque", 0, "another number, or no longer by hand"),
    ]);
    rows
}

fn cover_screw() -> Vec<Row> {
    let mut rows = cover();
    rows.extend([
        must(
            "head_diameter",
            10,
            Named::AtBestChange,
            "a head wider than the platform presses the gum and cannot be cleaned under",
        ),
        change("head_height", 10, "the gum is closed over it"),
        change("drive", 0, "another driver on the tray"),
        open("under_head", "its seat closes the implant, its thread has its own length"),
        open("shank", "its seat closes the implant, its thread has its own length"),
        open("angled_channel", "nothing leads to it but the gum"),
        unlisted("length_tolerance", "nothing stands on it: a change at most"),
        change("torque", 0, "another number, or no longer by hand"),
    ]);
    rows
}

/// What is asked of every part.
fn everywhere() -> Vec<Row> {
    vec![
        must("kind", 0, Named::Fails, "a part made for another joint is never held right by this one"),
        must(
            "maker",
            0,
            Named::MayNotGoIn,
            "another maker's parts are held to other drawings, whatever the numbers say",
        ),
        change("material", 0, "alloy against alloy: wear, galvanic corrosion, friction and so the pull"),
        paper("description", "words"),
        paper("gtin", "an item number"),
        paper("hibc", "an item number"),
        paper("sterile", "how it comes out of its pack"),
        paper("reuse", "whether it may serve twice"),
        paper("pack", "how many lie in a pack"),
        word("system", "the name of a family; the maker decides"),
        word("source", "who wrote the numbers down; the maker decides"),
        word("replaced_by", "a statement: it may cover a joint, never a length"),
        word("belongs_to", "a statement: it may cover a joint, never a length"),
    ]
}
