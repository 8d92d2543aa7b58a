//! The few inputs of a question: label, value as written, and what is wrong beside it.

use crate::web::figures::escape;
use std::fmt::Write as _;

/// How a field is filled in.
#[derive(Debug, Clone)]
pub enum Kind {
    /// One line.
    Text,
    /// Several lines.
    Long,
    /// Yes or no.
    Tick,
    /// A date.
    Date,
    /// One of a few: value and words.
    Choice(Vec<(String, String)>),
}

/// One field.
#[derive(Debug, Clone)]
pub struct Field {
    /// Path in the job.
    pub path: String,
    /// Label.
    pub label: String,
    /// How it is filled in.
    pub kind: Kind,
    /// Value as written.
    pub value: String,
    /// What to write, or how the tape goes.
    pub hint: String,
    /// What is wrong with it.
    pub fault: Option<String>,
    /// Takes the whole width.
    pub wide: bool,
    /// Heading under which it is folded away; empty for what is always seen.
    pub under: &'static str,
}

/// Fields that stand together.
#[derive(Debug)]
pub struct FieldGroup<'a> {
    /// Heading; empty for what is always seen.
    pub heading: &'static str,
    /// Something in it is wrong, so that it must be seen.
    pub open: bool,
    /// Its fields.
    pub fields: Vec<&'a Field>,
}

/// Fields by their heading, each heading where it first comes.
pub fn grouped(fields: &[Field]) -> Vec<FieldGroup<'_>> {
    let mut groups: Vec<FieldGroup<'_>> = Vec::new();
    for field in fields {
        let wrong = field.fault.is_some();
        match groups.iter_mut().find(|group| group.heading == field.under) {
            Some(group) => {
                group.open |= wrong;
                group.fields.push(field);
            }
            None => groups.push(FieldGroup { heading: field.under, open: wrong, fields: vec![field] }),
        }
    }
    groups
}

impl Field {
    /// One line.
    pub fn text(path: impl Into<String>, label: impl Into<String>, value: impl Into<String>) -> Self {
        Self {
            path: path.into(),
            label: label.into(),
            kind: Kind::Text,
            value: value.into(),
            hint: String::new(),
            fault: None,
            wide: false,
            under: "",
        }
    }

    /// Several lines.
    pub fn long(path: impl Into<String>, label: impl Into<String>, value: impl Into<String>) -> Self {
        Self { kind: Kind::Long, wide: true, ..Self::text(path, label, value) }
    }

    /// Lines to show of a text of several: as many as it has, within a screen.
    pub fn rows(&self) -> usize {
        const LEAST: usize = 3;
        const MOST: usize = 14;
        (self.value.lines().count() + 1).clamp(LEAST, MOST)
    }

    /// Yes or no.
    pub fn tick(path: impl Into<String>, label: impl Into<String>, value: bool) -> Self {
        Self { kind: Kind::Tick, ..Self::text(path, label, if value { "yes" } else { "no" }) }
    }

    /// One of a few.
    pub fn choice(
        path: impl Into<String>,
        label: impl Into<String>,
        value: impl Into<String>,
        choices: impl IntoIterator<Item = (impl Into<String>, impl Into<String>)>,
    ) -> Self {
        let choices = choices.into_iter().map(|(value, words)| (value.into(), words.into())).collect();
        Self { kind: Kind::Choice(choices), ..Self::text(path, label, value) }
    }

    /// Says what to write.
    #[must_use]
    pub fn hint(mut self, hint: impl Into<String>) -> Self {
        self.hint = hint.into();
        self
    }

    /// Is folded away under a heading.
    #[must_use]
    pub fn under(mut self, heading: &'static str) -> Self {
        self.under = heading;
        self
    }

    /// Takes the whole width.
    #[must_use]
    pub fn wide(mut self) -> Self {
        self.wide = true;
        self
    }

    /// Id of the input.
    pub fn id(&self) -> String {
        field_id(&self.path)
    }

    /// Classes of the field beside `field`.
    pub fn class(&self) -> &'static str {
        if self.wide { "wide" } else { "" }
    }

    /// What the input says about itself.
    pub fn aria(&self) -> String {
        let mut described = Vec::new();
        if !self.hint.is_empty() {
            described.push(format!("{}-hint", self.id()));
        }
        if self.fault.is_some() {
            described.push(format!("{}-fault", self.id()));
        }
        let mut attributes = String::new();
        if !described.is_empty() {
            let _ = write!(attributes, "aria-describedby=\"{}\"", escape(&described.join(" ")));
        }
        if self.fault.is_some() {
            attributes.push_str(" aria-invalid=\"true\"");
        }
        attributes
    }
}

/// Id of the input of a path: letters, digits and hyphens.
pub fn field_id(path: &str) -> String {
    let safe = path.chars().map(|c| if c.is_ascii_alphanumeric() { c } else { '-' });
    format!("f-{}", safe.collect::<String>())
}
