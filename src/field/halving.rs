//! Triangles halved, where more of them are needed and where an arch turns one inside out.

use super::element::ENDS;
use super::mesh::{Beyond, MOST_TRIANGLES, Mesh, Triangle};
use super::{MeshTrouble, Trouble};

impl Mesh {
    /// Halves triangles that an arch turns inside out. Where that does not help, as at the tip of a cusp, the piece is
    /// taken as its chord; what that may cost is counted with the bounds.
    pub fn mend(&mut self) -> Result<(), MeshTrouble> {
        /// How often.
        const TRIES: usize = 8;
        for attempt in 0..=TRIES {
            let unsound: Vec<usize> =
                (0..self.triangles.len()).filter(|t| !self.shape(*t).is_sound()).collect();
            if unsound.is_empty() {
                return Ok(());
            }
            for t in unsound {
                // An earlier cut may have made it sound.
                if self.shape(t).is_sound() {
                    continue;
                }
                let curved: Vec<u32> = self.triangles[t]
                    .beyond
                    .iter()
                    .filter_map(|beyond| beyond.piece())
                    .filter(|p| !self.boundary.pieces[*p as usize].arch.is_flat())
                    .collect();
                if curved.is_empty() {
                    let at = self.corners[self.triangles[t].corners[0] as usize];
                    return Err(MeshTrouble::new(Trouble::Unsound, at));
                }
                if attempt + 2 > TRIES {
                    for piece in curved {
                        let mut straight = self.boundary.pieces[piece as usize].clone();
                        self.boundary.straighten(&mut straight);
                        self.boundary.pieces[piece as usize] = straight;
                    }
                } else {
                    // Two pieces of a smooth curve leave no angle between them: the triangle is cut there.
                    if self.pieces_of(t).count() > 1 {
                        self.halve_and_tell(t, &mut Vec::new())?;
                        continue;
                    }
                    // Right at the arch: halving the longest edges first might never come to it.
                    let piece = curved[0];
                    let edge = self.triangles[t].beyond.iter().position(|b| b.piece() == Some(piece));
                    let edge = edge.unwrap_or(0);
                    match self.triangles[t].beyond[edge].triangle() {
                        None => self.cut_at_boundary(t, edge, piece, &mut Vec::new())?,
                        Some(other) => {
                            let other = other as usize;
                            let theirs = self.edge_towards(other, t);
                            self.cut_both([(t, edge), (other, theirs)], &mut Vec::new())?;
                        }
                    }
                }
            }
        }
        let at = self.corners[0];
        Err(MeshTrouble::new(Trouble::Unsound, at))
    }

    /// Halves triangles as many times as `levels` says for each, and others where these must for edges to meet. What
    /// comes of a triangle is halved on as often as is left where `touches` holds for it, once elsewhere.
    pub fn refine(&mut self, levels: &[u8], touches: &dyn Fn(&Triangle) -> bool) -> Result<(), MeshTrouble> {
        let mut levels = levels.to_vec();
        levels.resize(self.triangles.len(), 0);
        let most = levels.iter().copied().max().unwrap_or(0);
        for level in (1..=most).rev() {
            let marked: Vec<usize> = (0..levels.len()).filter(|t| levels[*t] == level).collect();
            for t in marked {
                if levels[t] != level {
                    continue;
                }
                let mut cut = Vec::new();
                self.halve_and_tell(t, &mut cut)?;
                levels.resize(self.triangles.len(), 0);
                for (old, new) in cut {
                    let level = levels[old];
                    for t in [old, new] {
                        // What no longer lies at the corner that asked for many halvings needs few.
                        let less = level.saturating_sub(1);
                        levels[t] = if less <= 1 || touches(&self.triangles[t]) { less } else { 1.min(less) };
                    }
                }
            }
        }
        self.mend()
    }

    /// Halves triangle `t` across its longest edge, and neighbours before it until the edge is the longest of both; tells
    /// which triangles were cut, and what became their other halves.
    fn halve_and_tell(&mut self, t: usize, cut: &mut Vec<(usize, usize)>) -> Result<(), MeshTrouble> {
        let corners = self.triangles[t].corners;
        // Each neighbour's longest edge is longer than the one before it, so that this ends.
        let mut path = vec![t];
        while let Some(last) = path.last().copied() {
            if path.len() == 1 && self.triangles[t].corners != corners {
                return Ok(());
            }
            let edge = self.longest_edge(last);
            match self.triangles[last].beyond[edge] {
                Beyond::Piece(piece) => {
                    self.cut_at_boundary(last, edge, piece, cut)?;
                    path.pop();
                }
                Beyond::Triangle(other) | Beyond::Across { other, .. } => {
                    let other = other as usize;
                    let theirs = self.longest_edge(other);
                    if self.triangles[other].beyond[theirs].is_triangle(last) {
                        self.cut_both([(last, edge), (other, theirs)], cut)?;
                        path.pop();
                    } else {
                        path.push(other);
                    }
                }
            }
        }
        Ok(())
    }

