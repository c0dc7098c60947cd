//! What the stage shows: the set-up as it stands or is dragged.

use std::sync::Arc;

use leptos::prelude::*;

use super::posed::Posed;
use super::store::{Before, Store, postures};
use crate::order::Map;
use crate::sled::{Cockpit, Settings};
use crate::stance::{Posture, between};
use crate::view::figure::Wearer;
use crate::view::stage::{Ghost, Scene, Shown, Stage, Viewport, stage_held};
use crate::view::svg::{self, Group};

/// The finished drawing for the page.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawing {
    /// Its view box.
    pub view_box: String,
    /// What stands in it, without handles.
    pub groups: Vec<Group>,
    /// What was drawn.
    pub stage: Stage,
}

/// What is drawn beside the set-up itself.
#[derive(Clone, Copy)]
pub struct Look {
    /// Whether the other stances stand behind as outlines.
    pub outlines: RwSignal<bool>,
    /// How far on the way through the stances, 0 at the first; none: the one in front.
    pub way: RwSignal<Option<f64>>,
}

/// A former set-up with the stance in front on it.
#[derive(Clone, Debug, PartialEq)]
pub struct Stood {
    name: String,
    settings: Settings,
    posture: Posture,
}

/// The stance in front on former settings.
pub fn before(store: Store, former: Before) -> Option<Arc<Stood>> {
    let (built, sled) = (store.built.get()?, store.sled.get()?);
    let settings = former.settings.on(&sled)?;
    let stances = store.stances.get_value();
    let front = store.front();
    let stance: Vec<_> = stances
        .iter()
        .filter(|s| s.name == front)
        .cloned()
        .collect();
    let mut solved = postures(&built, &sled, settings, &stance, &Map::new(), None);
    Some(Arc::new(Stood {
        name: former.name,
        settings,
        posture: solved.pop()?,
    }))
}

/// The drawing as it stands; while something is dragged, as it was seen `before`.
pub fn draw(
    store: Store,
    posed: &Posed,
    former: Option<Arc<Stood>>,
    size: (f64, f64),
    look: Look,
    before: Option<&Stage>,
) -> Option<Drawing> {
    let (built, sled) = (store.built.get()?, store.sled.get()?);
    let settings = store.drawn.get()?;
    let (width, height) = size;
    if width < 1.0 || height < 1.0 {
        return None;
    }
    let stances = store.stances.get_value();
    let front = store.front();
    let index = stances.iter().position(|s| s.name == front)?;
    let cockpit = Cockpit::new(&sled, settings);
    let shown = |i: usize| {
        Some(Shown {
            stance: stances.get(i)?,
            pose: &posed.postures.get(i)?.pose,
        })
    };
    let blend = look.way.get().and_then(|way| {
        let first = shown(whole(way))?;
        let next = shown(whole(way) + 1)?;
        let ends = [first, next].map(|s| (s.stance, s.pose));
        let share = way - libm::floor(way);
        (share > 0.0).then(|| between(&built.rider, &cockpit, ends[0], ends[1], share))
    });
    let in_front = match &blend {
        Some((stance, pose)) => Shown { stance, pose },
        None => shown(index)?,
    };
    let others: Vec<Shown> = (0..stances.len())
        .filter(|i| look.outlines.get() && (*i != index || blend.is_some()))
        .filter_map(shown)
        .collect();
    let former = former.filter(|_| blend.is_none());
    let stood = former.as_ref().map(|b| Cockpit::new(&sled, b.settings));
    let ghost = former
        .as_ref()
        .zip(stood.as_ref())
        .map(|(b, cockpit)| Ghost {
            name: &b.name,
            cockpit,
            pose: &b.posture.pose,
        });
    let scene = Scene {
        body: Wearer::from(&built.rider),
        cockpit: &cockpit,
        levers: posed.levers,
        front: in_front,
        others: &others,
        ghost,
        system: store.system(),
        handles: true,
    };
    let dragged = store.live.with(Option::is_some) || store.live_levers.with(Option::is_some);
    let viewport = Viewport { width, height };
    let mut stage = stage_held(&scene, viewport, before.filter(|_| dragged));
    // The page makes its own handles, so that the one in hand stays the same element from frame to frame.
    let handles = std::mem::take(&mut stage.handles);
    let groups = svg::groups(&stage);
    stage.handles = handles;
    Some(Drawing {
        view_box: svg::view_box(&stage),
        groups,
        stage,
    })
}

/// How many stances lie behind on a way that is not negative.
pub fn whole(way: f64) -> usize {
    // Ways are short and clamped before the cast.
    way.clamp(0.0, 1000.0) as usize
}
