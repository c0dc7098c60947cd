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
        for old in self.painted.drain(groups.len().min(self.painted.len())..) {
            old.element.remove();
        }
        for (old, new) in self.painted.iter_mut().zip(groups) {
            old.change(new);
        }
        for new in &groups[self.painted.len()..] {
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
            group: Group {
                class: group.class.clone(),
                marks: Vec::new(),
            },
            element,
            marks: Vec::new(),
        };
        painted.add(&group.marks);
        Some(painted)
    }

    /// Makes elements for marks after those that stand.
    fn add(&mut self, marks: &[Mark]) {
        let _ = self
            .element
            .insert_adjacent_html("beforeend", &elements(marks));
        let children = self.element.children();
        self.marks
            .extend((self.marks.len() as u32..children.length()).filter_map(|i| children.item(i)));
        self.group.marks.extend_from_slice(marks);
    }

    fn change(&mut self, group: &Group) {
        if self.group.class != group.class {
            let _ = self.element.set_attribute("class", &group.class);
            self.group.class.clone_from(&group.class);
        }
        let both = self.group.marks.iter().zip(&group.marks);
        let kept = both.take_while(|(old, new)| old.tag == new.tag).count();
        for old in self.marks.drain(kept..) {
            old.remove();
        }
        self.group.marks.truncate(kept);
        for ((old, new), element) in self
            .group
            .marks
            .iter_mut()
            .zip(&group.marks)
            .zip(&self.marks)
        {
            if old.class != new.class {
                let _ = element.set_attribute("class", new.class);
                old.class = new.class;
            }
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
        if kept < group.marks.len() {
            self.add(&group.marks[kept..]);
        }
    }
}
