//! Which drawings of two schedules are the same, where the schedules were written from different folders.

use std::collections::{HashMap, HashSet};

/// Folders that are left aside at the most, beyond those that all drawings share: no path is nested deeper in earnest,
/// and each costs a look at every drawing.
const DEEPEST: usize = 32;

/// The drawings of two schedules with numbers that are the same for the same drawing.
pub(super) struct Matched {
    /// For each drawing of the former schedule.
    pub before: Vec<usize>,
    /// For each drawing of the later one.
    pub after: Vec<usize>,
    /// The folders at the beginning of all paths that were left aside, of the former and of the later schedule; `None`
    /// where paths were taken as they stand.
    pub aside: Option<[String; 2]>,
}

/// Tells which drawings are the same: those with the same path. Where no path stands in both schedules, folders that
/// all paths of a schedule begin with are left aside: the fewest with which the most drawings are the same.
pub(super) fn matched(before: &[String], after: &[String]) -> Matched {
    let (before, after) = (Paths::of(before), Paths::of(after));
    let (mut best, mut aside) = (same(&before, &after, 0, 0), [0, 0]);
    if best == 0 {
        let all = before.known().min(after.known());
        // With one folder less on both sides the same drawings are the same, if the folder has the same name, or none.
        // So it is enough to leave aside all shared folders of one schedule, and any number of the other's.
        let [b, a] = [before.folders.len(), after.folders.len()];
        let mut tried: Vec<[usize; 2]> = (a.saturating_sub(DEEPEST)..=a).map(|a| [b, a]).collect();
        tried.extend((b.saturating_sub(DEEPEST)..b).map(|b| [b, a]));
        tried.sort_by_key(|[b, a]| b + a);
        for [b, a] in tried {
            if best < all {
                let count = same(&before, &after, b, a);
                if count > best {
                    (best, aside) = (count, [b, a]);
                }
            }
        }
    }
    let [b, a] = aside;
    let mut numbers = HashMap::new();
    let mut number = |path| {
        let next = numbers.len();
        *numbers.entry(path).or_insert(next)
    };
    Matched {
        before: before.without(b).map(&mut number).collect(),
        after: after.without(a).map(&mut number).collect(),
        aside: (aside != [0, 0]).then(|| [before.folder(b).to_owned(), after.folder(a).to_owned()]),
    }
}

/// How many drawings are the same with so many folders left aside.
fn same(before: &Paths, after: &Paths, before_aside: usize, after_aside: usize) -> usize {
    let known: HashSet<&str> = before.without(before_aside).filter(|path| !path.is_empty()).collect();
    after.without(after_aside).collect::<HashSet<&str>>().intersection(&known).count()
}

/// Paths in one way of writing: `/` between their parts, without parts that say nothing.
struct Paths {
    paths: Vec<String>,
    /// Where each of the folders that all of them begin with ends, with its slash.
    folders: Vec<usize>,
}

impl Paths {
    fn of(drawings: &[String]) -> Paths {
        let paths: Vec<String> = drawings.iter().map(|path| plain(path)).collect();
        let mut known = paths.iter().filter(|path| !path.is_empty());
        let first = known.next().map_or("", String::as_str);
        let mut folders: Vec<usize> = first.match_indices('/').map(|(at, _)| at + 1).collect();
        for path in known {
            let alike = first.bytes().zip(path.bytes()).take_while(|(a, b)| a == b).count();
            folders.truncate(folders.partition_point(|end| *end <= alike));
        }
        Paths { paths, folders }
    }

    /// How many drawings have a path.
    fn known(&self) -> usize {
        self.paths.iter().filter(|path| !path.is_empty()).count()
    }

    /// Where the first so many shared folders end.
    fn end(&self, folders: usize) -> usize {
        folders.checked_sub(1).and_then(|last| self.folders.get(last)).copied().unwrap_or(0)
    }

