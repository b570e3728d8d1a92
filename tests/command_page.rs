//! `tracearm page`: the page for browsers, from a program that has it and from one that has not.

use crate::run::Folder;

#[test]
fn a_page_is_html() {
    let folder = Folder::with(&[("letter.txt", "Dear Sirs")]);
    let run = folder.run(&["page", "-o", "letter.txt"]);
    assert_eq!((run.code, run.out.as_str()), (2, ""));
    assert!(run.err.contains("letter.txt must end in .html"), "{}", run.err);
    assert_eq!(folder.read("letter.txt"), "Dear Sirs");
    assert_eq!(folder.run(&["page"]).code, 2);
}

#[test]
#[cfg(not(feature = "page"))]
fn a_program_without_the_page_says_where_to_read() {
    let folder = Folder::with(&[("tracearm.html", "an older one")]);
    let run = folder.run(&["page", "-o", "tracearm.html"]);
    assert_eq!((run.code, run.out.as_str()), (2, ""));
    assert!(run.err.contains("was built without the page: docs/page.md"), "{}", run.err);
    assert_eq!(folder.read("tracearm.html"), "an older one");
}

#[test]
#[cfg(feature = "page")]
fn a_program_with_the_page_writes_it() {
    let folder = Folder::with(&[]);
    let run = folder.run(&["page", "-o", "tracearm.HTML"]);
    assert_eq!((run.code, run.out.as_str(), run.err.as_str()), (0, "", ""));
    assert!(folder.read("tracearm.HTML") == include_str!(env!("TRACEARM_PAGE")), "another page");
}
