//! Whatever a drawing, a job or an option is called, its name stays text: a sheet with hostile names, parsed as a browser
//! does, has the elements, attributes and values of the same sheet with tame names, and so has a picture.

use crate::run;

use std::fmt::Write;

use html5ever::tendril::TendrilSink;
use html5ever::{ParseOpts, parse_document};
use markup5ever_rcdom::{Handle, NodeData, RcDom};
use run::{Folder, Run};

/// Names that would be markup in HTML, SVG, MathML, an attribute, a style sheet, a comment or a reference. The first two
/// letters keep them in their order.
const HOSTILE: [&str; 11] = [
    "A0<script>alert(1)</script>",
    "A1\" onload=\"alert(1)\" x=\"",
    "A2' onmouseover='alert(1)",
    "A3&lt;b&gt;&amp;&#60;i&#62;&nbsp;&copy",
    "A4]]><![CDATA[<b>",
    "A5--><!-- --!><b>",
    "A6</title></style></desc></text></svg><svg/onload=alert(1)>",
    "A7</bdi></td></table><math><mi>x<p>",
    "A8<?xml version='1.0'?><!DOCTYPE b [<!ENTITY e 'x'>]>&e;",
    "A9</script><plaintext><textarea><!--",
    "B0\u{1}<\u{202e}b\u{7f}>",
];

/// The same without anything that could be markup.
fn tame() -> Vec<String> {
    HOSTILE.iter().map(|name| format!("{}-tame", &name[..2])).collect()
}

/// How a page says a name: letters that it must not hold are replaced.
fn shown(name: &str) -> String {
    name.replace(['\u{1}', '\u{202e}', '\u{7f}'], "\u{fffd}")
}

/// What a page or a picture consists of, and all its text.
#[derive(Default)]
struct Parsed {
    shape: String,
    text: String,
    mistakes: Vec<String>,
}

/// A page as a browser takes it.
fn page(html: &str) -> Parsed {
    fn walk(node: &Handle, depth: usize, parsed: &mut Parsed) {
        match &node.data {
            NodeData::Document => {}
            NodeData::Doctype { name, .. } => writeln!(parsed.shape, "doctype {name}").unwrap(),
            NodeData::Text { contents } => parsed.text.push_str(&contents.borrow()),
            NodeData::Comment { contents } => parsed.mistakes.push(format!("a comment: {contents}")),
            NodeData::ProcessingInstruction { target, .. } => parsed.mistakes.push(format!("a {target}")),
            NodeData::Element { name, attrs, .. } => {
                let attributes = attrs.borrow();
                let attributes = attributes.iter().map(|a| format!(" {}={:?}", a.name.local, &*a.value));
                let line = format!("{}{}", name.local, attributes.collect::<String>());
                writeln!(parsed.shape, "{:depth$}{line}", "").unwrap();
            }
        }
        for child in node.children.borrow().iter() {
            walk(child, depth + 1, parsed);
        }
    }
    let document = parse_document(RcDom::default(), ParseOpts::default()).one(html);
    let mut parsed = Parsed::default();
    walk(&document.document, 0, &mut parsed);
    parsed.mistakes.extend(document.errors.borrow().iter().map(|error| error.to_string()));
    parsed
}

/// A picture as readers of XML take it.
fn picture(svg: &str) -> Parsed {
    let document = roxmltree::Document::parse(svg).unwrap_or_else(|error| panic!("{error}: {svg}"));
    let mut parsed = Parsed::default();
    for node in document.descendants() {
        if node.is_element() {
            let attributes = node.attributes().map(|a| format!(" {}={:?}", a.name(), a.value()));
            let line = format!("{}{}", node.tag_name().name(), attributes.collect::<String>());
            writeln!(parsed.shape, "{:depth$}{line}", "", depth = node.ancestors().count()).unwrap();
        } else if node.is_text() {
            parsed.text.push_str(node.text().unwrap_or_default());
        } else if node.is_comment() || node.is_pi() {
            parsed.mistakes.push(format!("{node:?}"));
        }
    }
    parsed
}

/// Holds what is called by hostile names against what is called by tame ones.
fn same(hostile: &Parsed, tame: &Parsed, names: &[&str]) {
    assert!(hostile.mistakes.is_empty(), "{:?}", hostile.mistakes);
    assert!(tame.mistakes.is_empty(), "{:?}", tame.mistakes);
    let differs = hostile.shape.lines().zip(tame.shape.lines()).find(|(a, b)| a != b);
    assert_eq!(differs, None);
    assert_eq!(hostile.shape.lines().count(), tame.shape.lines().count());
    assert!(hostile.shape.lines().count() > 10);
    for name in names {
        assert!(hostile.text.contains(&shown(name)), "{name} is not in the text");
    }
}

/// A drawing of a version of that name with a plate on each layer; each has a hole, and a text of its layer's name in
/// it.
fn drawing(version: &str, layers: &[&str]) -> String {
    let mut dxf =
        format!("0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\n{version}\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n");
    dxf.push_str("0\nSECTION\n2\nENTITIES\n");
    for (k, layer) in layers.iter().enumerate() {
        let x = 200.0 * k as f64;
        let corners = [(0.0, 0.0), (120.0, 4.0), (90.0, 66.0), (13.0, 40.0)].map(|(a, b)| (x + a, b));
        write!(dxf, "0\nLWPOLYLINE\n8\n{layer}\n70\n1\n").unwrap();
        corners.iter().for_each(|(x, y)| write!(dxf, "10\n{x}\n20\n{y}\n").unwrap());
        write!(dxf, "0\nCIRCLE\n8\n{layer}\n10\n{}\n20\n22\n40\n7\n", x + 70.0).unwrap();
        write!(dxf, "0\nTEXT\n8\n{layer}\n10\n{}\n20\n30\n40\n5\n1\n{layer}\n", x + 40.0).unwrap();
    }
    dxf + "0\nENDSEC\n0\nEOF\n"
}

