//! Where the focus goes: to the heading of a page that was turned to, and, when an act takes what had the focus off the
//! page, to what came in its place.
//!
//! One watch over the whole document does this. A part says how it wants to be found by an attribute:
//! `data-lands` is what an act in the parts around it leads to, with the word `always` even where another part
//! had opened the one that closes; `data-arrives` what a page is begun at where that is not its
//! heading, `data-next` a list in which the next item takes over.

use js_sys::Array;
use leptos::prelude::*;
use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;
use web_sys::{
    Element, Event, FocusOptions, HtmlElement, MutationObserver, MutationObserverInit,
    MutationRecord, Node, ScrollIntoViewOptions, ScrollLogicalPosition,
};

/// What takes keys and touches by itself.
const TAKES: &str = "button:not([disabled]), a[href], input:not([disabled]), select:not([disabled]), \
    textarea:not([disabled]), summary, [tabindex=\"0\"]";

/// Headings of parts.
const HEADINGS: &str = "h1, h2, h3";

/// Where the focus is and was; a handle that is copied freely.
#[derive(Clone, Copy)]
pub(in crate::app) struct Focus(StoredValue<Watch, LocalStorage>);

#[derive(Default)]
struct Watch {
    /// What has the focus, or had it last, then all that it stands in, from the inside out.
    trail: Vec<Element>,
    /// What is known of how it left the page.
    lost: Option<Lost>,
    /// What opened the part that is open.
    opener: Option<Element>,
    /// The last act came from a keyboard.
    by_keys: bool,
    /// Another page was turned to, and nothing on it has the focus yet.
    turned: bool,
    /// The next frame looks at it.
    asked: bool,
}

/// How a part left the page.
#[derive(Default)]
struct Lost {
    /// How far out in the trail the part that left is.
    depth: usize,
    after: Option<Node>,
    before: Option<Node>,
    /// All that came onto the page since.
    came: Vec<Element>,
}

impl Focus {
    /// Begins the watch.
    pub(in crate::app) fn watch() -> Self {
        let focus = Self(StoredValue::new_local(Watch::default()));
        listen("focusin", move |event| focus.came_to(&event));
        listen("click", move |event| focus.clicked(&event));
        listen("pointerdown", move |event| focus.touched(&event));
        listen("keydown", move |_| focus.change(|w| w.by_keys = true));
        let seen = Closure::<dyn FnMut(Array)>::new(move |records: Array| focus.changed(&records));
        let all = MutationObserverInit::new();
        all.set_child_list(true);
        all.set_subtree(true);
        all.set_attribute_filter(&Array::of1(&"disabled".into()));
        if let (Ok(observer), Some(body)) = (
            MutationObserver::new(seen.as_ref().unchecked_ref()),
            document().body(),
        ) {
            // A body that cannot be observed leaves the focus where the browser puts it.
            let _ = observer.observe_with_options(&body, &all);
        }
        seen.forget();
        focus
    }

    /// Another page was turned to: its heading takes the focus, unless the page gives it to something itself.
    pub(in crate::app) fn turn(self) {
        self.change(|w| {
            w.turned = true;
            w.opener = None;
        });
        self.ask();
    }

    fn change(self, change: impl FnOnce(&mut Watch)) {
        self.0.update_value(change);
    }

    fn came_to(self, event: &Event) {
        let Some(to) = element(event) else {
            return;
        };
        let in_page = matches!(to.closest("main"), Ok(Some(_)));
        let trail = trail(to);
        self.change(|w| {
            w.trail = trail;
            w.lost = None;
            w.turned &= !in_page;
        });
    }

    /// Not every browser gives the focus to a plate that is touched.
    fn clicked(self, event: &Event) {
        let Some(at) = element(event) else {
            return;
        };
        if let Ok(Some(opener)) = at.closest("[aria-expanded]") {
            let opens = opener.get_attribute("aria-expanded").as_deref() != Some("true");
            self.change(|w| w.opener = opens.then_some(opener));
        }
        if !is_held()
            && let Ok(Some(plate)) = at.closest(TAKES)
        {
            let trail = trail(plate);
            self.change(|w| w.trail = trail);
        }
    }

    fn touched(self, event: &Event) {
        let on_nothing = element(event).is_some_and(|at| {
            let takes = at.closest(TAKES).ok().flatten();
            takes
                .or_else(|| at.closest("label").ok().flatten())
                .is_none()
        });
        self.change(|w| {
            w.by_keys = false;
            if on_nothing {
                // The person let go of it.
                w.trail.clear();
                w.lost = None;
            }
        });
    }

