//! The table of rules: one rule a file, each with its id, its reason and its source.

use super::{Finding, Question};

/// A rule: looks at a question, states what it finds.
pub type Rule = fn(&Question<'_>) -> Vec<Finding>;

/// Every rule, in the order they are explained in.
pub const ALL: &[Rule] = &[];
