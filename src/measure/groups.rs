//! The layers of a drawing by what the options make of them, each with what is drawn on it.

use std::borrow::Borrow;
use std::collections::BTreeMap;

use super::Options;
use super::drawn::{Drawn, To, sorted};
use crate::drawing::{Drawing, Entity, Layer, LayerIndex, Reason};

/// Layers that are one section, and what is drawn on them.
pub(crate) struct Group<'a> {
    pub name: String,
    pub layers: Vec<LayerIndex>,
    pub drawn: Drawn<'a>,
}

impl Group<'_> {
    /// Lets its entities go unless they are `needed`; of several layers it is told later which of them a section lies on.
    pub fn let_go_unless(&mut self, needed: impl FnOnce(&Drawn) -> bool) {
        if self.layers.len() < 2 && !needed(&self.drawn) {
            self.drawn = Drawn::none();
        }
    }
}

/// The layers of a drawing by what the options make of them, by name.
pub(crate) struct Layers<'a> {
    pub chosen: Vec<Group<'a>>,
    /// They show, but --layers does not name them.
    pub left_out: Vec<Group<'a>>,
    pub voids: Drawn<'a>,
    /// Names of layers that are off or frozen.
    pub hidden: Vec<String>,
}

/// What the options make of a layer.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Use {
    Chosen,
    Void,
    LeftOut,
    Skipped,
}

impl Use {
    fn of(layer: &Layer, options: &Options) -> Use {
        match &layer.name {
            name if options.void_layers.match_any(name) => Use::Void,
            name if options.layers.names(name) => Use::Chosen,
            name if options.layers.skips(name) => Use::Skipped,
            _ => Use::LeftOut,
        }
    }
}

impl<'a> Layers<'a> {
    /// Those of a drawing.
    pub fn of(drawing: &'a Drawing, options: &Options) -> Layers<'a> {
        Layers::sorted(drawing, drawing.entities.iter().collect(), Drawn::Kept, options)
    }

    /// Those of entities that were taken out of a drawing, which are let go of as soon as it is known what they outline.
    #[cfg(feature = "library")]
    pub fn of_own(drawing: &Drawing, entities: Vec<Entity>, options: &Options) -> Layers<'a> {
        Layers::sorted(drawing, entities, Drawn::Own, options)
    }

    fn sorted<E: Borrow<Entity>>(
        drawing: &Drawing,
        entities: Vec<E>,
        drawn: fn(Vec<E>) -> Drawn<'a>,
        options: &Options,
    ) -> Layers<'a> {
        let uses: Vec<Use> = drawing.layers.iter().map(|layer| Use::of(layer, options)).collect();
        let use_of = |index: LayerIndex| uses[index.index()];
        let mut hidden: BTreeMap<LayerIndex, ()> = BTreeMap::new();
        let (mut layers, voids) = sorted(entities, |entity| {
            let layer = drawing.layer(entity.layer);
            match use_of(entity.layer) {
                Use::Skipped => To::Nowhere,
                used if !options.layers.hidden() && (entity.hidden || layer.is_hidden()) => {
                    if layer.is_hidden() && used != Use::LeftOut {
                        hidden.insert(entity.layer, ());
                    }
                    To::Nowhere
                }
                Use::Void => To::Voids,
                Use::Chosen | Use::LeftOut => To::Layer(entity.layer),
            }
        });
        // Layers with nothing but what is passed over are named too.
        for passed in &drawing.passed_over {
            let Some(index) = passed.layer else { continue };
            let named = options.layers.takes(drawing.layer(index)) && use_of(index) != Use::Void;
            if named && !matches!(passed.reason, Reason::PaperSpace | Reason::ModelSpace) {
                layers.entry(index).or_default();
            }
        }
        let (chosen, left_out): (Vec<Group>, Vec<Group>) = by_name(drawing, layers)
            .into_iter()
            .map(|(layer, entities)| Group {
                name: drawing.layer(layer).name.clone(),
                layers: vec![layer],
                drawn: drawn(entities),
            })
            .partition(|group| group.layers.iter().all(|layer| use_of(*layer) == Use::Chosen));
        let hidden = by_name(drawing, hidden).into_iter();
        let hidden = hidden.map(|(layer, ())| drawing.layer(layer).name.clone()).collect();
        Layers { chosen, left_out, voids: drawn(voids), hidden }
    }
}

/// Layers in the order of their names, without regard to case first.
fn by_name<T>(drawing: &Drawing, layers: BTreeMap<LayerIndex, T>) -> Vec<(LayerIndex, T)> {
    let mut layers: Vec<(LayerIndex, T)> = layers.into_iter().collect();
    layers.sort_by_cached_key(|(layer, _)| {
        let name = &drawing.layer(*layer).name;
        (name.to_lowercase(), name.clone(), *layer)
    });
    layers
}
