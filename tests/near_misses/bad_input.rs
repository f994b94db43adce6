//! Catalogues that nobody should write, and somebody will: refused with the line, or taken and never believed.

use crate::practice::{Builder, DAY, Practice};
use spareseat::bench::swap;
use spareseat::catalog::Position;
use spareseat::demo;
use spareseat::matching::Verdict;
use spareseat::units::{CaseNumber, PartCode};

/// A catalogue file with these parts; one maker, who made the demo's plover parts as well.
fn file(parts: &str) -> String {
    let plover = include_str!("../../catalog/plover.toml");
    // As the demo's own file has them, so that form and maker are those of the demo.
    let head = plover.lines().filter(|l| {
        ["form =", "invented =", "source =", "maker =", "system ="].iter().any(|key| l.starts_with(key))
    });
    let mut seen = Vec::new();
    for line in head {
        let key = line.split('=').next().unwrap_or_default();
        if !seen.iter().any(|l: &&str| l.starts_with(key)) {
            seen.push(line);
        }
    }
    format!("{}\n{parts}\n", seen.join("\n"))
}

/// A prosthetic screw as `plover-prosthetic-screw-1.4`, with something said beside it.
fn screw(code: &str, more: &str) -> String {
    let plover = include_str!("../../catalog/plover.toml");
    let block =
        plover.split("\n[[part]]\n").find(|b| b.starts_with("code = \"plover-prosthetic-screw-1.4\""));
    let block: Vec<&str> =
        block.expect("the demo's screw").lines().filter(|l| !l.starts_with("gtin")).collect();
    let block = block
        .join("\n")
        .replace("code = \"plover-prosthetic-screw-1.4\"", &format!("code = \"{code}\"\n{more}"));
    format!("[[part]]\n{}\n", block.split("\n# ---").next().unwrap_or_default())
}

fn import(practice: &mut Practice, parts: &str) -> Result<(), String> {
    practice.import(&[("typed.toml".to_owned(), file(parts))])
}

/// The verdict of a part for the prosthetic screw at tooth 25 of case 1047.
fn at_1047(practice: &Practice, code: &str) -> Verdict {
    let (number, code) = (CaseNumber::new("1047").unwrap(), PartCode::new(code).unwrap());
    let answer = swap::answer(practice.view(), &number, "25", Position::ProstheticScrew, Some(&code), DAY);
    answer.unwrap().candidates[0].judgement.verdict
}

#[test]
fn the_copied_screw_is_read_and_is_like_for_like() {
    let mut practice = Builder::shipped().all_cases().in_memory();
    import(&mut practice, &screw("a-copy", "")).unwrap();
    assert_eq!(at_1047(&practice, "a-copy"), Verdict::LikeForLike);
}

#[test]
fn a_part_that_names_itself_is_refused_or_says_nothing_by_it() {
    for statement in ["belongs_to = [\"a-copy\"]", "replaced_by = \"a-copy\""] {
        let mut practice = Builder::shipped().all_cases().in_memory();
        let part = screw("a-copy", statement).replace("under_head = 3.2\n", "");
        assert_ne!(part, screw("a-copy", statement), "the length under the head is gone");
        match import(&mut practice, &part) {
            Err(why) => assert!(why.contains("a-copy") && why.contains("itself"), "{why}"),
            Ok(()) => assert!(at_1047(&practice, "a-copy") >= Verdict::NotConfirmed, "{statement}"),
        }
    }
}

/// The maker says that B follows A and C follows B; nobody said that C follows A.
#[test]
fn a_chain_of_successors_is_no_statement_from_end_to_end() {
    let mut practice = Builder::shipped().all_cases().in_memory();
    let sizes = |text: String| text.replace("size = \"M1.4x0.3\"\n", "");
    let chain = screw("first", "replaced_by = \"second\"")
        + &screw("second", "replaced_by = \"third\"")
        + &sizes(screw("third", ""));
    import(&mut practice, &chain).unwrap();
    practice.case(
        "chained.toml",
        &demo::lay_dates(include_str!("../../demo/cases/1047.toml"), DAY)
            .expect("dates in braces")
            .replace("case = \"1047\"", "case = \"1999\"")
            .replace("framework-1047", "framework-1999")
            .replace("plover-prosthetic-screw-1.4", "first"),
    );
    let number = CaseNumber::new("1999").unwrap();
    let judged = |code: &str| {
        let code = PartCode::new(code).unwrap();
        let answer =
            swap::answer(practice.view(), &number, "25", Position::ProstheticScrew, Some(&code), DAY);
        answer.unwrap().candidates[0].judgement.verdict
    };
    assert_eq!(judged("first"), Verdict::SamePart);
    assert_eq!(judged("second"), Verdict::LikeForLike);
    assert!(judged("third") >= Verdict::NotConfirmed, "'{}'", judged("third"));
}

