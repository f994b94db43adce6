//! Two thousand seatings solved by a general-purpose conic solver and proven in 40 digits: `tests/vectors/README.md`.

use serde::Deserialize;

use spareseat::fit::seating::{NoRest, Rest, Seat, middle, one_screw, rest};

/// The lift is unique and both sides know it: rounding of 9 decimals in the file, of heights up to 6 mm here.
const LIFT_UM: f64 = 1e-6;
/// Away from ties a height that is off by a billionth of a µm moves no gap by more than a ten thousandth.
const GAP_UM: f64 = 1e-3;

/// A case of the file; the keys are described beside it.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Case {
    shape: String,
    rises: String,
    /// x and y in mm, rise in µm, radius in mm.
    seats: Vec<[f64; 4]>,
    press: Option<[f64; 2]>,
    tighten: Option<usize>,
    #[serde(default)]
    least: bool,
    lift_um: Option<f64>,
    #[serde(default)]
    tie: bool,
    #[serde(default)]
    gaps_um: Vec<f64>,
    #[serde(default)]
    widest_um: Vec<f64>,
    #[serde(default)]
    tips: bool,
    outside: Option<f64>,
}

impl Case {
    fn seats(&self) -> Vec<Seat> {
        let seat = |[x, y, um, radius]: &[f64; 4]| Seat { at: [*x, *y], rise: um / 1000.0, radius: *radius };
        self.seats.iter().map(seat).collect()
    }

    fn ours(&self, seats: &[Seat]) -> Result<Rest, NoRest> {
        match (self.press, self.tighten) {
            (None, Some(at)) => one_screw(seats, at),
            (press, None) => rest(seats, press.unwrap_or_else(|| middle(seats))),
            (Some(_), Some(_)) => panic!("a case is pressed at one point"),
        }
    }

    /// What is wrong with our answer.
    fn complaints(&self) -> Vec<String> {
        let seats = self.seats();
        let found = match (self.ours(&seats), self.lift_um) {
            (Ok(found), Some(lift)) => (found, lift),
            (Err(NoRest::Tips(_)), None) if self.tips => return Vec::new(),
            (ours, lift) => return vec![format!("expected {lift:?} µm, or that it tips: {ours:?}")],
        };
        let (found, lift) = found;
        let mut wrong = Vec::new();
        let mut hold = |what: &str, ours: f64, theirs: f64, most: f64| {
            // Asked for what holds, so that no number is wrong too.
            let holds = (ours - theirs).abs() <= most;
            if !holds {
                wrong.push(format!("{what}: ours {ours} µm, theirs {theirs} µm"));
            }
        };
        hold("lift", found.lift * 1000.0, lift, LIFT_UM);
        hold("certificate", found.doubt(&seats) * 1000.0, 0.0, LIFT_UM);
        let known = self.gaps_um.iter().zip(&self.widest_um);
        for (n, (seat, (centre, widest))) in seats.iter().zip(known).enumerate() {
            let gap = found.gap(seat);
            hold(&format!("gap {n}"), gap.centre * 1000.0, *centre, GAP_UM);
            hold(&format!("widest gap {n}"), gap.widest * 1000.0, *widest, GAP_UM);
        }
        wrong
    }
}

fn cases() -> Vec<Case> {
    serde_json::from_str(include_str!("../vectors/seating.json")).expect("the file of seatings")
}

#[test]
fn the_file_holds_what_its_page_says() {
    let cases = cases();
    let count = |which: fn(&Case) -> bool| cases.iter().filter(|c| which(c)).count();
    assert_eq!((cases.len(), count(|c| c.tips), count(|c| c.least)), (2050, 50, 60));
    // A case with neither gaps nor a reason would be compared by its lift alone.
    let silent = |c: &Case| c.gaps_um.len() != c.seats.len() || c.widest_um.len() != c.seats.len();
    assert_eq!(count(|c| !c.tie && !c.tips && (c.gaps_um.is_empty() || c.lift_um.is_none())), 0);
    assert_eq!(cases.iter().filter(|c| silent(c) && !c.tips && (!c.tie || c.least)).count(), 0);
    assert!(cases.iter().all(|c| c.tips == c.outside.is_some()));
    for n in 1..=14 {
        assert!(cases.iter().any(|c| c.seats.len() == n), "{n} sites");
    }
    assert!(count(|c| !c.gaps_um.is_empty()) > 1900, "ties are to be few");
}

#[test]
fn every_seating_is_the_conic_solvers() {
    let mut wrong = Vec::new();
    for (line, case) in cases().iter().enumerate() {
        for complaint in case.complaints() {
            // The first line of the file is its bracket.
            wrong.push(format!("line {} ({}, {}): {complaint}", line + 2, case.shape, case.rises));
        }
    }
    assert!(wrong.is_empty(), "{} are off\n{}", wrong.len(), wrong[..wrong.len().min(40)].join("\n"));
}

#[test]
fn an_answer_that_is_off_is_found() {
    let mut cases = cases();
    let case = cases.iter_mut().find(|c| c.gaps_um.len() > 2).expect("one with gaps");
    case.gaps_um[1] += 0.002;
    case.lift_um = case.lift_um.map(|um| um + 2e-6);
    let wrong = case.complaints();
    assert_eq!(wrong.len(), 2, "{wrong:?}");
    assert!(wrong[0].starts_with("lift: ours") && wrong[1].starts_with("gap 1: ours"), "{wrong:?}");
}
