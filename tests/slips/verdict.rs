//! A drawing measured, and held against the clean shape.

use std::panic::{AssertUnwindSafe, catch_unwind};

use tracearm::drawing::Drawing;
use tracearm::finding::{Finding, Value};
use tracearm::measure::{self, Measurement, Options, Status};
use tracearm::schedule::{Style, exact_figures};

use crate::common::draw::drawing;
use crate::common::shapes::Random;

use super::class::Class;
use super::exact::{Figures, figures};
use super::plan::{Plan, TOLERANCE, plan};

/// Clean drawings: how far a figure may be off, relative to its natural scale.
const CLEAN: f64 = 1e-9;

/// Slips below this (mm) are the rounding of drawing programs and are not told: a tenth of the joining tolerance.
const UNTOLD: f64 = 0.1 * TOLERANCE;

/// What is wrong with a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Fault {
    /// The program panicked.
    Panic,
    /// Not one row.
    Rows,
    /// Without figures.
    Failed,
    /// A figure farther from the truth than the row says.
    Bound,
    /// Another order of the entities gives another row.
    Order,
}

/// What came of one drawing.
pub struct Verdict {
    pub seed: u64,
    pub class: Class,
    pub warned: bool,
    /// The share that the area may be off by as the row tells it, over that of an outline moved by the joining
    /// tolerance all along; `None` where nothing is told.
    pub messages: Option<f64>,
    pub faults: Vec<(Fault, String)>,
}

/// The verdict on the drawing with this number, its entities in so many other orders too.
pub fn verdict(seed: u64, orders: u64) -> Verdict {
    let plan = plan(seed);
    let truth = figures(&plan.rings);
    let dxf = text(&plan, seed, 0);
    let mut faults = Vec::new();
    let measured = measured(&dxf);
    let (mut warned, mut messages) = (false, None);
    match &measured {
        Err(message) => faults.push((Fault::Panic, message.clone())),
        Ok(rows) if rows.len() != 1 => faults.push((Fault::Rows, format!("{} rows", rows.len()))),
        Ok(rows) => {
            let told_shares = shares(&rows[0]);
            warned = rows[0].status() == Status::Warning;
            messages = told_shares.map(|[area, _]| area * truth.area / (TOLERANCE * truth.perimeter));
            if rows[0].status() == Status::Failed {
                faults.push((Fault::Failed, said(&rows[0])));
            } else {
                let off = compared(&plan, &truth, &rows[0], told_shares);
                faults.extend(off.into_iter().map(|message| (Fault::Bound, message)));
            }
        }
    }
    for order in 1..=orders {
        let again = self::measured(&text(&plan, seed, order));
        if let (Ok(one), Ok(two)) = (&measured, &again) {
            if let Some(difference) = difference(one, two) {
                faults.push((Fault::Order, difference));
            }
        } else if let Err(message) = again {
            faults.push((Fault::Panic, message));
        }
    }
    Verdict { seed, class: plan.class, warned, messages, faults }
}

/// The drawing with this number.
pub fn dxf(seed: u64) -> String {
    text(&plan(seed), seed, 0)
}

/// The drawing in DXF: entities in a random order, lines drawn from either end.
fn text(plan: &Plan, seed: u64, shuffle: u64) -> String {
    let mut directions = Random(seed ^ 0x0D17_EC71_0450);
    let mut entities: Vec<String> = plan
        .strokes
        .iter()
        .enumerate()
        .map(|(k, stroke)| stroke.dxf(0x100 + k, directions.below(2) == 0, plan.decimals))
        .collect();
    let mut order = Random(seed ^ 0x5_u64.wrapping_add(shuffle) << 40);
    for k in (1..entities.len()).rev() {
        entities.swap(k, order.below(k + 1));
    }
    drawing(4, "", &entities.concat())
}

fn measured(dxf: &str) -> Result<Vec<Measurement>, String> {
    catch_unwind(AssertUnwindSafe(|| {
        let drawing = Drawing::read(dxf.as_bytes()).expect("a drawing");
        measure::drawing("slips.dxf", &drawing, &Options::default()).measurements
    }))
    .map_err(|panic| {
        let text = panic.downcast_ref::<String>().cloned();
        text.or_else(|| panic.downcast_ref::<&str>().map(|s| (*s).to_owned())).unwrap_or_default()
    })
}

