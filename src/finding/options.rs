//! What to try next, in the words of the command `tracearm`: where one of its options helps, it is named. All other findings
//! have the advice that [`Code::advice`] gives.
//!
//! This is the one file of the library that names options. It is for those who have the command's options, whatever they
//! write with them: the command itself, and the Python package, whose options have the same names.

use super::Code;

/// The advice for a kind of finding, to those who have the options of the command `tracearm`.
pub fn advice_with_options(code: Code) -> Option<&'static str> {
    let words = match code {
        Code::FileTooLarge => "raise the limit with --limit file-size=NUMBER",
        Code::LineTooLong => "raise the limit with --limit line-length=NUMBER",
        Code::TooManyLayers => "raise the limit with --limit layers=NUMBER",
        Code::TooManyVertices => "raise the limit with --limit vertices=NUMBER",
        Code::TooManyPieces => {
            "explode or thin out the blocks and arrays, or raise the limit with --limit pieces=NUMBER"
        }
        Code::NestingTooDeep => "explode the blocks, or raise the limit with --limit nesting=NUMBER",
        Code::MemoryToRead => "split the drawing, or allow more with --limit memory=BYTES",
        Code::MemoryToMeasure => "choose layers with --layers, or allow more with --limit memory=BYTES",
        Code::EndsCrowded | Code::JoinWide => "use a smaller --join",
        Code::OutlineTangled => "draw the ends so that they meet, or use a smaller --join",
        Code::OutlineNotClosed => "[close it in the drawing, or use --join {join:above}|]",
        Code::OpenOutlineAround => {
            "close the outer one in the drawing; if the missing lines are on another layer, measure both layers together \
             with --per drawing"
        }
        Code::OpenOutlineWithin => {
            "close it in the drawing; if the missing lines are on another layer, measure both layers together with --per \
             drawing"
        }
        Code::SlipsDoubtful => "draw the ends so that they meet; tracearm inspect lists the widest",
        Code::OutlineRetraced => "if the two lines are the faces of a thin wall, use a smaller --join",
        Code::OutlinesCross => {
            "if one of them should be cut out, put it on a layer of its own and name that layer with --void-layers"
        }
        Code::HolesOfOtherLayer => {
            "if that is a body of its own, such as reinforcement, compose the section in a job file; if it is nothing, leave \
             the layer out with --skip"
        }
        Code::SolidsInHoles => {
            "if it is the edge of a countersink or of a raised face, put it on a layer of its own and leave that out with --skip"
        }
        Code::ConstantsCoarse => {
            "if the bounds and errors that are stated are good enough, use a larger --field-tolerance"
        }
        Code::ConstantsTooLarge => "measure parts by themselves with --per part, or leave out --field",
        Code::NothingLeft => "check which layers --void-layers names",
        Code::OtherOutlines => {
            "if they are holes, name the layer with --void-layers; if the layers are one section, use --per drawing or a \
             job file; if neither, leave the layer out with --skip"
        }
        Code::MayBeFrame => {
            "if it is not a section, leave it out with --skip; name the layers that hold its holes with --void-layers"
        }
        Code::HatchesBeside => "with --hatches use the hatched area counts as solid too",
        Code::HatchesFillMore | Code::HatchesUnclear => {
            "with --hatches use the hatched area counts as solid too; with --hatches ignore hatches are left out everywhere"
        }
        Code::EdgesShared => {
            "use --per outline to measure each plate by itself, and --common-cuts to count such a cut once"
        }
        Code::WidthsIgnored | Code::WidthsCloseNothing => {
            "use --widths solid to measure them at their drawn width"
        }
        Code::UnitAssumed | Code::UnitMetric | Code::SizeImplausible => {
            "if that is wrong, state the unit with --drawing-units"
        }
        Code::UnitPerhapsInches => "state the unit with --drawing-units mm or --drawing-units in",
        Code::LayerNotPlottedBeside => "if it holds only construction lines, leave it out with --skip",
        Code::LayersHidden => "use --hidden to measure them too",
        Code::NoSection | Code::SectionNotMeasured => {
            "tracearm inspect shows what the drawing holds and where its ends are open"
        }
        Code::MoreEntitiesBad => "tracearm inspect lists what was not read, by kind and layer",
        Code::NothingChosen => "check --layers, --skip and --hidden",
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
