//! Look-ups: what a view answers, by key; a few whole scans for lists and near misses.

use std::collections::BTreeMap;

use super::{
    ActRow, BuiltOn, CaseState, ConfirmedRow, EarlierRow, EventRow, IndexRow, Item, LotRow, MeasuringRow,
    OriginRow, PartRow, PieceRow, PlaceRow, View, ViewError,
};
use crate::case::{Bands, CaseHead, Event, Fitted, Restoration};
use crate::catalog::{Drive, Interface, Kind, Part, System, Thread};
use crate::matching::Verification;
use crate::record::key::{self, tag};
use crate::stock::{Claim, StockLine};
use crate::units::{Act, CaseNumber, InterfaceId, PartCode, PlaceId, SystemId, Tooth};

/// Look-ups.
impl View {
    /// A part of the catalogue edition in force.
    pub fn part(&self, code: &PartCode) -> Result<Option<Part>, ViewError> {
        let bucket = key::parts(key::bucket_of(code, self.head.buckets));
        let rows = self.list::<PartRow>(&bucket)?;
        Ok(rows.iter().find(|row| row.code == *code).map(|row| row.part.open()).transpose()?)
    }

    /// The numbers that lots of a part were received under, where the edition in force has others; by the entry that put
    /// the edition of the lot in force.
    pub fn earlier(&self, code: &PartCode) -> Result<Vec<(u64, Part)>, ViewError> {
        let rows: Vec<EarlierRow> = self.list(&key::earlier(code))?;
        rows.into_iter().map(|row| Ok((row.edition, row.part.open()?))).collect()
    }

    /// The parts that a label calls by this item number ([`Part::item_numbers`]), by code.
    pub fn parts_by_item_number(&self, number: &str) -> Result<Vec<Part>, ViewError> {
        let rows: Vec<IndexRow> = self.list(&key::by_item_number(number))?;
        let mut found = Vec::new();
        for (_, code) in rows {
            found.extend(self.part(&code)?.filter(|p| p.item_numbers().any(|n| n == number)));
        }
        Ok(found)
    }

    /// Every part: slow, for lists and near misses.
    pub fn parts(&self) -> Result<Vec<Part>, ViewError> {
        let rows = self.scan::<PartRow>(&[tag::PART])?;
        let mut all =
            rows.into_values().flatten().map(|row| row.part.open()).collect::<Result<Vec<_>, _>>()?;
        all.sort_by(|a, b| a.code.cmp(&b.code));
        Ok(all)
    }

    /// The codes of a kind whose ports use an interface.
    pub fn codes_by_interface(&self, kind: Kind, id: &InterfaceId) -> Result<Vec<PartCode>, ViewError> {
        self.indexed(kind, &key::by_interface(id))
    }

    /// The codes of a kind in a system.
    pub fn codes_by_system(&self, kind: Kind, id: &SystemId) -> Result<Vec<PartCode>, ViewError> {
        self.indexed(kind, &key::by_system(id))
    }

    /// The codes of the drivers of a drive.
    pub fn drivers(&self, drive: &Drive) -> Result<Vec<PartCode>, ViewError> {
        self.indexed(Kind::Driver, &key::by_drive(drive))
    }

    /// The codes of the removal tools or retrieval sets for a thread.
    pub fn tools_for(&self, kind: Kind, thread: &Thread) -> Result<Vec<PartCode>, ViewError> {
        key::by_thread(thread).map_or(Ok(Vec::new()), |list| self.indexed(kind, &list))
    }

    /// The codes of a kind of tool that serves every drive and thread.
    pub fn shared_tools(&self, kind: Kind) -> Result<Vec<PartCode>, ViewError> {
        self.indexed(kind, &key::by_kind(kind))
    }

    fn indexed(&self, kind: Kind, list: &[u8]) -> Result<Vec<PartCode>, ViewError> {
        let rows: Vec<IndexRow> = self.list(list)?;
        Ok(rows.into_iter().filter(|(k, _)| *k == kind).map(|(_, code)| code).collect())
    }

    /// An interface.
    pub fn interface(&self, id: &InterfaceId) -> Result<Option<Interface>, ViewError> {
        Ok(self.list(&key::interface(id))?.pop())
    }

    /// Every interface.
    pub fn interfaces(&self) -> Result<Vec<Interface>, ViewError> {
        Ok(self.scan(&[tag::INTERFACE])?.into_values().flatten().collect())
    }

    /// A system.
    pub fn system(&self, id: &SystemId) -> Result<Option<System>, ViewError> {
        Ok(self.list(&key::system(id))?.pop())
    }

    /// Every system.
    pub fn systems(&self) -> Result<Vec<System>, ViewError> {
        Ok(self.scan(&[tag::SYSTEM])?.into_values().flatten().collect())
    }

    /// A case.
    pub fn case(&self, number: &CaseNumber) -> Result<Option<CaseHead>, ViewError> {
        Ok(self.list(&key::case(number))?.pop())
    }

    /// Every case.
    pub fn cases(&self) -> Result<Vec<CaseHead>, ViewError> {
        Ok(self.scan(&[tag::CASE])?.into_values().flatten().collect())
    }

    /// The assembly at a site.
    pub fn assembly(&self, number: &CaseNumber, tooth: Tooth) -> Result<Vec<Fitted>, ViewError> {
        self.list(&key::fitted(number, tooth))
    }

    /// What the restoration was built on at a site, where something else stands there now.
    pub fn built_on(&self, number: &CaseNumber, tooth: Tooth) -> Result<Vec<BuiltOn>, ViewError> {
        self.list(&key::built_on(number, tooth))
    }

