//! The modules of a crate: what each declares and names, and what a name stands for.

use std::collections::{BTreeMap, BTreeSet};

use super::words::{Token, behind_group, code};

/// A path of names from the root of the crate.
pub type Path = Vec<String>;

/// What a module declares.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Item {
    /// A struct, an enum, a trait, a type; whether it is `pub`.
    Type { public: bool },
    /// A function.
    Function,
    /// A constant, a static.
    Other,
}

/// A name in the code: the line, and the words of its path as they stand there.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Named {
    pub line: usize,
    pub path: Path,
}

/// What is known of a module.
#[derive(Debug, Default)]
pub struct Module {
    /// Its file.
    pub file: String,
    /// What it declares.
    pub items: BTreeMap<String, Item>,
    /// What its `use`s call what.
    pub bound: BTreeMap<String, Vec<Path>>,
    /// The modules it takes everything of.
    pub globs: Vec<Path>,
    /// Every path its code names.
    pub named: Vec<Named>,
}

/// All modules, by their path.
#[derive(Debug, Default)]
pub struct Tree {
    pub modules: BTreeMap<Path, Module>,
    /// Every file with its lines, those for tests only among them.
    pub lines: BTreeMap<String, usize>,
}

/// What was passed on the way to what a name stands for: each module that was asked, and the name it was asked for.
pub type Passed = BTreeSet<(Path, String)>;

impl Tree {
    /// The tree of these files: path below the project, and text.
    pub fn of<'a>(files: impl IntoIterator<Item = (&'a str, &'a str)>) -> Self {
        let mut tree = Self::default();
        let mut for_tests = BTreeSet::new();
        for (file, text) in files {
            let path = module_of(file);
            tree.lines.insert(file.to_owned(), text.lines().count());
            // The program beside the library is a crate of its own.
            if file == "src/main.rs" {
                continue;
            }
            let (tokens, tests) = code(text);
            for_tests.extend(tests.into_iter().map(|name| [path.clone(), vec![name]].concat()));
            Reader { tree: &mut tree, tokens: &tokens, at: 0 }.module(&path, file);
        }
        tree.modules.retain(|path, _| !for_tests.iter().any(|t| path.starts_with(t)));
        tree
    }

    /// Everything that a path in a module stands for and passes through; nothing where it leads out of the crate.
    pub fn passed(&self, at: &[String], path: &[String]) -> Passed {
        let mut passed = Passed::new();
        let (first, rest) = path.split_first().expect("a path has a name");
        let start = match first.as_str() {
            "crate" => Some(Vec::new()),
            "self" => Some(at.to_vec()),
            "super" => Some(at[..at.len().saturating_sub(1)].to_vec()),
            _ => None,
        };
        match start {
            Some(mut start) => {
                let ups = rest.iter().take_while(|name| *name == "super").count();
                start.truncate(start.len().saturating_sub(ups));
                self.walk(&start, &rest[ups..], &mut passed);
            }
            None if self.declares(at, first) => self.walk(at, path, &mut passed),
            None => {}
        }
        passed
    }

    fn declares(&self, at: &[String], name: &str) -> bool {
        let Some(module) = self.modules.get(at) else { return false };
        self.is_module(at, name)
            || module.items.contains_key(name)
            || module.bound.contains_key(name)
            || !module.globs.is_empty()
    }

    fn is_module(&self, at: &[String], name: &str) -> bool {
        self.modules.contains_key(&[at, &[name.to_owned()]].concat())
    }

    fn walk(&self, at: &[String], path: &[String], passed: &mut Passed) {
        let Some((name, rest)) = path.split_first() else { return };
        let Some(module) = self.modules.get(at) else { return };
        // A `use` may lead back to where it stands.
        if name == "self" || (rest.is_empty() && passed.contains(&(at.to_vec(), name.clone()))) {
            return;
        }
        let inner = [at, std::slice::from_ref(name)].concat();
        if self.modules.contains_key(&inner) {
            passed.insert((at.to_vec(), name.clone()));
            return self.walk(&inner, rest, passed);
        }
        if module.items.contains_key(name) {
            passed.insert((at.to_vec(), name.clone()));
            return;
        }
        let through = |target: &Path, passed: &mut Passed| {
            let found = self.passed(at, &[target, rest].concat());
            passed.extend(found);
        };
        if let Some(bound) = module.bound.get(name) {
            passed.insert((at.to_vec(), name.clone()));
            for target in bound.iter().filter(|t| **t != path) {
                through(target, passed);
            }
            return;
        }
        for glob in module.globs.iter().filter(|g| g[..] != path[..]) {
            let target = [&glob[..], std::slice::from_ref(name)].concat();
            let found = self.found_in(at, glob, name);
            if found {
                passed.insert((at.to_vec(), name.clone()));
                through(&target, passed);
            }
        }
    }

    /// Whether the module behind a `use …::*` says something itself to that name.
    fn found_in(&self, at: &[String], glob: &Path, name: &str) -> bool {
        let Some(target) = self.module_behind(at, glob) else { return false };
        let module = &self.modules[&target];
        module.items.contains_key(name) || module.bound.contains_key(name) || self.is_module(&target, name)
    }

    fn module_behind(&self, at: &[String], path: &Path) -> Option<Path> {
        let here = |path: Path| self.modules.contains_key(&path).then_some(path);
        if path.len() == 1 && path[0] == "super" {
            return here(at[..at.len().saturating_sub(1)].to_vec());
        }
        let passed = self.passed(at, path);
        let ends = passed.into_iter().map(|(at, name)| [at, vec![name]].concat());
        ends.filter(|end| self.modules.contains_key(end)).max_by_key(Vec::len)
    }
}

