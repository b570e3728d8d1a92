//! The one table of columns, from which every output and the lists in docs/columns.md come.

use super::column::{Column, Group, Quantity, Value};
use crate::field::{Estimated, EstimatedPlace, FieldProperties, Monosymmetry, ShearAreas, TorsionalStress};
use crate::geometry::Point;
use crate::measure::{Measurement, Plate, Stated};
use crate::section::{ElasticModuli, PlasticModuli, Section};
use Quantity::{Count, Degrees, Length, Mass, MassPerLength, Ratio, Text};

/// A number of the section with the natural scale of its kind.
fn of(m: &Measurement, value: impl Fn(&Section) -> f64, scale: impl Fn(&Section) -> f64) -> Value {
    match m.properties() {
        Some(s) => Value::Number { value: value(s), scale: scale(s), place_in: None },
        None => Value::Empty,
    }
}

/// A number that is never rounding alone.
fn plain(m: &Measurement, value: impl Fn(&Section) -> f64) -> Value {
    of(m, value, |_| 0.0)
}

/// A coordinate: rounding when small against the section and its distance from the origin.
fn place(m: &Measurement, value: impl Fn(&Section) -> f64) -> Value {
    m.properties().map_or(Value::Empty, |s| {
        let size = s.extent.size();
        Value::Number { value: value(s), scale: size.max(s.extent.reach()), place_in: Some(size) }
    })
}

fn elastic(m: &Measurement, principal: bool, modulus: impl Fn(&ElasticModuli) -> f64) -> Value {
    plain(m, |s| modulus(if principal { &s.elastic_principal } else { &s.elastic }))
}

fn plastic(m: &Measurement, principal: bool, modulus: impl Fn(&PlasticModuli) -> f64) -> Value {
    let chosen = |s: &Section| if principal { s.plastic_principal } else { s.plastic };
    match m.properties().and_then(chosen) {
        Some(p) => Value::Number { value: modulus(&p), scale: 0.0, place_in: None },
        None => Value::Empty,
    }
}

/// Where an equal-area axis lies.
fn plastic_axis(m: &Measurement, level: impl Fn(&PlasticModuli) -> f64) -> Value {
    match m.properties().and_then(|s| s.plastic) {
        Some(p) => place(m, |_| level(&p)),
        None => Value::Empty,
    }
}

fn count(m: &Measurement, value: impl Fn(&Section) -> usize) -> Value {
    m.properties().map_or(Value::Empty, |s| Value::Count(value(s)))
}

/// How many times farther from the origin than its size the section lies: rounding of coordinates grows with that.
fn far(section: &Section) -> f64 {
    (section.extent.reach() / section.extent.size()).max(1.0)
}

/// A number of the plate that is never rounding alone.
fn of_plate(m: &Measurement, value: impl Fn(&Plate) -> f64) -> Value {
    m.plate().map_or(Value::Empty, |p| Value::Number { value: value(p), scale: 0.0, place_in: None })
}

/// A figure that comes of fields over the section.
fn of_field(m: &Measurement, value: impl Fn(&FieldProperties) -> Option<f64>) -> Value {
    let value = m.field().and_then(value);
    value.map_or(Value::Empty, |value| Value::Number { value, scale: 0.0, place_in: None })
}

/// One that may be nothing but the error of the fields: below that error it is written as 0.
fn of_field_or_nought(m: &Measurement, figure: impl Fn(&FieldProperties) -> Option<Estimated>) -> Value {
    /// Below this share of its scale a number is written as 0.
    const ROUNDING: f64 = 1e-12;
    m.field().and_then(figure).map_or(Value::Empty, |figure| Value::Number {
        value: figure.value,
        scale: figure.error / ROUNDING,
        place_in: None,
    })
}

fn shear_centre(m: &Measurement, coordinate: impl Fn(&EstimatedPlace) -> f64) -> Value {
    match m.field().and_then(|field| field.shear_centre) {
        Some(centre) => place(m, |_| coordinate(&centre)),
        None => Value::Empty,
    }
}

fn from_centroid(m: &Measurement, coordinate: impl Fn(&EstimatedPlace) -> f64) -> Value {
    of_field_or_nought(m, |field| {
        field.shear_centre.map(|centre| Estimated { value: coordinate(&centre), error: centre.error })
    })
}

