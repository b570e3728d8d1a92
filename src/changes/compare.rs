//! What differs between two schedules.

use std::borrow::Cow;
use std::collections::BTreeMap;

use super::change::{Change, ChangeKind, SectionChange, ValueChange};
use super::figure::Shared;
use super::findings::{Findings, Side, SideFinding, in_line};
use super::pair::{By, Pairs, pair};
use super::rows::{RowColumn, Rows};
use crate::check::{Within, first_of};
use crate::finding::{Code, Finding, Value};
use crate::schedule::{ColumnChoice, ColumnKey, Digits};

/// Digits of figures that were converted: as many as a 64-bit number is good for.
const CONVERTED: Digits = Digits::rounded::<15>();

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
/// in several units, each of the former schedule is compared, with the same one of the later if it has that; what is left of
/// the later one is told. `choice` says which columns are compared, `None` all; pairs are made by all.
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
    choice: Option<&ColumnChoice>,
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
    let is_chosen = |key: ColumnKey| choice.is_none_or(|choice| choice.keys().contains(&key));
    let columns = shared(before, after, &is_chosen);
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
    changes.tell_columns(&is_chosen);
    changes.tell_repeated();
    changes.tell_pairs(by);
    changes.hold();
    Ok(changes)
}

/// The columns that both schedules have, of those that are chosen.
fn shared<'a>(before: &'a Rows, after: &'a Rows, is_chosen: &impl Fn(ColumnKey) -> bool) -> Vec<Shared<'a>> {
    let find =
        |is: &dyn Fn(&RowColumn) -> bool| after.columns.iter().enumerate().find(|(_, column)| is(column));
    let columns = before.columns.iter().enumerate();
    columns
        .filter(|(_, column)| is_chosen(column.column.key))
        .filter_map(|(at, column)| {
            let (other_at, other) = find(&|other| other.heading == column.heading)
                .or_else(|| find(&|other| other.column.key == column.column.key))?;
            Some(Shared { at: [at, other_at], before: column, after: other })
        })
        .collect()
}

impl<'a> Changes<'a> {
    /// Names the columns that only one schedule has, and those of the later one that the former has in another unit, where
    /// that was compared with another.
    fn tell_columns(&mut self, is_chosen: &impl Fn(ColumnKey) -> bool) {
        for (side, rows, others) in
            [(Side::Before, self.before, self.after), (Side::After, self.after, self.before)]
        {
            let has = |key: ColumnKey| others.columns.iter().any(|other| other.column.key == key);
            let chosen = rows.columns.iter().filter(|column| is_chosen(column.column.key));
            let alone = chosen.filter(|column| !has(column.column.key));
            let headings: Vec<&str> = alone.map(|column| column.heading.as_str()).collect();
            if !headings.is_empty() {
                let finding = Finding::of(Code::ColumnsAlone).with("columns", headings.join(", "));
                self.findings.push(SideFinding { side, finding });
            }
        }
    }

