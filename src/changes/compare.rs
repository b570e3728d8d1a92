//! What differs between two schedules.

use std::borrow::Cow;
use std::collections::BTreeMap;

use super::figure::Shared;
use super::findings::{Findings, Side, SideFinding, in_line};
use super::pair::{By, Pairs, pair};
use super::rows::{RowColumn, Rows};
use crate::check::{Within, first_of};
use crate::finding::{Code, Finding, Value};
use crate::schedule::{ColumnKey, Digits};

/// Digits of figures that were converted: as many as a 64-bit number is good for.
const CONVERTED: Digits = Digits::rounded::<15>();

/// What happened to a section.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ChangeKind {
    /// It is in the later schedule alone.
    Added,
    /// It is in the former schedule alone.
    Gone,
    /// A value of it is another.
    Changed,
}

impl ChangeKind {
    /// `added`, `gone` or `changed`.
    pub fn word(self) -> &'static str {
        match self {
            ChangeKind::Added => "added",
            ChangeKind::Gone => "gone",
            ChangeKind::Changed => "changed",
        }
    }
}

/// A section that was added or is gone, or one value of a section that changed.
#[derive(Clone, Debug, PartialEq)]
pub struct Change<'a> {
    /// What happened.
    pub kind: ChangeKind,
    /// Path of the drawing, as the later schedule has it; of what is gone as the former one has it.
    pub drawing: &'a str,
    /// Name of the section.
    pub section: &'a str,
    /// Which of several rows with these names it is, from 1; `None` where both schedules have one at the most.
    pub number: Option<usize>,
    /// The value that changed; `None` where the section was added or is gone.
    pub value: Option<ValueChange<'a>>,
}

/// A value that changed.
#[derive(Clone, Debug, PartialEq)]
pub struct ValueChange<'a> {
    /// Heading of its column in the former schedule, with the unit of all figures here.
    pub column: &'a str,
    /// The former value, as it stands in its schedule.
    pub before: &'a str,
    /// The later value: as it stands in its schedule, or converted where that has another unit.
    pub after: Cow<'a, str>,
    /// Later − former; of angles the shortest way, since an axis turned by 180° is the same axis. `None` for text, and
    /// where one of them is empty.
    pub difference: Option<f64>,
    /// The difference in per cent of the former value; `None` where that is 0 too.
    pub per_cent: Option<f64>,
    /// By how much it may have changed; `None` for text, where one of them is empty, and where a share alone is stated
    /// and the former value is 0.
    pub allowed: Option<f64>,
}

/// What differs between two schedules.
#[must_use]
pub struct Changes<'a> {
    before: &'a Rows,
    after: &'a Rows,
    within: Within,
    columns: Vec<Shared<'a>>,
    pairs: Pairs,
    /// Which of the pairs, and which of the columns.
    changed: Vec<[usize; 2]>,
    changed_sections: usize,
    findings: Vec<SideFinding>,
}

impl std::fmt::Debug for Changes<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Changes").finish_non_exhaustive()
    }
}

/// Compares two schedules: pairs their rows by their names, and holds the values of each pair against each other in all
/// columns that both schedules have. Numbers are the same within the tolerance, per cent being of the former figure;
/// texts and counts are the same letter by letter. An empty cell is another than a figure. Where a schedule has a column
/// in several units, each of the former schedule is compared, with the same one of the later if it has that.
///
/// # Errors
///
/// Why nothing can be compared: a schedule has no rows, only one of them says which drawings it is of, or they have no
/// column in common.
pub fn compare<'a>(
    before: &'a Rows,
    after: &'a Rows,
    by: By,
    within: &Within,
) -> Result<Changes<'a>, Box<SideFinding>> {
    for (side, rows) in [(Side::Before, before), (Side::After, after)] {
        if rows.is_empty() {
            let messages = first_of(&rows.findings());
            let finding = Finding::of(Code::ScheduleWithoutRows).with_some("first", messages);
            return Err(Box::new(SideFinding { side, finding }));
        }
    }
    if by == By::DrawingAndSection && before.names_drawings() != after.names_drawings() {
        let side = if before.names_drawings() { Side::After } else { Side::Before };
        return Err(Box::new(SideFinding { side, finding: Finding::of(Code::ScheduleWithoutDrawings) }));
    }
    let columns = shared(before, after);
    if columns.is_empty() {
        return Err(Box::new(SideFinding { side: Side::Both, finding: Finding::of(Code::NoColumnShared) }));
    }
    let pairs = pair(before, after, by);
    let mut changes = Changes {
        before,
        after,
        within: within.clone(),
        columns,
        pairs,
        changed: Vec::new(),
        changed_sections: 0,
        findings: Vec::new(),
    };
    changes.tell_columns();
    changes.tell_pairs(by);
    changes.hold();
    Ok(changes)
}