    /// Something of the page changed: the one question at every key is whether what had the focus still stands.
    fn changed(self, records: &Array) {
        let stands = self
            .0
            .with_value(|w| !w.turned && w.lost.is_none() && w.trail.first().is_none_or(stands));
        if stands {
            return;
        }
        self.change(|w| {
            let lost = w.lost.get_or_insert_default();
            for record in records.iter() {
                let Ok(record) = record.dyn_into::<MutationRecord>() else {
                    continue;
                };
                let (removed, added) = (record.removed_nodes(), record.added_nodes());
                for node in (0..removed.length()).filter_map(|i| removed.item(i)) {
                    let depth = w.trail.iter().position(|e| e.is_same_node(Some(&node)));
                    if let Some(depth) = depth.filter(|depth| *depth >= lost.depth) {
                        lost.depth = depth;
                        lost.after = record.next_sibling();
                        lost.before = record.previous_sibling();
                    }
                }
                let added = (0..added.length()).filter_map(|i| added.item(i));
                lost.came
                    .extend(added.filter_map(|node| node.dyn_into::<Element>().ok()));
            }
        });
        self.ask();
    }

    /// The page is looked at once it stands again.
    fn ask(self) {
        if self.0.with_value(|w| w.asked) {
            return;
        }
        self.change(|w| w.asked = true);
        request_animation_frame(move || {
            self.change(|w| w.asked = false);
            self.place();
        });
    }

    fn place(self) {
        let (turned, by_keys) = self.0.with_value(|w| (w.turned, w.by_keys));
        if turned {
            let begins = main_of(None).and_then(|main| beginning(&main));
            if let Some(begins) = begins {
                self.change(|w| w.turned = false);
                land(&begins);
            }
            return;
        }
        if is_held() {
            self.change(|w| w.lost = None);
            return;
        }
        let found = self.0.with_value(|w| {
            let lost = w.lost.as_ref()?;
            let had = w.trail.first()?;
            if had.is_connected() {
                // A plate that waits takes the focus again once it has done what it does.
                return stands(had).then(|| (had.clone(), true));
            }
            let out = w.trail.iter().position(|e| e.is_connected())?;
            let what_came = lost.landing(&w.trail, out, w.opener.as_ref());
            what_came.map(|part| (part, true)).or_else(|| {
                let around = w.trail[out..].iter().find(|part| part.tag_name() == "MAIN");
                let main = around.cloned().or_else(|| main_of(Some(&w.trail[out])))?;
                Some((beginning(&main)?, by_keys))
            })
        });
        if let Some((part, seen)) = found {
            self.change(|w| {
                w.lost = None;
                w.opener = None;
            });
            focus(&part);
            // Under a finger the page stays where it is, unless what came is elsewhere.
            if seen {
                show(&part);
            }
        }
    }
}

impl Lost {
    /// What came of the act: from the nearest to the farthest.
    fn landing(&self, trail: &[Element], out: usize, opener: Option<&Element>) -> Option<Element> {
        let (near, around) = (&trail[out], &trail[out..]);
        let came = || {
            self.came.iter().filter(|part| {
                let parent = part.parent_element();
                part.is_connected() && parent.is_some_and(|p| p.is_same_node(Some(near)))
            })
        };
        came()
            .find_map(|part| beginning(&main_of(Some(part))?))
            .or_else(|| came().find_map(marked))
            .or_else(|| came().find_map(|part| first(part, HEADINGS)))
            .or_else(|| marked(near))
            .or_else(|| self.next(near, trail.get(out.checked_sub(1)?)?))
            .or_else(|| {
                around
                    .iter()
                    .find_map(|part| first(part, "[data-lands=always]"))
            })
            .or_else(|| opener.filter(|opener| has_closed(opener)).cloned())
            .or_else(|| around.iter().find_map(marked))
            .or_else(|| came().find_map(|part| first(part, TAKES)))
            .or_else(|| {
                let below = around.iter().take_while(|part| part.tag_name() != "MAIN");
                below.into_iter().find_map(|part| first(part, HEADINGS))
            })
    }

