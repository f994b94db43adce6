//! Ten million random and mutated labels: none may panic, and what holds of every label must hold.
//!
//! ```sh
//! cargo bench --bench scan                    # ten million, from the seed 1
//! cargo bench --bench scan -- 1000000 7       # so many, from another seed
//! ```

use std::collections::BTreeMap;
use std::time::Instant;

#[path = "../scan/holds.rs"]
mod holds;
#[path = "../scan/labels.rs"]
mod labels;

fn main() {
    // Cargo adds words of its own, such as --bench.
    let mut numbers = std::env::args().skip(1).filter_map(|word| word.parse::<u64>().ok());
    let count = numbers.next().unwrap_or(10_000_000);
    let seed = numbers.next().unwrap_or(1);
    let mut rng = fastrand::Rng::with_seed(seed);
    let mut verdicts: BTreeMap<&str, u64> = BTreeMap::new();
    let begun = Instant::now();
    for _ in 0..count {
        let (text, year) = (labels::label(&mut rng), labels::year(&mut rng));
        *verdicts.entry(holds::read_and_held(&text, year).verdict().word()).or_default() += 1;
    }
    println!(
        "{count} labels from seed {seed} in {:.0} s, no panic: {verdicts:?}",
        begun.elapsed().as_secs_f64()
    );
}