#[test]
fn a_statement_about_a_part_nobody_has_is_refused() {
    for statement in ["belongs_to = [\"nobody-has-it\"]", "replaced_by = \"nobody-has-it\""] {
        let why =
            import(&mut Builder::shipped().all_cases().in_memory(), &screw("a-copy", statement)).unwrap_err();
        assert!(
            why.contains("part a-copy names part 'nobody-has-it', which is not in the catalogue"),
            "{why}"
        );
    }
}

/// A price list: codes and words. It is taken, and its parts fit nothing but their own code.
#[test]
fn a_catalogue_in_which_every_number_of_a_port_is_missing_fits_nothing_but_its_own_code() {
    let list = "[[part]]\ncode = \"list-screw\"\nkind = \"prosthetic-screw\"\ndescription = \"screw of a price list\"\n\
                [[part.head_seat]]\nside = \"below\"\n[[part.thread]]\nside = \"below\"\n";
    let mut practice = Builder::shipped().all_cases().in_memory();
    import(&mut practice, list).unwrap();
    let judged = at_1047(&practice, "list-screw");
    assert!(judged >= Verdict::NotConfirmed, "{judged}");

    let case = "form = 1\ncase = \"1998\"\nmade_up = true\nnumbering = \"iso-3950\"\n[[site]]\ntooth = 25\n\
                [[site.fitted]]\nposition = \"implant\"\npart = \"plover-implant-4.0x10\"\nsure = \"passport\"\n\
                [[site.fitted]]\nposition = \"abutment\"\npart = \"plover-mua-4.1-c3.0\"\nsure = \"label\"\n\
                [[site.fitted]]\nposition = \"prosthetic-screw\"\npart = \"list-screw\"\nsure = \"label\"\n";
    practice.case("1998.toml", case);
    let number = CaseNumber::new("1998").unwrap();
    let answer = swap::answer(practice.view(), &number, "25", Position::ProstheticScrew, None, DAY).unwrap();
    for candidate in answer.candidates {
        let (code, verdict) = (candidate.part.code.as_str(), candidate.judgement.verdict);
        if code == "list-screw" {
            assert_eq!(verdict, Verdict::SamePart);
        } else {
            assert!(verdict >= Verdict::NotConfirmed, "{code}: {verdict}");
        }
    }
}

#[test]
fn two_ports_of_one_kind_and_side_are_refused() {
    let twice =
        screw("a-copy", "") + "\n[[part.thread]]\nside = \"below\"\nsize = \"M1.4x0.3\"\nlength = 9.0\n";
    let why = import(&mut Builder::shipped().all_cases().in_memory(), &twice).unwrap_err();
    assert!(why.contains("thread") && why.contains("a-copy"), "{why}");
}

#[test]
fn n_a_for_a_bore_is_refused() {
    let plover = include_str!("../../catalog/plover.toml");
    let block = plover.split("\n[[part]]\n").find(|b| b.starts_with("code = \"plover-cylinder-4.8\"\n"));
    let cylinder: String =
        block.expect("the demo's cylinder").split("\n# ").next().unwrap_or_default().to_owned();
    let part = cylinder
        .lines()
        .filter(|l| !l.starts_with("gtin"))
        .map(|l| if l.starts_with("bore") { "bore = \"n/a\"" } else { l })
        .collect::<Vec<_>>()
        .join("\n")
        .replace("plover-cylinder-4.8", "a-copy");
    assert!(part.contains("bore = \"n/a\""), "{part}");
    let why =
        import(&mut Builder::shipped().all_cases().in_memory(), &format!("[[part]]\n{part}")).unwrap_err();
    assert!(why.contains("bore"), "{why}");
}
