//! L2: what parts there are: parts with their ports, interfaces, systems; reading, checking, editions.

mod check;
mod contradictions;
mod edition;
mod form;
mod interface;
mod kind;
mod known;
mod part;
mod port;
mod position;
mod ranges;
mod read;
mod shipped;
mod torque_asked;
mod value;

pub use check::{HEAD_OVER_BORE, check};
pub use edition::{Edition, EditionError, EditionId, EditionLine, order_of, read_files};
pub use form::{Form, Mistake, Mistakes, Table};
pub use interface::{Interface, Revision, System};
pub use kind::Kind;
pub use known::{Hole, Number, PortKind, Weight, holes, holes_in_port, port_twice};
pub use part::{Drive, DriveForm, Made, Material, Part, Reuse, Sterile, TorqueSpec};
pub use port::{HeadSeat, Mating, Port, Seat, SeatForm, Side, Thread, Variant, mating};
pub use position::{Lean, Placed, Position, mate_below};
pub use ranges::{in_range, same_shape, torque_in_range};
pub use read::{Draft, read_file, read_made_part, read_torque};
pub use shipped::shipped;
pub use torque_asked::{Disagree, TorqueAsked};
pub use value::Value;