/// The module of a file: src/record/fold.rs is record::fold.
pub fn module_of(file: &str) -> Path {
    let below = file.strip_prefix("src/").unwrap_or(file).trim_end_matches(".rs");
    let mut path: Path = below.split('/').map(ToOwned::to_owned).collect();
    if path.last().is_some_and(|last| ["lib", "mod"].contains(&last.as_str())) {
        path.pop();
    }
    path
}

/// Reads the tokens of one file into the tree.
struct Reader<'a> {
    tree: &'a mut Tree,
    tokens: &'a [Token],
    at: usize,
}

impl Reader<'_> {
    fn word(&self, at: usize) -> &str {
        self.tokens.get(at).map_or("", |t| &t.text)
    }

    /// Reads to the end of the module; its braces, where it has some, were opened before.
    fn module(&mut self, path: &Path, file: &str) {
        let mut module = Module { file: file.to_owned(), ..Module::default() };
        let mut depth = 0;
        let mut public = false;
        while self.at < self.tokens.len() {
            match self.word(self.at) {
                "{" => depth += 1,
                "}" if depth == 0 => {
                    self.at += 1;
                    break;
                }
                "}" => depth -= 1,
                "use" if depth_is_code(self.word(self.at.wrapping_sub(1))) => {
                    self.at += 1;
                    self.tree_of_use(&mut module, &Vec::new());
                    public = false;
                    continue;
                }
                "mod" if depth == 0 && self.word(self.at + 2) == "{" => {
                    let inner = [path.clone(), vec![self.word(self.at + 1).to_owned()]].concat();
                    self.at += 3;
                    self.module(&inner, file);
                    continue;
                }
                "pub" if depth == 0 => {
                    public = self.word(self.at + 1) != "(";
                    if !public {
                        self.at = behind_group(self.tokens, self.at + 1);
                        continue;
                    }
                }
                ";" => public = false,
                _ => {}
            }
            if depth == 0 {
                self.declared(&mut module, &mut public);
            }
            self.name(&mut module);
        }
        self.tree.modules.insert(path.clone(), module);
    }

    /// Notes what is declared where the reader stands.
    fn declared(&self, module: &mut Module, public: &mut bool) {
        let name = self.word(self.at + 1);
        let is_name = self.tokens.get(self.at + 1).is_some_and(Token::is_word);
        let item = match self.word(self.at) {
            "struct" | "enum" | "trait" | "union" | "type" => Item::Type { public: *public },
            "fn" => Item::Function,
            "const" | "static" if name != "fn" && name != "unsafe" => Item::Other,
            "impl" | "macro_rules" => {
                *public = false;
                return;
            }
            _ => return,
        };
        if is_name {
            module.items.insert(name.to_owned(), item);
            *public = false;
        }
    }

    /// Notes the path that begins where the reader stands, and goes on behind it; else behind the token.
    fn name(&mut self, module: &mut Module) {
        let first = &self.tokens[self.at];
        let before = self.word(self.at.wrapping_sub(1));
        if !first.is_word() || [".", "::", "fn", "mod", "struct", "enum", "trait"].contains(&before) {
            self.at += 1;
            return;
        }
        let mut path = vec![first.text.clone()];
        self.at += 1;
        while self.word(self.at) == "::" && self.tokens.get(self.at + 1).is_some_and(Token::is_word) {
            path.push(self.word(self.at + 1).to_owned());
            self.at += 2;
        }
        module.named.push(Named { line: first.line, path });
    }

    /// Reads one branch of a `use`, whose first words are `before`.
    fn tree_of_use(&mut self, module: &mut Module, before: &Path) {
        let mut path = before.clone();
        loop {
            match self.word(self.at) {
                "::" => self.at += 1,
                "{" => {
                    self.at += 1;
                    while !["}", ""].contains(&self.word(self.at)) {
                        self.tree_of_use(module, &path);
                        self.at += usize::from(self.word(self.at) == ",");
                    }
                    self.at += 1;
                    break;
                }
                "*" => {
                    module.named.push(Named { line: self.tokens[self.at].line, path: path.clone() });
                    module.globs.push(path);
                    self.at += 1;
                    break;
                }
                _ if self.tokens.get(self.at).is_some_and(Token::is_word) => {
                    path.push(self.word(self.at).to_owned());
                    self.at += 1;
                    if self.word(self.at) != "::" {
                        self.bind(module, path);
                        break;
                    }
                }
                _ => break,
            }
        }
        // The outermost one ends with its `;`.
        self.at += usize::from(before.is_empty() && self.word(self.at) == ";");
    }

    fn bind(&mut self, module: &mut Module, mut path: Path) {
        if path.len() > 1 && path.last().is_some_and(|last| last == "self") {
            path.pop();
        }
        let line = self.tokens[self.at - 1].line;
        let mut name = path.last().cloned().unwrap_or_default();
        if self.word(self.at) == "as" {
            self.word(self.at + 1).clone_into(&mut name);
            self.at += 2;
        }
        module.named.push(Named { line, path: path.clone() });
        module.bound.entry(name).or_default().push(path);
    }
}

/// Whether a `use` behind this word is one: `impl Trait + use<'a>` is none.
fn depth_is_code(before: &str) -> bool {
    ["", ";", "{", "}", "]", "pub", ")"].contains(&before)
}
