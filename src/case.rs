//! L3: the per-patient record: implants, assemblies, restorations, load signs, events, under a number, never a name.

mod bands;
mod call;
mod crown;
mod measuring;
mod model;
mod places;
mod read;
mod span;

pub use bands::{Bands, BandsError, NO_LIMIT_IS_EVIDENCE};
pub use call::{Broken, Call, Calls, Ends, Held, Left, Scope, Wanted, When, Which};
pub use crown::{CrownError, CrownFrom, crown_from, crown_words, from_the_platform, stored_crown};
pub use measuring::{MeasureUnit, millionths, read_measured};
pub use model::{
    CaseHead, Event, Fitted, Grinding, Happening, LoadSigns, Measured, Restoration, Retention, Sites, Splint,
    Sure, TorqueRecord,
};
pub use places::{NoPlace, Place, Places, places};
pub use read::{CaseFile, FindPart, read_case, read_lean, read_torque_record};
pub use span::{Span, SpanError};
