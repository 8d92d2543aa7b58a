//! The templates that come with the program.

/// Name and source of every template and of the file they share.
pub const TEMPLATES: &[(&str, &str)] = &[
    ("house", include_str!("../../assets/typ/house.typ")),
    ("pages", include_str!("../../assets/typ/pages.typ")),
    ("paper", include_str!("../../assets/typ/paper.typ")),
];

/// Returns the source of a template.
pub fn source(name: &str) -> Option<&'static str> {
    TEMPLATES.iter().find(|(known, _)| *known == name).map(|(_, source)| *source)
}

/// Returns the names of all templates, separated by commas.
pub fn names() -> String {
    TEMPLATES.iter().map(|(name, _)| *name).collect::<Vec<_>>().join(", ")
}
