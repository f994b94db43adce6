//! A thousand near misses: one must-property changed or made unknown, and nothing may call that like for like.

use std::collections::BTreeMap;

use super::sample::{Case, head, mm, seat, thread};
use super::{Level, Verdict};
use crate::catalog::{Kind, Part, SeatForm, Side, Value, Variant};
use crate::units::{Angle, InterfaceId, Length};

/// Marsaglia's xorshift64 with a fixed seed: the same thousand every time.
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 % n as u64) as usize
    }

    /// A length at least 0.01 mm away, either way.
    fn moved(&mut self, value: &Value<Length>) -> Value<Length> {
        let from = value.known().map_or(0, |l| l.base());
        let by = 10 + self.below(900) as i32;
        mm(if self.below(2) == 0 && from > by { from - by } else { from + by })
    }
}

/// A property that must be equal, how to miss it, and how to not know it.
struct Must {
    name: &'static str,
    of: fn() -> Case,
    change: fn(&mut Part, &mut Dice),
    forget: Option<fn(&mut Part)>,
    /// Compared with the fitted part, so that not knowing the fitted one's counts as well.
    both: bool,
}

macro_rules! must {
    ($name:literal, $of:path, $both:literal, $part:ident, $dice:ident, $change:expr) => {
        Must { name: $name, of: $of, change: |$part, $dice| $change, forget: None, both: $both }
    };
    ($name:literal, $of:path, $both:literal, $part:ident, $dice:ident, $change:expr, $forget:expr) => {
        Must {
            name: $name,
            of: $of,
            change: |$part, $dice| $change,
            forget: Some(|$part| $forget),
            both: $both,
        }
    };
}

const B: Side = Side::Below;
const A: Side = Side::Above;

fn other_revision(dice: &mut Dice) -> Value<semver::Version> {
    Value::Known(["2.0.0", "0.9.0", "3.1.4"][dice.below(3)].parse().unwrap())
}

fn other_requirement(dice: &mut Dice) -> Value<semver::VersionReq> {
    Value::Known(["^2", "^1.1", "=1.0.1"][dice.below(3)].parse().unwrap())
}

fn other_interface(dice: &mut Dice) -> InterfaceId {
    InterfaceId::new(["hex-5.0", "cone-4.0", "top-5.5"][dice.below(3)]).unwrap()
}

fn other_cone(dice: &mut Dice) -> Value<SeatForm> {
    Value::Known(SeatForm::Cone(Angle::from_base(31_000 + dice.below(20) as i32 * 1000)))
}

/// Must-properties of what is changed at the chair under a bridge: abutments and both screws.
fn musts() -> Vec<Must> {
    let mut all = vec![
        must!("kind", Case::abutment, false, p, _d, p.kind = Kind::Abutment),
        must!("seat height", Case::abutment, true, p, d, p.seat_height = d.moved(&p.seat_height), {
            p.seat_height = Value::Unknown
        }),
        must!("offset", Case::angled, true, p, d, p.offset = d.moved(&p.offset), p.offset = Value::Unknown),
        must!(
            "angle",
            Case::angled,
            true,
            p,
            d,
            p.angle = Value::Known(Angle::from_base(17_100 + d.below(13_000) as i32)),
            p.angle = Value::Unknown
        ),
        must!("variant", Case::angled, true, p, _d, seat(p, B).variant = Value::Known(Variant::Corner), {
            seat(p, B).variant = Value::Unknown
        }),
        must!("angled engages", Case::angled, false, p, _d, seat(p, B).engaging = Value::Known(false), {
            seat(p, B).engaging = Value::Unknown
        }),
        must!("straight engages", Case::two_piece, true, p, _d, seat(p, B).engaging = Value::Known(false), {
            seat(p, B).engaging = Value::Unknown
        }),
    ];
    all.extend(joints());
    all.extend(seats());
    all.extend(screws(Case::abutment_screw, true));
    all.extend(screws(Case::prosthetic_screw, true));
    // A one-piece abutment's own thread.
    all.extend(screws(Case::abutment, false));
    all
}

fn joints() -> Vec<Must> {
    vec![
        must!(
            "index count",
            Case::two_piece,
            false,
            p,
            d,
            seat(p, B).index = Value::Known(7 + d.below(6) as u8),
            { seat(p, B).index = Value::Unknown }
        ),
        must!("platform", Case::abutment, true, p, d, seat(p, B).outer = d.moved(&seat(p, B).outer), {
            seat(p, B).outer = Value::Unknown
        }),
        must!("shoulder form", Case::two_piece, false, p, d, head(p, A).form = other_cone(d), {
            head(p, A).form = Value::Unknown
        }),
        must!(
            "shoulder diameter",
            Case::two_piece,
            false,
            p,
            d,
            head(p, A).mean_diameter = d.moved(&head(p, A).mean_diameter),
            head(p, A).mean_diameter = Value::Unknown
        ),
        must!("bore", Case::angled, true, p, d, head(p, A).bore = d.moved(&head(p, A).bore), {
            head(p, A).bore = Value::Unknown
        }),
        must!(
            "upper thread diameter",
            Case::abutment,
            false,
            p,
            d,
            thread(p, A).diameter = d.moved(&thread(p, A).diameter),
            thread(p, A).diameter = Value::Unknown
        ),
        must!(
            "upper thread pitch",
            Case::abutment,
            false,
            p,
            d,
            thread(p, A).pitch = d.moved(&thread(p, A).pitch),
            thread(p, A).pitch = Value::Unknown
        ),
        must!(
            "upper thread depth",
            Case::abutment,
            true,
            p,
            d,
            thread(p, A).length = d.moved(&thread(p, A).length),
            { thread(p, A).length = Value::Unknown }
        ),
    ]
}

