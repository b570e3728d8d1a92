//! Every kind of finding: its name, how much it matters, its sentence and what to try next. The one place where they are
//! put into words.
//!
//! How sentences name their values stands in [`super::sentence`].

use std::fmt;
use std::str::FromStr;

use super::Severity::{self, Failure, Note, Warning};

macro_rules! codes {
    ($($(#[doc = $doc:literal])+ $variant:ident, $name:literal, $severity:ident, $sentence:literal, $advice:literal;)+) => {
        /// What kind of finding it is.
        ///
        /// Names and values stand in `shared/findings.csv`. Kinds are added as the program learns to see more; a name, once
        /// given, keeps its meaning.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        #[non_exhaustive]
        pub enum Code {
            $($(#[doc = $doc])+ $variant,)+
        }

        impl Code {
            /// Every code.
            pub const ALL: &'static [Code] = &[$(Code::$variant),+];

            /// Its name, such as `outline-not-closed`.
            pub fn name(self) -> &'static str {
                match self { $(Code::$variant => $name),+ }
            }

            /// How much it matters, unless the finding says otherwise.
            pub fn severity(self) -> Severity {
                match self { $(Code::$variant => $severity),+ }
            }

            /// Its sentence, with the keys of its values in braces.
            pub fn sentence(self) -> &'static str {
                match self { $(Code::$variant => $sentence),+ }
            }

            fn advice_or_empty(self) -> &'static str {
                match self { $(Code::$variant => $advice),+ }
            }
        }
    };
}

impl Code {
    /// What to try next, for whoever has a drawing program at hand; `None` where nothing needs to be done.
    pub fn advice(self) -> Option<&'static str> {
        Some(self.advice_or_empty()).filter(|advice| !advice.is_empty())
    }
}

impl fmt::Display for Code {
    /// Its name.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.name())
    }
}

/// A name that no kind of finding has.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UnknownCode(String);

impl fmt::Display for UnknownCode {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "there is no kind of finding “{}”", self.0.escape_debug())
    }
}

impl std::error::Error for UnknownCode {}

impl FromStr for Code {
    type Err = UnknownCode;

    fn from_str(name: &str) -> Result<Code, UnknownCode> {
        Code::ALL.iter().copied().find(|code| code.name() == name).ok_or_else(|| UnknownCode(name.to_owned()))
    }
}

