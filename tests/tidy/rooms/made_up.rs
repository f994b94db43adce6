//! The test of the rooms, tried on small made-up trees: the good one passes, each thing that is wrong turns it red.

use super::complaints;
use super::modules::Tree;
use super::table::{MARKS, read};

const ROWS: &str = "
| `units` | quantities | none | 3 000 |
| `shelf` | what lies where | `units` | 40 |
| `chair` | what is done in a mouth | `units`, `shelf` | 3 000 |
| `cli` | what is typed | `units`, `shelf`, `chair` | 30 a folder: one file a command |";

const GOOD: &[(&str, &str)] = &[
    ("src/lib.rs", "pub mod chair; pub mod cli; pub mod shelf; pub mod units;"),
    ("src/main.rs", "fn main() { spareseat::cli::main() }"),
    ("src/units.rs", "pub struct Length;\npub fn mm() -> Length { Length }"),
    (
        "src/shelf.rs",
        "mod drawers; mod lots; mod sorting;\npub use lots::Lot;\npub struct Shelf;\npub fn list() { lots::all() }",
    ),
    ("src/shelf/lots.rs", "use crate::units::{Length, mm};\npub struct Lot(Length);\npub fn all() { mm(); }"),
    ("src/shelf/drawers.rs", "use super::{Shelf, lots::{self, Lot}};\npub struct Drawer(Lot, Shelf);"),
    ("src/shelf/sorting.rs", "use super::drawers::Drawer;\npub fn sorted(d: Drawer) { super::lots::all() }"),
    ("src/chair.rs", "use crate::shelf::{self, Lot};\npub fn visit(l: Lot) { shelf::list() }"),
    ("src/cli.rs", "mod args;\npub struct Context;\npub fn main() { crate::chair::visit() }"),
    ("src/cli/args.rs", "use super::Context;\npub struct Args(Context);"),
];

/// What is wrong with the good tree when these files stand in it, or in place of those of the same name.
fn with(changed: &[(&str, &str)]) -> Vec<String> {
    let [begin, end] = MARKS;
    let head = "| room | what it is for | may touch | lines, at most |\n|---|---|---|---|";
    let rooms = read(&format!("{begin}\n{head}{ROWS}\n{end}")).expect("a table");
    let is_changed = |file: &str| changed.iter().any(|(c, _)| *c == file);
    let kept = GOOD.iter().filter(|(file, _)| !is_changed(file));
    complaints(&Tree::of(kept.chain(changed).copied()), &rooms)
}

#[test]
fn a_good_tree_has_nothing_wrong_with_it() {
    assert_eq!(with(&[]), [""; 0]);
}

#[test]
fn a_circle_of_three_siblings_is_red() {
    assert_eq!(
        with(&[(
            "src/shelf/lots.rs",
            "pub struct Lot;\npub fn all() {\n    crate::shelf::sorting::sorted()\n}"
        )]),
        [
            "shelf: a circle: drawers, lots, sorting (drawers to lots: src/shelf/drawers.rs:1 names super::lots; lots to sorting: src/shelf/lots.rs:3 names crate::shelf::sorting::sorted; sorting to drawers: src/shelf/sorting.rs:1 names super::drawers::Drawer)"
        ]
    );
}

/// What stands below a sibling counts for it, and a `pub use` in the parent leads to where the thing is.
#[test]
fn a_circle_through_a_grandchild_and_a_pub_use_is_red() {
    let wrong = with(&[
        ("src/shelf/lots.rs", "mod deep;\npub struct Lot;\npub fn all() {}"),
        ("src/shelf/lots/deep.rs", "fn f(d: crate::shelf::Sorted) {}"),
        (
            "src/shelf.rs",
            "mod drawers; mod lots; mod sorting;\npub use {lots::Lot, sorting::sorted as Sorted};\npub struct Shelf;\npub fn list() {}",
        ),
    ]);
    assert!(
        wrong.len() == 1 && wrong[0].starts_with("shelf: a circle: drawers, lots, sorting ("),
        "{wrong:?}"
    );
}

