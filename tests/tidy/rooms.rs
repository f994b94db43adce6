//! Rooms: a top-level file of src with the folder of its name. What a room may touch, how long it may be, and that
//! nothing in it goes round in a circle, held against the table in DEVELOPERS.md.
//!
//! A name counts for every module it passes through, a `pub use` on its way among them. What is there for tests only is
//! no part of a room's names, and part of its lines. Calls of methods are not seen: a method is of a type, and a child may
//! name its parent's types.

mod circles;
mod made_up;
mod modules;
mod table;
mod today;
mod words;

use std::collections::{BTreeMap, BTreeSet};

use super::tree::{read, sources};
use circles::Graph;
use modules::{Item, Module, Named, Path, Tree};
use table::Rooms;

/// Public type names that may stand in more than one room, and why.
const NAMED_ALIKE: &[(&str, &str)] = &[
    ("Args", "what is typed behind a command: one a command, named by its file"),
    ("Command", "the commands behind a command"),
];

/// Where a name leads: a module, or an item in one.
struct Reference {
    line: usize,
    shown: String,
    /// The modules it passes through, and what it asks each for.
    passed: Vec<(Path, String)>,
}

/// Every name in the code that leads out of the module where it stands: which module, and what it names.
struct All<'t> {
    tree: &'t Tree,
    references: Vec<(&'t Path, &'t Module, Vec<Reference>)>,
}

impl<'t> All<'t> {
    fn of(tree: &'t Tree) -> Self {
        let references = tree.modules.iter().map(|(at, module)| {
            // A single word was brought in by a `use`, which is named itself, or by one of everything.
            let paths = module.named.iter().filter(|n| n.path.len() > 1 || !module.globs.is_empty());
            let all = paths.filter_map(|Named { line, path }| {
                let passed: Vec<(Path, String)> = tree.passed(at, path).into_iter().collect();
                let leads_out = passed.iter().any(|(module, _)| module != at);
                leads_out.then(|| Reference { line: *line, shown: path.join("::"), passed })
            });
            (at, module, all.collect())
        });
        Self { tree, references: references.collect() }
    }

    fn each(&self) -> impl Iterator<Item = (&'t Path, &'t Module, &Reference)> {
        self.references.iter().flat_map(|(at, module, all)| all.iter().map(|r| (*at, *module, r)))
    }
}

/// Everything that is wrong with a tree, a line each.
pub fn complaints(tree: &Tree, rooms: &Rooms) -> Vec<String> {
    let all = All::of(tree);
    let mut wrong = known(tree, rooms);
    wrong.extend(forbidden(&all, rooms));
    wrong.extend(allowed_circles(rooms));
    wrong.extend(circles_of_siblings(&all));
    wrong.extend(calls_of_parents(&all));
    wrong.extend(sizes(tree, rooms));
    wrong.extend(names_twice(tree));
    wrong
}

fn room_of(path: &[String]) -> Option<&String> {
    path.first()
}

/// Rooms that are in the table or in src alone.
fn known(tree: &Tree, rooms: &Rooms) -> Vec<String> {
    let there: BTreeSet<&String> = tree.modules.keys().filter_map(|path| room_of(path)).collect();
    let without = there.iter().filter(|room| !rooms.contains_key(**room));
    let gone = rooms.keys().filter(|room| !there.contains(room));
    without
        .map(|room| format!("room {room} does not stand in the table"))
        .chain(gone.map(|room| format!("room {room} stands in the table and not in src")))
        .collect()
}

/// Names of rooms that may not be touched.
fn forbidden(all: &All, rooms: &Rooms) -> Vec<String> {
    let mut wrong = BTreeSet::new();
    for (at, module, reference) in all.each() {
        let Some(own) = room_of(at) else { continue };
        let Some(room) = rooms.get(own) else { continue };
        let others = reference.passed.iter().filter_map(|(module, name)| {
            Some(module.first().unwrap_or(name)).filter(|other| rooms.contains_key(*other))
        });
        for other in others.filter(|other| *other != own && !room.may_touch.contains(other)) {
            let (file, line) = (&module.file, reference.line);
            wrong.insert(format!("{file}:{line}: {own} may not touch {other}: {}", reference.shown));
        }
    }
    wrong.into_iter().collect()
}

/// Rooms that may touch each other in a circle: then the table allows what it is there to forbid.
fn allowed_circles(rooms: &Rooms) -> Vec<String> {
    let mut graph = Graph::default();
    for (name, room) in rooms {
        for other in &room.may_touch {
            graph.edge(name, other, "the table allows it");
        }
    }
    graph.circles().into_iter().map(|circle| format!("rooms in a circle: {circle}")).collect()
}

