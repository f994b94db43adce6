//! The invented catalogue that ships with the program, for the demo and for tests.

/// The files under catalog/, name and text.
pub fn shipped() -> [(&'static str, &'static str); 7] {
    [
        ("catalog/systems.toml", include_str!("../../catalog/systems.toml")),
        ("catalog/interfaces.toml", include_str!("../../catalog/interfaces.toml")),
        ("catalog/plover.toml", include_str!("../../catalog/plover.toml")),
        ("catalog/dunlin.toml", include_str!("../../catalog/dunlin.toml")),
        ("catalog/avocet.toml", include_str!("../../catalog/avocet.toml")),
        ("catalog/stint.toml", include_str!("../../catalog/stint.toml")),
        ("catalog/tools.toml", include_str!("../../catalog/tools.toml")),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::Edition;

    #[test]
    fn the_shipped_catalogue_has_no_mistake_and_is_marked_invented() {
        let edition = Edition::from_files(shipped()).unwrap_or_else(|e| panic!("{e}"));
        assert!(edition.parts.len() > 150);
        assert!(edition.systems.iter().all(|s| s.invented));
        for (file, text) in shipped() {
            assert!(text.lines().any(|l| l.trim() == "invented = true"), "{file}");
            assert!(text.lines().take(5).any(|l| l.to_uppercase().contains("INVENTED")), "{file}");
        }
    }

    #[test]
    fn an_edition_comes_back_as_it_was() {
        let edition = Edition::from_files(shipped()).unwrap_or_else(|e| panic!("{e}"));
        assert_eq!(Edition::decode(&edition.encode()).unwrap(), edition);
    }
}