fn shear_area(m: &Measurement, figure: impl Fn(&ShearAreas) -> f64) -> Value {
    of_field(m, |field| field.shear_areas.as_ref().map(&figure))
}

fn monosymmetry(m: &Measurement, figure: impl Fn(&Monosymmetry) -> Estimated) -> Value {
    of_field_or_nought(m, |field| field.monosymmetry.as_ref().map(&figure))
}

fn monosymmetry_error(m: &Measurement, figure: impl Fn(&Monosymmetry) -> Estimated) -> Value {
    of_field(m, |field| field.monosymmetry.as_ref().map(|constants| figure(constants).error))
}

/// The largest stress of torsion, where it has a bound.
fn stress(m: &Measurement, figure: impl Fn(&Estimated) -> f64) -> Value {
    of_field(m, |field| match &field.stress {
        TorsionalStress::Largest { per_torque, .. } => Some(figure(per_torque)),
        TorsionalStress::Unbounded { .. } | TorsionalStress::OfMaterials => None,
    })
}

/// Where it acts, or the corner where it has none.
fn stress_place(m: &Measurement, coordinate: impl Fn(Point) -> f64) -> Value {
    match m.field().map(|field| &field.stress) {
        Some(TorsionalStress::Largest { at, .. } | TorsionalStress::Unbounded { at, .. }) => {
            place(m, |_| coordinate(*at))
        }
        Some(TorsionalStress::OfMaterials) | None => Value::Empty,
    }
}

/// How many corners leave the stress of torsion without bound.
fn sharp_corners(m: &Measurement) -> Value {
    match m.field().map(|field| &field.stress) {
        Some(TorsionalStress::Unbounded { corners, .. }) => Value::Count(*corners),
        Some(TorsionalStress::Largest { .. }) => Value::Count(0),
        Some(TorsionalStress::OfMaterials) | None => Value::Empty,
    }
}

/// A figure about the stated axes, with its natural scale.
fn about(m: &Measurement, value: impl Fn(&Stated) -> f64, scale: impl Fn(&Stated) -> f64) -> Value {
    m.stated().map_or(Value::Empty, |s| Value::Number { value: value(s), scale: scale(s), place_in: None })
}