#[test]
fn a_circle_of_rooms_is_red() {
    let wrong = with(&[("src/shelf/lots.rs", "pub struct Lot(crate::chair::visit);\npub fn all() {}")]);
    assert_eq!(
        wrong,
        [
            "src/shelf/lots.rs:1: shelf may not touch chair: crate::chair::visit",
            "src: a circle: chair, shelf (chair to shelf: src/chair.rs:1 names crate::shelf; shelf to chair: src/shelf/lots.rs:1 names crate::chair::visit)",
        ]
    );
}

#[test]
fn a_table_that_allows_a_circle_is_red() {
    let row = |name, other| format!("| `{name}` | x | `{other}` | 9 |\n");
    let [begin, end] = MARKS;
    let head = "| room | what it is for | may touch | lines, at most |\n|---|---|---|---|\n";
    let rooms = read(&format!("{begin}\n{head}{}{}{end}", row("a", "b"), row("b", "a"))).expect("a table");
    assert_eq!(
        complaints(&Tree::of([("src/a.rs", ""), ("src/b.rs", "")]), &rooms),
        ["rooms in a circle: a, b (a to b: the table allows it; b to a: the table allows it)"]
    );
}

/// However a forbidden room is named; `{place}` is where the line is put.
#[test]
fn a_forbidden_room_is_red_however_it_is_named() {
    for (file, line, shown) in [
        ("src/units.rs", "use crate::shelf::Lot;", "crate::shelf::Lot"),
        ("src/units.rs", "use crate::{\n    shelf::{Lot, Shelf as S},\n};", "crate::shelf::Lot"),
        ("src/units.rs", "pub use super::shelf::Lot;", "super::shelf::Lot"),
        ("src/units/deep.rs", "use super::super::shelf;", "super::super::shelf"),
        ("src/units.rs", "fn f() { crate::shelf::list() }", "crate::shelf::list"),
        ("src/units.rs", "fn f() { use crate::shelf as s; s::list() }", "crate::shelf"),
        ("src/units.rs", "struct A<'a>(&'a crate::shelf::Shelf);", "crate::shelf::Shelf"),
        ("src/units.rs", "use crate::shelf::*;", "crate::shelf"),
        ("src/units.rs", "mod inner { fn f() { super::super::shelf::list() } }", "super::super::shelf::list"),
        ("src/units.rs", "fn f() { self::super::shelf::list() }", "self::super::shelf::list"),
        ("src/units.rs", "macro_rules! m { () => { $crate::shelf::list() } }", "crate::shelf::list"),
    ] {
        let head = "pub struct Length; pub fn mm() {}\n";
        let wrong = with(&[(file, &format!("{head}{line}"))]);
        let found = wrong.iter().any(|w| {
            w.starts_with(&format!("{file}:")) && w.contains(&format!(": units may not touch shelf: {shown}"))
        });
        assert!(found, "{line}: {wrong:?}");
    }
}

#[test]
fn what_is_no_code_or_is_for_tests_only_touches_nothing() {
    for line in [
        "// use crate::shelf::Lot;",
        "/* use crate::shelf::Lot; */",
        "/// See [`crate::shelf::Lot`].\npub fn g() {}",
        "const A: &str = \"crate::shelf::Lot\";",
        "const A: &str = r#\"use crate::shelf::Lot;\"#;",
        "#[cfg(test)]\nmod tests { use crate::shelf::Lot; }",
        "#[cfg(test)]\nuse crate::shelf::Lot;",
        "use other::crate_like::shelf;",
        "use shelf::Lot;",
        "fn f(shelf: u8) { shelf.list() }",
    ] {
        assert_eq!(
            with(&[("src/units.rs", &format!("pub struct Length; pub fn mm() {{}}\n{line}"))]),
            [""; 0]
        );
    }
    let for_tests = [
        ("src/units.rs", "pub struct Length; pub fn mm() {}\n#[cfg(test)]\nmod sample;"),
        ("src/units/sample.rs", "use crate::shelf::Lot;"),
    ];
    assert_eq!(with(&for_tests), [""; 0]);
}

