//! Circles between files: each uses something of the other, by however many steps.

use super::names::{Defined, Naming};
use std::collections::{BTreeMap, BTreeSet};

/// Each file with those it uses, and a path by which it names something of them.
pub(crate) struct Graph<'a> {
    uses: BTreeMap<&'a str, BTreeMap<&'a str, &'a str>>,
}

impl<'a> Graph<'a> {
    pub(crate) fn of(namings: &'a [Naming]) -> Self {
        let mut uses: BTreeMap<&str, BTreeMap<&str, &str>> = BTreeMap::new();
        for Naming {
            from,
            path,
            defined,
        } in namings
        {
            if let Defined::In(file) = defined
                && file != from
            {
                uses.entry(from).or_default().entry(file).or_insert(path);
            }
        }
        Self { uses }
    }

    /// The files of each circle, as large as it can be drawn.
    pub(crate) fn circles(&self) -> Vec<BTreeSet<&'a str>> {
        let reached: BTreeMap<&str, BTreeSet<&str>> = self
            .uses
            .keys()
            .map(|file| (*file, self.reached(file)))
            .collect();
        let circle = |file: &str| -> BTreeSet<&'a str> {
            let back = |other: &&&str| reached.get(**other).is_some_and(|from| from.contains(file));
            reached[file].iter().filter(back).copied().collect()
        };
        let circles: BTreeSet<BTreeSet<&str>> = self.uses.keys().map(|file| circle(file)).collect();
        circles
            .into_iter()
            .filter(|files| !files.is_empty())
            .collect()
    }

    /// What holds a circle together: each file with another that it uses, and by which path.
    pub(crate) fn arrows(&self, circle: &BTreeSet<&str>) -> Vec<String> {
        let mut arrows = Vec::new();
        for file in circle {
            for (used, path) in &self.uses[file] {
                if circle.contains(used) {
                    arrows.push(format!("{file} uses {used}: {path}"));
                }
            }
        }
        arrows
    }

    fn reached(&self, file: &str) -> BTreeSet<&'a str> {
        let mut reached = BTreeSet::new();
        let mut ahead = vec![file];
        while let Some(file) = ahead.pop() {
            for used in self.uses.get(file).into_iter().flat_map(BTreeMap::keys) {
                if reached.insert(*used) {
                    ahead.push(used);
                }
            }
        }
        reached
    }
}

#[cfg(test)]
mod tests {
    use super::super::names::namings;
    use super::*;

    /// The circles of a crate of a few files, the files of each divided by blanks.
    fn circles(files: &[(&str, &str)]) -> Vec<String> {
        let files = files
            .iter()
            .map(|(file, text)| ((*file).to_owned(), (*text).to_owned()));
        let namings = namings(&files.collect());
        let circles = Graph::of(&namings).circles().into_iter();
        circles
            .map(|circle| Vec::from_iter(circle).join(" "))
            .collect()
    }

    #[test]
    fn a_line_that_declares_a_module_uses_nothing() {
        let files = [
            ("lib.rs", "mod a;"),
            ("a/mod.rs", "mod b; pub struct Below;"),
            ("a/b.rs", "pub struct Above(super::Below);"),
        ];
        assert!(circles(&files).is_empty());
    }

    #[test]
    fn a_circle_goes_by_however_many_files() {
        let files = [
            ("lib.rs", "mod a; mod b; mod c; mod apart;"),
            ("a.rs", "use crate::b::B; pub struct A(B);"),
            ("b.rs", "pub struct B(Vec<crate::c::C>);"),
            (
                "c.rs",
                "pub fn c() -> C { super::a::A::of(0) } pub struct C;",
            ),
            ("apart.rs", "use crate::a; fn apart(_: a::A) {}"),
        ];
        assert_eq!(circles(&files), ["a.rs b.rs c.rs"]);
    }