/// Where the rows of two orders of entities differ: in all but the lines and handles that findings name, which follow
/// the order of the file.
fn difference(one: &[Measurement], two: &[Measurement]) -> Option<String> {
    if one.len() != two.len() {
        return Some(format!("{} rows, in another order {}", one.len(), two.len()));
    }
    let messages = |row: &Measurement| -> Vec<String> {
        let messages =
            |f: &Finding| format!("{:?} {:?} {} {:?}", f.code, f.severity, f.message(), f.place.point);
        row.findings.iter().map(messages).collect()
    };
    for (one, two) in one.iter().zip(two) {
        if one.status() != two.status() || messages(one) != messages(two) {
            return Some(format!("{:?}, in another order {:?}", messages(one), messages(two)));
        }
        let figures = [one, two].map(|row| exact_figures(row, Style::default()));
        for ((column, a), b) in Style::default().columns().zip(&figures[0]).zip(&figures[1]) {
            if a.map(f64::to_bits) != b.map(f64::to_bits) {
                return Some(format!("{} {a:?}, in another order {b:?}", column.key));
            }
        }
    }
    None
}

fn said(row: &Measurement) -> String {
    row.findings.iter().map(ToString::to_string).collect::<Vec<_>>().join("; ")
}

/// The shares by which the row says that its area and its second moments may be off; the largest, where several
/// findings say so.
fn shares(row: &Measurement) -> Option<[f64; 2]> {
    let messages = row.findings.iter().filter_map(|f| match (f.value("area"), f.value("second_moments")) {
        (Some(Value::Bound(area)), Some(Value::Bound(moments))) => Some([*area, *moments]),
        _ => None,
    });
    messages.reduce(|a, b| [a[0].max(b[0]), a[1].max(b[1])])
}

/// What of the figures is farther off than it may be.
fn compared(plan: &Plan, truth: &Figures, row: &Measurement, messages: Option<[f64; 2]>) -> Option<String> {
    let section = row.properties()?;
    let second = [
        ("second_moment_x", section.second_moments.x, truth.second_x),
        ("second_moment_y", section.second_moments.y, truth.second_y),
        ("second_moment_1", section.principal.i_1, truth.second_1),
        ("second_moment_2", section.principal.i_2, truth.second_2),
    ];
    let mut off = Vec::new();
    let mut hold = |name: &str, got: f64, want: f64, allowed: f64| {
        // A figure that is no number is off.
        if (got - want).abs().partial_cmp(&allowed).is_none_or(|order| order.is_gt()) {
            let times = (got - want).abs() / allowed;
            let share = (got - want).abs() / want.abs() * 100.0;
            off.push(format!(
                "{name} {got:.9e}, must be {want:.9e} (off {share:.2e} %, {times:.2} times the bound)"
            ));
        }
    };
    if plan.class.is_clean() {
        hold("area", section.area, truth.area, CLEAN * truth.area);
        hold("centroid_x", section.centroid.x, truth.centroid[0], CLEAN * truth.reach);
        hold("centroid_y", section.centroid.y, truth.centroid[1], CLEAN * truth.reach);
        for (name, got, want) in second {
            hold(name, got, want, CLEAN * want);
        }
        hold("product_moment_xy", section.second_moments.xy, truth.product, CLEAN * truth.second_1);
    } else {
        // The rounding of arcs leaves less trace than it moves: up to one and a quarter units in the last place.
        let unit = plan.decimals.map_or(0.0, |decimals| 1.25 * 0.1_f64.powi(decimals as i32));
        let moves = if messages.is_some() { unit } else { UNTOLD.max(unit) };
        let [area, moments] = messages.unwrap_or_default();
        let strip = truth.perimeter * moves;
        hold("area", section.area, truth.area, area * section.area + 2.0 * strip + CLEAN * truth.area);
        for (name, got, want) in second {
            let allowed = moments * got + 4.0 * strip * truth.reach * truth.reach + CLEAN * want;
            hold(name, got, want, allowed);
        }
    }
    (!off.is_empty()).then(|| {
        let bound = messages.map_or("nothing told".to_owned(), |[a, s]| {
            format!("told {:.2e} %, {:.2e} %", 100.0 * a, 100.0 * s)
        });
        format!("{} [{bound}]", off.join(", "))
    })
}

/// The drawing, the truth and the row with this number.
pub fn story(seed: u64) -> String {
    let plan = plan(seed);
    let mut lines = vec![format!("{} of class {}, decimals {:?}", plan.shape, plan.class, plan.decimals)];
    for (k, ring) in plan.rings.iter().enumerate() {
        lines.push(format!("ring {k}: {ring:?}"));
    }
    lines.extend(plan.slips.iter().cloned());
    lines.push(format!("must be {:?}", figures(&plan.rings)));
    for row in measured(&text(&plan, seed, 0)).unwrap_or_default() {
        lines.push(format!("row: {}, {}", row.status().word(), said(&row)));
        if let Some(s) = row.properties() {
            let (area, centroid) = (s.area, s.centroid);
            lines.push(format!("area {area}, {centroid:?}, {:?}, {:?}", s.second_moments, s.principal));
        }
    }
    lines.join("\n")
}