#[test]
fn a_child_names_its_parent_s_types_and_calls_none_of_its_functions() {
    for (line, n) in
        [("fn f() { super::list() }", 3), ("use super::list;", 3), ("use super::*;\nfn f() { list() }", 4)]
    {
        assert_eq!(
            with(&[("src/shelf/lots.rs", &format!("pub struct Lot;\npub fn all() {{}}\n{line}"))]),
            [format!("shelf::list is called by a child: src/shelf/lots.rs:{n}")],
            "{line}"
        );
    }
    let types = "use super::Shelf;\npub struct Lot(crate::shelf::Shelf);\npub fn all() { Shelf::new() }";
    assert_eq!(with(&[("src/shelf/lots.rs", types)]), [""; 0]);
}

#[test]
fn a_room_over_its_size_is_red() {
    let long = |n: usize| format!("pub struct Lot;\npub fn all() {{}}\n{}", "// x\n".repeat(n));
    // The rest of the room has eight lines; what is for tests only is counted too.
    assert_eq!(with(&[("src/shelf/lots.rs", &long(30))]), [""; 0]);
    assert_eq!(with(&[("src/shelf/lots.rs", &long(31))]), ["src/shelf: 41 lines, at most 40"]);
    let tests = format!("#[cfg(test)]\nmod tests {{\n{}}}", "    fn f() {}\n".repeat(28));
    let tested = format!("pub struct Lot;\npub fn all() {{}}\n{tests}");
    assert_eq!(with(&[("src/shelf/lots.rs", &tested)]), ["src/shelf: 41 lines, at most 40"]);
}

#[test]
fn a_layer_is_counted_a_folder_at_a_time() {
    let lines = |n: usize| "// x\n".repeat(n);
    // The file beside the folder and one of its own have three and two lines.
    let files = |own: usize, below: usize| {
        with(&[("src/cli/args/more.rs", &lines(below)), ("src/cli/other.rs", &lines(own))])
    };
    assert_eq!(files(25, 30), [""; 0]);
    assert_eq!(files(26, 30), ["src/cli: 31 lines, at most 30"]);
    assert_eq!(files(25, 31), ["src/cli/args: 31 lines, at most 30"]);
}

#[test]
fn a_public_type_name_in_two_rooms_is_red() {
    for kind in ["struct Lot;", "enum Lot {}", "trait Lot {}", "type Lot = u8;"] {
        let wrong = with(&[("src/chair/tray.rs", &format!("pub {kind}"))]);
        assert_eq!(wrong, ["type Lot is declared in chair, shelf"], "{kind}");
    }
    for fine in [
        "struct Lot;",
        "pub(crate) struct Lot;",
        "pub fn lot() {}",
        "pub struct Args;",
        "pub struct Command;",
        "pub use crate::shelf::Lot;",
        "impl X for Y { type Lot = u8; }",
        "#[cfg(test)] pub struct Lot;",
    ] {
        assert_eq!(with(&[("src/chair/tray.rs", fine)]), [""; 0], "{fine}");
    }
    // Twice in one room is the room's own business.
    assert_eq!(with(&[("src/shelf/more.rs", "pub struct Lot;")]), [""; 0]);
}

#[test]
fn a_room_that_the_table_does_not_know_is_red() {
    assert_eq!(with(&[("src/novel.rs", "")]), ["room novel does not stand in the table"]);
    let [begin, end] = MARKS;
    let head = "| room | what it is for | may touch | lines, at most |\n|---|---|---|---|\n";
    let rooms = read(&format!("{begin}\n{head}| `gone` | x | none | 9 |\n{end}")).expect("a table");
    assert_eq!(complaints(&Tree::of([]), &rooms), ["room gone stands in the table and not in src"]);
}
