//! What a part says of itself that cannot be: found when it comes in, by numbers of its own alone.

use super::{Hole, Part, Port, Side, holes, port_twice};

/// Every contradiction of `part`, as sentences that name it.
pub fn of(part: &Part) -> Vec<String> {
    let code = &part.code;
    let mut out = Vec::new();
    if let Some((kind, side)) = port_twice(part) {
        let port = kind.words(side);
        out.push(format!("part {code} has two ports as its {port}: expected one of a kind on a side"));
    }
    for hole in holes(part).iter().filter(|h| h.not_applicable) {
        out.push(not_applicable(part, hole));
    }
    if part.replaced_by.as_ref() == Some(code) || part.belongs_to.contains(code) {
        out.push(format!("part {code} names itself: replaced_by and belongs_to name other parts"));
    }
    out.extend(part.ports.iter().filter_map(|port| bearing(part, port)));
    out
}

fn not_applicable(part: &Part, hole: &Hole) -> String {
    format!(
        "part {}: {hole} is 'n/a', and a {} has one: leave it out where it is not known",
        part.code,
        part.kind.short()
    )
}

/// A head bears between its bore and its edge.
fn bearing(part: &Part, port: &Port) -> Option<String> {
    let Port::HeadSeat(head) = port else { return None };
    let (mean, code) = (head.mean_diameter.known()?, &part.code);
    if head.side == Side::Below {
        let wide = part.head_diameter.known()?;
        return (mean >= wide).then(|| {
            format!("part {code}: its head bears on {mean} and is only {wide} wide: expected a wider head")
        });
    }
    let bore = head.bore.known()?;
    (mean <= bore).then(|| {
        format!(
            "part {code}: its shoulder bears on {mean}, and its bore is {bore} wide: expected a narrower bore"
        )
    })
}
