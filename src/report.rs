//! L4: answers as text, as JSON, and in the exchange form FHIR. No rule and no arithmetic of the trade lives here.

mod confirmed;
pub mod fhir;
#[cfg(feature = "cli")]
pub mod html;
pub mod json;
#[cfg(feature = "cli")]
mod table;
#[cfg(feature = "cli")]
pub mod text;

/// With its first letter as a sentence begins.
#[cfg(feature = "cli")]
fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or(String::new(), |c| c.to_uppercase().chain(chars).collect())
}
