//! Labels: published and constructed ones, what is refused word for word, and texts that nobody would print.

mod vectors;
