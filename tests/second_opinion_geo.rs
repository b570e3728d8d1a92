//! The `geo` crate as a second opinion: the section of every fixture as polygons, their area and centroid.

use std::collections::BTreeSet;
use std::path::Path;

use geo::{Area, Centroid, Coord, LineString, MultiPolygon, Polygon};
use tracearm::drawing::Drawing;
use tracearm::geometry::{Curve, Point};
use tracearm::measure::{self, LayerChoice, Options};
use tracearm::outline::{Ring, flatten};
use tracearm::region::Region;

/// How near chords keep to their curves, as a share of the section's size.
const CHORDS: f64 = 1e-6;

/// Sums of products over polygons: a few hundred units in the last place of the coordinates' squares.
const ROUNDING: f64 = 1e-13;

fn polygons(region: &Region, tolerance: f64) -> MultiPolygon<f64> {
    let line = |ring: &Ring| {
        LineString::new(flatten(ring, tolerance).into_iter().map(|p| Coord { x: p.x, y: p.y }).collect())
    };
    let parts = region.parts.iter().map(|p| Polygon::new(line(&p.edge), p.holes.iter().map(line).collect()));
    MultiPolygon::new(parts.collect())
}

#[test]
fn areas_and_centroids_of_every_fixture() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures");
    let paths: BTreeSet<_> = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    let options = Options::with(|o| o.layers = LayerChoice::new(&[], &[], true).unwrap());
    let (mut compared, mut straight) = (0, 0);
    for path in paths.iter().filter(|path| path.extension().is_some_and(|ending| ending == "dxf")) {
        let Ok(drawing) = Drawing::open(path) else { continue };
        let name = path.file_name().unwrap().to_string_lossy();
        for row in measure::drawing(&name, &drawing, &options).measurements {
            let (Some(section), Some(region)) = (row.properties(), row.region()) else { continue };
            let what = format!("{name}, {}", row.section);
            let (size, reach) = (section.extent.size(), section.extent.reach());
            let has_curves =
                region.rings().any(|(_, r)| !r.curves().iter().all(|c| matches!(c, Curve::Line(_))));
            // An edge that is off by the tolerance all along.
            let chords = if has_curves { CHORDS * size * section.perimeter } else { 0.0 };
            let polygons = polygons(region, CHORDS * size);
            let area = polygons.unsigned_area();
            let rounding = ROUNDING * reach * section.perimeter;
            let allowed = chords + rounding;
            assert!((area - section.area).abs() <= allowed, "{what}: area {} for {area}", section.area);
            let centroid = polygons.centroid().expect("a centroid").0;
            let off = section.centroid.distance(Point::new(centroid.x, centroid.y));
            // A strip along the edge moves the centroid by at most the size; sums are rounded where they stand.
            let allowed = (chords * size + rounding * reach.max(size)) / section.area;
            assert!(off <= allowed, "{what}: centroid {:?} for {centroid:?}, off by {off}", section.centroid);
            compared += 1;
            straight += usize::from(!has_curves);
        }
    }
    println!("{compared} sections compared, {straight} of straight edges alone");
    assert!(
        compared >= 60 && straight >= 8,
        "{compared} sections compared, {straight} of straight edges alone"
    );
}