/// The columns that both schedules have.
fn shared<'a>(before: &'a Rows, after: &'a Rows) -> Vec<Shared<'a>> {
    let find =
        |is: &dyn Fn(&RowColumn) -> bool| after.columns.iter().enumerate().find(|(_, column)| is(column));
    let columns = before.columns.iter().enumerate();
    columns
        .filter_map(|(at, column)| {
            let (other_at, other) = find(&|other| other.heading == column.heading)
                .or_else(|| find(&|other| other.column.key == column.column.key))?;
            Some(Shared { at: [at, other_at], before: column, after: other })
        })
        .collect()
}

impl<'a> Changes<'a> {
    /// Names the columns that only one schedule has.
    fn tell_columns(&mut self) {
        for (side, rows, others) in
            [(Side::Before, self.before, self.after), (Side::After, self.after, self.before)]
        {
            let has = |key: ColumnKey| others.columns.iter().any(|other| other.column.key == key);
            let alone = rows.columns.iter().filter(|column| !has(column.column.key));
            let headings: Vec<&str> = alone.map(|column| column.heading.as_str()).collect();
            if !headings.is_empty() {
                let finding = Finding::of(Code::ColumnsAlone).with("columns", headings.join(", "));
                self.findings.push(SideFinding { side, finding });
            }
        }
    }

    /// Tells what is not plain about which row is which.
    fn tell_pairs(&mut self, by: By) {
        if let Some([before, after]) = &self.pairs.aside {
            let folder = |path: &String| Some(Value::Name(path.clone())).filter(|_| !path.is_empty());
            let finding = Finding::of(Code::FoldersAside)
                .with_some("before", folder(before))
                .with_some("after", folder(after));
            self.findings.push(SideFinding { side: Side::Both, finding });
        }
        if self.pairs.both.is_empty() {
            let code = match by {
                By::DrawingAndSection => Code::NoDrawingShared,
                By::Section => Code::NoSectionShared,
            };
            self.findings.push(SideFinding { side: Side::Both, finding: Finding::of(code) });
        }
        let mut uneven = Findings::default();
        for (row, [before, after]) in &self.pairs.uneven {
            let finding = placed(Finding::of(Code::PairedInOrder), self.before, *row);
            uneven.push(finding.with("here", *before).with("there", *after));
        }
        self.findings
            .extend(uneven.all().into_iter().map(|finding| SideFinding { side: Side::Before, finding }));
    }

