//! The page that is printed and signed.

use super::typed::typed;
use crate::support::{Place, code, text};

fn sheet(place: &Place, line: &str) -> String {
    let out = typed(place, &format!("{line} --sheet sheet.html --over"));
    assert!(
        text(&out.stdout).ends_with("The sheet to print and sign lies in sheet.html.\n"),
        "{}",
        text(&out.stderr)
    );
    std::fs::read_to_string(place.folder().join("sheet.html")).unwrap()
}

/// Tags that are opened and closed, without those HTML leaves open.
fn balanced(page: &str) {
    let mut open: Vec<&str> = Vec::new();
    for tag in page.split('<').skip(1).map(|t| t.split('>').next().unwrap()) {
        let name = tag.trim_start_matches('/').split([' ', '/', '\n']).next().unwrap();
        if tag.starts_with('!') || tag.ends_with('/') || ["meta", "br"].contains(&name) {
            continue;
        }
        if tag.starts_with('/') {
            assert_eq!(open.pop(), Some(name), "{tag}");
        } else {
            open.push(name);
        }
    }
    assert_eq!(open, [""; 0]);
}

#[test]
fn the_page_says_what_the_answer_says_and_needs_nothing_from_outside() {
    let place = Place::demo();
    for (line, said) in [
        (
            "fit 1047 --swap 25:abutment=plover-mua-4.1-c3.5",
            &[
                "Does not keep the fit",
                "500 µm higher",
                "5 times",
                "1.94 mm / 2.11 mm",
                "no permission",
                "157236 N",
            ][..],
        ),
        (
            "fit 2210 --swap 35:abutment=dunlin-mua-4.2-a30-corner-c3.5 --turned 35=1",
            &["tilted by 29.0°", "<b>1.45 mm</b> beside its old place", "10 times", "as high as before"][..],
        ),
        ("fit 3306 --swap 46:abutment-screw=avocet-abutment-screw", &["Keeps the fit", "crown"][..]),
        (
            "fit 4051 --swap 34:abutment=dunlin-mua-4.2-c3.0",
            &[
                "not known: the outer diameter of the seat at tooth 34",
                "NOT to scale, a number of this part is not known",
            ][..],
        ),
    ] {
        let page = sheet(&place, line);
        for part in said.iter().chain(&[
            "INVENTED",
            "Signature",
            "Remarks",
            "A licensed clinician decides",
            "What is taken for granted",
        ]) {
            assert!(page.contains(part), "{line}: {part}");
        }
        for outside in ["http", "src=", "@import", "<script", "url("] {
            let page = page.replace("xmlns=\"http://www.w3.org/2000/svg\"", "");
            assert!(!page.contains(outside), "{line}: {outside}");
        }
        assert!(!page.contains("NaN") && !page.contains("inf\""), "{line}");
        balanced(&page);
    }
}

#[test]
fn a_page_is_not_written_over_and_what_a_catalogue_says_is_only_text() {
    let place = Place::demo();
    let hostile = "description = \"<script>alert(1)</script> & \\\"x\\\"\"";
    let own = include_str!("../../catalog/plover.toml");
    let (head, _) = own.split_once("[[part]]").unwrap();
    let part = own.split("[[part]]").find(|p| p.contains("code = \"plover-mua-4.1-c3.0\"")).unwrap();
    let part: Vec<String> = part
        .replace("plover-mua-4.1-c3.0", "plover-mua-odd")
        .lines()
        .filter(|l| !l.starts_with("replaced_by"))
        .map(|l| if l.starts_with("description") { hostile.to_owned() } else { l.to_owned() })
        .collect();
    std::fs::write(place.folder().join("odd.toml"), format!("{head}[[part]]{}\n", part.join("\n"))).unwrap();
    let taken = typed(&place, "part import odd.toml");
    assert_eq!(code(&taken), 0, "{}", text(&taken.stderr));
    let line = "fit 1047 --swap 25:abutment=plover-mua-odd";
    let page = sheet(&place, line);
    assert!(
        page.contains("&lt;script&gt;alert(1)&lt;/script&gt; &amp;") && !page.contains("<script"),
        "{page}"
    );
    let again = typed(&place, &format!("{line} --sheet sheet.html"));
    assert_eq!(code(&again), 2);
    assert_eq!(
        text(&again.stderr),
        "spareseat: sheet.html exists: nothing was written. Choose another name, or add --over to put this in its place\n"
    );
    let nowhere = typed(&place, &format!("{line} --sheet nowhere/sheet.html"));
    assert_eq!(code(&nowhere), 3, "{}", text(&nowhere.stderr));
    assert!(text(&nowhere.stderr).contains("nowhere/sheet.html"), "{}", text(&nowhere.stderr));
}