/// Modules of one folder that name each other in a circle; what stands below one of them counts for it. The rooms
/// themselves are the siblings of src.
fn circles_of_siblings(all: &All) -> Vec<String> {
    let mut graphs: BTreeMap<Path, Graph> = BTreeMap::new();
    for (at, module, reference) in all.each() {
        for (target, name) in &reference.passed {
            let whole = [&target[..], std::slice::from_ref(name)].concat();
            let shared = at.iter().zip(&whole).take_while(|(a, b)| a == b).count();
            // Who names what is above or below it names no sibling there.
            if shared == at.len() || shared == whole.len() {
                continue;
            }
            if all.tree.modules.contains_key(&whole[..=shared]) {
                let why = format!("{}:{} names {}", module.file, reference.line, reference.shown);
                let graph = graphs.entry(at[..shared].to_vec()).or_default();
                graph.edge(&at[shared], &whole[shared], &why);
            }
        }
    }
    let all = graphs.into_iter().flat_map(|(folder, graph)| {
        let folder = if folder.is_empty() { "src".to_owned() } else { folder.join("::") };
        graph.circles().into_iter().map(move |circle| format!("{folder}: a circle: {circle}"))
    });
    all.collect()
}

/// Functions of a parent that a child names: it may name its types alone.
fn calls_of_parents(all: &All) -> Vec<String> {
    let mut wrong = BTreeSet::new();
    for (at, module, reference) in all.each() {
        // A module inside a file is not a child that could stand by itself.
        let is_parent = |target: &Path| {
            let parent = &all.tree.modules[target];
            target.len() < at.len() && at.starts_with(target) && parent.file != module.file
        };
        let of_parent = reference.passed.iter().find(|(target, name)| {
            let item = all.tree.modules.get(target).and_then(|m| m.items.get(name));
            item == Some(&Item::Function) && is_parent(target)
        });
        if let Some((parent, name)) = of_parent {
            let (parent, file) = (parent.join("::"), &module.file);
            wrong.insert(format!("{parent}::{name} is called by a child: {file}:{}", reference.line));
        }
    }
    wrong.into_iter().collect()
}

/// Rooms and folders that are longer than the table says.
fn sizes(tree: &Tree, rooms: &Rooms) -> Vec<String> {
    let mut counted: BTreeMap<(&String, String), usize> = BTreeMap::new();
    for (file, lines) in &tree.lines {
        let path = modules::module_of(file);
        let Some((name, room)) = path.first().and_then(|name| rooms.get_key_value(name)) else { continue };
        let whole = format!("src/{name}");
        let folder = file.rsplit_once('/').map_or("", |(folder, _)| folder);
        // The file beside a room's folder is of that folder.
        let place = if room.is_layer && folder != "src" { folder.to_owned() } else { whole };
        *counted.entry((name, place)).or_default() += lines;
    }
    let over = counted.into_iter().filter(|((name, _), lines)| *lines > rooms[*name].most);
    over.map(|((name, place), lines)| format!("{place}: {lines} lines, at most {}", rooms[name].most))
        .collect()
}

/// Public names of types that stand in two rooms.
fn names_twice(tree: &Tree) -> Vec<String> {
    let mut rooms: BTreeMap<&String, BTreeSet<&String>> = BTreeMap::new();
    for (at, module) in &tree.modules {
        let Some(room) = room_of(at) else { continue };
        for (name, item) in &module.items {
            if *item == (Item::Type { public: true }) {
                rooms.entry(name).or_default().insert(room);
            }
        }
    }
    rooms.retain(|name, rooms| rooms.len() > 1 && !NAMED_ALIKE.iter().any(|(alike, _)| alike == name));
    let shown = |rooms: BTreeSet<&String>| rooms.into_iter().cloned().collect::<Vec<_>>().join(", ");
    rooms.into_iter().map(|(name, rooms)| format!("type {name} is declared in {}", shown(rooms))).collect()
}

#[test]
fn the_rooms_are_as_the_table_says() {
    let rooms = table::read(&read("DEVELOPERS.md")).unwrap_or_else(|wrong| panic!("{}", wrong.join("\n")));
    let files = sources("src");
    let tree = Tree::of(files.iter().map(|s| (s.path.as_str(), s.text.as_str())));
    super::nothing(today::without_exceptions(complaints(&tree, &rooms)));
}