    /// Holds the values of all pairs against each other.
    fn hold(&mut self) {
        let mut no_numbers = [Findings::default(), Findings::default()];
        let mut noughts: BTreeMap<usize, Option<u64>> = BTreeMap::new();
        for (index, [before, after]) in self.pairs.both.iter().enumerate() {
            let changed_before = self.changed.len();
            for (at, column) in self.columns.iter().enumerate() {
                let [in_before, in_after] = column.at;
                let (cell, other) = (self.before.cell(*before, in_before), self.after.cell(*after, in_after));
                match column.differ(cell, other, &self.within) {
                    Ok(None) => {}
                    Ok(Some(found)) => {
                        if found.difference.is_some() && found.allowed.is_none() {
                            noughts.entry(at).or_insert(self.before.line(*before));
                        }
                        self.changed.push([index, at]);
                    }
                    Err(side) => {
                        let (rows, row, cell, column, messages) = match (side, &mut no_numbers) {
                            (Side::After, [_, messages]) => {
                                (self.after, *after, other, column.after, messages)
                            }
                            (_, [messages, _]) => (self.before, *before, cell, column.before, messages),
                        };
                        messages.push(no_number(rows, row, cell, column));
                    }
                }
            }
            self.changed_sections += usize::from(self.changed.len() > changed_before);
        }
        for (side, messages) in [Side::Before, Side::After].into_iter().zip(no_numbers) {
            self.findings.extend(messages.all().into_iter().map(|finding| SideFinding { side, finding }));
        }
        for (at, line) in noughts {
            let Some(column) = self.columns.get(at) else { continue };
            let key = column.before.column.key;
            let finding = Finding::of(Code::ShareOfFormerNought).with("column", key.name());
            self.findings.push(SideFinding { side: Side::Before, finding: in_line(finding, line) });
        }
    }

    /// Everything that differs: what was added in the order of the later schedule, what is gone and what changed in the
    /// order of the former one.
    pub fn iter(&self) -> impl Iterator<Item = Change<'a>> + '_ {
        let [of_before, of_after] = &self.pairs.numbers;
        let (before, after) = (self.before, self.after);
        let number = |numbers: &[usize], row: usize| numbers.get(row).copied().filter(|number| *number > 0);
        let alone = move |kind, rows: &'a Rows, numbers: &[usize], row: usize| Change {
            kind,
            drawing: rows.drawing(row),
            section: rows.section(row),
            number: number(numbers, row),
            value: None,
        };
        let added = self.pairs.added.iter().map(move |row| alone(ChangeKind::Added, after, of_after, *row));
        let gone = self.pairs.gone.iter().map(move |row| alone(ChangeKind::Gone, before, of_before, *row));
        let changed = self.changed.iter().filter_map(move |[pair, column]| {
            let [row, other] = *self.pairs.both.get(*pair)?;
            let value = self.value(row, other, self.columns.get(*column)?)?;
            Some(Change { value: Some(value), ..alone(ChangeKind::Changed, after, of_after, other) })
        });
        added.chain(gone).chain(changed)
    }

    fn value(&self, row: usize, other: usize, column: &Shared<'a>) -> Option<ValueChange<'a>> {
        let [in_before, in_after] = column.at;
        let (before, after) = (self.before.cell(row, in_before), self.after.cell(other, in_after));
        let found = column.differ(before, after, &self.within).ok()??;
        let converted = found.after.filter(|_| !column.same_unit());
        Some(ValueChange {
            column: &column.before.heading,
            before,
            after: converted.map_or(Cow::Borrowed(after), |value| Cow::Owned(CONVERTED.text(value, 0.0))),
            difference: found.difference,
            per_cent: found.per_cent,
            allowed: found.allowed,
        })
    }

    /// What its reader must know, beside the findings of the [`Rows`]: a failure is a value that could not be compared,
    /// a warning a doubt about which row is which.
    pub fn findings(&self) -> &[SideFinding] {
        &self.findings
    }

    /// How many sections are in the later schedule alone.
    pub fn added(&self) -> usize {
        self.pairs.added.len()
    }

    /// How many sections are in the former schedule alone.
    pub fn gone(&self) -> usize {
        self.pairs.gone.len()
    }

    /// How many sections have a value that changed.
    pub fn changed_sections(&self) -> usize {
        self.changed_sections
    }

    /// How many values changed.
    pub fn changed_values(&self) -> usize {
        self.changed.len()
    }

    /// How many sections are in both schedules without a value that changed.
    pub fn unchanged(&self) -> usize {
        self.pairs.both.len() - self.changed_sections
    }

    /// Whether nothing was added, is gone or changed.
    pub fn is_empty(&self) -> bool {
        self.added() + self.gone() + self.changed_values() == 0
    }

    /// Whether both schedules are of one drawing with one path.
    pub(super) fn of_one_drawing(&self) -> bool {
        let mut drawings = self.before.drawings.iter().chain(&self.after.drawings);
        let first = drawings.next();
        drawings.all(|drawing| Some(drawing) == first)
    }
}

