//! spareseat keeps the parts that hold implant bridges together: what is fitted in whom, what lies in which drawer,
//! and whether a spare puts the bridge back exactly where it was.
//!
//! What people do has a room each; a room may use those below it and every layer. `tests/tidy/rooms.rs` holds the code
//! to the table of rooms in DEVELOPERS.md.
//!
//! | | room | holds |
//! |---|---|---|
//! | rim | [`cli`] | one file per command; no arithmetic, no rules |
//! | rim | [`report`] | answers as text, as JSON, in the exchange form FHIR |
//! | | [`demo`] | a made-up practice, which uses every room |
//! | rooms | [`fitting`] | what goes into a mouth and comes out: one part, the tray of a visit, a visit begun and ended |
//! | rooms | [`chair`] | the patient is here: which part, which drawer, what torque, what else must be new |
//! | rooms | [`tracing`] | where the pieces of a lot went, what stood in a mouth, what is called back |
//! | rooms | [`shelf`] | what lies in which drawer, what comes in, is set aside, goes out |
//! | rooms | [`bench`](mod@bench) | whether a part puts the bridge back where it was, and by how much not |
//! | rooms | [`weakest`] | what breaks next |
//! | rooms | [`lab`] | a case to the laboratory elsewhere, its answer back |
//! | rooms | [`cases`] | who has what in which mouth: entered, looked at, closed |
//! | rooms | [`amend`] | what was booked wrongly is put right |
//! | rooms | [`maintenance`] | the record itself: verify, back up, accept, editions of the catalogue |
//! | rooms | [`lots`] | a pack in the hand, what of a part is there and for whom, the numbers a lot came with |
//! | rooms | [`desk`] | the open home: looks up, books, refuses |
//! | layers | [`record`] | entry types, keys, codec, the fold from entries to the view |
//! | layers | [`logbook`] | append, read on, verify: the record |
//! | layers | [`store`] | ordered bytes: sled and memory |
//! | layers | [`case`] | the per-patient record |
//! | layers | [`matching`] | verdicts and findings |
//! | layers | [`catalog`] | parts, interfaces, checking, editions |
//! | layers | [`stock`] | ledger, lots, picking |
//! | layers | [`fit`] | kernels: where a rigid bridge comes to rest, and what it takes to shut a gap |
//! | layers | [`mechanics`] | kernels: threads, preload from torque, what a load does to screw, joint, neck and cone, how a bridge shares it |
//! | layers | [`scan`] | kernel: what stands on a label, GS1 and HIBC, with a verdict |
//! | layers | [`units`] | quantities, ids, dates, teeth, bounds |
//!
//! The library never prints, never reads the clock or the environment: [`cli`] hands them in.
//!
//! ```
//! use spareseat::units::{LIMITS, Length, Tooth};
//!
//! let collar = Length::parse("3.0", &LIMITS.collar)?;
//! assert_eq!(collar.to_string(), "3.0 mm");
//! assert_eq!(Tooth::parse("25").map(Tooth::words), Ok("upper left second premolar".to_owned()));
//! # Ok::<(), spareseat::units::QuantityError>(())
//! ```

pub mod amend;
pub mod bench;
pub mod case;
pub mod cases;
pub mod catalog;
pub mod chair;
#[cfg(feature = "cli")]
pub mod cli;
pub mod demo;
pub mod desk;
pub mod fit;
pub mod fitting;
pub mod lab;
pub mod logbook;
pub mod lots;
pub mod maintenance;
pub mod matching;
pub mod mechanics;
pub mod record;
pub mod report;
pub mod scan;
pub mod shelf;
pub mod stock;
pub mod store;
pub mod tracing;
pub mod units;
pub mod weakest;
