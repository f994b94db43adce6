//! JSON as it goes to a screen: what would move the cursor or turn the text is escaped, so the value stays the same.

use serde_json::Value;

use crate::units::hidden;

/// Indented JSON without a single hidden character: JSON's own escapes leave out those above U+001F.
pub fn json(value: &Value) -> String {
    let mut out = String::new();
    for c in format!("{value:#}").chars() {
        if c != '\n' && hidden(c) {
            out.push_str(&format!("\\u{:04x}", c as u32));
        } else {
            out.push(c);
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hidden_characters_are_escaped_and_read_back_as_they_were() {
        let value = serde_json::json!({ "label": "a\u{1d}b\u{202e}c\u{9b}d" });
        let shown = json(&value);
        assert_eq!(shown, "{\n  \"label\": \"a\\u001db\\u202ec\\u009bd\"\n}");
        assert_eq!(serde_json::from_str::<Value>(&shown).unwrap(), value);
    }
}