/// A finding about a row.
fn placed(finding: Finding, rows: &Rows, row: usize) -> Finding {
    let drawing = Some(rows.drawing(row)).filter(|drawing| !drawing.is_empty());
    let finding = finding
        .with("section", Value::Name(rows.section(row).to_owned()))
        .with_some("drawing", drawing.map(|drawing| Value::Name(drawing.to_owned())));
    in_line(finding, rows.line(row))
}

/// What to say of a cell that should be a number and is none.
fn no_number(rows: &Rows, row: usize, cell: &str, column: &RowColumn) -> Finding {
    let finding = Finding::of(Code::CellNoNumber)
        .with("cell", Value::Name(cell.to_owned()))
        .with("column", column.heading.as_str());
    placed(finding, rows, row)
}

#[cfg(test)]
mod tests {
    use super::super::DEFAULT_WITHIN;
    use super::*;
    use crate::finding::Severity;

    fn rows(text: &str) -> Rows {
        Rows::read(text.as_bytes()).expect("a schedule")
    }

    fn with<T>(before: &str, after: &str, by: By, look: impl Fn(&Changes) -> T) -> T {
        let (before, after) = (rows(before), rows(after));
        look(&compare(&before, &after, by, &Within::with_default(DEFAULT_WITHIN, &[])).expect("a comparison"))
    }

    fn messages(changes: &Changes) -> Vec<String> {
        changes.findings().iter().map(ToString::to_string).collect()
    }

    #[test]
    fn added_gone_and_changed() {
        let before =
            "drawing,section,area_mm2,status\na.dxf,LUG,1000,ok\na.dxf,WEB,1800,ok\na.dxf,CAP,7,ok\n";
        let after =
            "status,area_cm2,section,drawing\nwarning,10,LUG,a.dxf\nok,18.9,WEB,a.dxf\nok,1,RIB,a.dxf\n";
        with(before, after, By::default(), |changes| {
            let all: Vec<Change> = changes.iter().collect();
            let kinds: Vec<(ChangeKind, &str)> =
                all.iter().map(|change| (change.kind, change.section)).collect();
            assert_eq!(
                kinds,
                [
                    (ChangeKind::Added, "RIB"),
                    (ChangeKind::Gone, "CAP"),
                    (ChangeKind::Changed, "LUG"),
                    (ChangeKind::Changed, "WEB")
                ]
            );
            let status = all[2].value.as_ref().expect("a value");
            assert_eq!((status.column, status.before, &*status.after), ("status", "ok", "warning"));
            let area = all[3].value.as_ref().expect("a value");
            assert_eq!((area.column, area.before, &*area.after), ("area_mm2", "1800", "1890"));
            assert!((area.difference.expect("figures") - 90.0).abs() < 1e-9);
            assert!((area.per_cent.expect("figures") - 5.0).abs() < 1e-9);
            assert_eq!((changes.added(), changes.gone(), changes.unchanged()), (1, 1, 0));
            assert_eq!((changes.changed_sections(), changes.changed_values()), (2, 2));
            assert!(changes.findings().is_empty() && !changes.is_empty(), "{:?}", changes.findings());
        });
        with(before, before, By::default(), |changes| {
            assert!(changes.is_empty() && changes.iter().next().is_none() && changes.unchanged() == 3);
        });
    }