fn seats() -> Vec<Must> {
    vec![
        must!("lower interface", Case::abutment, false, p, d, seat(p, B).interface = other_interface(d)),
        must!("upper interface", Case::abutment, false, p, d, seat(p, A).interface = other_interface(d)),
        must!("lower offers", Case::abutment, true, p, d, seat(p, B).offers = other_revision(d), {
            seat(p, B).offers = Value::Unknown
        }),
        must!("upper offers", Case::abutment, true, p, d, seat(p, A).offers = other_revision(d), {
            seat(p, A).offers = Value::Unknown
        }),
        must!("lower accepts", Case::abutment, false, p, d, seat(p, B).accepts = other_requirement(d), {
            seat(p, B).accepts = Value::Unknown
        }),
        must!("upper accepts", Case::abutment, false, p, d, seat(p, A).accepts = other_requirement(d), {
            seat(p, A).accepts = Value::Unknown
        }),
    ]
}

fn screws(of: fn() -> Case, headed: bool) -> Vec<Must> {
    let mut all = vec![
        must!("thread diameter", of, false, p, d, thread(p, B).diameter = d.moved(&thread(p, B).diameter), {
            thread(p, B).diameter = Value::Unknown
        }),
        must!("thread pitch", of, false, p, d, thread(p, B).pitch = d.moved(&thread(p, B).pitch), {
            thread(p, B).pitch = Value::Unknown
        }),
        must!("engaged thread", of, true, p, d, thread(p, B).length = d.moved(&thread(p, B).length), {
            thread(p, B).length = Value::Unknown
        }),
    ];
    if headed {
        all.extend([
            must!(
                "head form",
                of,
                false,
                p,
                d,
                head(p, B).form = other_cone(d),
                head(p, B).form = Value::Unknown
            ),
            must!(
                "head seat diameter",
                of,
                false,
                p,
                d,
                head(p, B).mean_diameter = d.moved(&head(p, B).mean_diameter),
                head(p, B).mean_diameter = Value::Unknown
            ),
            must!("shank", of, true, p, d, p.shank = d.moved(&p.shank), p.shank = Value::Unknown),
            must!(
                "under head",
                of,
                true,
                p,
                d,
                p.under_head = d.moved(&p.under_head),
                p.under_head = Value::Unknown
            ),
            must!("head diameter", of, true, p, d, p.head_diameter = d.moved(&p.head_diameter), {
                p.head_diameter = Value::Unknown
            }),
            must!("angled channel", of, true, p, _d, p.angled_channel = Value::Known(true), {
                p.angled_channel = Value::Unknown
            }),
        ]);
    }
    all
}

#[test]
fn a_thousand_near_misses_put_no_bridge_back() {
    let musts = musts();
    let mut dice = Dice(0x5eed_0f5e_a751_u64);
    let mut hit: BTreeMap<(&str, &str, &str), usize> = BTreeMap::new();
    for n in 0..1000 {
        let must = &musts[dice.below(musts.len())];
        let mut case = (must.of)();
        let forget = must.forget.filter(|_| dice.below(2) == 0);
        let on_fitted = forget.is_some() && must.both && dice.below(3) == 0;
        let how = match forget {
            Some(forget) if on_fitted => {
                forget(&mut case.fitted);
                "fitted not known"
            }
            Some(forget) => {
                forget(&mut case.candidate);
                "not known"
            }
            None => {
                (must.change)(&mut case.candidate, &mut dice);
                "changed"
            }
        };
        let judged = case.judged();
        let words = format!("near miss {n}: {} of the {} {how}", must.name, case.position);
        assert!(!judged.verdict.puts_it_back(), "{words}");
        if how == "not known" {
            assert!(judged.verdict >= Verdict::NotConfirmed, "{words}: {:?}", judged.findings);
        }
        assert!(judged.findings[0].level < Level::Note, "{words}");
        *hit.entry((case.position.slug(), must.name, how)).or_default() += 1;
    }
    for must in &musts {
        let at = (must.of)().position.slug();
        for (how, asked) in
            [("changed", true), ("not known", must.forget.is_some()), ("fitted not known", must.both)]
        {
            assert!(
                !asked || hit.contains_key(&(at, must.name, how)),
                "{} of the {at} never {how}",
                must.name
            );
        }
    }
}