/// Runs `tracearm sheet` and parses the page.
fn sheet(folder: &Folder, code: i32, arguments: &[&str]) -> Parsed {
    let fixed = ["sheet", "-o", "sheet.html", "--date", "2027-03-31", "--digits", "4"];
    let Run { code: found, err, .. } = folder.run(&[&fixed[..], arguments].concat());
    assert_eq!(found, code, "{arguments:?}: {err}");
    page(&folder.read("sheet.html"))
}

#[test]
fn layers_labels_drawings_and_options() {
    let tame = tame();
    let tame: Vec<&str> = tame.iter().map(String::as_str).collect();
    // No name of a file has a slash.
    let file = "A<img src=x onerror='alert(1)'>&lt;\"]]>.dxf";
    let version = "AC<b>1\"'&amp;";
    let folder =
        Folder::with(&[(file, &drawing(version, &HOSTILE)), ("tame.dxf", &drawing("ACtame", &tame))]);
    let option = "<script>alert(1)</script>\"'&amp;";
    for more in [&[][..], &["--per", "part"], &["--thickness", "10mm", "--density", "7850", "--units", "in"]]
    {
        // A name that no layer has is told of, and found again in the findings.
        let skip = |name: &'static str| [&["--skip", name], more].concat();
        let (hostile, tame) = (
            sheet(&folder, 1, &[&skip(option)[..], &[file]].concat()),
            sheet(&folder, 1, &[&skip("tame")[..], &["tame.dxf"]].concat()),
        );
        same(&hostile, &tame, &[&HOSTILE[..], &[file, option, version]].concat());
        let written = hostile.text.matches(&shown(HOSTILE[0])).count();
        assert!(written >= 4, "{written} times");
    }
}

#[test]
fn names_that_a_drawing_writes_as_codes() {
    let folder = Folder::with(&[
        ("codes.dxf", &drawing("AC1015", &["A0\\U+003Cscript\\U+003Ealert(1)\\U+0026lt;\\U+0022"])),
        ("tame.dxf", &drawing("AC1015", &["A0-tame"])),
    ]);
    let (hostile, tame) = (sheet(&folder, 0, &["codes.dxf"]), sheet(&folder, 0, &["tame.dxf"]));
    same(&hostile, &tame, &["A0<script>alert(1)&lt;\""]);
}

#[test]
fn sections_and_materials_of_jobs() {
    let folder = Folder::with(&[("plates.dxf", &drawing("AC1027", &["BEAM", "DECK"]))]);
    let job = |names: &[&str]| {
        let quoted = |text: &str| serde_json::to_string(text).unwrap();
        let (first, second) = (quoted(names[0]), quoted(&format!("{} too", names[0])));
        let mut job = format!("drawing = \"plates.dxf\"\nreference = {first}\n");
        for (material, modulus) in [(&first, 210_000), (&second, 33_000)] {
            write!(job, "[materials.{material}]\nmodulus = {modulus}\ndensity = 7850\n").unwrap();
        }
        for name in names {
            let name = quoted(name);
            write!(
                job,
                "[[section]]\nname = {name}\nsolid = [\"BEAM\", \"DECK\"]\nmaterial = {first}\n\
                 materials = {{ DECK = {second} }}\n"
            )
            .unwrap();
        }
        job
    };
    let tame = tame();
    // A name of a job is one line of letters.
    let hostile = &HOSTILE[..10];
    let tame: Vec<&str> = tame.iter().take(hostile.len()).map(String::as_str).collect();
    let file = "A<b onload=x>'\"&gt;.toml";
    folder.write(file, job(hostile));
    folder.write("tame.toml", job(&tame));
    let (hostile_page, tame_page) =
        (sheet(&folder, 0, &["--job", file]), sheet(&folder, 0, &["--job", "tame.toml"]));
    same(&hostile_page, &tame_page, &[hostile, &[file]].concat());
}

#[test]
fn pictures() {
    let tame = tame();
    let tame: Vec<&str> = tame.iter().map(String::as_str).collect();
    let folder = Folder::with(&[
        ("hostile.dxf", &drawing("AC1027", &HOSTILE)),
        ("tame.dxf", &drawing("AC1027", &tame)),
    ]);
    let parsed = |file: &str, section: &str| {
        let run = folder.run(&["sheet", file, "-o", "a.svg", "--section", section]);
        assert_eq!((run.code, run.err.as_str()), (0, ""), "{section}");
        let svg = folder.read("a.svg");
        // Within a page it is read as HTML is.
        (
            picture(&svg),
            page(&format!("<!DOCTYPE html><html><head><title>a</title></head><body>{svg}</body></html>")),
        )
    };
    for (hostile, tame) in HOSTILE.iter().zip(&tame) {
        let ((svg, within), (tame_svg, tame_within)) =
            (parsed("hostile.dxf", hostile), parsed("tame.dxf", tame));
        same(&svg, &tame_svg, &[hostile]);
        same(&within, &tame_within, &[hostile]);
    }
}
