//! Keys of the view: a tag, the identifiers with a zero byte between them, and where a list is long the chunk's number.

use crate::catalog::{Drive, Kind, Thread, order_of};
use crate::units::{Act, CaseNumber, InterfaceId, PartCode, PlaceId, SystemId, Tooth};

/// Which head the view has.
pub const HEAD: &[u8] = b"H";
/// Set while more than one batch is being written.
pub const MARK: &[u8] = b"M";

/// First bytes, one a kind of row.
#[allow(missing_docs)]
pub mod tag {
    pub const ACT: u8 = b'a';
    pub const BANDS: u8 = b'g';
    pub const BUILT_ON: u8 = b'b';
    pub const CASE: u8 = b'c';
    pub const CLAIM: u8 = b'h';
    pub const CONFIRMED: u8 = b'q';
    pub const EDITION: u8 = b'd';
    pub const EARLIER: u8 = b'w';
    pub const EVENT: u8 = b'e';
    pub const FITTED: u8 = b'f';
    pub const INDEX: u8 = b'i';
    pub const INTERFACE: u8 = b'j';
    pub const MEASURING: u8 = b'm';
    pub const ORIGIN: u8 = b'o';
    pub const PART: u8 = b'p';
    pub const PIECE: u8 = b'k';
    pub const STATE: u8 = b'x';
    pub const PLACE: u8 = b'l';
    pub const RESTORATION: u8 = b'r';
    pub const STOCK: u8 = b's';
    pub const SYSTEM: u8 = b'y';
    pub const VERIFICATION: u8 = b'v';
}

fn key(tag: u8, parts: &[&[u8]]) -> Vec<u8> {
    // Room for the number of the row, which comes behind it in the store.
    let mut out = Vec::with_capacity(1 + parts.iter().map(|p| p.len() + 1).sum::<usize>() + 3);
    out.push(tag);
    for (n, part) in parts.iter().enumerate() {
        if n > 0 {
            out.push(0);
        }
        out.extend_from_slice(part);
    }
    out
}

/// What is called keeping the fit.
pub fn bands() -> Vec<u8> {
    key(tag::BANDS, &[])
}

/// The head of a case.
pub fn case(number: &CaseNumber) -> Vec<u8> {
    key(tag::CASE, &[number.as_str().as_bytes()])
}

/// The assembly at a site.
pub fn fitted(number: &CaseNumber, tooth: Tooth) -> Vec<u8> {
    key(tag::FITTED, &[number.as_str().as_bytes(), &[tooth.iso()]])
}

/// What a restoration was built on at a site, where something else stands there now.
pub fn built_on(number: &CaseNumber, tooth: Tooth) -> Vec<u8> {
    key(tag::BUILT_ON, &[number.as_str().as_bytes(), &[tooth.iso()]])
}

/// Whether a case is closed, which visit is open, when it is to be checked.
pub fn state(number: &CaseNumber) -> Vec<u8> {
    key(tag::STATE, &[number.as_str().as_bytes()])
}

/// The case of a key that holds nothing but its number.
pub fn only_case(key: &[u8]) -> Option<CaseNumber> {
    CaseNumber::new(std::str::from_utf8(key.get(1..)?).ok()?).ok()
}

/// A chunk of the pieces that came out of a patient.
pub fn pieces(number: &CaseNumber, chunk: u32) -> Vec<u8> {
    key(tag::PIECE, &[number.as_str().as_bytes(), &chunk.to_be_bytes()])
}

/// The restorations of a case.
pub fn restorations(number: &CaseNumber) -> Vec<u8> {
    key(tag::RESTORATION, &[number.as_str().as_bytes()])
}

/// A chunk of the events of a case.
pub fn events(number: &CaseNumber, chunk: u32) -> Vec<u8> {
    key(tag::EVENT, &[number.as_str().as_bytes(), &chunk.to_be_bytes()])
}

/// When and from what the sites of a case were measured.
pub fn measurings(number: &CaseNumber) -> Vec<u8> {
    key(tag::MEASURING, &[number.as_str().as_bytes()])
}

/// Where a case that was shared came from.
pub fn origin(number: &CaseNumber) -> Vec<u8> {
    key(tag::ORIGIN, &[number.as_str().as_bytes()])
}