    #[test]
    fn a_module_whose_children_use_it_calls_none_of_them() {
        let called = [
            ("lib.rs", "mod a;"),
            (
                "a/mod.rs",
                "mod b; pub struct Below; fn call() { b::call() }",
            ),
            ("a/b.rs", "pub fn call() { super::Below; }"),
        ];
        assert_eq!(circles(&called), ["a/b.rs a/mod.rs"]);
        let exported = [
            ("lib.rs", "mod a;"),
            ("a/mod.rs", "mod b; pub use b::Above; pub struct Below;"),
            ("a/b.rs", "pub struct Above(super::Below);"),
        ];
        assert_eq!(circles(&exported), ["a/b.rs a/mod.rs"]);
    }

    #[test]
    fn a_circle_through_exports_is_found() {
        let lib = "mod a; mod b; pub use b::Inner as Outer; mod c { pub use crate::Outer; }";
        let files = [
            ("lib.rs", lib),
            (
                "a.rs",
                "pub struct A; impl A { fn of(_: crate::c::Outer) {} }",
            ),
            (
                "b.rs",
                "use crate::a::{self as first}; pub struct Inner(first::A);",
            ),
        ];
        assert_eq!(circles(&files), ["a.rs b.rs"]);
    }

    #[test]
    fn a_circle_through_globs_is_found() {
        let files = [
            ("lib.rs", "mod a; mod b; pub use b::*;"),
            ("a.rs", "pub struct A(crate::B);"),
            ("b.rs", "pub struct B; fn b() { use super::a::*; A; }"),
        ];
        assert_eq!(circles(&files), ["a.rs b.rs"]);
        let exported = [
            ("lib.rs", "mod a;"),
            ("a/mod.rs", "mod b; pub use b::*; pub struct Below;"),
            ("a/b.rs", "pub struct Above(super::Below);"),
        ];
        assert_eq!(circles(&exported), ["a/b.rs a/mod.rs"]);
    }

    #[test]
    fn a_path_in_a_macro_or_an_attribute_uses_what_it_names() {
        let files = [
            ("lib.rs", "mod a; mod b; mod c;"),
            (
                "a.rs",
                "pub const A: u8 = 1; fn a() { println!(\"{}\", [crate::b::text()]); }",
            ),
            (
                "b.rs",
                "pub fn text() {} #[given(value = crate::c::read)] struct B;",
            ),
            (
                "c.rs",
                "use crate::*; pub fn read() { assert!(matches!(1, a::A)) }",
            ),
        ];
        assert_eq!(circles(&files), ["a.rs b.rs c.rs"]);
    }

    #[test]
    fn a_function_of_a_type_is_found_in_the_file_it_stands_in() {
        let files = [
            ("lib.rs", "mod a; mod b;"),
            (
                "a.rs",
                "pub enum A { One } impl A { fn a() -> A { Self::b(); A::One } }",
            ),
            ("b.rs", "use crate::a::A; impl A { pub fn b() {} }"),
        ];
        assert_eq!(circles(&files), ["a.rs b.rs"]);
    }

    #[test]
    fn a_function_named_like_its_module_is_no_part_of_a_path() {
        let files = [
            ("lib.rs", "mod check; mod report; pub use check::check;"),
            (
                "check/mod.rs",
                "pub mod part; use crate::report::report; pub fn check() { report() }",
            ),
            ("check/part.rs", "pub fn part() {}"),
            (
                "report.rs",
                "pub fn report() { crate::check::part::part() }",
            ),
        ];
        assert!(circles(&files).is_empty());
        let mut called = files;
        called[3].1 = "pub fn report() { crate::check() }";
        assert_eq!(circles(&called), ["check/mod.rs report.rs"]);
    }

    #[test]
    #[should_panic(expected = "crate::b::Gone in a.rs leads nowhere")]
    fn no_path_of_the_crate_is_passed_over() {
        circles(&[
            ("lib.rs", "mod a; mod b;"),
            ("a.rs", "fn a() -> crate::b::Gone {}"),
            ("b.rs", ""),
        ]);
    }

    #[test]
    #[should_panic(expected = "no `mod` line leads to b.rs")]
    fn no_file_is_passed_over() {
        circles(&[("lib.rs", "mod a;"), ("a.rs", ""), ("b.rs", "")]);
    }
}
