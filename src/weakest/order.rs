//! Which part gives way first, over the sites and over friction.

use super::members::Class;
use crate::mechanics::margin::{FRICTIONS, Factor};
use crate::units::{PartCode, Tooth};

/// The least of a class over the sites.
#[derive(Debug, Clone, PartialEq)]
pub struct Least {
    /// What.
    pub class: Class,
    /// Where it is least at the middle friction, or at the first one where it is reached at all.
    pub site: Tooth,
    /// Which part there.
    pub code: PartCode,
    /// λ at low, middle and high friction; none where it never gets there.
    pub at: [Option<f64>; FRICTIONS],
    /// Which bite rules there, from 0.
    pub ruled_by: Option<usize>,
}

/// What comes first.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum First {
    /// Nothing is modelled, or nothing ever gives way.
    Nothing,
    /// The least at every friction.
    One(Class),
    /// The order turns over with friction.
    Close(Vec<Class>),
}

impl First {
    /// The classes that are the least at some friction.
    pub fn classes(&self) -> &[Class] {
        match self {
            Self::Nothing => &[],
            Self::One(class) => std::slice::from_ref(class),
            Self::Close(all) => all,
        }
    }

    /// Whether something deeper than a screw over an abutment may come first.
    pub fn is_deep(&self) -> bool {
        self.classes().iter().any(|c| c.is_deep())
    }

    /// In words: 'the prosthetic screw', 'close between the prosthetic screw and the implant neck'.
    pub fn words(&self) -> String {
        match self {
            Self::Nothing => "nothing that is modelled".to_owned(),
            Self::One(class) => format!("the {}", class.words()),
            Self::Close(all) => {
                let names: Vec<String> = all.iter().map(|c| format!("the {}", c.words())).collect();
                format!("close between {}", names.join(" and "))
            }
        }
    }
}

/// Classes by their least, the weakest at the middle friction first.
#[derive(Debug, Clone, PartialEq)]
pub struct Order {
    /// A row for each class that is modelled somewhere.
    pub rows: Vec<Least>,
    /// What comes first.
    pub first: First,
}

/// A factor of a part at a site.
pub type OrderRow<'a> = (Class, Tooth, &'a PartCode, Factor);

fn less(a: Option<f64>, b: Option<f64>) -> bool {
    match (a, b) {
        (Some(a), Some(b)) => a < b,
        (a, _) => a.is_some(),
    }
}

impl Order {
    /// Of every modelled part of a restoration.
    pub fn of<'a>(all: impl Iterator<Item = OrderRow<'a>>) -> Self {
        let mut rows: Vec<Least> = Vec::new();
        for (class, site, code, factor) in all {
            let new = Least { class, site, code: code.clone(), at: factor.at, ruled_by: factor.ruled_by };
            let Some(least) = rows.iter_mut().find(|r| r.class == class) else {
                rows.push(new);
                continue;
            };
            if less(new.at[FRICTIONS / 2], least.at[FRICTIONS / 2]) {
                (least.site, least.code, least.ruled_by) = (new.site, new.code, new.ruled_by);
            }
            for (least, new) in least.at.iter_mut().zip(new.at) {
                if less(new, *least) {
                    *least = new;
                }
            }
        }
        let middle = |r: &Least| r.at[FRICTIONS / 2].unwrap_or(f64::INFINITY);
        rows.sort_by(|a, b| middle(a).total_cmp(&middle(b)));
        let mut first: Vec<Class> = Vec::new();
        for friction in 0..FRICTIONS {
            let reached = rows.iter().filter(|r| r.at[friction].is_some());
            let least = reached.reduce(|a, b| if less(b.at[friction], a.at[friction]) { b } else { a });
            if let Some(least) = least.filter(|l| !first.contains(&l.class)) {
                first.push(least.class);
            }
        }
        let first = match first[..] {
            [] => First::Nothing,
            [one] => First::One(one),
            _ => First::Close(first),
        };
        Self { rows, first }
    }

    /// The row of a class.
    pub fn row(&self, class: Class) -> Option<&Least> {
        self.rows.iter().find(|r| r.class == class)
    }

    /// λ of the neck over λ of the weakest screw, at each friction; none where either is not modelled or never reached.
    pub fn reserve(&self) -> [Option<f64>; FRICTIONS] {
        std::array::from_fn(|friction| {
            let neck = self.row(Class::Neck)?.at[friction]?;
            let screws = self.rows.iter().filter(|r| r.class != Class::Neck && r.class != Class::ConeWall);
            let weakest = screws.filter_map(|r| r.at[friction]).reduce(f64::min)?;
            Some(neck / weakest)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn order(all: &[(Class, u8, [f64; 3])]) -> Order {
        let code = PartCode::new("part").unwrap();
        let row = |(class, site, at): &(Class, u8, [f64; 3])| {
            (*class, Tooth::from_iso(*site).unwrap(), &code, Factor { at: at.map(Some), ruled_by: Some(0) })
        };
        Order::of(all.iter().map(row))
    }

    /// The two worked bridges of tests/numeric/weakest.rs.
    #[test]
    fn first_is_the_least_at_every_friction_or_it_is_close() {
        let a = order(&[
            (Class::OnePiece, 25, [3.53, 2.54, 2.16]),
            (Class::Neck, 25, [3.73; 3]),
            (Class::ProstheticScrew, 25, [3.38, 2.25, 1.83]),
        ]);
        assert_eq!(a.first, First::One(Class::ProstheticScrew));
        assert!(!a.first.is_deep());
        assert_eq!(a.first.words(), "the prosthetic screw");
        assert!((a.reserve()[1].unwrap() - 3.73 / 2.25).abs() < 1e-12);
        let b = order(&[(Class::AbutmentScrew, 25, [4.12, 2.76, 2.23]), (Class::Neck, 25, [3.73; 3])]);
        assert_eq!(b.first, First::Close(vec![Class::Neck, Class::AbutmentScrew]));
        assert_eq!(b.first.words(), "close between the implant neck and the abutment screw");
        assert!(b.first.is_deep());
        assert_eq!(order(&[]).first, First::Nothing);
    }

    #[test]
    fn of_several_sites_the_least_counts_at_each_friction() {
        let both = order(&[(Class::Neck, 24, [2.0, 3.0, 1.0]), (Class::Neck, 27, [3.0, 2.0, 2.0])]);
        assert_eq!(both.rows.len(), 1);
        assert_eq!((both.rows[0].site.iso(), both.rows[0].at), (27, [Some(2.0), Some(2.0), Some(1.0)]));
        assert_eq!(both.reserve(), [None; 3], "no screw is modelled");
    }
}
