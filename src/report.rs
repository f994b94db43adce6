//! L4: answers as text and as JSON. No rule and no arithmetic of the trade lives here.

mod confirmed;
#[cfg(feature = "cli")]
pub mod html;
pub mod json;
#[cfg(feature = "cli")]
mod table;
#[cfg(feature = "cli")]
pub mod text;
