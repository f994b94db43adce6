//! spareseat keeps the parts that hold implant bridges together: what is fitted in whom, what lies in which drawer,
//! and whether a spare puts the bridge back exactly where it was.
//!
//! Dependencies point down only; `tests/tidy.rs` holds the code to this table:
//!
//! | layer | module | holds |
//! |---|---|---|
//! | L5 | [`cli`] | one file per command; no arithmetic, no rules |
//! | L4 | [`report`] | answers as text, as JSON, in the exchange form FHIR |
//! | L4 | [`desk`] | what people do, one file each: reads, decides purely, writes one entry |
//! | S+ | [`record`] | entry types, keys, codec, the fold from entries to the view |
//! | S | [`logbook`] | append, read on, verify: the record |
//! | S | [`store`] | ordered bytes: sled and memory |
//! | L3 | [`case`] | the per-patient record |
//! | L3 | [`matching`] | verdicts and findings |
//! | L2 | [`catalog`] | parts, interfaces, checking, editions |
//! | L2 | [`stock`] | ledger, lots, picking |
//! | L1 | [`fit`] | kernels: where a rigid bridge comes to rest, and what it takes to shut a gap |
//! | L1 | [`mechanics`] | kernels: threads, preload from torque, what a load does to screw, joint, neck and cone, how a bridge shares it |
//! | L1 | [`scan`] | kernel: what stands on a label, GS1 and HIBC, with a verdict |
//! | L0 | [`units`] | quantities, ids, dates, teeth, bounds |
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
