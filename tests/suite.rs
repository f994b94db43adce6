//! One test binary: `bash tests/run` runs it and the rest.

mod cli;
mod contract;
mod docs;
mod faults;
mod fhir;
mod fit;
mod model;
mod museum;
mod near_misses;
mod numeric;
mod practice;
mod scan;
mod support;
mod tidy;
