//! What to try next, in the words of the command `tracearm`: where one of its options helps, it is named. All other findings
//! have the advice that [`Code::advice`] gives.
//!
//! This is the one file of the library that names options. It is for those who have the command's options, whatever they
//! write with them: the command itself, and the Python package, whose options have the same names.

use super::Code;

/// The advice for a kind of finding, to those who have the options of the command `tracearm`.
pub fn advice_with_options(code: Code) -> Option<&'static str> {
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
        Code::ConstantsCoarse => {
            "look at the bounds and the errors that are stated, and allow a larger --field-tolerance if they do"
        }
        Code::ConstantsTooLarge => "measure parts by themselves with --per part, or leave out --field",
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
            "give its tolerance as a number in its unit, such as --within {column:text}=0.1"
        }
        other => return other.advice(),
    };
    Some(words)
}
