//! The colours and line styles of pictures.

/// What every picture follows; colours are custom properties.
macro_rules! rules {
    () => {
        ".section-picture text{font-family:\"DejaVu Sans\",system-ui,sans-serif;font-size:12px;\
         fill:var(--picture-ink)}
.section-picture .heading{font-size:15px;font-weight:bold}
.section-picture .paper{fill:var(--picture-paper)}
.section-picture .solid{fill:var(--picture-solid)}
.section-picture .hatch{fill:none;stroke:var(--picture-hatch);stroke-width:1}
.section-picture .edge{fill:none;stroke:var(--picture-edge);stroke-width:1.5;stroke-linejoin:round}
.section-picture .hole{fill:none;stroke:var(--picture-edge);stroke-width:1.5;stroke-dasharray:5 2.5}
.section-picture .axis{fill:none;stroke:var(--picture-axis);stroke-width:1.4;stroke-dasharray:16 3 3 3}
.section-picture text.axis-name{fill:var(--picture-axis);stroke:none}
.section-picture .principal{fill:none;stroke:var(--picture-principal);stroke-width:1.6;stroke-dasharray:8 4}
.section-picture .principal-fibre{fill:none;stroke:var(--picture-principal);stroke-width:1.2;\
         stroke-dasharray:1.5 3}
.section-picture .principal-mark{fill:var(--picture-principal);stroke:none}
.section-picture .turn{fill:none;stroke:var(--picture-principal);stroke-width:1}
.section-picture text.turn-name{fill:var(--picture-principal);stroke:none}
.section-picture text.principal-name{fill:var(--picture-principal);stroke:none;font-weight:bold}
.section-picture .plastic{fill:none;stroke:var(--picture-plastic);stroke-width:1.4;\
         stroke-dasharray:12 3 2 3 2 3}
.section-picture text.plastic-name{fill:var(--picture-plastic);stroke:none}
.section-picture .fibre{fill:none;stroke:var(--picture-fibre);stroke-width:1.2;stroke-dasharray:1.5 3}
.section-picture .fibre-mark{fill:var(--picture-fibre);stroke:none}
.section-picture text.fibre-name{fill:var(--picture-fibre);stroke:none}
.section-picture .centroid{fill:var(--picture-paper);stroke:var(--picture-ink);stroke-width:1.4}
.section-picture .centroid-mark{fill:var(--picture-ink);stroke:none}
.section-picture .dimension{fill:none;stroke:var(--picture-dimension);stroke-width:1}
.section-picture .arrow{fill:var(--picture-dimension);stroke:none}
.section-picture .leader{fill:none;stroke:var(--picture-dimension);stroke-width:0.8}
.section-picture text.piece-number{font-weight:bold;paint-order:stroke;stroke:var(--picture-paper);\
         stroke-width:3px}
.section-picture text.edge-number{paint-order:stroke;stroke:var(--picture-paper);stroke-width:3px}
.section-picture .gap{fill:none;stroke:var(--picture-axis);stroke-width:2}
.section-picture text.gap-name{fill:var(--picture-axis);stroke:none;font-weight:bold}
.section-picture .mesh{fill:none;stroke:var(--picture-hatch);stroke-width:0.5}
.section-picture .contour{fill:none;stroke:var(--picture-principal);stroke-width:1}
.section-picture .shear-centre{fill:none;stroke:var(--picture-axis);stroke-width:1.8}
.section-picture text.shear-centre-name{fill:var(--picture-axis);stroke:none}
.section-picture .bar{fill:none;stroke:var(--picture-ink);stroke-width:2}
.section-picture .strip{fill:var(--picture-solid);stroke:var(--picture-principal);stroke-width:1}
.section-picture .middle{fill:none;stroke:var(--picture-principal);stroke-width:1;stroke-dasharray:2 2}
"
    };
}

