//! 'Did you mean …': the nearest few of what there is.

/// Up to three of `words` near enough to `typed` to be worth a question, nearest first.
pub fn near<'a>(typed: &str, words: impl IntoIterator<Item = &'a str>) -> Vec<String> {
    // 0.75 lets one slip in a short word through and keeps strangers out (our judgement).
    const NEAR_ENOUGH: f64 = 0.75;
    let mut best: Vec<(f64, &str)> = Vec::new();
    for word in words {
        let likeness = strsim::normalized_damerau_levenshtein(typed, word);
        if likeness >= NEAR_ENOUGH {
            best.push((likeness, word));
            best.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(b.1)));
            best.truncate(3);
        }
    }
    best.into_iter().map(|(_, word)| word.to_owned()).collect()
}

/// The question itself, with its leading space; empty when nothing is near.
pub fn did_you_mean<'a>(typed: &str, words: impl IntoIterator<Item = &'a str>) -> String {
    let found = near(typed, words);
    if found.is_empty() { String::new() } else { format!(" Did you mean {}?", found.join(" or ")) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slip_is_found_and_a_stranger_is_not() {
        let words = ["abutment", "abutment-screw", "prosthetic-screw"];
        assert_eq!(did_you_mean("prostetic-screw", words), " Did you mean prosthetic-screw?");
        assert_eq!(did_you_mean("wrench", words), "");
    }
}
