//! What to try next, in the words of the command line: where an option or a command helps, it is named. All other findings
//! have the advice of the library.

use tracearm::finding::Code;

/// The advice for a kind of finding.
pub fn of(code: Code) -> Option<&'static str> {
    let words = match code {
        Code::FileTooLarge => "raise it with --limit file-size=NUMBER",
        Code::LineTooLong => "raise it with --limit line-length=NUMBER",
        Code::TooManyLayers => "raise it with --limit layers=NUMBER",
        Code::TooManyVertices => "raise it with --limit vertices=NUMBER",
        Code::TooManyPieces => {
            "explode or thin out the blocks and arrays, or raise it with --limit pieces=NUMBER"
        }
        Code::NestingTooDeep => "explode the blocks, or raise it with --limit nesting=NUMBER",
        Code::MemoryToRead => "split the drawing, or allow more with --limit memory=BYTES",
        Code::MemoryToMeasure => "choose layers with --layers, or allow more with --limit memory=BYTES",
        Code::EndsCrowded | Code::JoinWide => "join with a smaller --join",
        Code::OutlineTangled => "draw the ends so that they meet, or join with a smaller --join",
        Code::OutlineNotClosed => {
            "[close it in the drawing, or join it with --join above {gap:length} {unit}|]"
        }
        Code::OpenOutlineAround | Code::OpenOutlineWithin => {
            "close it in the drawing; if its other pieces are on another layer, measure the layers together with --per \
             drawing"
        }
        Code::SlipsDoubtful => "draw the ends so that they meet; inspect lists the largest",
        Code::OutlineRetraced => "if it bounds a thin wall, join with a smaller --join",
        Code::OutlinesCross => {
            "if one of them is to be cut out, put it on a layer of its own and name that with --void-layers"
        }
        Code::HolesOfOtherLayer => {
            "if that is a body of its own, such as reinforcement, compose the section in a job file; if it is nothing, leave \
             the layer out with --skip"
        }
        Code::SolidsInHoles => {
            "if it is the edge of a countersink or of a raised face, put it on a layer of its own and leave that out with --skip"
        }
        Code::NothingLeft => "check which layers --void-layers names",
        Code::OtherOutlines => {
            "if they are holes, name the layer with --void-layers; if the layers are one section, use --per drawing or a \
             job file; if neither, leave the layer out with --skip"
        }
        Code::MayBeFrame => {
            "leave it out with --skip if it is no section; name with --void-layers what is to be cut out"
        }
        Code::HatchesBeside => "--hatches use counts what they fill as solid too",
        Code::HatchesFillMore | Code::HatchesUnclear => {
            "--hatches use counts what they fill as solid too; --hatches ignore leaves them out in any case"
        }
        Code::EdgesShared => {
            "--per outline measures each plate by itself, and --common-cuts counts such a cut once"
        }
        Code::WidthsIgnored | Code::WidthsCloseNothing => "--widths solid measures the bands",
        Code::UnitAssumed | Code::UnitMetric | Code::SizeImplausible => {
            "state --drawing-units if that is wrong"
        }
        Code::UnitPerhapsInches => "state --drawing-units mm or --drawing-units in",
        Code::LayerNotPlottedBeside => "leave it out with --skip if it holds construction lines only",
        Code::LayersHidden => "--hidden measures them too",
        Code::NoSection | Code::SectionNotMeasured => {
            "tracearm inspect shows what the drawing holds and where its ends are open"
        }
        Code::NothingChosen => "see --layers, --skip and --hidden",
        Code::OverTime => "measure it by itself, or with a longer --time-limit",
        Code::JobWithoutDrawing => "write drawing = \"….dxf\" into it, or name a drawing on the command line",
        Code::TableWithoutNames => {
            "give it a column section, or layer, with the names that tracearm schedule writes"
        }
        Code::TableWithoutFigures => {
            "name its columns as tracearm schedule does, such as area_mm2 or area_cm2"
        }
        Code::ScheduleWithoutSections => "compare what tracearm schedule wrote, or name the column section",
        Code::ScheduleWithoutDrawings => "add --by section to pair sections by their names alone",
        Code::NoDrawingShared => {
            "if the drawings have other names now, add --by section to pair sections by their names alone"
        }
        Code::NoColumnShared => {
            "write both with tracearm schedule, or name their columns as it does, such as area_mm2"
        }
        Code::RowWithoutName => "write the section's name into it, as tracearm schedule has it",
        Code::ShareOfNought | Code::ShareOfFormerNought => {
            "say how far it may be off in its unit, such as --within {column:text}=0.1"
        }
        other => return other.advice(),
    };
    Some(words)
}

#[cfg(test)]
mod tests {
    use super::*;
    use tracearm::finding::Finding;

    const FILE: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/shared/findings.csv");

    /// Every kind of finding: its name, weight and values, an example of its sentence, and what to try next in the words of
    /// the library and of the command line.
    fn table() -> String {
        let mut table =
            "code,severity,values,sentence,example,advice,advice_of_the_command_line\n".to_owned();
        for code in Code::ALL {
            let example = Finding::example(*code);
            assert!(example.is_complete(), "{code}");
            let values: Vec<String> =
                code.keys().iter().map(|(key, kind)| format!("{key} ({kind})")).collect();
            let cells = [
                code.name().to_owned(),
                code.severity().word().to_owned(),
                values.join(", "),
                code.sentence().to_owned(),
                example.message(),
                example.hint(Code::advice),
                example.hint(of),
            ];
            let cells = cells.map(|cell| format!("\"{}\"", cell.replace('"', "\"\"")));
            table.push_str(&cells.join(","));
            table.push('\n');
        }
        table
    }

    /// TRACEARM_WRITE_FINDINGS=1 writes the file anew; what has changed is then seen as any change is.
    #[test]
    fn every_sentence_stands_in_the_table() {
        let table = table();
        if std::env::var_os("TRACEARM_WRITE_FINDINGS").is_some() {
            std::fs::write(FILE, &table).expect("the table is written");
        }
        let written = std::fs::read_to_string(FILE).expect("shared/findings.csv is there");
        for (line, (now, then)) in (1..).zip(table.lines().zip(written.lines())) {
            assert_eq!(now, then, "line {line}");
        }
        assert_eq!(table.lines().count(), written.lines().count());
    }

    #[test]
    fn names_are_in_small_letters_and_each_is_one_code() {
        let mut names: Vec<&str> = Code::ALL.iter().map(|code| code.name()).collect();
        assert!(
            names.iter().all(|name| name.bytes().all(|b| b == b'-' || b.is_ascii_lowercase() || b == b'8'))
        );
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), Code::ALL.len());
    }

    /// The library speaks of drawings, not of options.
    #[test]
    fn only_the_command_line_names_its_options() {
        for code in Code::ALL {
            for text in [code.sentence(), code.advice().unwrap_or_default()] {
                assert!(!text.contains("--") && !text.contains("tracearm "), "{code}: {text}");
            }
        }
    }
}