/// The rules for pictures within a page: put them into its style sheet once.
///
/// | class | what has it |
/// |---|---|
/// | `section-picture` | every picture, and every sample of a line beside its words |
/// | `paper` | the ground of a picture that stands alone |
/// | `solid`, `hatch` | the solid: its tint and the lines across it |
/// | `edge`, `hole` | outer edges, and the dashed edges of holes |
/// | `axis`, `axis-name` | axes through the centroid, parallel to x and y |
/// | `principal`, `principal-name`, `turn`, `turn-name` | principal axes 1 and 2, the arc from +x to axis 1 and its θ |
/// | `principal-fibre`, `principal-mark` | extreme fibres of principal axes 1 and 2 |
/// | `plastic`, `plastic-name` | equal-area axes |
/// | `fibre`, `fibre-mark`, `fibre-name` | extreme fibres of axes x and y |
/// | `centroid`, `centroid-mark` | the centroid |
/// | `dimension`, `arrow`, `leader` | overall sizes, lines from words to what they name |
/// | `piece-number`, `edge-number` | numbers of the pieces, or of the edges of the only piece |
/// | `gap`, `gap-name` | rings around open ends, and their words |
/// | `mesh`, `contour` | the edges of the triangles of a field, contour lines of the stress function |
/// | `shear-centre`, `shear-centre-name` | the shear centre |
/// | `bar` | scale bar and axis cross |
/// | `strip`, `middle` | rectangles of a section cut into strips, their middles |
/// | `heading` | the name above a picture that stands alone |
///
/// A page that states `--paper`, `--ink`, `--solid`, `--hatch`, `--edge`, `--axis`, `--principal`, `--plastic`,
/// `--fibre` or `--dimension` decides these colours; those that it does not state are light, dark where the reader
/// prefers that, and black on white in print. Each line differs from the others by its dashes too. The letters have a
/// contrast of 4.5:1 or more.
pub const STYLE: &str = concat!(
    ".section-picture{max-width:100%;height:auto;",
    "--picture-paper:var(--paper,#ffffff);--picture-ink:var(--ink,#1f2933);",
    "--picture-solid:var(--solid,#dde6ef);--picture-hatch:var(--hatch,#b3c3d3);",
    "--picture-edge:var(--edge,#102a43);--picture-axis:var(--axis,#a61b1b);",
    "--picture-principal:var(--principal,#0b5c8a);--picture-plastic:var(--plastic,#6b3fa0);",
    "--picture-fibre:var(--fibre,#7a4f01);--picture-dimension:var(--dimension,#3e4c59)}\n",
    "@media (prefers-color-scheme:dark){.section-picture{",
    "--picture-paper:var(--paper,#12181f);--picture-ink:var(--ink,#e4e9ee);",
    "--picture-solid:var(--solid,#27343f);--picture-hatch:var(--hatch,#455767);",
    "--picture-edge:var(--edge,#d9e2ec);--picture-axis:var(--axis,#ff9a8a);",
    "--picture-principal:var(--principal,#7cc4fa);--picture-plastic:var(--plastic,#c8a6ff);",
    "--picture-fibre:var(--fibre,#f0c36d);--picture-dimension:var(--dimension,#b8c4ce)}}\n",
    "@media print{.section-picture{",
    "--picture-paper:var(--paper,#ffffff);--picture-ink:var(--ink,#000000);",
    "--picture-solid:var(--solid,#eeeeee);--picture-hatch:var(--hatch,#aaaaaa);",
    "--picture-edge:var(--edge,#000000);--picture-axis:var(--axis,#000000);",
    "--picture-principal:var(--principal,#000000);--picture-plastic:var(--plastic,#000000);",
    "--picture-fibre:var(--fibre,#000000);--picture-dimension:var(--dimension,#000000)}}\n",
    rules!()
);

/// The rules of a picture that stands alone: light, with the colours in their places, as simple readers of SVG want it.
pub(super) fn alone() -> String {
    let light = STYLE.lines().next().unwrap_or_default();
    colours(light).iter().fold(rules!().to_owned(), |rules, (name, colour)| {
        rules.replace(&format!("var(--picture-{name})"), colour)
    })
}

/// The names and colours that a rule gives.
fn colours(rule: &str) -> Vec<(&str, &str)> {
    let stated = rule.split("--picture-").skip(1);
    stated
        .filter_map(|text| {
            let (name, rest) = text.split_once(":var(")?;
            let (_, colour) = rest.split_once(',')?;
            Some((name, colour.split_once(')')?.0))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Relative luminance of a colour and the contrast of two, as WCAG 2.1 defines them (from memory).
    fn contrast(a: &str, b: &str) -> f64 {
        let luminance = |colour: &str| {
            let part = |at: usize| {
                let value = f64::from(u8::from_str_radix(&colour[at..at + 2], 16).unwrap()) / 255.0;
                if value <= 0.03928 { value / 12.92 } else { ((value + 0.055) / 1.055).powf(2.4) }
            };
            0.2126 * part(1) + 0.7152 * part(3) + 0.0722 * part(5)
        };
        let (a, b) = (luminance(a), luminance(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    #[test]
    fn letters_stand_out_in_light_dark_and_print() {
        assert!((contrast("#ffffff", "#000000") - 21.0).abs() < 1e-9);
        let schemes: Vec<Vec<(&str, &str)>> =
            STYLE.lines().map(colours).filter(|found| !found.is_empty()).collect();
        assert_eq!(schemes.len(), 3);
        for scheme in schemes {
            assert_eq!(scheme.len(), 10);
            let of = |name: &str| scheme.iter().find(|(n, _)| *n == name).unwrap().1;
            for letters in ["ink", "axis", "principal", "plastic", "fibre", "dimension"] {
                for ground in ["paper", "solid"] {
                    let ratio = contrast(of(letters), of(ground));
                    assert!(ratio >= 4.5, "{letters} on {ground}: {ratio:.2}");
                }
            }
            assert!(contrast(of("edge"), of("paper")) >= 7.0);
        }
    }

    #[test]
    fn alone_there_are_no_custom_properties() {
        let rules = alone();
        assert!(rules.contains("stroke:#a61b1b") && !rules.contains("var(") && !rules.contains("--"));
    }
}