    /// The edge of triangle `t` across which `other` lies.
    fn edge_towards(&self, t: usize, other: usize) -> usize {
        self.triangles[t].beyond.iter().position(|b| b.is_triangle(other)).unwrap_or(0)
    }

    fn longest_edge(&self, t: usize) -> usize {
        let triangle = &self.triangles[t];
        let key = |edge: usize| {
            let [s, e] = ENDS[edge].map(|end| triangle.corners[end]);
            let chord = self.corners[e as usize] - self.corners[s as usize];
            (chord.dot(chord), s.min(e), s.max(e))
        };
        let order = |a: &usize, b: &usize| {
            let (a, b) = (key(*a), key(*b));
            a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)).then(a.2.cmp(&b.2))
        };
        (0..3).max_by(order).unwrap_or(0)
    }

    fn room(&self, t: usize) -> Result<(), MeshTrouble> {
        match self.triangles.len() < MOST_TRIANGLES {
            true => Ok(()),
            false => {
                let at = self.corners[self.triangles[t].corners[0] as usize];
                Err(MeshTrouble::new(Trouble::TooMany, at))
            }
        }
    }

    /// Cuts one triangle from the middle of its edge to the corner opposite; its second half is the new one.
    fn cut_one(&mut self, t: usize, edge: usize, middle: u32) -> usize {
        let Triangle { corners, beyond, material } = self.triangles[t];
        let [s, e] = ENDS[edge];
        let (apex, start, end) = (corners[edge], corners[s], corners[e]);
        let new = self.triangles.len();
        // Across the edge from the apex to the start lies what was opposite the end, and so on.
        self.triangles[t] = Triangle {
            corners: [apex, start, middle],
            beyond: [beyond[edge], Beyond::Triangle(new as u32), beyond[e]],
            material,
        };
        self.triangles.push(Triangle {
            corners: [apex, middle, end],
            beyond: [beyond[edge], beyond[s], Beyond::Triangle(t as u32)],
            material,
        });
        if let Some(other) = beyond[s].triangle() {
            let theirs = &mut self.triangles[other as usize].beyond;
            theirs.iter_mut().filter(|b| b.is_triangle(t)).for_each(|b| *b = b.with_triangle(new));
        }
        new
    }

    fn cut_at_boundary(
        &mut self,
        t: usize,
        edge: usize,
        piece: u32,
        cut: &mut Vec<(usize, usize)>,
    ) -> Result<(), MeshTrouble> {
        self.room(t)?;
        let corner = self.boundary.cut(piece as usize, 0.5);
        let place = self.boundary.corners[corner as usize];
        let second = self.boundary.pieces.len() as u32 - 1;
        let middle = self.corners.len() as u32;
        self.corners.push(place);
        let new = self.cut_one(t, edge, middle);
        self.triangles[t].beyond[0] = Beyond::Piece(piece);
        self.triangles[new].beyond[0] = Beyond::Piece(second);
        cut.push((t, new));
        Ok(())
    }

    /// Cuts two triangles at the edge between them, given with each.
    fn cut_both(
        &mut self,
        both: [(usize, usize); 2],
        cut: &mut Vec<(usize, usize)>,
    ) -> Result<(), MeshTrouble> {
        let [(t, edge), (other, theirs)] = match self.triangles[both[0].0].beyond[both[0].1] {
            Beyond::Across { is_left: false, .. } => [both[1], both[0]],
            _ => both,
        };
        self.room(t)?;
        let [start, end] = ENDS[edge].map(|c| self.corners[self.triangles[t].corners[c] as usize]);
        let middle = self.corners.len() as u32;
        let pieces = self.triangles[t].beyond[edge].piece().map(|piece| {
            let corner = self.boundary.cut(piece as usize, 0.5);
            self.corners.push(self.boundary.corners[corner as usize]);
            [piece, self.boundary.pieces.len() as u32 - 1]
        });
        if pieces.is_none() {
            self.corners.push((start + end) * 0.5);
        }
        let new = self.cut_one(t, edge, middle);
        let other_new = self.cut_one(other, theirs, middle);
        // The first half of one lies across the second of the other.
        for (half, (a, b)) in [(t, other_new), (new, other)].into_iter().enumerate() {
            let [to_a, to_b] = match pieces {
                None => [Beyond::Triangle(a as u32), Beyond::Triangle(b as u32)],
                Some(pieces) => [(a, false), (b, true)].map(|(other, is_left)| Beyond::Across {
                    other: other as u32,
                    piece: pieces[half],
                    is_left,
                }),
            };
            self.triangles[a].beyond[0] = to_b;
            self.triangles[b].beyond[0] = to_a;
        }
        cut.push((t, new));
        cut.push((other, other_new));
        Ok(())
    }
}
