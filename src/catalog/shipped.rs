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
