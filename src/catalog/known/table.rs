//! The table itself: which ports and numbers a part of each kind must have.

use super::{Number, PortKind};
use crate::catalog::{Kind, Side};

/// In how many pieces an abutment comes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Pieces {
    /// The kind comes in one form only.
    Any,
    /// Its thread is its own.
    One,
    /// A screw of its own holds it.
    Two,
}

/// A kind, and what must be known of it.
pub(super) struct Row {
    pub kind: Kind,
    pub pieces: Pieces,
    pub ports: &'static [(PortKind, Side)],
    pub must: &'static [Number],
    pub change: &'static [Number],
    /// Numbers that may be 'n/a'.
    pub may_lack: &'static [Number],
}

use Number as N;
use PortKind::{HeadSeat as Head, Seat as OnSeat, Thread as InThread};
use Side::{Above, Below};

const BODY: &[Number] = &[N::SeatHeight, N::Angle, N::Offset];
const SHAPE: &[Number] = &[N::CollarShort, N::CollarLong, N::Widest, N::Neck, N::Tolerance];
const SHAPE_AND_DRIVE: &[Number] =
    &[N::CollarShort, N::CollarLong, N::Widest, N::Neck, N::Tolerance, N::Drive];
const SCREW: &[Number] = &[N::UnderHead, N::Shank, N::AngledChannel, N::HeadDiameter];
/// A screw that is threaded up to its head has no shank.
const NO_SHANK: &[Number] = &[N::Shank];
/// A body that its own screw or the framework holds is tightened by that screw and turned by nothing.
const HELD: &[Number] = &[N::Torque, N::Drive];

/// The table. What must be known of a kind that is not in it is nothing: it goes into no mouth.
pub(super) const TABLE: &[Row] = &[
    Row {
        kind: Kind::Implant,
        pieces: Pieces::Any,
        ports: &[(OnSeat, Above), (InThread, Above)],
        must: &[],
        change: &[],
        may_lack: &[N::Torque],
    },
    Row {
        kind: Kind::ProstheticScrew,
        pieces: Pieces::Any,
        ports: &[(Head, Below), (InThread, Below)],
        must: SCREW,
        change: &[N::HeadHeight, N::Drive],
        may_lack: NO_SHANK,
    },
    Row {
        kind: Kind::AbutmentScrew,
        pieces: Pieces::Any,
        // An upper thread, where the prosthetic screw holds in it, is asked for by the joint.
        ports: &[(Head, Below), (InThread, Below)],
        must: SCREW,
        change: &[N::HeadHeight, N::Drive],
        may_lack: NO_SHANK,
    },
    Row {
        kind: Kind::MultiUnitAbutment,
        pieces: Pieces::One,
        ports: &[(OnSeat, Below), (InThread, Below), (OnSeat, Above), (InThread, Above)],
        must: BODY,
        change: SHAPE_AND_DRIVE,
        may_lack: &[],
    },
    Row {
        kind: Kind::MultiUnitAbutment,
        pieces: Pieces::Two,
        // The thread for the prosthetic screw may be in its own screw: the joint asks for it.
        ports: &[(OnSeat, Below), (Head, Above), (OnSeat, Above)],
        must: BODY,
        change: SHAPE,
        may_lack: HELD,
    },
    Row {
        kind: Kind::Abutment,
        pieces: Pieces::One,
        ports: &[(OnSeat, Below), (InThread, Below)],
        must: BODY,
        change: SHAPE_AND_DRIVE,
        may_lack: &[],
    },
    Row {
        kind: Kind::Abutment,
        pieces: Pieces::Two,
        ports: &[(OnSeat, Below), (Head, Above)],
        must: BODY,
        change: SHAPE,
        may_lack: HELD,
    },
    Row {
        kind: Kind::TitaniumBase,
        pieces: Pieces::Any,
        ports: &[(OnSeat, Below), (Head, Above)],
        must: &[N::SeatHeight, N::Angle, N::Offset, N::AngledChannel],
        change: SHAPE,
        may_lack: HELD,
    },
    Row {
        kind: Kind::Cylinder,
        pieces: Pieces::Any,
        ports: &[(OnSeat, Below), (Head, Above)],
        must: &[N::SeatHeight, N::Angle, N::Offset, N::AngledChannel],
        change: SHAPE,
        may_lack: &[N::Torque, N::Drive, N::SeatHeight, N::CollarShort, N::CollarLong],
    },
    Row {
        kind: Kind::HealingCap,
        pieces: Pieces::Any,
        ports: &[(OnSeat, Below), (InThread, Below)],
        must: &[],
        change: &[N::Widest, N::Drive],
        may_lack: &[N::Neck],
    },
    Row {
        kind: Kind::HealingAbutment,
        pieces: Pieces::Any,
        ports: &[(OnSeat, Below), (InThread, Below)],
        must: &[],
        change: &[N::SeatHeight, N::CollarShort, N::CollarLong, N::Widest, N::Neck, N::Drive],
        may_lack: &[N::SeatHeight],
    },
    Row {
        kind: Kind::CoverScrew,
        pieces: Pieces::Any,
        ports: &[(OnSeat, Below), (InThread, Below)],
        must: &[N::HeadDiameter],
        change: &[N::HeadHeight, N::Drive],
        may_lack: NO_SHANK,
    },
];
