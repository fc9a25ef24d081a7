//! The icons: 24 units square, drawn in the colour of the text beside them.

use super::pen::Pen;

/// What an icon stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Icon {
    /// The place for entering.
    Outcrop,
    /// The place for reviewing.
    Traverse,
    /// The place for joining, backing up and handing over.
    Camp,
    /// Take the last act back.
    Undo,
    /// Take the last digit off.
    Back,
    /// The next reading.
    Next,
    /// The next dial.
    Step,
    /// A list.
    List,
    /// More kinds.
    More,
    /// A photo.
    Photo,
    /// A note.
    Note,
    /// A position.
    Place,
    /// Go there, or accept.
    Arrow,
    /// A book.
    Book,
    /// Back up.
    Backup,
    /// Hand over.
    Hand,
    /// Join two books.
    Join,
    /// People.
    People,
    /// The set-up.
    Setup,
    /// The light: sun.
    Sun,
    /// The light: overcast.
    Cloud,
    /// The light: lamp.
    Lamp,
    /// Strike out.
    Strike,
    /// Care.
    Care,
    /// A road.
    Road,
    /// Rockfall.
    Rock,
    /// Steep ground.
    Slope,
    /// Tides.
    Tide,
    /// Working alone.
    Alone,
    /// A sample.
    Sample,
    /// A sighting.
    Sighting,
}

/// An icon, 24 px unless the page sizes it.
pub fn icon(name: Icon) -> String {
    let mut pen = Pen::new("icon", [0.0, 0.0, 24.0, 24.0], 1.0);
    pen.raw("<g fill=\"none\" stroke=\"currentColor\" stroke-width=\"2.25\">")
        .raw(inside(name))
        .raw("</g>");
    pen.end()
}

#[rustfmt::skip]
fn inside(name: Icon) -> &'static str {
    match name {
        Icon::Outcrop => r#"<path d="M2 21h20M3 21l5-13 4 4 3-8 6 17"/><path d="M7 15l5 2 6-3"/>"#,
        Icon::Traverse => r#"<path d="M3 20L9 12l6 3 6-10" stroke-dasharray="3.5 3"/><rect x="1.5" y="18.5" width="3" height="3" fill="currentColor"/><rect x="7.5" y="10.5" width="3" height="3" fill="currentColor"/><rect x="13.5" y="13.5" width="3" height="3" fill="currentColor"/><rect x="19.5" y="3.5" width="3" height="3" fill="currentColor"/>"#,
        Icon::Camp => r#"<path d="M2 21h20M12 4L3 21M12 4l9 17M12 4l-2-2.5M12 4l2-2.5M12 12l-4.5 9M12 12l4.5 9"/>"#,
        Icon::Undo => r#"<path d="M4 9h11a5 5 0 010 11H8"/><path d="M8.5 4L3.5 9l5 5"/>"#,
        Icon::Back => r#"<path d="M8 5h14v14H8l-6-7z"/><path d="M11.5 9l6 6M17.5 9l-6 6"/>"#,
        Icon::Next => r#"<path d="M3 6h12M3 12h8M3 18h12"/><path d="M20 8v10M16.5 14.5L20 18l3.5-3.5" transform="translate(-1 0)"/>"#,
        Icon::Step => r#"<path d="M3 12h14M12 6l6 6-6 6M21 5v14"/>"#,
        Icon::List => r#"<path d="M3 6h18M3 12h18M3 18h18"/>"#,
        Icon::More => r#"<path d="M4 12h3M10.5 12h3M17 12h3" stroke-width="4"/>"#,
        Icon::Photo => r#"<path d="M2 7h5l2-3h6l2 3h5v13H2z"/><circle cx="12" cy="13" r="4"/>"#,
        Icon::Note => r#"<path d="M3 21l1-5L16 4l4 4L8 20z"/><path d="M13 7l4 4"/>"#,
        Icon::Place => r#"<circle cx="12" cy="12" r="6"/><path d="M12 1v7M12 16v7M1 12h7M16 12h7"/>"#,
        Icon::Arrow => r#"<path d="M2 12h19M15 6l6 6-6 6"/>"#,
        Icon::Book => r#"<path d="M4 3h14a2 2 0 012 2v16H6a2 2 0 01-2-2z"/><path d="M8 3v18M11 8h6M11 12h6"/>"#,
        Icon::Backup => r#"<path d="M3 13v8h18v-8M12 2v13M7 10l5 5 5-5"/>"#,
        Icon::Hand => r#"<path d="M3 13v8h18v-8M12 15V2M7 7l5-5 5 5"/>"#,
        Icon::Join => r#"<path d="M3 4c0 8 9 6 9 12v5M21 4c0 8-9 6-9 12"/>"#,
        Icon::People => r#"<circle cx="8" cy="8" r="3.5"/><path d="M2 21c0-5 2.5-7.5 6-7.5s6 2.5 6 7.5M15.5 4.8a3.5 3.5 0 010 6.4M17 14c3 .6 5 3 5 7"/>"#,
        Icon::Setup => r#"<circle cx="12" cy="12" r="9"/><path d="M12 3v4M12 17v4M3 12h4M17 12h4M12 12l4-6"/>"#,
        Icon::Sun => r#"<circle cx="12" cy="12" r="4.5"/><path d="M12 1v3M12 20v3M1 12h3M20 12h3M4.2 4.2l2.1 2.1M17.7 17.7l2.1 2.1M19.8 4.2l-2.1 2.1M6.3 17.7l-2.1 2.1"/>"#,
        Icon::Cloud => r#"<path d="M6 19h12a4 4 0 000-9 6 6 0 00-11.6 1A4 4 0 006 19z"/>"#,
        Icon::Lamp => r#"<path d="M8 21h8M9 18h6M7 15a6.5 6.5 0 1110 0l-2 3H9z"/>"#,
        Icon::Strike => r#"<path d="M4 4.5h6.5l-4 5.5c6 .5 5.5 10-3 9" stroke-width="2"/><path d="M21 4.5h-6.5v6.5c8-2 9 9 0 8" stroke-width="2"/><path d="M0 12.5h24" stroke-width="3"/>"#,
        Icon::Care => r#"<path d="M12 3L1.5 21h21z"/><path d="M12 10v5M12 17.5v.8"/>"#,
        Icon::Road => r#"<path d="M7 2L3 22M17 2l4 20M12 3v4M12 10v4M12 17v4"/>"#,
        Icon::Rock => r#"<path d="M3 3l5 4M9 2l3 6M15 7l5-4M4 21h16l-3-7-5-3-5 3z"/>"#,
        Icon::Slope => r#"<path d="M2 21h20L2 4z"/><path d="M12 21a10 10 0 00-3-11"/>"#,
        Icon::Tide => r#"<path d="M1 9c3-3 5-3 7.5 0s5 3 7.5 0 4-3 7 0M1 16c3-3 5-3 7.5 0s5 3 7.5 0 4-3 7 0"/>"#,
        Icon::Alone => r#"<circle cx="12" cy="7" r="4"/><path d="M5 22c0-6 3-9 7-9s7 3 7 9"/>"#,
        Icon::Sample => r#"<path d="M7 4h10M8 4l1 4-4 5v8h14v-8l-4-5 1-4"/><path d="M5 15h14"/>"#,
        Icon::Sighting => r#"<path d="M2 20l15-13M2 20h20" /><circle cx="19" cy="5" r="3"/><path d="M11 20a9 9 0 00-2.2-6"/>"#,
    }
}