// Key, name, quantity, definition, value; in the order of every schedule.
super::column::columns! {
    Common {
        Drawing: "drawing", Text, "path of the drawing as it was given",
            |m| Value::Text(m.drawing.clone());
        Section: "section", Text, "name of the section: the layer's name; layer#1, layer#2 ... when each part is a section; the name in the job file",
            |m| Value::Text(m.section.clone());
        Layer: "layer", Text, "layer (several joined by +)", |m| Value::Text(m.layer.clone());
        Status: "status", Text, "ok | warning | failed", |m| Value::Text(m.status().word().to_owned());
        Parts: "parts", Count, "number of separate solid parts", |m| count(m, |s| s.parts);
        Holes: "holes", Count, "number of holes", |m| count(m, |s| s.holes);
        Area: "area", Length(2), "∬dA", |m| plain(m, |s| s.area);
        Perimeter: "perimeter", Length(1), "length of all boundary, holes included",
            |m| plain(m, |s| s.perimeter);
        XMin: "x_min", Length(1), "extent of the solid in drawing coordinates",
            |m| place(m, |s| s.extent.min.x);
        XMax: "x_max", Length(1), "rightmost point of the solid", |m| place(m, |s| s.extent.max.x);
        YMin: "y_min", Length(1), "lowest point of the solid", |m| place(m, |s| s.extent.min.y);
        YMax: "y_max", Length(1), "uppermost point of the solid", |m| place(m, |s| s.extent.max.y);
        CentroidX: "centroid_x", Length(1), "∬x dA / ∬dA, drawing coordinates",
            |m| place(m, |s| s.centroid.x);
        CentroidY: "centroid_y", Length(1), "∬y dA / ∬dA", |m| place(m, |s| s.centroid.y);
        SecondMomentX: "second_moment_x", Length(4), "∬(y−centroid_y)² dA",
            |m| plain(m, |s| s.second_moments.x);
        SecondMomentY: "second_moment_y", Length(4), "∬(x−centroid_x)² dA",
            |m| plain(m, |s| s.second_moments.y);
        ProductMomentXy: "product_moment_xy", Length(4), "∬(x−centroid_x)(y−centroid_y) dA",
            |m| of(m, |s| s.second_moments.xy, |s| (s.second_moments.x * s.second_moments.y).sqrt() * far(s));
        SecondMoment1: "second_moment_1", Length(4), "larger principal second moment",
            |m| plain(m, |s| s.principal.i_1);
        SecondMoment2: "second_moment_2", Length(4), "smaller principal second moment",
            |m| plain(m, |s| s.principal.i_2);
        PrincipalAngle: "principal_angle", Degrees, "from +x anticlockwise to axis 1, the axis about which the second moment is second_moment_1; in (−90, 90]; 0 where both are equal within 1e-9",
            |m| of(m, |s| s.principal.angle.to_degrees(), |s| 90.0 * far(s));
        GyrationX: "gyration_x", Length(1), "√(second_moment_x / area)", |m| plain(m, Section::gyration_x);
        GyrationY: "gyration_y", Length(1), "√(second_moment_y / area)", |m| plain(m, Section::gyration_y);
        Gyration1: "gyration_1", Length(1), "√(second_moment_1 / area)", |m| plain(m, Section::gyration_1);
        Gyration2: "gyration_2", Length(1), "√(second_moment_2 / area)", |m| plain(m, Section::gyration_2);
        ElasticModulusXTop: "elastic_modulus_x_top", Length(3), "second_moment_x / (y_max − centroid_y)",
            |m| elastic(m, false, |e| e.top);
        ElasticModulusXBottom: "elastic_modulus_x_bottom", Length(3), "second_moment_x / (centroid_y − y_min)",
            |m| elastic(m, false, |e| e.bottom);
        ElasticModulusYLeft: "elastic_modulus_y_left", Length(3), "second_moment_y / (centroid_x − x_min)",
            |m| elastic(m, false, |e| e.left);
        ElasticModulusYRight: "elastic_modulus_y_right", Length(3), "second_moment_y / (x_max − centroid_x)",
            |m| elastic(m, false, |e| e.right);
        ElasticModulus1Top: "elastic_modulus_1_top", Length(3), "as for x, with the page turned so that axis 1 runs to the right",
            |m| elastic(m, true, |e| e.top);
        ElasticModulus1Bottom: "elastic_modulus_1_bottom", Length(3), "on the turned page: second_moment_1 / distance from axis 1 to the lowest fibre",
            |m| elastic(m, true, |e| e.bottom);
        ElasticModulus2Left: "elastic_modulus_2_left", Length(3), "on the turned page: second_moment_2 / distance from axis 2 to the leftmost fibre",
            |m| elastic(m, true, |e| e.left);
        ElasticModulus2Right: "elastic_modulus_2_right", Length(3), "on the turned page: second_moment_2 / distance from axis 2 to the rightmost fibre",
            |m| elastic(m, true, |e| e.right);
        PlasticModulusX: "plastic_modulus_x", Length(3), "first moments of both halves about the equal-area axis parallel to x",
            |m| plastic(m, false, |p| p.about_x);
        PlasticModulusY: "plastic_modulus_y", Length(3), "the same about the equal-area axis parallel to y",
            |m| plastic(m, false, |p| p.about_y);
        PlasticModulus1: "plastic_modulus_1", Length(3), "about the equal-area axis parallel to axis 1",
            |m| plastic(m, true, |p| p.about_x);
        PlasticModulus2: "plastic_modulus_2", Length(3), "about the equal-area axis parallel to axis 2",
            |m| plastic(m, true, |p| p.about_y);
        PlasticAxisY: "plastic_axis_y", Length(1), "y of the equal-area axis parallel to x",
            |m| plastic_axis(m, |p| p.neutral_y);
        PlasticAxisX: "plastic_axis_x", Length(1), "x of the equal-area axis parallel to y",
            |m| plastic_axis(m, |p| p.neutral_x);
        MassPerLength: "mass_per_length", MassPerLength, "area × density (empty without a density)",
            |m| m.mass_per_length().map_or(Value::Empty, |value| Value::Number { value, scale: 0.0, place_in: None });
        StripCheck: "strip_check", Ratio, "largest relative difference between the boundary integrals and the two strip integrations (upright, flat), over area, first and second moments",
            |m| plain(m, |s| s.strip_check);
        DrawingUnit: "drawing_unit", Text, "unit that the drawing was read in, and how it is known: stated | header | assumed",
            |m| m.unit_source.map_or(Value::Empty, |source| Value::Text(format!("{} ({})", m.unit.symbol(), source.word())));
        Findings: "findings", Text, "what the reader must know, separated by ' | ' (empty when there is nothing)",
            |m| {
                let all: Vec<String> = m.findings.iter().map(ToString::to_string).collect();
                Value::Text(all.join(" | "))
            };
    }
    Label {
        Label: "label", Text, "what is written inside the part, several texts separated by |; else the text that is nearest to it",
            |m| m.label.clone().map_or(Value::Empty, Value::Text);
    }
    Plate {
        Thickness: "thickness", Length(1), "thickness of the plate, as given",
            |m| of_plate(m, |p| p.thickness);
        Mass: "mass", Mass, "area × thickness × density (empty without a density)",
            |m| m.mass().map_or(Value::Empty, |value| Value::Number { value, scale: 0.0, place_in: None });
        CutLength: "cut_length", Length(1), "length of all edges that are cut, holes included",
            |m| of_plate(m, |p| p.cut_length);
        Pierces: "pierces", Count, "number of closed cuts: one for each outer edge and one for each hole",
            |m| m.plate().map_or(Value::Empty, |p| Value::Count(p.pierces));
        StockLength: "stock_length", Length(1), "longer side of the rectangle of least area that holds the section, turned freely, without allowance for the cut",
            |m| of_plate(m, |p| p.stock.length);
        StockWidth: "stock_width", Length(1), "shorter side of that rectangle",
            |m| of_plate(m, |p| p.stock.width);
        StockAngle: "stock_angle", Degrees, "from +x anticlockwise to the longer side of that rectangle; in (−90, 90]; of equally small ones the upright one counts, else the one along the longest straight edge",
            |m| of_plate(m, |p| p.stock.angle.to_degrees());
        BalanceX: "balance_x", Length(1), "x of the point over which the plate balances: its centroid",
            |m| m.plate().map_or(Value::Empty, |p| place(m, |_| p.balance.x));
        BalanceY: "balance_y", Length(1), "y of that point", |m| m.plate().map_or(Value::Empty, |p| place(m, |_| p.balance.y));
        OuterPerimeter: "outer_perimeter", Length(1), "length of the outer edges alone",
            |m| of_plate(m, |p| p.outer_perimeter);
        InnerPerimeter: "inner_perimeter", Length(1), "length of the edges of holes; 0 without holes",
            |m| of_plate(m, |p| p.inner_perimeter);
    }
    Stated {
        StatedPointX: "stated_point_x", Length(1), "x of the point that the stated axes run through",
            |m| m.stated().map_or(Value::Empty, |s| place(m, |_| s.point.x));
        StatedPointY: "stated_point_y", Length(1), "y of that point", |m| m.stated().map_or(Value::Empty, |s| place(m, |_| s.point.y));
        StatedAngle: "stated_angle", Degrees, "from +x anticlockwise to the stated first axis",
            |m| about(m, |s| s.angle, |_| 0.0);
        StatedSecondMomentX: "stated_second_moment_x", Length(4), "second moment about the stated first axis: ∬v² dA, v at right angles to it",
            |m| about(m, |s| s.moments.x, |_| 0.0);
        StatedSecondMomentY: "stated_second_moment_y", Length(4), "second moment about the stated second axis: ∬u² dA, u along the first",
            |m| about(m, |s| s.moments.y, |_| 0.0);
        StatedProductMomentXy: "stated_product_moment_xy", Length(4), "∬uv dA about the stated axes",
            |m| about(m, |s| s.moments.xy, |s| (s.moments.x * s.moments.y).sqrt());
    }
    Field {
        TorsionConstant: "torsion_constant", Length(4), "half-way between its bounds: a torque twists the bar by torque / (shear modulus × this) for each unit of length",
            |m| of_field(m, |f| Some(f.torsion.value));
        TorsionConstantLower: "torsion_constant_lower", Length(4), "the torsion constant is no less, by the stress function",
            |m| of_field(m, |f| Some(f.torsion.lower));
        TorsionConstantUpper: "torsion_constant_upper", Length(4), "the torsion constant is no more, by the warping function",
            |m| of_field(m, |f| Some(f.torsion.upper));
        WarpingConstant: "warping_constant", Length(6), "∬ω² dA of the warping function about the shear centre, its mean taken off; 0 where it is less than its error",
            |m| of_field_or_nought(m, |f| f.warping);
        WarpingConstantError: "warping_constant_error", Length(6), "how far the warping constant may be off, estimated",
            |m| of_field(m, |f| f.warping.map(|w| w.error));
        ShearCentreX: "shear_centre_x", Length(1), "x of the shear centre (Trefftz), drawing coordinates; empty where parts do not hang together",
            |m| shear_centre(m, |c| c.at.x);
        ShearCentreY: "shear_centre_y", Length(1), "y of the shear centre", |m| shear_centre(m, |c| c.at.y);
        ShearCentreFromCentroidX: "shear_centre_from_centroid_x", Length(1), "shear_centre_x − centroid_x; 0 where it is less than its error",
            |m| from_centroid(m, |c| c.from_centroid.x);
        ShearCentreFromCentroidY: "shear_centre_from_centroid_y", Length(1), "shear_centre_y − centroid_y; 0 where it is less than its error",
            |m| from_centroid(m, |c| c.from_centroid.y);
        ShearCentreError: "shear_centre_error", Length(1), "how far the shear centre may be off, estimated",
            |m| of_field(m, |f| f.shear_centre.map(|c| c.error));
        ShearAreaX: "shear_area_x", Length(2), "shear area for forces along x, for the Poisson ratio asked for",
            |m| shear_area(m, |a| a.x.value);
        ShearAreaXError: "shear_area_x_error", Length(2), "how far it may be off, estimated", |m| shear_area(m, |a| a.x.error);
        ShearAreaY: "shear_area_y", Length(2), "shear area for forces along y", |m| shear_area(m, |a| a.y.value);
        ShearAreaYError: "shear_area_y_error", Length(2), "how far it may be off, estimated", |m| shear_area(m, |a| a.y.error);
        ShearArea1: "shear_area_1", Length(2), "shear area for forces along axis 1", |m| shear_area(m, |a| a.axis_1.value);
        ShearArea1Error: "shear_area_1_error", Length(2), "how far it may be off, estimated", |m| shear_area(m, |a| a.axis_1.error);
        ShearArea2: "shear_area_2", Length(2), "shear area for forces along axis 2", |m| shear_area(m, |a| a.axis_2.value);
        ShearArea2Error: "shear_area_2_error", Length(2), "how far it may be off, estimated", |m| shear_area(m, |a| a.axis_2.error);
        Monosymmetry1: "monosymmetry_1", Length(1), "∬v(u² + v²) dA / second_moment_1 − 2v₀, from the centroid, u along axis 1, v along axis 2, v₀ of the shear centre; 0 where it is less than its error",
            |m| monosymmetry(m, |c| c.about_1);
        Monosymmetry1Error: "monosymmetry_1_error", Length(1), "how far it may be off, estimated", |m| monosymmetry_error(m, |c| c.about_1);
        Monosymmetry2: "monosymmetry_2", Length(1), "∬u(u² + v²) dA / second_moment_2 − 2u₀; 0 where it is less than its error",
            |m| monosymmetry(m, |c| c.about_2);
        Monosymmetry2Error: "monosymmetry_2_error", Length(1), "how far it may be off, estimated", |m| monosymmetry_error(m, |c| c.about_2);
        TorsionStress: "torsion_stress", Length(-3), "largest shear stress of torsion over the torque; empty where sharp re-entrant corners leave it without bound",
            |m| stress(m, |s| s.value);
        TorsionStressError: "torsion_stress_error", Length(-3), "how far it may be off, estimated", |m| stress(m, |s| s.error);
        TorsionStressX: "torsion_stress_x", Length(1), "x of where it acts, or of the sharpest re-entrant corner, drawing coordinates",
            |m| stress_place(m, |p| p.x);
        TorsionStressY: "torsion_stress_y", Length(1), "y of that place", |m| stress_place(m, |p| p.y);
        SharpCorners: "sharp_corners", Count, "number of sharp re-entrant corners, in which the stress of torsion has no bound",
            sharp_corners;
        FieldUnknowns: "field_unknowns", Count, "unknowns of the equations that were solved in the end",
            |m| m.field().map_or(Value::Empty, |f| Value::Count(f.unknowns));
    }
}
