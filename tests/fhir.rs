//! The exchange form HL7 FHIR R5, held against its published definitions and against the record.

mod held;
mod kept;
mod practice;
mod whole;