    /// The item of a list that stands where another stood, or the last that is left.
    fn next(&self, list: &Element, gone: &Element) -> Option<Element> {
        list.has_attribute("data-next").then_some(())?;
        let alike = |part: &Element| {
            part.tag_name() == gone.tag_name()
                && part.class_list().item(0) == gone.class_list().item(0)
        };
        let taking = |part: Element| alike(&part).then(|| first(&part, TAKES)).flatten();
        let walk = |from: &Option<Node>, step: fn(&Node) -> Option<Node>| {
            let mut node = from.clone();
            while let Some(at) = node {
                node = step(&at);
                if let Some(found) = at.dyn_into::<Element>().ok().and_then(taking) {
                    return Some(found);
                }
            }
            None
        };
        walk(&self.after, Node::next_sibling).or_else(|| walk(&self.before, Node::previous_sibling))
    }
}

/// Whether a part takes keys by itself; a heading that only has the focus leaves them to the page.
pub(in crate::app) fn takes_keys(part: &Element) -> bool {
    matches!(part.closest(TAKES), Ok(Some(_)))
}

/// Gives the focus to a part and brings it into sight, no farther than needed.
pub(in crate::app) fn land(part: &Element) {
    focus(part);
    show(part);
}

fn focus(part: &Element) {
    let takes = part.has_attribute("tabindex") || matches!(part.matches(TAKES), Ok(true));
    if !takes {
        // An attribute of an element cannot fail to be set.
        let _ = part.set_attribute("tabindex", "-1");
    }
    if let Some(part) = part.dyn_ref::<HtmlElement>() {
        let options = FocusOptions::new();
        options.set_prevent_scroll(true);
        // A part that cannot take the focus is still read where it stands.
        let _ = part.focus_with_options(&options);
    }
}

fn show(part: &Element) {
    let options = ScrollIntoViewOptions::new();
    options.set_block(ScrollLogicalPosition::Nearest);
    options.set_inline(ScrollLogicalPosition::Nearest);
    part.scroll_into_view_with_scroll_into_view_options(&options);
}

fn listen(event: &str, act: impl FnMut(Event) + 'static) {
    let act = Closure::<dyn FnMut(Event)>::new(act);
    // The document takes every listener; there is nothing to do where it does not.
    let _ = document().add_event_listener_with_callback_and_bool(
        event,
        act.as_ref().unchecked_ref(),
        true,
    );
    act.forget();
}

fn element(event: &Event) -> Option<Element> {
    event.target()?.dyn_into().ok()
}

fn trail(from: Element) -> Vec<Element> {
    std::iter::successors(Some(from), |part| part.parent_element()).collect()
}

/// Whether a part is on the page and can have the focus.
fn stands(part: &Element) -> bool {
    part.is_connected() && !part.has_attribute("disabled")
}

/// Whether anything has the focus.
fn is_held() -> bool {
    document()
        .active_element()
        .is_some_and(|part| part.tag_name() != "BODY" && stands(&part))
}

fn has_closed(opener: &Element) -> bool {
    stands(opener)
        && is_seen(opener)
        && opener.get_attribute("aria-expanded").as_deref() == Some("false")
}

fn is_seen(part: &Element) -> bool {
    part.get_client_rects().length() > 0
}

/// The first part of this kind that is seen and says something, the part itself included.
fn first(part: &Element, kind: &str) -> Option<Element> {
    let speaks = |part: &Element| {
        let words = part.text_content().unwrap_or_default();
        is_seen(part) && (!words.trim().is_empty() || matches!(part.matches(TAKES), Ok(true)))
    };
    if matches!(part.matches(kind), Ok(true)) && speaks(part) {
        return Some(part.clone());
    }
    let all = part.query_selector_all(kind).ok()?;
    let mut all = (0..all.length()).filter_map(|i| all.item(i)?.dyn_into::<Element>().ok());
    all.find(speaks)
}

fn marked(part: &Element) -> Option<Element> {
    first(part, "[data-lands]")
}

/// The page that a part is or holds; that of the document where none is named.
fn main_of(part: Option<&Element>) -> Option<Element> {
    let Some(part) = part else {
        return document().query_selector("main").ok().flatten();
    };
    if part.tag_name() == "MAIN" {
        return Some(part.clone());
    }
    part.query_selector("main").ok().flatten()
}

/// Where a page begins.
fn beginning(main: &Element) -> Option<Element> {
    first(main, "[data-arrives]").or_else(|| first(main, "h1"))
}