    /// The first so many shared folders.
    fn folder(&self, folders: usize) -> &str {
        let first = self.paths.iter().find(|path| !path.is_empty());
        first.and_then(|path| path.get(..self.end(folders))).unwrap_or_default()
    }

    /// The paths without the first so many shared folders.
    fn without(&self, folders: usize) -> impl Iterator<Item = &str> {
        let end = self.end(folders);
        self.paths.iter().map(move |path| path.get(end..).unwrap_or_default())
    }
}

/// A path with `/` for both kinds of slash, without `.` and double slashes; what begins with a slash still does.
fn plain(path: &str) -> String {
    let rooted = path.starts_with(['/', '\\']);
    let parts = path.split(['/', '\\']).filter(|part| !part.is_empty() && *part != ".");
    let mut plain = String::with_capacity(path.len());
    for (at, part) in parts.enumerate() {
        if at > 0 || rooted {
            plain.push('/');
        }
        plain.push_str(part);
    }
    plain
}

#[cfg(test)]
mod tests {
    use super::*;

    /// For each drawing of the former schedule which of the later one it is, and what was left aside.
    fn pairs(before: &[&str], after: &[&str]) -> (Vec<Option<usize>>, Option<[String; 2]>) {
        let owned = |paths: &[&str]| -> Vec<String> { paths.iter().map(|path| (*path).to_owned()).collect() };
        let matched = matched(&owned(before), &owned(after));
        let of = |number: &usize| matched.after.iter().position(|other| other == number);
        (matched.before.iter().map(of).collect(), matched.aside)
    }

    fn aside(before: &str, after: &str) -> Option<[String; 2]> {
        Some([before.to_owned(), after.to_owned()])
    }

    #[test]
    fn paths_as_they_stand() {
        let before = ["lib/frames/a.dxf", "lib/frames/b.dxf"];
        // A drawing in another folder changes what all share; the paths still are the same.
        let after = ["lib\\plates\\c.dxf", "./lib//frames/a.dxf"];
        assert_eq!(pairs(&before, &after), (vec![Some(1), None], None));
        assert_eq!(pairs(&["", "a.dxf"], &["a.dxf", ""]), (vec![Some(1), Some(0)], None));
    }

    #[test]
    fn other_working_folders() {
        let before = ["lib/a.dxf", "lib/b.dxf"];
        assert_eq!(
            pairs(&before, &["/srv/lib/b.dxf", "/srv/lib/a.dxf"]),
            (vec![Some(1), Some(0)], aside("lib/", "/srv/lib/"))
        );
        assert_eq!(pairs(&["a.dxf", "b.dxf"], &["/a.dxf"]), (vec![Some(0), None], aside("", "/")));
        assert_eq!(pairs(&["old/a.dxf"], &["new/a.dxf"]), (vec![Some(0)], aside("old/", "new/")));
        // What all share differs by more than where they lie.
        let before = ["p/a/x.dxf", "p/b/x.dxf", "p/b/y.dxf"];
        assert_eq!(
            pairs(&before, &["q/b/x.dxf", "q/b/y.dxf"]),
            (vec![None, Some(0), Some(1)], aside("p/", "q/"))
        );
        assert_eq!(pairs(&["q/r/b/x.dxf"], &before), (vec![Some(1)], aside("q/r/", "p/")));
    }

    #[test]
    fn folders_of_half_a_name_are_none() {
        assert_eq!(
            pairs(&["lib1/a.dxf", "lib2/a.dxf"], &["w/lib1/a.dxf", "w/lib2/a.dxf"]),
            (vec![Some(0), Some(1)], aside("", "w/"))
        );
        assert_eq!(pairs(&["größe/a.dxf", "größer/b.dxf"], &["c.dxf"]), (vec![None, None], None));
    }

    #[test]
    fn deep_paths() {
        let deep = "a/".repeat(20_000);
        let (before, after) = (format!("{deep}x.dxf"), format!("{deep}b/x.dxf"));
        assert_eq!(pairs(&[&before], &[&after]).0, [Some(0)]);
    }
}
