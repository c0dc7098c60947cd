//! Puts a drawing into the page and keeps it up to date from frame to frame: an element that stays is not made anew, and
//! what did not change is not touched.

use leptos::prelude::*;
use web_sys::Element;

use crate::view::svg::{Group, Mark, elements};

/// Where SVG elements belong.
const SVG: &str = "http://www.w3.org/2000/svg";

/// A place that a drawing fills from now on.
pub fn painted<T: Send + Sync + 'static>(
    drawing: Memo<Option<T>>,
    groups: fn(&T) -> &[Group],
) -> NodeRef<leptos::svg::G> {
    let place = NodeRef::<leptos::svg::G>::new();
    let mut painting = Painting::default();
    Effect::new(move |_| {
        if let Some(place) = place.get() {
            drawing.with(|d| painting.paint(&place, d.as_ref().map_or(&[], groups)));
        }
    });
    place
}

/// A drawing as it stands in the page.
#[derive(Default)]
struct Painting {
    painted: Vec<Painted>,
}

/// A group as it stands in the page.
struct Painted {
    group: Group,
    element: Element,
    /// The elements of its marks.
    marks: Vec<Element>,
}

impl Painting {
    /// Makes the drawing in its place these groups. Whatever stands in the place is this painting's.
    fn paint(&mut self, place: &Element, groups: &[Group]) {
        let both = self.painted.iter().zip(groups);
        let kept = both
            .take_while(|(old, new)| old.group.class == new.class)
            .count();
        for old in self.painted.drain(kept..) {
            old.element.remove();
        }
        for (old, new) in self.painted.iter_mut().zip(groups) {
            old.change(new);
        }
        for new in &groups[kept..] {
            self.painted.extend(Painted::new(place, new));
        }
    }
}

impl Painted {
    fn new(place: &Element, group: &Group) -> Option<Self> {
        let element = document().create_element_ns(Some(SVG), "g").ok()?;
        element.set_attribute("class", &group.class).ok()?;
        place.append_child(&element).ok()?;
        let mut painted = Self {
            group: group.clone(),
            element,
            marks: Vec::new(),
        };
        painted.make();
        Some(painted)
    }

    /// Makes every element anew.
    fn make(&mut self) {
        self.element.set_inner_html(&elements(&self.group.marks));
        let children = self.element.children();
        self.marks = (0..children.length())
            .filter_map(|i| children.item(i))
            .collect();
    }

    fn change(&mut self, group: &Group) {
        let alike = |(old, new): (&Mark, &Mark)| old.tag == new.tag && old.class == new.class;
        let (old, new) = (&self.group.marks, &group.marks);
        if old.len() != new.len() || !old.iter().zip(new).all(alike) {
            self.group = group.clone();
            self.make();
            return;
        }
        for ((old, new), element) in self.group.marks.iter_mut().zip(new).zip(&self.marks) {
            for (was, now) in old.attributes.iter_mut().zip(&new.attributes) {
                if was != now {
                    let _ = element.set_attribute(now.0, &now.1);
                    was.clone_from(now);
                }
            }
            if old.text != new.text {
                element.set_text_content(Some(&new.text));
                old.text.clone_from(&new.text);
            }
        }
    }
}