    /// The restorations of a case.
    pub fn restorations(&self, number: &CaseNumber) -> Result<Vec<Restoration>, ViewError> {
        self.list(&key::restorations(number))
    }

    /// Whether a case is closed, which visit is open, when it is to be checked.
    pub fn state(&self, number: &CaseNumber) -> Result<CaseState, ViewError> {
        Ok(self.list(&key::state(number))?.pop().unwrap_or_default())
    }

    /// The state of every case that has one.
    pub fn states(&self) -> Result<Vec<(CaseNumber, CaseState)>, ViewError> {
        let rows = self.scan::<CaseState>(&[tag::STATE])?;
        let one = |(key, mut rows): (Vec<u8>, Vec<CaseState>)| Some((key::only_case(&key)?, rows.pop()?));
        Ok(rows.into_iter().filter_map(one).collect())
    }

    /// What is called keeping the fit, where somebody set it.
    pub fn bands(&self) -> Result<Option<Bands>, ViewError> {
        Ok(self.list(&key::bands())?.pop())
    }

    /// When and from what the sites of a case were measured, in the order it was entered.
    pub fn measurings(&self, number: &CaseNumber) -> Result<Vec<MeasuringRow>, ViewError> {
        self.list(&key::measurings(number))
    }

    /// Where a case came from, when it was taken from a share.
    pub fn origin(&self, number: &CaseNumber) -> Result<Option<OriginRow>, ViewError> {
        Ok(self.list(&key::origin(number))?.pop())
    }

    /// Every case that was taken from a share, and where it came from.
    pub fn origins(&self) -> Result<Vec<(CaseNumber, OriginRow)>, ViewError> {
        let rows = self.scan::<OriginRow>(&[tag::ORIGIN])?;
        let one = |(key, mut rows): (Vec<u8>, Vec<OriginRow>)| Some((key::only_case(&key)?, rows.pop()?));
        Ok(rows.into_iter().filter_map(one).collect())
    }

    /// What laboratories answered about a case, in the order it was taken.
    pub fn confirmed(&self, number: &CaseNumber) -> Result<Vec<ConfirmedRow>, ViewError> {
        self.chunks(|n| key::confirmed(number, n))
    }

    /// What came out of a patient, in the order it was booked.
    pub fn pieces(&self, number: &CaseNumber) -> Result<Vec<PieceRow>, ViewError> {
        let all: Vec<PieceRow> = self.chunks(|n| key::pieces(number, n))?;
        Ok(all.into_iter().filter(|p| !p.taken_back).collect())
    }

    /// What happened in a case, in the order it was entered.
    pub fn events(&self, number: &CaseNumber) -> Result<Vec<Event>, ViewError> {
        let all: Vec<EventRow> = self.chunks(|n| key::events(number, n))?;
        Ok(all.into_iter().map(|row| row.event).collect())
    }

    /// Where the lots of a part are.
    pub fn stock_of(&self, part: &PartCode) -> Result<Vec<StockLine>, ViewError> {
        let lots: Vec<LotRow> = self.chunks(|n| key::stock(part, n))?;
        Ok(lots.into_iter().flat_map(LotRow::lines).collect())
    }

    /// Every stock line, by part.
    pub fn stock(&self) -> Result<BTreeMap<PartCode, Vec<StockLine>>, ViewError> {
        let mut out: BTreeMap<PartCode, Vec<StockLine>> = BTreeMap::new();
        for (list, lots) in self.scan::<LotRow>(&[tag::STOCK])? {
            if let Some(part) = key::stock_part(&list) {
                out.entry(part).or_default().extend(lots.into_iter().flat_map(LotRow::lines));
            }
        }
        Ok(out)
    }

    /// What is set aside of a part.
    pub fn claims_of(&self, part: &PartCode) -> Result<Vec<Claim>, ViewError> {
        self.list(&key::claims(part))
    }

    /// What is set aside, by part.
    pub fn claims(&self) -> Result<BTreeMap<PartCode, Vec<Claim>>, ViewError> {
        let rows = self.scan::<Claim>(&[tag::CLAIM])?;
        Ok(rows.into_iter().filter_map(|(list, claims)| Some((key::claimed_part(&list)?, claims))).collect())
    }

    /// A drawer.
    pub fn place(&self, id: &PlaceId) -> Result<Option<PlaceRow>, ViewError> {
        Ok(self.list(&key::place(id))?.pop())
    }

    /// Every drawer.
    pub fn places(&self) -> Result<Vec<PlaceId>, ViewError> {
        Ok(self.scan::<PlaceRow>(&[tag::PLACE])?.into_values().flatten().map(|p| p.id).collect())
    }

    /// The verifications of a fitted part.
    pub fn verifications(&self, fitted: &PartCode) -> Result<Vec<Verification>, ViewError> {
        self.list(&key::verifications(fitted))
    }

    /// The entry an act made, if it made one.
    pub fn entry_of(&self, act: Act) -> Result<Option<u64>, ViewError> {
        let rows: Vec<ActRow> = self.chunks(|n| key::acts(act, n))?;
        Ok(rows.into_iter().find(|(bits, _)| *bits == act.bits()).map(|(_, seq)| seq))
    }

    pub(super) fn chunks<T: Item>(&self, key_of: impl Fn(u32) -> Vec<u8>) -> Result<Vec<T>, ViewError> {
        let mut out = Vec::new();
        for n in 0.. {
            let mut chunk: Vec<T> = self.list(&key_of(n))?;
            if chunk.is_empty() {
                break;
            }
            out.append(&mut chunk);
        }
        Ok(out)
    }
}
