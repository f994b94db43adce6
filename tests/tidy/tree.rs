//! The files of the project, and the lines of them that are code.

use std::fs;
use std::path::Path;
use std::process::Command;

/// The project's folder.
pub fn root() -> &'static str {
    env!("CARGO_MANIFEST_DIR")
}

/// A file's text.
pub fn read(path: &str) -> String {
    fs::read_to_string(Path::new(root()).join(path)).unwrap_or_else(|e| panic!("{path}: {e}"))
}

/// Every file that belongs to the project: what git tracks, or without git what lies there beside the build.
pub fn tracked() -> Vec<String> {
    let listed = Command::new("git").arg("-C").arg(root()).args(["ls-files", "-z"]).output();
    let names =
        listed.ok().filter(|out| out.status.success() && !out.stdout.is_empty()).map(|out| out.stdout);
    let mut all: Vec<String> = match names {
        Some(names) => {
            String::from_utf8(names).unwrap().split_terminator('\0').map(ToOwned::to_owned).collect()
        }
        None => {
            walk("").into_iter().filter(|p| !p.starts_with("target/") && !p.starts_with(".git/")).collect()
        }
    };
    // A file that was removed and not yet committed so is no file.
    all.retain(|p| Path::new(root()).join(p).is_file());
    all.sort();
    all
}

fn walk(folder: &str) -> Vec<String> {
    let mut all = Vec::new();
    for entry in fs::read_dir(Path::new(root()).join(folder)).into_iter().flatten().flatten() {
        let name = entry.file_name().to_string_lossy().into_owned();
        let path = if folder.is_empty() { name } else { format!("{folder}/{name}") };
        if entry.path().is_dir() && path != "target" && path != ".git" {
            all.extend(walk(&path));
        } else {
            all.push(path);
        }
    }
    all
}

/// A Rust file.
pub struct Source {
    pub path: String,
    pub text: String,
    /// The whole file is behind `#[cfg(test)]`.
    pub is_test: bool,
}

/// Every Rust file below a folder.
pub fn sources(folder: &str) -> Vec<Source> {
    let paths: Vec<String> = walk(folder).into_iter().filter(|p| p.ends_with(".rs")).collect();
    assert!(!paths.is_empty(), "no Rust file below {folder}");
    let texts: Vec<(String, String)> = paths.into_iter().map(|p| (p.clone(), read(&p))).collect();
    let only_for_tests: Vec<String> =
        texts.iter().flat_map(|(path, text)| test_modules(path, text)).collect();
    texts
        .into_iter()
        .map(|(path, text)| Source { is_test: only_for_tests.contains(&path), path, text })
        .collect()
}

/// The files of the modules that a file declares right behind `#[cfg(test)]`.
fn test_modules(path: &str, text: &str) -> Vec<String> {
    let folder = path.trim_end_matches(".rs");
    let lines: Vec<&str> = text.lines().collect();
    let declared = lines.windows(2).filter(|w| w[0].trim() == "#[cfg(test)]");
    declared
        .filter_map(|w| w[1].trim_start_matches("pub(crate) ").strip_prefix("mod ")?.strip_suffix(';'))
        .map(|name| format!("{folder}/{name}.rs"))
        .collect()
}

/// The lines that are no comment, with their numbers.
pub fn code_lines(text: &str) -> impl Iterator<Item = (usize, &str)> {
    text.lines().enumerate().map(|(n, l)| (n + 1, l)).filter(|(_, l)| !l.trim_start().starts_with("//"))
}

#[test]
fn a_module_for_tests_only_is_known_by_its_declaration() {
    let text = "mod a;\n#[cfg(test)]\nmod sample;\n#[cfg(test)]\nmod tests {\n";
    assert_eq!(test_modules("src/matching.rs", text), ["src/matching/sample.rs"]);
}

#[test]
fn comments_are_no_code() {
    let lines: Vec<(usize, &str)> = code_lines("//! a\nb // c\n    // d\ne").collect();
    assert_eq!(lines, [(2, "b // c"), (4, "e")]);
}
