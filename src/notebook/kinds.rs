//! The kinds of structure that the trade measures, and which dials each has.

use super::record::Form;

/// One kind of structure.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Kind {
    /// Its name, as it stands in the book.
    pub name: &'static str,
    /// Which dials it has.
    pub form: Form,
    /// One of the few that are always at hand.
    pub at_hand: bool,
}

const fn kind(name: &'static str, form: Form, at_hand: bool) -> Kind {
    Kind {
        name,
        form,
        at_hand,
    }
}

/// The trade's list, in the order of the page.
pub const KINDS: &[Kind] = &[
    kind("bedding", Form::Plane, true),
    kind("cleavage", Form::Plane, true),
    kind("foliation", Form::Plane, false),
    kind("joint", Form::Plane, true),
    kind("fault", Form::Plane, false),
    kind("vein", Form::Plane, false),
    kind("dyke", Form::Plane, false),
    kind("contact", Form::Plane, false),
    kind("axial plane", Form::Plane, false),
    kind("line", Form::Line, true),
    kind("fold hinge", Form::Line, false),
    kind("mineral lineation", Form::Line, false),
    kind("stretching lineation", Form::Line, false),
    kind("intersection lineation", Form::Line, false),
    kind("slip line", Form::Line, false),
    kind("current direction", Form::Line, false),
    kind("fault + line", Form::PlaneWithLine, true),
    kind("bedding + line", Form::PlaneWithLine, false),
    kind("foliation + line", Form::PlaneWithLine, false),
    kind("two limbs", Form::Angle, false),
    kind("two fractures", Form::Angle, false),
];

/// The forms in the order of the page, with their headings.
pub const GROUPS: &[(Form, &str)] = &[
    (Form::Plane, "A plane"),
    (Form::Line, "A line"),
    (Form::PlaneWithLine, "A plane with a line"),
    (Form::Angle, "Between two planes"),
];

/// The form of a kind by its name; a person's own kind carries its form before a colon: `line: striation`.
pub fn form_of(name: &str) -> Form {
    if let Some(found) = KINDS.iter().find(|k| k.name == name) {
        return found.form;
    }
    match name.split_once(':').map(|(form, _)| form.trim()) {
        Some("line") => Form::Line,
        Some("plane + line") => Form::PlaneWithLine,
        _ => Form::Plane,
    }
}

/// Whether a kind of structure slips along its line, so that a sense of slip is asked for: faults, and a person's own planes
/// with a line.
pub fn slips(name: &str) -> bool {
    form_of(name) == Form::PlaneWithLine
        && !["bedding", "foliation", "cleavage"]
            .iter()
            .any(|kind| name.contains(kind))
}

/// What a person reads of a kind: an own kind without its form.
pub fn words(name: &str) -> &str {
    if KINDS.iter().any(|k| k.name == name) {
        return name;
    }
    name.split_once(':').map_or(name, |(_, words)| words.trim())
}

/// A kind's name as it goes into a page's attributes.
pub fn slug(name: &str) -> String {
    name.chars()
        .map(|c| if c.is_ascii_alphanumeric() { c } else { '-' })
        .collect()
}

/// The name under which a person's own kind is kept.
pub fn own(words: &str, form: Form) -> String {
    let form = match form {
        Form::Line => "line",
        Form::PlaneWithLine => "plane + line",
        Form::Plane | Form::Angle => "plane",
    };
    format!("{form}: {}", words.trim())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_own_kind_keeps_its_form() {
        for form in [Form::Plane, Form::Line, Form::PlaneWithLine] {
            let name = own(" striation ", form);
            assert_eq!(form_of(&name), form, "{name}");
            assert_eq!(words(&name), "striation");
        }
    }

    #[test]
    fn every_kind_of_the_list_is_found_by_its_name() {
        for kind in KINDS {
            assert_eq!(form_of(kind.name), kind.form, "{}", kind.name);
            assert_eq!(words(kind.name), kind.name);
        }
    }

    #[test]
    fn a_fault_slips_and_a_bed_does_not() {
        assert!(slips("fault + line") && slips(&own("shear zone", Form::PlaneWithLine)));
        for kind in ["bedding + line", "foliation + line", "fault", "slip line"] {
            assert!(!slips(kind), "{kind}");
        }
    }

    #[test]
    fn five_kinds_are_at_hand() {
        assert_eq!(KINDS.iter().filter(|k| k.at_hand).count(), 5);
    }
}
