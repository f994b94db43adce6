//! What an edition of the catalogue does to the view, and a number in it that had been wrong.

use super::super::entry::{CatalogueCorrected, WrongNumbers};
use super::super::key;
use super::super::view::{BuiltOn, EditionRow, LotRow, View, ViewError};
use super::{CHUNK, place_of_lot, push};
use crate::case::Fitted;
use crate::catalog::EditionId;

pub(super) fn in_force(view: &mut View, seq: u64, edition: EditionId) -> Result<(), ViewError> {
    push::<EditionRow>(view, CHUNK, key::editions, (seq, edition.clone()))?;
    let head = view.head_mut();
    head.edition = Some(edition);
    head.edition_by = seq;
    Ok(())
}

/// Lots and mouths that had the wrong numbers have the right ones from now on: the parts themselves are what they were.
pub(super) fn corrected(view: &mut View, seq: u64, e: CatalogueCorrected) -> Result<(), ViewError> {
    in_force(view, seq, e.edition)?;
    // The edition may be the one that stands there already, and the numbers of the lots are made with its parts.
    view.head_mut().loaded = None;
    for WrongNumbers { now, lots, mouths } in e.wrong {
        for lot in lots {
            let Some((chunk, at)) = place_of_lot(view, &now.code, &lot)? else { continue };
            view.open_list::<LotRow>(key::stock(&now.code, chunk))?[at as usize].edition = seq;
        }
        for mouth in mouths {
            if mouth.stands {
                let mut assembly = view.open_list::<Fitted>(key::fitted(&mouth.case, mouth.site))?;
                for fitted in assembly.iter_mut().filter(|f| f.position == mouth.position) {
                    fitted.part = now.clone();
                }
            }
            if mouth.built_on {
                let mut built = view.open_list::<BuiltOn>(key::built_on(&mouth.case, mouth.site))?;
                for was in built.iter_mut().filter(|b| b.position == mouth.position) {
                    was.part = now.clone();
                }
            }
        }
    }
    Ok(())
}