    #[test]
    fn columns_of_one_schedule_alone() {
        let before = "section,area_mm2,area_cm2,mass_kg\nLUG,1000,11,7\n";
        with(before, "section,area_cm2,parts,holes\nLUG,10,1,0\n", By::default(), |changes| {
            let columns: Vec<&str> =
                changes.iter().filter_map(|change| change.value).map(|v| v.column).collect();
            assert_eq!(columns, ["area_cm2"], "each former column is compared");
            let messages = messages(changes);
            assert!(
                messages[0].starts_with("before: ") && messages[0].contains(": mass_kg: "),
                "{messages:?}"
            );
            assert!(messages.len() == 2 && messages[1].contains(": parts, holes: "), "{messages:?}");
        });
    }

    #[test]
    fn several_of_the_same_name() {
        let before = "section,area_mm2\nLUG,1\nLUG,2\nLUG,3\n";
        with(before, "section,area_mm2\nLUG,1\nLUG,5\n", By::default(), |changes| {
            let all: Vec<(ChangeKind, Option<usize>)> = changes.iter().map(|c| (c.kind, c.number)).collect();
            assert_eq!(all, [(ChangeKind::Gone, Some(3)), (ChangeKind::Changed, Some(2))]);
            let messages = messages(changes);
            assert!(
                messages[0].contains("“LUG” stands here 3 times, and 2 times in the other"),
                "{messages:?}"
            );
            assert_eq!(changes.findings()[0].finding.severity, Severity::Warning);
        });
    }

    #[test]
    fn what_is_told_of_cells() {
        let before = "section,centroid_x_mm,area_mm2\nLUG,0,1000\nWEB,0,about 7\nCAP,5,1\n";
        let after = "section,centroid_x_mm,area_mm2\nLUG,0.1,1000\nWEB,0.2,7\nCAP,5,1 mm\n";
        with(before, after, By::default(), |changes| {
            let messages = messages(changes);
            let parts = [
                ("before: “about 7” in the column area_mm2 of section “WEB”", "line 3"),
                ("after: “1 mm” in the column area_mm2 of section “CAP”", "line 4"),
                ("before: a share of 0 is 0", "line 2"),
            ];
            assert_eq!(messages.len(), parts.len(), "{messages:#?}");
            for (finding, (begin, line)) in messages.iter().zip(parts) {
                assert!(finding.starts_with(begin) && finding.contains(line), "{finding}");
            }
            assert!(messages[2].contains("where centroid_x was 0"), "{messages:?}");
            assert_eq!((changes.changed_values(), changes.unchanged()), (2, 1));
        });
    }

    #[test]
    fn what_can_not_be_compared() {
        for (before, after, side, part) in [
            ("section,area_mm2\n", "section,area_mm2\nLUG,1\n", Side::Before, "no row"),
            ("section,area_mm2\nLUG,1\n", "section,area_mm2\n,4\n", Side::After, "names no section"),
            (
                "section,area_mm2\nLUG,1\n",
                "drawing,section,area_mm2\na.dxf,LUG,1\n",
                Side::Before,
                "by their names alone",
            ),
            ("section,area_mm2\nLUG,1\n", "section,perimeter_mm\nLUG,1\n", Side::Both, "no column in common"),
        ] {
            let (before, after) = (rows(before), rows(after));
            let messages = compare(&before, &after, By::default(), &Within::default()).expect_err(part);
            assert!(messages.side == side && messages.to_string().contains(part), "{messages}");
        }
        // By section alone it does not matter which of them names drawings.
        let after = "drawing,section,area_mm2\na.dxf,LUG,1\n";
        assert!(with("section,area_mm2\nLUG,1\n", after, By::Section, |changes| changes.is_empty()));
    }

    #[test]
    fn nothing_in_common() {
        for (by, part) in [(By::DrawingAndSection, "names alone"), (By::Section, "that were meant")] {
            with("section,area_mm2\nLUG,1\n", "section,area_mm2\nWEB,1\n", by, |changes| {
                assert!(messages(changes)[0].contains(part), "{:?}", messages(changes));
                assert_eq!((changes.added(), changes.gone()), (1, 1));
            });
        }
    }
}
