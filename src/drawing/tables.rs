//! Layers: the LAYER table, and the layers that entities name.

use std::collections::HashMap;

use super::limits::Limit;
use super::pairs::Pairs;
use super::text::Encoder;

/// Which of a drawing's layers.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct LayerIndex(u32);

impl LayerIndex {
    /// The first so many of a drawing.
    pub(super) fn first(count: usize) -> impl Iterator<Item = LayerIndex> {
        (0..).take(count).map(LayerIndex)
    }

    /// Index into [`Drawing::layers`](super::Drawing::layers).
    pub fn index(self) -> usize {
        self.0 as usize
    }
}

/// A layer and its state.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Layer {
    /// Its name, spelled as in the LAYER table, else as the first entity spells it. Letter case makes no
    /// difference between names.
    pub name: String,
    /// Switched off (a negative colour).
    pub off: bool,
    /// Frozen.
    pub frozen: bool,
    /// Locked.
    pub locked: bool,
    /// The LAYER table says that its entities are plotted.
    pub plotted: bool,
    /// The LAYER table has it; otherwise entities name it only.
    pub declared: bool,
}

impl Layer {
    /// Its entities don't show: off or frozen.
    pub fn is_hidden(&self) -> bool {
        self.off || self.frozen
    }

    /// Its entities come out on paper. Those of Defpoints, on which drawing programs keep the points that dimensions
    /// hang on, never do.
    pub fn is_plotted(&self) -> bool {
        self.plotted && !self.name.eq_ignore_ascii_case("Defpoints")
    }
}

/// The layers of the drawing being read.
#[derive(Default)]
pub(super) struct Layers {
    pub list: Vec<Layer>,
    by_name: HashMap<String, LayerIndex>,
    by_bytes: HashMap<Box<[u8]>, LayerIndex>,
    last: Option<(Vec<u8>, LayerIndex)>,
    pub encoder: Encoder,
    /// As many layers as may be.
    most: u64,
    /// There are more.
    pub too_many: bool,
}

impl Layers {
    /// No layers yet, and at most this many.
    pub fn new(most: u64) -> Layers {
        Layers { most, ..Layers::default() }
    }

    /// The layer that the value of a group code 8 names. Nothing at all names layer 0.
    #[inline]
    pub fn named(&mut self, bytes: &[u8]) -> LayerIndex {
        match &self.last {
            Some((last, index)) if last == bytes => *index,
            _ => self.looked_up(bytes),
        }
    }

    fn looked_up(&mut self, bytes: &[u8]) -> LayerIndex {
        let index = match self.by_bytes.get(bytes) {
            Some(index) => *index,
            None => {
                let index = self.with_name(self.encoder.decode(bytes));
                self.by_bytes.insert(bytes.into(), index);
                index
            }
        };
        let (last, last_index) = self.last.get_or_insert_with(|| (Vec::new(), index));
        last.clear();
        last.extend_from_slice(bytes);
        *last_index = index;
        index
    }

    /// Layer 0, where anything is on it.
    pub fn zero(&self) -> Option<LayerIndex> {
        self.by_name.get("0").copied()
    }

    /// The layer with this name.
    fn with_name(&mut self, name: String) -> LayerIndex {
        let name = if name.is_empty() { "0".to_owned() } else { name };
        let key = name.to_lowercase();
        if let Some(index) = self.by_name.get(&key) {
            return *index;
        }
        if self.list.len() as u64 >= self.most {
            // The drawing is not read: it makes no difference which layer this is.
            self.too_many = true;
            return LayerIndex(0);
        }
        let index = LayerIndex(self.list.len() as u32);
        let layer = Layer { name, off: false, frozen: false, locked: false, plotted: true, declared: false };
        self.list.push(layer);
        self.by_name.insert(key, index);
        index
    }

    /// Reads an entry of the LAYER table up to the next pair of code 0, which is left to be read again. Values
    /// that are no numbers leave the state as it is without them; an entry that is cut or damaged declares nothing.
    pub fn read_entry(&mut self, pairs: &mut Pairs) {
        let mut complete = false;
        let (mut name, mut flags, mut colour, mut plotted) = (None, 0, 7, true);
        while pairs.advance() {
            match pairs.code() {
                0 => {
                    pairs.hold();
                    complete = true;
                    break;
                }
                2 => name = Some(self.encoder.decode(pairs.text())),
                62 => colour = pairs.whole().unwrap_or(colour),
                70 => flags = pairs.whole().unwrap_or(flags),
                290 => plotted = pairs.whole() != Some(0),
                _ => {}
            }
        }
        // An entry without a name declares nothing.
        let Some(name) = name.filter(|_| complete) else { return };
        let index = self.with_name(name.clone());
        if self.too_many {
            let error = pairs.limits().exceeded(Limit::Layers, "the LAYER table");
            return pairs.stop(error.in_file(pairs.position()));
        }
        let Some(layer) = self.list.get_mut(index.index()).filter(|layer| !layer.declared) else { return };
        if !name.is_empty() {
            layer.name = name;
        }
        layer.off = colour < 0;
        layer.frozen = flags & 1 != 0;
        layer.locked = flags & 4 != 0;
        layer.plotted = plotted;
        layer.declared = true;
    }
}
