//! Rust cut into words and signs, without comments, texts, and what is there for tests only.

use std::iter::Peekable;
use std::str::Chars;

/// A word or a sign of the code, and the line it stands on. `::` is one sign.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Token {
    pub text: String,
    pub line: usize,
}

impl Token {
    /// Whether it is a name or a word of the language.
    pub fn is_word(&self) -> bool {
        self.text.starts_with(|c: char| c.is_alphabetic() || c == '_')
    }

    pub fn is(&self, text: &str) -> bool {
        self.text == text
    }
}

/// The code of a file, without what stands behind `#[cfg(test)]`; and the modules that are declared there, each a file.
pub fn code(source: &str) -> (Vec<Token>, Vec<String>) {
    without_tests(&tokens(source))
}

struct Reader<'a> {
    chars: Peekable<Chars<'a>>,
    line: usize,
}

impl Reader<'_> {
    fn next(&mut self) -> Option<char> {
        let c = self.chars.next();
        self.line += usize::from(c == Some('\n'));
        c
    }

    fn peek(&mut self) -> Option<char> {
        self.chars.peek().copied()
    }

    fn peek_second(&self) -> Option<char> {
        self.chars.clone().nth(1)
    }

    fn word(&mut self, first: char) -> String {
        let mut word = String::from(first);
        while let Some(c) = self.peek().filter(|c| c.is_alphanumeric() || *c == '_') {
            word.push(c);
            self.next();
        }
        word
    }

    /// To the end of a text in quotes.
    fn text(&mut self, quote: char) {
        while let Some(c) = self.next() {
            match c {
                '\\' => _ = self.next(),
                c if c == quote => break,
                _ => {}
            }
        }
    }

    /// To the end of a raw text, whose `#`s come next; `false` where none begins here.
    fn raw_text(&mut self) -> bool {
        let hashes = self.chars.clone().take_while(|c| *c == '#').count();
        if self.chars.clone().nth(hashes) != Some('"') {
            return false;
        }
        for _ in 0..=hashes {
            self.next();
        }
        while let Some(c) = self.next() {
            if c == '"' && self.chars.clone().take_while(|c| *c == '#').take(hashes).count() == hashes {
                (0..hashes).for_each(|_| _ = self.next());
                break;
            }
        }
        true
    }

    fn comment(&mut self) {
        if self.next() == Some('/') {
            while self.peek().is_some_and(|c| c != '\n') {
                self.next();
            }
            return;
        }
        let mut depth = 1;
        while depth > 0 {
            match (self.next(), self.peek()) {
                (Some('/'), Some('*')) => (depth, _) = (depth + 1, self.next()),
                (Some('*'), Some('/')) => (depth, _) = (depth - 1, self.next()),
                (None, _) => break,
                _ => {}
            }
        }
    }

    /// A character in quotes; the name of a lifetime is none.
    fn quoted(&mut self) {
        match (self.peek(), self.peek_second()) {
            (Some('\\'), _) => self.text('\''),
            (Some(_), Some('\'')) => _ = (self.next(), self.next()),
            _ => {
                while self.peek().is_some_and(|c| c.is_alphanumeric() || c == '_') {
                    self.next();
                }
            }
        }
    }
}

fn tokens(source: &str) -> Vec<Token> {
    let mut reader = Reader { chars: source.chars().peekable(), line: 1 };
    let mut all = Vec::new();
    loop {
        let line = reader.line;
        let Some(c) = reader.next() else { break };
        let text = match c {
            c if c.is_whitespace() => continue,
            '/' if matches!(reader.peek(), Some('/' | '*')) => {
                reader.comment();
                continue;
            }
            '"' => {
                reader.text('"');
                continue;
            }
            '\'' => {
                reader.quoted();
                continue;
            }
            'r' | 'b' | 'c' if matches!(reader.peek(), Some('"' | '#')) && reader.raw_text() => continue,
            'b' if reader.peek() == Some('r') && matches!(reader.peek_second(), Some('"' | '#')) => {
                reader.next();
                if !reader.raw_text() {
                    all.push(Token { text: "br".to_owned(), line });
                }
                continue;
            }
            ':' if reader.peek() == Some(':') => {
                reader.next();
                "::".to_owned()
            }
            // A number is no name, whatever letters stand behind it.
            c if c.is_numeric() => {
                reader.word(c);
                "0".to_owned()
            }
            c if c.is_alphabetic() || c == '_' => reader.word(c),
            c => c.to_string(),
        };
        all.push(Token { text, line });
    }
    all
}