codes! {
    // Files that are not read.

    /// The file is not there.
    FileMissing, "file-missing", Failure,
        "there is no file {path:text}",
        "check the spelling of the path, and the folder it starts from";
    /// The file may not be read.
    FileForbidden, "file-forbidden", Failure,
        "cannot open {path:text}: {error:text}",
        "ask for the right to read it, or copy it to a folder of your own";
    /// Another program has the file open and lets nobody else read it, as Windows allows.
    FileInUse, "file-in-use", Failure,
        "cannot open {path:text}: {error:text}",
        "close it in the program that has it open, then try again";
    /// The file can't be opened for another reason.
    FileNotOpened, "file-not-opened", Failure,
        "cannot open {path:text}: {error:text}",
        "check that the path names a file that can be read";
    /// Reading broke off.
    FileNotReadOn, "file-not-read-on", Failure,
        "reading stopped: {error:text}",
        "check that the path names a file, not a folder, and that its disk is still connected";
    /// The file holds nothing.
    FileEmpty, "file-empty", Failure,
        "the file is empty",
        "check that the export or the download went through";
    /// A binary DXF whose first line is damaged.
    BinaryDamaged, "binary-damaged", Failure,
        "this is a binary DXF whose first line is damaged",
        "copy it again without changing line ends (a transfer in “binary” mode), or export it as DXF text";
    /// A DWG drawing.
    FileIsDwg, "file-is-dwg", Failure,
        "this is a DWG drawing ({version:text})",
        "open it where it was made and export it as DXF text (ASCII), then try again";
    /// Text in UTF-16 or UTF-32.
    FileIsWideText, "file-is-wide-text", Failure,
        "this is text in UTF-16 or UTF-32; a DXF must be in UTF-8 or in the drawing's code page",
        "save it in UTF-8 with a text editor, then try again";
    /// Another kind of file, known by its first bytes.
    FileIsOther, "file-is-other", Failure,
        "this is {kind:text}, not a DXF drawing",
        "open it where it was made and export it as DXF text (ASCII), then try again";
    /// Not group codes and values in turn, or none of the sections of a drawing.
    FileIsNoDxf, "file-is-no-dxf", Failure,
        "this is no DXF: [{what:text}|it holds no section]",
        "check that the file is a DXF and not another kind with the ending .dxf; export it again as DXF text";
    /// The file is larger than may be read.
    FileTooLarge, "file-too-large", Failure,
        "the drawing is not read: {what:text} is over the limit of {limit:count} bytes",
        "raise the limit on the size of files";
    /// A line is longer than may be read.
    LineTooLong, "line-too-long", Failure,
        "the drawing is not read: {what:text} is over the limit of {limit:count} bytes",
        "raise the limit on the length of lines";
    /// There are more layers than may be.
    TooManyLayers, "too-many-layers", Failure,
        "the drawing is not read: {what:text} is over the limit of {limit:count} layers",
        "raise the limit on layers";
    /// An entity has more vertices than may be.
    TooManyVertices, "too-many-vertices", Failure,
        "the drawing is not read: {what:text} is over the limit of {limit:count} vertices",
        "raise the limit on vertices";
    /// Blocks put more pieces into the drawing than may be.
    TooManyPieces, "too-many-pieces", Failure,
        "the drawing is not read: {what:text} is over the limit of {limit:count} pieces from blocks",
        "explode or thin out the blocks and arrays, or raise the limit on pieces";
    /// Blocks stand deeper within each other than may be.
    NestingTooDeep, "nesting-too-deep", Failure,
        "the drawing is not read: {what:text} is over the limit of {limit:count} blocks within each other",
        "explode the blocks, or raise the limit on nesting";
    /// The drawing takes more memory than it may.
    MemoryToRead, "memory-to-read", Failure,
        "the drawing is not read: {what:text} takes more than the {limit:number} MB of memory that one drawing may take",
        "split the drawing, or raise the limit on memory";
    /// Measuring would take more memory than it may.
    MemoryToMeasure, "memory-to-measure", Failure,
        "its outlines [would take about {needed:number} MB of memory, more|cross so often that they would take more \
         memory] than the {left:number} MB that are left of what one drawing may take",
        "measure fewer layers at once, or raise the limit on memory";

    // Drawings that are read, but not as they should be.

    /// There is no ENTITIES section.
    NoEntities, "no-entities", Warning,
        "the drawing has no ENTITIES section, so there is nothing in it",
        "check that the export was complete";
    /// The code page is not known.
    CodePageUnknown, "code-page-unknown", Note,
        "code page “{code_page:name}” is not known: layer names are taken as UTF-8, else as code page 1252",
        "if layer names come out wrong, export as R2007 or newer";
    /// Splines are given by points that they run through.
    SplinesFitted, "splines-fitted", Note,
        "{count/1 spline has fit points only and is taken as a smooth curve (cubic, continuous curvature) through \
         them/# splines have fit points only and are taken as smooth curves (cubic, continuous curvature) through them}",
        "export splines with control points to get them exactly as drawn";
    /// A damaged place costs an entity.
    DamagedEntity, "damaged-entity", Warning,
        "{what:text} in {damaged:position}: the {entity:text} that begins in {begin:position} is left out, and reading \
         goes on in {next:position}",
        "part of the drawing may be missing or wrong: copy or export the file again";
    /// A damaged place costs a part of the header.
    DamagedHeader, "damaged-header", Warning,
        "{what:text} in {damaged:position}: a part of the header is lost, perhaps the unit of the drawing, and reading \
         goes on in {next:position}",
        "part of the drawing may be missing or wrong: copy or export the file again";
    /// A damaged place costs an entry of a table.
    DamagedTable, "damaged-table", Warning,
        "{what:text} in {damaged:position}: a table entry is left out, so a layer that is off or frozen may be taken as \
         visible; reading goes on in {next:position}",
        "part of the drawing may be missing or wrong: copy or export the file again";
    /// A damaged place costs what stands there.
    DamagedPlace, "damaged-place", Warning,
        "{what:text} in {damaged:position}: what stands there[ in the {section:text} section|] is left out, and reading \
         goes on in {next:position}",
        "part of the drawing may be missing or wrong: copy or export the file again";
    /// More damaged places than are reported one by one.
    MoreDamaged, "more-damaged", Warning,
        "{count:count} more places in the file are damaged, and what stands there is left out",
        "copy or export the file again";
    /// A section of the file has no name.
    SectionWithoutName, "section-without-name", Warning,
        "the section that begins in {begin:position} has no name: nothing in it is read",
        "copy or export the file again";
    /// The file ends too early.
    FileEndsEarly, "file-ends-early", Warning,
        "[{what:text} in {damaged:position}: nothing is read from there on|the file ends at {end:position}], [inside the \
         {entity:text} that begins in {begin:position}, which is left out|inside the {section:text} section|after a \
         section, without the mark that ends a drawing (EOF)]",
        "part of the drawing may be missing: copy or export the file again";
    /// An entity holds a bad value.
    EntityBad, "entity-bad", Warning,
        "{entity:text} left out: {reason:text}",
        "correct it in the drawing, or delete it there if it draws nothing, and export again";
    /// An entity holds what is not read.
    EntityNotRead, "entity-not-read", Warning,
        "{entity:text} left out: {reason:text}",
        "explode it into lines and arcs in the drawing, and export again";
    /// More entities with bad values than are reported one by one.
    MoreEntitiesBad, "more-entities-bad", Warning,
        "{count:count} more entities hold bad values and are left out",
        "see what was not read, by kind and layer";
    /// Entities of a kind that may bound an outline are passed over.
    EntitiesPassedOver, "entities-passed-over", Warning,
        "{entity:text} {count/was/(# of them) were} left out: {reason:text}",
        "";
    /// Entities are not parallel to the drawing plane.
    EntityTilted, "entity-tilted", Warning,
        "{count/{entity:text} does not lie parallel to the drawing plane and is measured as seen from above/# {entity:text} \
         do not lie parallel to the drawing plane and are measured as seen from above}",
        "turn them into the drawing plane and export again";
    /// Circles have negative radii.
    RadiusNegative, "radius-negative", Warning,
        "{count/{entity:text} has a negative radius, which is taken as positive/# {entity:text} have negative radii, \
         which are taken as positive}",
        "draw them again with the right radius, and export again";
    /// Multilines have no style.
    MultilineStyleMissing, "multiline-style-missing", Warning,
        "{count/{entity:text} is drawn without caps: its style is not in the drawing/# {entity:text} are drawn without \
         caps: their style is not in the drawing}",
        "close their ends with lines, or export again with the multiline styles";
    /// A reference shows a part of its block alone.
    BlockClipped, "block-clipped", Warning,
        "a block reference is clipped, but the whole block is measured",
        "explode the reference in the drawing, trim it, and export again";
    /// A block is in another unit than the drawing, and not scaled.
    BlockUnitDiffers, "block-unit-differs", Warning,
        "block “{block:name}” is in {block_unit:text} and the drawing in {drawing_unit:text}, but the reference does \
         not scale it: taken as drawn",
        "check its size; scale the reference, or correct the block's units in the drawing";
    /// A block is not in the drawing.
    BlockMissing, "block-missing", Warning,
        "the drawing has no block “{block:name}”, so references to it are left out",
        "export the drawing again with its blocks, or explode the references before exporting";
    /// A block is another drawing.
    BlockExternal, "block-external", Warning,
        "block “{block:name}” is another drawing file, which is not opened",
        "bind the external reference in the drawing, or measure that file too";
    /// A block contains itself.
    BlockWithinItself, "block-within-itself", Warning,
        "block “{block:name}” contains itself, so the reference to itself is left out",
        "define the block again in the drawing";

    // Outlines.

    /// An entity has coordinates that are no numbers.
    EntityNotFinite, "entity-not-finite", Warning,
        "an entity whose coordinates are not numbers was left out",
        "draw it again";
    /// Entities have no length.
    EntityWithoutLength, "entity-without-length", Note,
        "[{more:count} more entities without length were left out|an entity without length was left out]",
        "";
    /// Closed outlines enclose nothing.
    OutlineWithoutArea, "outline-without-area", Warning,
        "[{more:count} more closed outlines that enclose no area were left out|a closed outline that encloses no area was \
         left out]",
        "";
    /// Ends had a choice of others that are as near.
    EndsAsNear, "ends-as-near", Note,
        "at {count/one place/# places} another way of joining the ends was as good as the one taken",
        "check it in a marked drawing; if it is wrong, draw the ends so that they meet";
    /// Curves cross more often than can be sought.
    CrossingsNotSought, "crossings-not-sought", Warning,
        "curves cross or overlap so many times that their crossings were not looked for",
        "draw the outline once, closed";
    /// More ends lie in one place than can be told apart.
    EndsCrowded, "ends-crowded", Warning,
        "so many ends lie within the joining tolerance of each other that it is unclear which belong together; ends \
         close together were joined",
        "use a smaller joining tolerance";
    /// The outer edge can't be told.
    OutlineTangled, "outline-tangled", Failure,
        "lines branch and cross so close together that the outer edge cannot be found",
        "draw the ends so that they meet, or use a smaller joining tolerance";
    /// Lines branch, and are taken as joints of one solid.
    LinesBranch, "lines-branch", Note,
        "[lines branch in {more:count} more outlines, which are taken as solid too|lines branch: {faces:count} faces \
         with areas of {areas:areas} {unit}² are taken as one solid, and the lines between them as joints]",
        "";
    /// Lines branch, and what lies inside may be an opening.
    LinesBranchInside, "lines-branch-inside", Warning,
        "lines branch: {faces:count} faces with areas of {areas:areas} {unit}² are taken as one solid, and the lines \
         between them as joints; {inside:count} of them ({inside_areas:areas} {unit}²) lie inside",
        "if one is an opening, draw it as a closed outline that no line joins to the edge";
    /// Lines branch, and each face between them is an outline.
    Faces, "faces", Note,
        "[lines branch in {more:count} more outlines, whose faces are measured one by one too|lines branch: \
         {faces:count} faces with areas of {areas:areas} {unit}² are each measured as an outline]",
        "";
    /// Lines branch, each face between them is an outline, and what lies inside may be an opening.
    FacesInside, "faces-inside", Warning,
        "lines branch: {faces:count} faces with areas of {areas:areas} {unit}² are each measured as an outline; \
         {inside:count} of them ({inside_areas:areas} {unit}²) lie inside",
        "if one is an opening, draw it as a closed outline that no line joins to the edge";
    /// The outline closes only where lines cross.
    ClosedAtCrossings, "closed-at-crossings", Warning,
        "the outline closes only where lines cross; what runs past the crossings was cut off",
        "trim the lines at the corners";
    /// Loose pieces repeat others.
    PiecesRepeated, "pieces-repeated", Note,
        "{count/1 loose piece was/# loose pieces were} drawn more than once and counted once",
        "";
    /// An outline is nearly closed.
    OutlineNotClosed, "outline-not-closed", Warning,
        "[{more:count} more gaps keep outlines open|an outline is not closed: gap of {gap:length} {unit} between \
         {start:point} and {end:point}; drawn length {length:length} {unit}]",
        "[close it in the drawing, or use a joining tolerance of {join:above}|]";
    /// All that a layer holds is a polyline that lacks its closing side.
    ClosingSideMissing, "closing-side-missing", Failure,
        "the outline lacks its closing side: a polyline of {sides:count} sides begins at {start:point} and ends at \
         {end:point}, a gap of {gap:length} {unit}",
        "close it in the drawing";
    /// Straight chains of pieces close nothing.
    ChainsOpen, "chains-open", Note,
        "{count/1 line or chain of lines belongs to no closed outline and was left out: it is/# lines or chains of \
         lines belong to no closed outline and were left out; the longest is} {length:length} {unit} long and runs from \
         {start:point} to {end:point}",
        "";
    /// Bent chains of pieces close nothing.
    BentChainsOpen, "bent-chains-open", Warning,
        "{count/1 line or chain of lines belongs to no closed outline and was left out: it is/# lines or chains of \
         lines belong to no closed outline and were left out; the longest is} {length:length} {unit} long and runs from \
         {start:point} to {end:point}",
        "if it is part of an outline, draw the missing edge";
    /// An outline that is not closed goes round closed ones.
    OpenOutlineAround, "open-outline-around", Failure,
        "{count/a closed outline lies/# closed outlines lie} inside an outline that is not closed, so it is unclear \
         what is solid and what is a hole",
        "close the outer one in the drawing; if the missing lines are on another layer, measure both layers together";
    /// An outline that is not closed lies within closed ones.
    OpenOutlineWithin, "open-outline-within", Failure,
        "an outline that is not closed lies inside {count/a closed one/# closed ones}, so it is unclear what is solid \
         and what is a hole",
        "close it in the drawing; if the missing lines are on another layer, measure both layers together";
    /// Slips of drafting were mended.
    SlipsMended, "slips-mended", Note,
        "{count/the ends at a joint are/the ends at # joints are up to} {apart:length} {unit} apart[; gaps of up to \
         {gap:length} {unit} were closed, and overhangs of up to {overhang:length} {unit} cut off|; gaps of up to \
         {gap:length} {unit} were closed|; overhangs of up to {overhang:length} {unit} were cut off|][: the area may be \
         off by up to {area:bound}, the second moments by up to {second_moments:bound}|]",
        "";
    /// Slips of drafting were mended that the figures may hang on.
    SlipsDoubtful, "slips-doubtful", Warning,
        "{count/the ends at a joint are/the ends at # joints are up to} {apart:length} {unit} apart[; gaps of up to \
         {gap:length} {unit} were closed, and overhangs of up to {overhang:length} {unit} cut off|; gaps of up to \
         {gap:length} {unit} were closed|; overhangs of up to {overhang:length} {unit} were cut off|]: the area may be \
         off by up to {area:bound}, the second moments by up to {second_moments:bound}",
        "draw the ends so that they meet";

    // Solids and holes.

    /// Closed outlines are drawn again, the same but for rounding.
    OutlineRepeated, "outline-repeated", Note,
        "{count/a closed outline is drawn twice/# closed outlines are drawn more than once} and counted once",
        "";
    /// Closed outlines are drawn again a little aside.
    OutlineRetraced, "outline-retraced", Warning,
        "{count/a closed outline is drawn twice/# closed outlines are drawn more than once}, up to {apart:length} \
         {unit} apart, and counted once; the area may be off by up to {area:area} {unit}²",
        "if the two lines are the faces of a thin wall, use a smaller joining tolerance";
    /// Outlines can't be told apart.
    OutlinesTooNear, "outlines-too-near", Failure,
        "outlines run so close together that solid and void cannot be told apart",
        "draw them so that they clearly cross, touch or keep apart there";
    /// Outlines that nearly touch are taken to touch.
    OutlinesNear, "outlines-near", Warning,
        "outlines run within {within:length} {unit} of each other and are taken to touch; the area may be off by up to \
         {area:area} {unit}²",
        "draw them so that they clearly cross, touch or keep apart there";
    /// Closed outlines cross.
    OutlinesCross, "outlines-cross", Warning,
        "closed outlines cross[ ({layers:text})|]: they are measured as one body, and their overlap[, {area:area} \
         {unit}²,|] is counted once",
        "if one of them should be cut out, put it on a layer of its own, and cut that layer out";
    /// Outlines in holes are solid.
    SolidsInHoles, "solids-in-holes", Note,
        "{count/1 outline lies in a hole and counts as solid/# outlines lie in holes and count as solid} ({area:area} \
         {unit}²), because nested outlines alternate: solid, hole, solid",
        "if it is the edge of a countersink or of a raised face, leave it out";
    /// Outlines of one layer are holes in the solid of another.
    HolesOfOtherLayer, "holes-of-other-layer", Note,
        "{count/1 outline/# outlines} of layer {layer:layer} {count/counts as a hole/count as holes} in the solid of other layers ({area:area} {unit}²)",
        "if that is a body of its own, such as reinforcement, compose the section of bodies";
    /// Closed outlines cross, each of which is a section.
    OutlinesLap, "outlines-lap", Warning,
        "closed outlines cross[ ({layers:text})|]: each is a section of its own, and their overlap[, {area:area} \
         {unit}²,|] is counted in each",
        "draw them apart, or measure them as one part";
    /// A closed outline crosses or touches itself.
    OutlineMeetsItself, "outline-meets-itself", Warning,
        "a closed outline crosses or touches itself at {place:point}[ and at {more:count} more places|]: everything \
         inside it is taken as solid",
        "check it in the drawing";
    /// The voids leave nothing.
    NothingLeft, "nothing-left", Failure,
        "nothing is left of the outlines when the voids are cut out",
        "check which layers are cut out";
    /// Closed outlines on other layers lie in the section.
    OtherOutlines, "other-outlines", Warning,
        "[{count:count} of {drawn:count} closed outlines|{count/a closed outline/# closed outlines}] on [{layers:count} \
         layers (“{layer:layer}”, “{second_layer:layer}” …)|layer “{layer:layer}”] [lie in this section, {within:count} \
         within it and {across:count} across its edge|{across/lies/lie} across the edge of this \
         section|{count/lies/lie} within this section]: {share:share} of its area, not cut out",
        "if they are holes, cut that layer out; if the layers are one section, measure them together; if neither, leave \
         the layer out";
    /// So many layers lie in the section that it may be a frame.
    MayBeFrame, "may-be-frame", Note,
        "closed outlines on more than {layers:count} other layers lie within this section or across its edge, not cut \
         out: it may be a frame",
        "if it is not a section, leave its layer out; cut out the layers that hold its holes";

    // What is drawn in other ways than by outlines.

    /// Hatches are left out, as asked.
    HatchesIgnored, "hatches-ignored", Note,
        "{count/a hatch was/# hatches were} left out, as requested",
        "";
    /// Hatches are left out beside outlines that bound what they fill.
    HatchesBeside, "hatches-beside", Note,
        "{count/a hatch was/# hatches were} left out, because there are other outlines",
        "the hatched area can be counted as solid too";
    /// Hatches fill more than the outlines beside which they are left out.
    HatchesFillMore, "hatches-fill-more", Warning,
        "{count/a hatch was/# hatches were} left out, because there are other outlines; these enclose \
         {bounded:area} {unit}², and hatches fill {beyond:area} {unit}² more",
        "count the hatched area as solid too, or leave hatches out everywhere";
    /// Whether outlines bound what hatches fill can't be told.
    HatchesUnclear, "hatches-unclear", Warning,
        "{count/a hatch was/# hatches were} left out, because there are other outlines; it is unclear whether these \
         enclose what the hatches fill",
        "count the hatched area as solid too, or leave hatches out everywhere";
    /// Polylines with a width are taken along their centre lines.
    WidthsIgnored, "widths-ignored", Warning,
        "{count/a polyline with a width is measured along its centre line/# polylines with a width are measured along \
         their centre lines}: [the area is {along:area} {unit}² that way|no area is found that way], [and {bands:area} \
         {unit}² at the drawn width|and no area at the drawn width either]",
        "measure them at their drawn width";
    /// Polylines with a width are taken along their centre lines, which close nothing.
    WidthsCloseNothing, "widths-close-nothing", Note,
        "{count/a polyline with a width is measured along its centre line/# polylines with a width are measured along \
         their centre lines}: no outline closes that way, [and {bands:area} {unit}² at the drawn width|and no area at \
         the drawn width either]",
        "measure them at their drawn width";
    /// Polylines have a width on a part of their length.
    WidthPartly, "width-partly", Note,
        "{count/a polyline has a width on only part of its length: it is measured along its centre line/# polylines \
         have a width on only part of their length: they are measured along their centre lines}",
        "draw the parts with and without a width as separate polylines";
    /// Corners of a band are too sharp for a mitre.
    BandBevelled, "band-bevelled", Note,
        "a polyline with a width turns too sharply for a mitre{count/: its corner is cut off/ at # vertices: its \
         corners are cut off}",
        "";
    /// A width is nothing beside the polyline's size.
    BandTooThin, "band-too-thin", Warning,
        "a polyline is too thin for its length to be measured as a band, and was left out",
        "draw the edge of the area that it covers instead";
    /// What a polyline with a width covers can't be told.
    BandUnclear, "band-unclear", Failure,
        "the area that a polyline with a width covers could not be found",
        "draw the edge of that area instead";

    // Units and layers.

    /// Nothing names the unit.
    UnitAssumed, "unit-assumed", Note,
        "[the drawing's unit is not known ($INSUNITS {unknown:text})|the drawing says that it has no unit ($INSUNITS \
         {unitless:count})|the drawing names no unit]: millimetres are assumed",
        "if that is wrong, state the drawing's unit";
    /// Nothing names the unit, but the drawing was set up for metric ones.
    UnitMetric, "unit-metric", Note,
        "[the drawing's unit is not known ($INSUNITS {unknown:text})|the drawing says that it has no unit ($INSUNITS \
         {unitless:count})|the drawing names no unit], but it was set up for metric units ($MEASUREMENT 1): millimetres \
         are assumed",
        "if that is wrong, state the drawing's unit";
    /// Nothing names the unit, and the drawing was set up for inches.
    UnitPerhapsInches, "unit-perhaps-inches", Warning,
        "[the drawing's unit is not known ($INSUNITS {unknown:text})|the drawing says that it has no unit ($INSUNITS \
         {unitless:count})|the drawing names no unit], and it was set up for inches ($MEASUREMENT 0), as many metric \
         drawings are: millimetres are assumed[, so that this measures {size:size}; if inches, {size_in_inches:size}|]",
        "state whether the drawing is in millimetres or in inches";
    /// A layer is not plotted.
    LayerNotPlotted, "layer-not-plotted", Note,
        "layer {layer:layer} is set not to plot, but is measured like any other",
        "";
    /// A layer that is not plotted counts beside others.
    LayerNotPlottedBeside, "layer-not-plotted-beside", Warning,
        "layer {layer:layer} is set not to plot, but is measured like any other",
        "if it holds only construction lines, leave it out";
    /// Layers hold something that does not close.
    LayersWithoutOutline, "layers-without-outline", Note,
        "no closed outline on layer {layers:text}",
        "";
    /// Layers are off or frozen.
    LayersHidden, "layers-hidden", Note,
        "left out because off or frozen: layer {layers:text}",
        "measure hidden layers too, or switch them on in the drawing";
    /// The drawing holds nothing that draws an outline.
    NothingDrawn, "nothing-drawn", Failure,
        "the drawing holds nothing that could be an outline",
        "";
    /// No layer has a section.
    NoSection, "no-section", Failure,
        "no section found",
        "see what the drawing holds and where its ends are open";
    /// Nothing that shows is on the layers that were chosen.
    NothingChosen, "nothing-chosen", Failure,
        "no section found: nothing visible is drawn on the chosen layers",
        "see which layers are chosen, left out, off or frozen";

    // Figures.

    /// An outline encloses no area.
    NoArea, "no-area", Failure,
        "the outline encloses no area",
        "draw it as a closed shape with an inside";
    /// Figures are beyond what numbers hold.
    OutOfRange, "out-of-range", Failure,
        "the outline is too large or too small to be measured",
        "check the drawing's scale and units";
    /// The two ways to the figures contradict each other.
    StripsContradict, "strips-contradict", Failure,
        "boundary integrals and strips give different figures, so no figures are given[; they first differ at the \
         station {axis:text} = {station:length}|]",
        "look for outlines that cross; if there are none, this is a fault of the program: please report it with the drawing";
    /// The two ways to the figures differ by more than rounding.
    StripsDiffer, "strips-differ", Warning,
        "strips and boundary integrals differ by {difference:ratio}",
        "use no more digits than that; this is a fault of the program: please report it with the drawing";
    /// An equal-area axis may lie anywhere in a gap.
    AxisInGap, "axis-in-gap", Note,
        "the equal-area axis parallel to {axis:text} lies in a gap between parts: any position from {low:length} to \
         {high:length} {unit} halves the area, and the middle is given",
        "";
    /// Torsion, warping and shear constants need a mesh, and none fits.
    ConstantsNotMeshed, "constants-not-meshed", Warning,
        "torsion, warping and shear constants are left out: the section can't be filled with triangles",
        "look at outlines that run very near to each other; draw what is meant to touch as touching, or leave a gap";
    /// The library was built without the feature that solves for them.
    ConstantsNotBuiltIn, "constants-not-built-in", Warning,
        "this program was built without torsion, warping and shear constants",
        "add the feature field of the library";
    /// They would take too many triangles or parts.
    ConstantsTooLarge, "constants-too-large", Warning,
        "torsion, warping and shear constants are left out: the section is too large or too thin for as many triangles as are allowed",
        "draw each part on a layer of its own, or fewer holes and thicker walls";
    /// Bounds of the torsion constant that are further apart than wanted.
    ConstantsCoarse, "constants-coarse", Warning,
        "the bounds of the torsion constant are {apart:ratio} of it apart, not {wanted:ratio}: more triangles than are allowed \
         would be needed",
        "if the bounds and errors that are stated are good enough, use a larger tolerance";
    /// Bodies that do not hang together have no shear centre.
    NotOfOnePiece, "not-of-one-piece", Note,
        "the section is in {count:count} separate bodies: the torsion constant is that of all, twisted alike; there is \
         no shear centre, and no warping constant, shear area or monosymmetry constant",
        "";
    /// A material has no shear modulus though others have one.
    ConstantsOfMaterials, "constants-of-materials", Warning,
        "torsion, warping and shear constants are left out: [the material “{material:name}”|a layer without a material] has no \
         shear modulus beside materials that have one",
        "give every material of the job file a shear_modulus, or a modulus with a poisson ratio";
    /// Constants of several materials refer to one of them.
    ConstantsTransformed, "constants-transformed", Note,
        "torsion constant and shear areas are for the shear modulus of [the material “{material:name}”|the first layer], warping and \
         monosymmetry constants for its modulus of elasticity; ratios of the shear moduli: {ratios:text}[; {mixed:text}]",
        "";
    /// Sharp re-entrant corners.
    StressUnbounded, "stress-unbounded", Note,
        "the shear stress of torsion has no bound in {count/a sharp re-entrant corner/# sharp re-entrant corners; the place \
         given is the sharpest}",
        "";
    /// Measuring took too long.
    OverTime, "over-time", Failure,
        "measuring took longer than {seconds:number} s",
        "measure it by itself, or allow more time";
    /// The program failed.
    ProgramFailed, "program-failed", Failure,
        "the program failed: {what:text}",
        "this is a fault of tracearm: please report it with the drawing";
    /// The program ended while it measured the drawing, in an earlier run and in a process of its own.
    ProgramDied, "program-died", Failure,
        "the program ended early while it measured this drawing, and again when it measured it alone: {how:text}",
        "this is a fault of tracearm, or there is too little memory: please report it with the drawing";
    /// What was named as a drawing is none that can be had.
    SourceMissing, "source-missing", Failure,
        "{what:text}",
        "";
    /// A drawing was named before, by this path or another that leads to the same file.
    DrawingRepeated, "drawing-repeated", Note,
        "the same drawing as {first:text}, which was measured once",
        "";

    /// Outlines that are one part share edges.
    EdgesShared, "edges-shared", Warning,
        "plates that share an edge are measured as one part: {length:length} {unit} of cut between them is not in the \
         cut length",
        "measure each outline by itself";
    /// An outline shares edges with others.
    EdgeShared, "edge-shared", Note,
        "{length:length} {unit} of its edge is shared with {others:text}[; {elsewhere:length} {unit} of that is counted with plates \
         before it|; it is in the cut length of {counted:text}|]",
        "";

    // What can hardly be meant.

    /// The joining tolerance is large beside what is drawn.
    JoinWide, "join-wide", Warning,
        "ends up to {join:length} {unit} apart are joined, which is more than 1 % of the size of what is drawn \
         ({size:length} {unit}): shorter edges and gaps may vanish",
        "use a smaller joining tolerance";

    /// A density that no material has.
    DensityImplausible, "density-implausible", Warning,
        "no usual material has a density of {density:number} kg/m³[; {density:number} {unit_meant:text} would be \
         {meant:number} kg/m³|]",
        "state the density in kg/m³";
    /// A modulus that no structural material has.
    ModulusImplausible, "modulus-implausible", Warning,
        "no usual material has a modulus of {modulus:number} N/mm² (“{material:name}”); {modulus:number} kN/mm² would \
         be {meant:number} N/mm²",
        "state the modulus in N/mm²";
    /// A section that is very large or very small.
    SizeImplausible, "size-implausible", Warning,
        "the section measures {size:size} as the drawing was read[; drawn in {unit_meant:text} it would be {size_meant:size}|]",
        "if that is wrong, state the drawing's unit";

    // Sections of job files.

    /// None of the layers of a section has a closed outline.
    SectionWithoutOutline, "section-without-outline", Failure,
        "no closed outline on the layers of this section; the drawing has: {layers:text}",
        "check the layers under solid in the job file";
    /// A pattern for layers meets none.
    PatternUnmatched, "pattern-unmatched", Warning,
        "no layer matches the pattern “{pattern:name}”[; perhaps {near:layer} is meant|]",
        "check the pattern against the names of the layers";
    /// A name in a job is none of the drawing's layers.
    JobLayerUnknown, "job-layer-unknown", Failure,
        "{key:text} names “{name:name}”, and the drawing has no layer of that name[; perhaps {near:layer} is meant|; it has {layers:text}|]",
        "write the name as the drawing has it, or take it out of the job; * stands for any characters";
    /// A job names layers both as solid and as void.
    LayersSolidAndVoid, "layers-solid-and-void", Failure,
        "layer {layers:text} is named both under solid and under void",
        "name it under one of them";
    /// A job names layers that are off or frozen.
    HiddenLayersNamed, "hidden-layers-named", Note,
        "layer {layers:text} is off or frozen, but measured because the job names it",
        "";
    /// A pattern of a job meets layers that are off or frozen.
    HiddenLayersByPattern, "hidden-layers-by-pattern", Warning,
        "left out because off or frozen, although a pattern in the job matches it: layer {layers:text}",
        "if it belongs to the section, write its name into the job, or switch it on in the drawing";
    /// Nothing is drawn on layers that a job names as solid.
    NamedLayersEmpty, "named-layers-empty", Warning,
        "the job names a layer on which nothing is drawn: layer {layers:text}",
        "check that what belongs there was not drawn on another layer";
    /// A body of a composed section lies within others that go before it.
    BodyWithinOthers, "body-within-others", Failure,
        "nothing is left of {layers:text}: all of it lies within {others:text}, which the job names before it",
        "name it before them under solid: where bodies overlap, the one that is named first is kept whole";
    /// Bodies of a composed section overlap.
    BodiesOverlap, "bodies-overlap", Warning,
        "{layers:text} and {others:text} overlap: the {area:area} {unit}² that they share count as {others:text}, which the \
         job names first",
        "if it should be the other way, change their order under solid";
    /// Layers of one material overlap.
    LayersOverlap, "layers-overlap", Warning,
        "{layers:text} and {others:text} overlap, and are of one material: the {area:area} {unit}² that they share count once",
        "if one of them is to be cut out, name it under void";
    /// Nothing on a layer that a job names closes.
    NamedLayerOpen, "named-layer-open", Warning,
        "the job names layer {layer:layer}, but no outline on it is closed: it has no effect",
        "close the outline, or take the layer out of the job";
    /// What is to be cut out lies beside the solid.
    VoidElsewhere, "void-elsewhere", Warning,
        "the job cuts out layer {layer:layer}, but nothing solid lies there: it has no effect",
        "check the layer, and where its outlines are drawn";
    /// Bodies of a composed section do not touch.
    BodiesApart, "bodies-apart", Note,
        "{layers:text} and {others:text} do not touch: they are {gap:length} {unit} apart, and the figures assume that \
         they act as one",
        "";
    /// A material has no modulus.
    ModulusMissing, "modulus-missing", Failure,
        "the material “{material:name}” has no modulus, so the section can't be transformed",
        "give every layer a material with a modulus in the job file";
    /// A layer has no material.
    MaterialMissing, "material-missing", Failure,
        "a layer of this section has no material beside layers that have one",
        "give every layer a material with a modulus in the job file";
    /// The section is transformed to one material.
    Transformed, "transformed", Note,
        "transformed section, reference material {material:text}; modular ratios: {ratios:text}; plastic moduli are not \
         given for it",
        "";
    /// The least moduli for stresses in one material of a transformed section.
    LeastModuli, "least-moduli", Note,
        "least elastic moduli for stresses in {material:name}: {about_x:number} {unit}³ about the axis parallel to x, \
         {about_y:number} {unit}³ about that parallel to y",
        "";
    /// The density of a body is stated more than once.
    DensitiesDiffer, "densities-differ", Failure,
        "two densities are stated for {layers:text}: {first:number} and {other:number} kg/m³",
        "state one: with its material, or for the section";
    /// A section has no drawing.
    JobWithoutDrawing, "job-without-drawing", Failure,
        "the job names no drawing for this section",
        "write drawing = \"….dxf\" into it";
    /// Several drawings were given for a section.
    JobOfOneDrawing, "job-of-one-drawing", Failure,
        "only one drawing can be given with a job",
        "let each section name its own with drawing = \"….dxf\"";

    // Tables of expected values, and schedules that are compared.

    /// A table can't be read.
    TableUnreadable, "table-unreadable", Failure,
        "the table can't be read: {error:text}",
        "save it as CSV again";
    /// A table is too large.
    TableTooLarge, "table-too-large", Failure,
        "the table is larger than {limit:count} MiB",
        "split it, and take each part by itself";
    /// A table is not in UTF-8.
    TableNotUtf8, "table-not-utf8", Failure,
        "the table is not text in UTF-8",
        "save it as CSV in UTF-8";
    /// A workbook can't be read.
    WorkbookDamaged, "workbook-damaged", Failure,
        "the workbook can't be read: {error:text}",
        "open it in a spreadsheet program, and save it again as .xlsx or as CSV";
    /// A workbook can't be read without a password, or is of a form of before .xlsx.
    WorkbookEncrypted, "workbook-encrypted", Failure,
        "the workbook is protected by a password, or in the format before .xlsx",
        "save it as .xlsx without a password, or as CSV";
    /// A workbook unpacks to too much.
    WorkbookTooLarge, "workbook-too-large", Failure,
        "the workbook unpacks to more than {limit:count} MiB",
        "save its sheet as CSV, or split it";
    /// No sheet of a workbook has the headings of a table.
    WorkbookWithoutSchedule, "workbook-without-schedule", Failure,
        "no sheet of the workbook has a heading section or layer in its first row",
        "write the headings into the first row of a sheet, as the schedule has them";
    /// A table is of a form that this build of the library can't read.
    FormNotBuiltIn, "form-not-built-in", Failure,
        "the table is {what:text}, which this program was built without",
        "save it as CSV, or add the feature {feature:text} of the library";
    /// Columns are separated by something else than commas.
    TableWithoutCommas, "table-without-commas", Failure,
        "the columns are separated by neither commas nor semicolons",
        "save the table as CSV with commas, or with semicolons and decimal commas";
    /// A table has too many columns.
    TableTooWide, "table-too-wide", Failure,
        "the table has more than {limit:count} columns",
        "take out those that are not columns of the schedule";
    /// A table names no sections.
    TableWithoutNames, "table-without-names", Failure,
        "the table has no column that names the sections",
        "give it a column section, or layer, with the names that the schedule has";
    /// A table has nothing to compare.
    TableWithoutFigures, "table-without-figures", Failure,
        "the table has no column that can be compared[{first:text}|]",
        "name its columns as the schedule does, such as area_mm2 or area_cm2";
    /// A table has no rows.
    TableWithoutRows, "table-without-rows", Failure,
        "the table has no row that can be compared",
        "write a row for each section under the headings";
    /// A schedule has no column of sections.
    ScheduleWithoutSections, "schedule-without-sections", Failure,
        "this is no schedule: the first line has no column section",
        "compare schedules as they were written, or name the column section";
    /// A schedule has no rows.
    ScheduleWithoutRows, "schedule-without-rows", Failure,
        "the schedule has no row that can be compared[{first:text}|]",
        "write a row for each section";
    /// One schedule names drawings and the other does not.
    ScheduleWithoutDrawings, "schedule-without-drawings", Failure,
        "the schedule does not say which drawings its sections are of, but the other does",
        "pair sections by their names alone";
    /// Two schedules have no column in common.
    NoColumnShared, "no-column-shared", Failure,
        "the schedules have no column in common that could be compared",
        "name their columns as the schedule does, such as area_mm2";
    /// A row has another number of cells than there are headings.
    RowMiscounted, "row-miscounted", Failure,
        "the row has {cells/1 cell/# cells} under {headings:count} headings, so it was not compared",
        "put quotation marks around a cell that holds a comma, and write no comma in a number";
    /// A row that was handed over has another number of cells than there are headings.
    CellsMiscounted, "cells-miscounted", Failure,
        "the row “{section:name}” of “{drawing:name}” has {cells/1 cell/# cells} under {headings:count} headings, so it was \
         not compared",
        "give a cell for each heading, empty where nothing is known";
    /// A column stands twice.
    ColumnTwice, "column-twice", Failure,
        "the column {column:text} appears twice, and the first one was compared",
        "take one of them out";
    /// A column is never compared.
    ColumnNotCompared, "column-not-compared", Note,
        "the column {column:text} is not compared: {why:text}",
        "";
    /// A column has no heading.
    ColumnWithoutHeading, "column-without-heading", Failure,
        "a column has no heading, so it was not compared",
        "name it, or take it out";
    /// A heading is none of the schedule's.
    ColumnUnknown, "column-unknown", Failure,
        "there is no column “{column:name}”, so it was not compared",
        "[a heading names its unit: {headings:text}|the nearest is {nearest:text}|the columns are those of the schedule; \
         what is for people stands in columns source and note]";
    /// Columns are in one of the schedules alone.
    ColumnsAlone, "columns-alone", Note,
        "the other schedule does not have these columns: {columns:text}",
        "to compare them too, write both schedules with the same options";
    /// A column holds what another one holds in another unit.
    ColumnRepeated, "column-repeated", Failure,
        "the column {column:text} was not compared: {other:text} holds the same property and was compared instead",
        "take one of them out, or write both schedules with the same columns";
    /// Nothing was measured in one of two schedules where the other has sections.
    NotMeasuredHere, "not-measured-here", Failure,
        "nothing could be measured here[ of layer “{layer:name}”|][ of “{drawing:name}”|], so {count/1 section/# sections} of \
         the other schedule could not be compared",
        "see what the findings of this row say, and measure the drawing again";
    /// A row names no section.
    RowWithoutName, "row-without-name", Failure,
        "the row names no section, so it was not compared",
        "write the section's name into it, as the schedule has it";
    /// There is no such section.
    SectionUnknown, "section-unknown", Failure,
        "there is no section “{section:name}”[ of layer “{layer:name}”|][ in a drawing “{drawing:name}”|], so the row was \
         not compared",
        "[there is one as section “{there:name}” of “{there_in:name}”|the nearest is “{nearest:name}”|the sections are: \
         {sections:text}|]";
    /// A row fits several sections.
    SectionAmbiguous, "section-ambiguous", Failure,
        "{count:count} sections are “{section:name}”[ of layer “{layer:name}”|][ in a drawing “{drawing:name}”|], in \
         “{first:name}” [and “{second:name}”|alone], so the row was not compared",
        "tell them apart: a column section, and a column drawing with as much of the path as it takes";
    /// Several rows fit a section.
    SectionTwice, "section-twice", Failure,
        "section “{section:name}” of “{drawing:name}” has several rows (lines {lines:text}), so none was compared",
        "keep one of them, or tell them apart by their drawings";
    /// A cell is no number.
    CellNoNumber, "cell-no-number", Failure,
        "“{cell:name}” in the column {column:text}[ of section “{section:name}”|][ of “{drawing:name}”|] is not a \
         number, so it was not compared",
        "write the number alone, with a point and without commas; its unit stands in the heading";
    /// A section that is compared was not measured.
    SectionNotMeasured, "section-not-measured", Failure,
        "section “{section:name}” of “{drawing:name}” was not measured, so its figures are missing",
        "see what the drawing holds and where its ends are open";
    /// A share of an expected 0 allows nothing.
    ShareOfNought, "share-of-nought", Failure,
        "a percentage of 0 is 0: where 0 is expected, {column:text} was compared with 0 itself",
        "give its tolerance as a number in its unit";
    /// A share of a former 0 allows nothing.
    ShareOfFormerNought, "share-of-former-nought", Note,
        "a percentage of 0 is 0: where {column:text} was 0, any other figure is a change",
        "give its tolerance as a number in its unit";
    /// Two schedules have no path in common.
    FoldersAside, "folders-aside", Note,
        "no drawing has the same path in both schedules, so these folders were left aside: [“{before:name}” before and \
         “{after:name}” after|“{before:name}” before|“{after:name}” after]",
        "";
    /// Two schedules have no section in common.
    NoSectionShared, "no-section-shared", Warning,
        "the two schedules have no section in common",
        "check that these are the two schedules you meant";
    /// Two schedules have no section of one drawing in common.
    NoDrawingShared, "no-drawing-shared", Warning,
        "the two schedules have no section in common",
        "if the drawings have other names now, pair sections by their names alone";
    /// Rows of one name were paired in their order.
    PairedInOrder, "paired-in-order", Warning,
        "section “{section:name}”[ of “{drawing:name}”|] appears {here/once/# times} here and {there/once/# times} in \
         the other schedule: they were compared in order, so the ones shown as added or gone may be others",
        "";
    /// More findings than are reported one by one.
    More, "more", Note,
        "{count:count} more of these",
        "";
}