    /// Names columns of the later schedule that repeat the property of another one, which was compared.
    fn tell_repeated(&mut self) {
        for (at, column) in self.after.columns.iter().enumerate() {
            let same = self.columns.iter().find(|shared| shared.after.column.key == column.column.key);
            let is_compared = self.columns.iter().any(|shared| shared.at[1] == at);
            if let Some(same) = same.filter(|_| !is_compared) {
                let finding = Finding::of(Code::ColumnRepeated)
                    .with("column", column.heading.as_str())
                    .with("other", same.after.heading.as_str());
                self.findings.push(SideFinding { side: Side::After, finding });
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
        self.tell_unread();
        if self.pairs.both.is_empty() && self.pairs.unread.is_empty() {
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

    /// Tells which sections could not be compared, and why.
    fn tell_unread(&mut self) {
        let mut findings = [Findings::default(), Findings::default()];
        for unread in &self.pairs.unread {
            let rows = if unread.side == 0 { self.before } else { self.after };
            let name = |name: &str| Some(Value::Name(name.to_owned())).filter(|_| !name.is_empty());
            let finding = Finding::of(Code::NotMeasuredHere)
                .with_some("layer", name(rows.section(unread.row)))
                .with_some("drawing", name(rows.drawing(unread.row)))
                .with("count", unread.sections);
            if let Some(of_side) = findings.get_mut(unread.side) {
                of_side.push(in_line(finding, rows.line(unread.row)));
            }
        }
        for (side, findings) in [Side::Before, Side::After].into_iter().zip(findings) {
            self.findings.extend(findings.all().into_iter().map(|finding| SideFinding { side, finding }));
        }
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

    /// Everything that differs: what was added in the order of the later schedule, what is gone in that of the former one, what
    /// could not be compared, and what changed in the order of the former one.
    pub fn iter(&self) -> impl Iterator<Item = Change<'a>> + '_ {
        self.alone().chain(self.changed.iter().filter_map(|place| self.changed_value(*place)))
    }

    /// The same with one change for each section, in the same order.
    pub fn sections(&self) -> impl Iterator<Item = SectionChange<'a>> + '_ {
        let alone = self.alone().map(|most| SectionChange { most, values: 0 });
        let changed = self.changed.chunk_by(|[pair, _], [next, _]| pair == next).filter_map(|places| {
            let share = |change: &Change| {
                let per_cent = change.value.as_ref().and_then(|value| value.per_cent);
                per_cent.map_or(-1.0, f64::abs)
            };
            let all = places.iter().filter_map(|place| self.changed_value(*place));
            let most = all.reduce(|most, other| if share(&other) > share(&most) { other } else { most })?;
            Some(SectionChange { most, values: places.len() })
        });
        alone.chain(changed)
    }

    /// The sections that one schedule alone has.
    fn alone(&self) -> impl Iterator<Item = Change<'a>> + '_ {
        let one = |kind, side| move |row: &usize| self.of_row(kind, side, *row);
        let [before, after] = &self.pairs.not_compared;
        let added = self.pairs.added.iter().map(one(ChangeKind::Added, 1));
        let gone = self.pairs.gone.iter().map(one(ChangeKind::Gone, 0));
        let not_compared = before.iter().map(one(ChangeKind::NotCompared, 0));
        added.chain(gone).chain(not_compared).chain(after.iter().map(one(ChangeKind::NotCompared, 1)))
    }

    /// A row of the former (0) or the later schedule (1), and what happened to it.
    fn of_row(&self, kind: ChangeKind, side: usize, row: usize) -> Change<'a> {
        let rows = if side == 0 { self.before } else { self.after };
        let numbers = self.pairs.numbers.get(side).and_then(|numbers| numbers.get(row)).copied();
        Change {
            kind,
            drawing: rows.drawing(row),
            section: rows.section(row),
            number: numbers.filter(|number| *number > 0),
            value: None,
        }
    }

    fn changed_value(&self, [pair, column]: [usize; 2]) -> Option<Change<'a>> {
        let [row, other] = *self.pairs.both.get(pair)?;
        let value = self.value(row, other, self.columns.get(column)?)?;
        Some(Change { value: Some(value), ..self.of_row(ChangeKind::Changed, 1, other) })
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

    /// How many sections are in one schedule alone, because the other could not measure them.
    pub fn not_compared(&self) -> usize {
        self.pairs.not_compared.iter().map(Vec::len).sum()
    }

    /// Whether a column of both schedules is compared.
    pub fn compares(&self, key: ColumnKey) -> bool {
        self.columns.iter().any(|column| column.before.column.key == key)
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

    /// Whether nothing was added, is gone or changed, and nothing was in the way of comparing a section.
    pub fn is_empty(&self) -> bool {
        self.added() + self.gone() + self.changed_values() + self.not_compared() == 0
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
        look(
            &compare(&before, &after, by, &Within::with_default(DEFAULT_WITHIN, &[]), None)
                .expect("a comparison"),
        )
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
                messages[0].contains("“LUG” appears 3 times here and 2 times in the other"),
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
                ("before: a percentage of 0 is 0", "line 2"),
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
            let messages = compare(&before, &after, By::default(), &Within::default(), None).expect_err(part);
            assert!(messages.side == side && messages.to_string().contains(part), "{messages}");
        }
        // By section alone it does not matter which of them names drawings.
        let after = "drawing,section,area_mm2\na.dxf,LUG,1\n";
        assert!(with("section,area_mm2\nLUG,1\n", after, By::Section, |changes| changes.is_empty()));
    }

    #[test]
    fn nothing_in_common() {
        for (by, part) in [(By::DrawingAndSection, "names alone"), (By::Section, "you meant")] {
            with("section,area_mm2\nLUG,1\n", "section,area_mm2\nWEB,1\n", by, |changes| {
                assert!(messages(changes)[0].contains(part), "{:?}", messages(changes));
                assert_eq!((changes.added(), changes.gone()), (1, 1));
            });
        }
    }
}