/// Where the group that opens at `at` is over: the place behind its closing sign.
pub fn behind_group(tokens: &[Token], at: usize) -> usize {
    let mut depth = 0_usize;
    for (n, token) in tokens.iter().enumerate().skip(at) {
        match token.text.as_str() {
            "{" | "(" | "[" => depth += 1,
            "}" | ")" | "]" => {
                depth = depth.saturating_sub(1);
                if depth == 0 {
                    return n + 1;
                }
            }
            _ => {}
        }
    }
    tokens.len()
}

/// Whether an attribute says that what follows is there for tests only.
fn for_tests(attribute: &[Token]) -> bool {
    let has = |word: &str| attribute.iter().any(|t| t.is(word));
    has("cfg") && has("test") && !has("not")
}

fn without_tests(tokens: &[Token]) -> (Vec<Token>, Vec<String>) {
    let (mut kept, mut modules) = (Vec::new(), Vec::new());
    let mut at = 0;
    while at < tokens.len() {
        let opens = |n: usize| tokens[n].is("#") && tokens.get(n + 1).is_some_and(|t| t.is("["));
        if !opens(at) {
            kept.push(tokens[at].clone());
            at += 1;
            continue;
        }
        let end = behind_group(tokens, at + 1);
        if !for_tests(&tokens[at..end]) {
            kept.extend_from_slice(&tokens[at..end]);
            at = end;
            continue;
        }
        at = end;
        while at < tokens.len() && opens(at) {
            at = behind_group(tokens, at + 1);
        }
        let item = at;
        at = behind_item(tokens, at);
        if let [.., module, name, end] = &tokens[item..at]
            && module.is("mod")
            && end.is(";")
        {
            modules.push(name.text.clone());
        }
    }
    (kept, modules)
}

/// The place behind an item: its `;`, or the end of its braces.
fn behind_item(tokens: &[Token], mut at: usize) -> usize {
    let is_use = tokens[at..].iter().take_while(|t| !t.is("{") && !t.is(";")).any(|t| t.is("use"));
    while at < tokens.len() {
        match tokens[at].text.as_str() {
            ";" => return at + 1,
            "{" if !is_use => return behind_group(tokens, at),
            "{" | "(" | "[" => at = behind_group(tokens, at),
            _ => at += 1,
        }
    }
    at
}

#[cfg(test)]
fn words(source: &str) -> String {
    code(source).0.iter().map(|t| t.text.as_str()).collect::<Vec<_>>().join(" ")
}

#[test]
fn comments_texts_and_characters_are_no_code() {
    for (source, expected) in [
        ("a // crate::b\nc", "a c"),
        ("/* a /* b */ c */ d", "d"),
        ("f(\"crate::a \\\" b\", c)", "f ( , c )"),
        ("r#\"crate::a \" b\"# c br\"d\" e b\"f\"", "c e"),
        ("'a' b '\\'' c '\"' d", "b c d"),
        ("fn f<'a>(x: &'a str)", "fn f < > ( x : & str )"),
        ("1_000usize 0x1f a", "0 0 a"),
        ("a::b", "a :: b"),
    ] {
        assert_eq!(words(source), expected, "{source}");
    }
}

#[test]
fn what_is_for_tests_only_is_left_out() {
    for (source, expected) in [
        ("#[cfg(test)]\nmod tests { use crate::a; fn f() { b() } }\nc", "c"),
        ("#[cfg(test)]\nmod sample;\nmod b;", "mod b ;"),
        ("#[cfg(test)] #[allow(x)] pub(crate) use a::{b, c}; d", "d"),
        ("#[cfg(test)] fn f(x: [u8; 2]) -> A { b } c", "c"),
        ("#[cfg(any(test, feature = \"x\"))] const A: u8 = 1; b", "b"),
        ("#[cfg(not(test))] a", "# [ cfg ( not ( test ) ) ] a"),
        ("#[derive(Debug)] struct A;", "# [ derive ( Debug ) ] struct A ;"),
    ] {
        assert_eq!(words(source), expected, "{source}");
    }
    assert_eq!(code("#[cfg(test)]\npub(crate) mod sample;").1, ["sample"]);
}

#[test]
fn a_word_knows_its_line() {
    let (all, _) = code("/* a\n */ b\n\"c\nd\" e");
    let lines: Vec<(&str, usize)> = all.iter().map(|t| (t.text.as_str(), t.line)).collect();
    assert_eq!(lines, [("b", 2), ("e", 4)]);
}
