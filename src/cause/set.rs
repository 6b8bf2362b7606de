//! The causes of one run: our own, and a group's that replace or join them.

use super::content::Cause;
use super::file::{self, load};
use std::collections::BTreeMap;
use std::sync::OnceLock;

/// Our own files of causes: name and text, listed by the build script.
static CAUSES: &[(&str, &str)] = include!(concat!(env!("OUT_DIR"), "/causes.rs"));

/// The causes of one run, sorted by name.
#[derive(Clone, Debug)]
pub struct CauseSet {
    causes: Vec<Cause>,
}

impl CauseSet {
    /// Our own causes, read once.
    ///
    /// # Panics
    /// Where an embedded file is wrong, which `tests/fast/causes.rs` rules out.
    pub fn built_in() -> &'static Self {
        static BUILT_IN: OnceLock<CauseSet> = OnceLock::new();
        BUILT_IN.get_or_init(|| {
            let causes = CAUSES.iter().map(|(_, text)| {
                let loaded = load(file::EMBEDDED, text);
                loaded
                    .cause
                    .expect("embedded causes are checked by tests/fast/causes.rs")
            });
            Self::of(causes.collect())
        })
    }

    /// A set of these causes; a later one replaces an earlier one of the same name.
    pub fn of(causes: Vec<Cause>) -> Self {
        let by_id: BTreeMap<String, Cause> = causes
            .into_iter()
            .map(|cause| (cause.id.clone(), cause))
            .collect();
        Self {
            causes: by_id.into_values().collect(),
        }
    }

    /// The same with a group's own causes, which replace ours of the same name.
    #[must_use]
    pub fn with(&self, own: Vec<Cause>) -> Self {
        Self::of(self.causes.iter().cloned().chain(own).collect())
    }

    /// The causes, sorted by name.
    pub fn causes(&self) -> &[Cause] {
        &self.causes
    }

    /// The cause with a name, and its place in the set.
    pub fn find(&self, id: &str) -> Option<(usize, &Cause)> {
        let mut all = self.causes.iter().enumerate();
        all.find(|(_, cause)| cause.id == id)
    }

    /// The reading that parts two causes, whichever of their files has it.
    pub fn told_apart(&self, one: &str, other: &str) -> Option<&str> {
        let text = |of: &str, from: &str| {
            let (_, cause) = self.find(of)?;
            cause.told_apart.get(from).map(String::as_str)
        };
        text(one, other).or_else(|| text(other, one))
    }

    /// The texts of our own files of causes, by file name.
    pub fn built_in_texts() -> &'static [(&'static str, &'static str)] {
        CAUSES
    }
}
