//! Repositories around the one that the records lie in, and whether they have it as their submodule.
//!
//! A change of an outer one could put a repository in the place of the records, or move a submodule to other commits, and
//! so choose what the records are compared with. Each is held against the one right around it.

use crate::cli::failure::CannotCompare;
use crate::cli::git::entry::{Entry, EntryKind};
use crate::cli::git::repository::Repository;

/// What a repository keeps where another one lies.
#[derive(Debug, PartialEq, Eq)]
enum Kept {
    Nothing,
    /// A file, a link or a folder of its own.
    Files,
    /// A submodule at a commit.
    Submodule(String),
}

/// Refuses a repository that one around it does not have as its submodule in the same place, then and now.
///
/// One that no outer repository keeps anything of is nobody's submodule, and its own.
pub(crate) fn refuse_strangers(inner: &Repository, revision: &str) -> Result<(), CannotCompare> {
    let Some(outer) = inner.around()? else {
        return Ok(());
    };
    let now = kept(&outer, "HEAD")?;
    // A name of two things out there is as good as none, as long as nothing is kept.
    let named = match outer.commit(revision) {
        Err(CannotCompare::Ambiguous { .. }) => None,
        named => named?,
    };
    let keeps_nothing = now == Kept::Nothing
        && match &named {
            Some(named) => kept(&outer, named)? == Kept::Nothing,
            None => true,
        }
        && !has_staged(&outer)?;
    if !keeps_nothing {
        let is_known = match outer.commit(revision)? {
            Some(_) => is_known_then(inner, &outer, revision, &now)?,
            None => is_known_by_itself(inner, revision, &now)?,
        };
        if !is_known {
            return Err(CannotCompare::Stranger {
                inner: inner.git.top().to_owned(),
                outer: outer.git.top().to_owned(),
            });
        }
    }
    refuse_strangers(&outer, revision)
}

/// Whether the outer one had the inner as its submodule at its own base of the comparison, and has it now.
fn is_known_then(
    inner: &Repository,
    outer: &Repository,
    revision: &str,
    now: &Kept,
) -> Result<bool, CannotCompare> {
    match (kept(outer, &outer.merge_base(revision)?)?, now) {
        (Kept::Submodule(then), Kept::Submodule(now)) => {
            // What the outer one moves is compared with where that moved it from.
            if then == *now || inner.merge_base(revision).as_ref() == Ok(&then) {
                return Ok(true);
            }
            Err(CannotCompare::PointerMoved {
                inner: inner.git.top().to_owned(),
                then,
            })
        }
        (_, _) => Ok(false),
    }
}

/// Whether a commit that only the inner one knows is named so that nothing else can be meant, and lies behind what is
/// checked out.
fn is_known_by_itself(
    inner: &Repository,
    revision: &str,
    now: &Kept,
) -> Result<bool, CannotCompare> {
    let is_submodule = matches!(now, Kept::Submodule(_));
    let is_whole_name = inner.commit(revision)?.as_deref() == Some(revision);
    if is_submodule && !is_whole_name {
        return Err(CannotCompare::UnknownOutside {
            revision: revision.to_owned(),
            inner: inner.git.top().to_owned(),
        });
    }
    Ok(is_submodule && inner.merge_base(revision)? == revision)
}

/// What a commit of the outer one keeps in the place of the inner.
fn kept(outer: &Repository, commit: &str) -> Result<Kept, CannotCompare> {
    let Some(commit) = outer.commit(commit)? else {
        return Ok(Kept::Nothing);
    };
    let question = ["ls-tree", "-z", "--full-tree", &commit, "--", &outer.below];
    let told = outer.git.tell(DOING, &question)?;
    let entry = told
        .split(|byte| *byte == 0)
        .find(|entry| !entry.is_empty());
    Ok(match entry.map(Entry::of_tree) {
        None => Kept::Nothing,
        Some(Some((entry, _))) if entry.kind == EntryKind::Submodule => {
            Kept::Submodule(entry.object)
        }
        Some(_) => Kept::Files,
    })
}

fn has_staged(outer: &Repository) -> Result<bool, CannotCompare> {
    let told = outer
        .git
        .tell(DOING, &["ls-files", "-z", "--", &outer.below])?;
    Ok(!told.is_empty())
}

const DOING: &str = "look at what is around the records";
