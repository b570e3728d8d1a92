//! Constants held against a table, and against those of the same section that lies another way.

use std::collections::BTreeMap;

use tracearm::field::FieldProperties;
use tracearm::geometry::Affine;

/// The figures of a row of scikit-fem's tables, whose torsion constants are good to `torsion` of them; stiffnesses are to be so many
/// `times` as large.
pub fn compare_with_row(
    name: &str,
    row: &BTreeMap<String, String>,
    field: &FieldProperties,
    torsion: f64,
    times: f64,
) {
    let (centre, areas) = (field.shear_centre.expect("one body"), field.shear_areas.expect("one body"));
    let (warping, constant) = (field.warping.expect("one body"), field.torsion);
    let figures = [
        ("torsion_constant", constant.value, constant.error(), torsion * constant.value, times),
        ("warping_constant", warping.value, warping.error, 1e-4 * warping.value, times),
        ("shear_centre_x", centre.at.x, centre.error, 1e-4, 1.0),
        ("shear_centre_y", centre.at.y, centre.error, 1e-4, 1.0),
        ("shear_area_x", areas.x.value, areas.x.error, 1e-5 * areas.x.value, times),
        ("shear_area_y", areas.y.value, areas.y.error, 1e-5 * areas.y.value, times),
    ];
    for (column, got, error, theirs, times) in figures {
        let expected = times * row[column].parse::<f64>().expect("a number");
        assert!(
            (got - expected).abs() <= error + theirs,
            "{column} of {name}: {got} within {error}, not {expected}"
        );
    }
}

/// The constants `b` are those of the section of `a`, moved, turned, mirrored and made `scale` times as large by `map`.
pub fn are_of_one_section(name: &str, a: &FieldProperties, b: &FieldProperties, map: &Affine, scale: f64) {
    let near = |figure: &str, a: f64, b: f64, allowed: f64| {
        assert!((a - b).abs() <= allowed, "{figure} of {name}: {a}, {b}, within {allowed}");
    };
    let power = |a: f64, power: i32| a * scale.powi(power);
    near(
        "torsion",
        power(a.torsion.value, 4),
        b.torsion.value,
        power(a.torsion.error(), 4) + b.torsion.error(),
    );
    let (w, v) = (a.warping.expect("one"), b.warping.expect("one"));
    near("warping", power(w.value, 6), v.value, power(w.error, 6) + v.error);
    let (p, q) = (a.shear_centre.expect("one"), b.shear_centre.expect("one"));
    near("shear centre", map.point(p.at).distance(q.at), 0.0, power(p.error, 1) + q.error);
    let (m, n) = (a.shear_areas.expect("one"), b.shear_areas.expect("one"));
    for (figure, m, n) in [("area 1", m.axis_1, n.axis_1), ("area 2", m.axis_2, n.axis_2)] {
        near(figure, power(m.value, 2), n.value, power(m.error, 2) + n.error);
    }
}
