//! 200 000 texts from one seed: nothing panics, and what holds of every label holds. The long form, ten million, is
//! `cargo bench --bench scan`.

use std::collections::BTreeMap;

use super::holds::read_and_held;
use super::labels::{label, year};

#[test]
fn no_text_is_too_strange() {
    let mut rng = fastrand::Rng::with_seed(20_261_125);
    let mut verdicts: BTreeMap<&str, u32> = BTreeMap::new();
    for _ in 0..200_000 {
        let (text, year) = (label(&mut rng), year(&mut rng));
        *verdicts.entry(read_and_held(&text, year).verdict().word()).or_default() += 1;
    }
    // A run that only ever meets refusals would show little.
    assert!(["ok", "warn", "error", "not_gs1"].iter().all(|v| verdicts[v] > 1_000), "{verdicts:?}");
}

#[test]
fn every_cut_and_every_changed_byte_of_a_label_is_answered() {
    for seed in super::labels::SEEDS {
        for at in (0..=seed.len()).filter(|at| seed.is_char_boundary(*at)) {
            read_and_held(&seed[..at], 2026);
            read_and_held(&seed[at..], 2026);
            for byte in 0..=0x7f_u8 {
                let mut changed = seed.to_string().into_bytes();
                if let Some(b) = changed.get_mut(at) {
                    *b = byte;
                }
                read_and_held(&String::from_utf8_lossy(&changed), 2026);
            }
        }
    }
}

#[test]
fn a_label_of_a_mebibyte_is_refused_at_once() {
    for piece in ["+", "01", "(", "]", "*+", "\u{1d}", "ö", "+A123BJC5D6E71G"] {
        read_and_held(&piece.repeat((1 << 20) / piece.len()), 2026);
        read_and_held(&piece.repeat(200 / piece.len()), 2026);
    }
}
