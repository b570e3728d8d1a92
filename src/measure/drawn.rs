//! The entities of a layer: those of a drawing that stays as it is, or entities of their own, which can be let go of.

use std::borrow::{Borrow, Cow};
use std::collections::BTreeMap;

use crate::drawing::{Entity, LayerIndex};

/// Entities that belong together.
pub(crate) enum Drawn<'a> {
    /// Of a drawing.
    Kept(Vec<&'a Entity>),
    /// Taken out of one.
    Own(Vec<Entity>),
}

impl<'a> Drawn<'a> {
    /// No entities.
    pub fn none() -> Drawn<'a> {
        Drawn::Own(Vec::new())
    }

    /// There are none.
    pub fn is_empty(&self) -> bool {
        match self {
            Drawn::Kept(entities) => entities.is_empty(),
            Drawn::Own(entities) => entities.is_empty(),
        }
    }

    /// Each of them.
    pub fn entities(&self) -> Cow<'_, [&Entity]> {
        match self {
            Drawn::Kept(entities) => Cow::Borrowed(entities),
            Drawn::Own(entities) => Cow::Owned(entities.iter().collect()),
        }
    }

    /// These, and then the others.
    pub fn and(self, others: Self) -> Self {
        match (self, others) {
            (Drawn::Kept(mut entities), Drawn::Kept(others)) => {
                entities.extend(others);
                Drawn::Kept(entities)
            }
            (Drawn::Own(mut entities), Drawn::Own(others)) => {
                entities.extend(others);
                Drawn::Own(entities)
            }
            // All are of one kind, but for those that are none.
            (entities, others) if others.is_empty() => entities,
            (_, others) => others,
        }
    }
}

/// Where an entity goes.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum To {
    Layer(LayerIndex),
    Voids,
    Nowhere,
}

/// Entities by layer, in the order in which they come, and those that are voids.
pub(super) type Sorted<E> = (BTreeMap<LayerIndex, Vec<E>>, Vec<E>);

/// Sorts entities.
pub(super) fn sorted<E: Borrow<Entity>>(entities: Vec<E>, mut to: impl FnMut(&Entity) -> To) -> Sorted<E> {
    let (mut layers, mut voids) = (BTreeMap::new(), Vec::new());
    let mut places = entities.iter().map(|entity| to(entity.borrow()));
    // A drawing of one layer is left as it is.
    let first = places.next();
    if let Some(To::Layer(layer)) = first
        && places.all(|place| Some(place) == first)
    {
        layers.insert(layer, entities);
        return (layers, voids);
    }
    for entity in entities {
        match to(entity.borrow()) {
            To::Layer(layer) => layers.entry(layer).or_insert_with(Vec::new).push(entity),
            To::Voids => voids.push(entity),
            To::Nowhere => {}
        }
    }
    (layers, voids)
}
