//! The table of rooms in DEVELOPERS.md, between two marks: what a room may touch, and how long it may be.

use std::collections::BTreeMap;

/// The marks around the table.
pub const MARKS: [&str; 2] = ["<!-- rooms: read by the tests -->", "<!-- end of rooms -->"];
/// The lines of a room of facts, and of one folder of a layer, where the table gives no reason for more.
pub const USUAL: usize = 3_000;
const HEAD: &str = "| room | what it is for | may touch | lines, at most |";

/// A row of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Room {
    /// The rooms whose names may stand in it.
    pub may_touch: Vec<String>,
    /// How many lines it may have: with all under it, or in each folder.
    pub most: usize,
    /// A layer: its lines are counted a folder at a time.
    pub is_layer: bool,
}

/// Rooms by their names.
pub type Rooms = BTreeMap<String, Room>;

/// Reads the table; what is wrong with it, a line each.
pub fn read(markdown: &str) -> Result<Rooms, Vec<String>> {
    let [begin, end] = MARKS;
    let inside = markdown.split_once(begin).and_then(|(_, rest)| Some(rest.split_once(end)?.0));
    let inside = inside.ok_or_else(|| vec![format!("no table of rooms between '{begin}' and '{end}'")])?;
    let mut lines = inside.lines().filter(|l| l.starts_with('|'));
    if lines.next() != Some(HEAD) {
        return Err(vec![format!("the table of rooms begins with '{HEAD}'")]);
    }
    let (mut rooms, mut wrong) = (Rooms::new(), Vec::new());
    for line in lines.skip(1) {
        match row(line) {
            Ok((name, room)) => {
                if rooms.insert(name.clone(), room).is_some() {
                    wrong.push(format!("room {name} stands twice in the table"));
                }
            }
            Err(why) => wrong.push(format!("{why}: {line}")),
        }
    }
    let unknown = rooms.iter().flat_map(|(name, room)| {
        let gone = room.may_touch.iter().filter(|other| !rooms.contains_key(*other));
        gone.map(move |other| format!("room {name} may touch {other}, which is no room of the table"))
    });
    wrong.extend(unknown.collect::<Vec<_>>());
    if wrong.is_empty() { Ok(rooms) } else { Err(wrong) }
}

fn row(line: &str) -> Result<(String, Room), &'static str> {
    let cells: Vec<&str> = line.trim_matches('|').split('|').map(str::trim).collect();
    let [name, what, may_touch, lines] = cells[..] else { return Err("expected four columns") };
    let [name] = quoted(name)[..] else { return Err("expected the room's name in backticks") };
    if what.is_empty() {
        return Err("expected what it is for");
    }
    let may_touch = quoted(may_touch);
    if may_touch.is_empty() && may_touch.is_empty() != (cells[2] == "none") {
        return Err("expected rooms in backticks, or 'none'");
    }
    let (figure, reason) = lines.split_once(':').map_or((lines, ""), |(f, r)| (f, r.trim()));
    let is_layer = figure.ends_with(" a folder");
    let digits = figure.trim_end_matches(" a folder").replace(' ', "");
    let most: usize =
        digits.parse().map_err(|_| "expected how many lines: '3 000', or '3 000 a folder: why'")?;
    if reason.is_empty() && (is_layer || most > USUAL) {
        return Err("expected a reason behind a colon: it is a layer, or longer than usual");
    }
    let may_touch = may_touch.into_iter().map(ToOwned::to_owned).collect();
    Ok((name.to_owned(), Room { may_touch, most, is_layer }))
}

/// What stands in backticks.
fn quoted(cell: &str) -> Vec<&str> {
    cell.split('`').skip(1).step_by(2).collect()
}

#[cfg(test)]
fn table(rows: &str) -> String {
    let [begin, end] = MARKS;
    format!("text\n\n{begin}\n{HEAD}\n|---|---|---|---|\n{rows}\n{end}\nmore | text\n")
}

#[test]
fn a_row_says_what_may_be_touched_and_how_long_a_room_may_be() {
    let rooms = read(&table(
        "| `shelf` | what lies where | `units`, `record` | 3 000 |\n| `units` | quantities | none | 900 |\n| `record` | the fold | `units` | 2 500 a folder: a layer under all rooms |",
    ));
    let room = |may_touch: &[&str], most, is_layer| Room {
        may_touch: may_touch.iter().map(ToString::to_string).collect(),
        most,
        is_layer,
    };
    let expected = [
        ("shelf", room(&["units", "record"], 3_000, false)),
        ("units", room(&[], 900, false)),
        ("record", room(&["units"], 2_500, true)),
    ];
    assert_eq!(rooms, Ok(expected.map(|(name, room)| (name.to_owned(), room)).into()));
}

#[test]
fn a_row_that_cannot_be_read_is_said() {
    for (row, says) in [
        ("| `a` | b | none |", "expected four columns"),
        ("| a | b | none | 9 |", "expected the room's name in backticks"),
        ("| `a` | | none | 9 |", "expected what it is for"),
        ("| `a` | b | | 9 |", "expected rooms in backticks, or 'none'"),
        ("| `a` | b | none | many |", "expected how many lines"),
        ("| `a` | b | none | 3 001 |", "expected a reason"),
        ("| `a` | b | none | 100 a folder |", "expected a reason"),
        ("| `a` | b | `c` | 9 |", "room a may touch c, which is no room of the table"),
        ("| `a` | b | none | 9 |\n| `a` | b | none | 9 |", "room a stands twice"),
    ] {
        let wrong = read(&table(row)).expect_err(row);
        assert!(wrong.len() == 1 && wrong[0].starts_with(says), "{row}: {wrong:?}");
    }
    assert!(read("no table").expect_err("no table")[0].starts_with("no table of rooms between"));
    let headless = format!("{}\n| `a` | b | none | 9 |\n{}", MARKS[0], MARKS[1]);
    assert!(read(&headless).expect_err("no head")[0].starts_with("the table of rooms begins with"));
}