/// A chunk of the answers of laboratories about a case.
pub fn confirmed(number: &CaseNumber, chunk: u32) -> Vec<u8> {
    key(tag::CONFIRMED, &[number.as_str().as_bytes(), &chunk.to_be_bytes()])
}

/// A chunk of the stock lines of a part.
pub fn stock(part: &PartCode, chunk: u32) -> Vec<u8> {
    key(tag::STOCK, &[part.as_str().as_bytes(), &chunk.to_be_bytes()])
}

/// The part of a stock key.
pub fn stock_part(key: &[u8]) -> Option<PartCode> {
    let text = key.get(1..key.len().checked_sub(5)?)?;
    PartCode::new(std::str::from_utf8(text).ok()?).ok()
}

/// A chunk of the acts that fall into a bucket.
pub fn acts(act: Act, chunk: u32) -> Vec<u8> {
    // 4096 buckets: at a million entries two chunks each.
    let bucket = (act.bits() >> 116) as u16;
    key(tag::ACT, &[&bucket.to_be_bytes(), &chunk.to_be_bytes()])
}

/// A place.
pub fn place(id: &PlaceId) -> Vec<u8> {
    key(tag::PLACE, &[id.as_str().as_bytes()])
}

/// What is set aside of a part.
pub fn claims(part: &PartCode) -> Vec<u8> {
    key(tag::CLAIM, &[part.as_str().as_bytes()])
}

/// The part of such a key.
pub fn claimed_part(key: &[u8]) -> Option<PartCode> {
    PartCode::new(std::str::from_utf8(key.get(1..)?).ok()?).ok()
}

/// The verifications of a fitted part.
pub fn verifications(fitted: &PartCode) -> Vec<u8> {
    key(tag::VERIFICATION, &[fitted.as_str().as_bytes()])
}

/// An interface.
pub fn interface(id: &InterfaceId) -> Vec<u8> {
    key(tag::INTERFACE, &[id.as_str().as_bytes()])
}

/// A system.
pub fn system(id: &SystemId) -> Vec<u8> {
    key(tag::SYSTEM, &[id.as_str().as_bytes()])
}

/// The bucket of a part among `buckets`; rises with [`order_of`], so an edition streams into its buckets.
pub fn bucket_of(code: &PartCode, buckets: u32) -> u32 {
    ((u64::from(order_of(code)) * u64::from(buckets.max(1))) >> 32) as u32
}

/// A bucket of parts.
pub fn parts(bucket: u32) -> Vec<u8> {
    key(tag::PART, &[&bucket.to_be_bytes()])
}

/// The numbers that lots of a part were received under, where the edition in force has others.
pub fn earlier(code: &PartCode) -> Vec<u8> {
    key(tag::EARLIER, &[code.as_str().as_bytes()])
}

/// A chunk of the editions that were put in force.
pub fn editions(chunk: u32) -> Vec<u8> {
    key(tag::EDITION, &[&chunk.to_be_bytes()])
}

/// The parts whose ports use an interface.
///
/// All kinds in one list: a list of its own for each kind made five times as many rows, most of two or three codes,
/// and sled costs by the row.
pub fn by_interface(id: &InterfaceId) -> Vec<u8> {
    key(tag::INDEX, &[b"i", id.as_str().as_bytes()])
}

/// The drivers of a drive.
pub fn by_drive(drive: &Drive) -> Vec<u8> {
    key(tag::INDEX, &[b"d", drive.to_string().as_bytes()])
}

/// The tools for a thread.
pub fn by_thread(thread: &Thread) -> Option<Vec<u8>> {
    let (d, p) = (thread.diameter.known()?, thread.pitch.known()?);
    Some(key(tag::INDEX, &[b"t", format!("{d} x {p}").as_bytes()]))
}

/// The tools of a kind that no drive and no thread tells apart.
pub fn by_kind(kind: Kind) -> Vec<u8> {
    key(tag::INDEX, &[b"k", kind.slug().as_bytes()])
}

/// The parts whose item number falls into one bucket with this one: a list for each number would be a row for each part,
/// and sled costs by the row.
pub fn by_item_number(number: &str) -> Vec<u8> {
    let bucket = (crc32fast::hash(number.as_bytes()) >> 22) as u16;
    key(tag::INDEX, &[b"n", &bucket.to_be_bytes()])
}

/// The parts of a system.
pub fn by_system(id: &SystemId) -> Vec<u8> {
    key(tag::INDEX, &[b"s", id.as_str().as_bytes()])
}
