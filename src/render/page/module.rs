//! The judge as a WebAssembly module that a page carries: packed, and beside it what unpacks it.

use std::fmt;

/// What a page carries to judge by.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Module {
    /// A WebAssembly module that unpacks the other (`page/unpacker`).
    pub unpacker: &'static [u8],
    /// The module that judges, as a file `.lzma` that tells its size.
    pub packed: &'static [u8],
}

/// Why there is no module to put into a page.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoModule {
    /// The program was built without one.
    NotThere,
    /// It was made of other sources than the program, so that the two might judge differently.
    OfOtherSources,
}

impl fmt::Display for NoModule {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(match self {
            Self::NotThere => "this program was built without the part that judges in a page",
            Self::OfOtherSources => {
                "the part that judges in a page was built of other sources than this program"
            }
        })
    }
}

impl NoModule {
    /// What to do about it.
    pub const fn help(self) -> &'static str {
        match self {
            Self::NotThere => {
                "take a program of a release; or in its sources run `page/build`, then `cargo build --release`"
            }
            Self::OfOtherSources => {
                "in the sources of the program run `page/build`, then `cargo build --release`"
            }
        }
    }
}

/// What `page/build` has left: the hash of what the module was made of, and the module.
const BUILT: Option<(&str, Module)> = include!(concat!(env!("OUT_DIR"), "/module.rs"));

/// The module that judges as this program does.
///
/// # Errors
///
/// Where the program was built without one, or with one of other sources.
pub fn module() -> Result<Module, NoModule> {
    fitting(BUILT, env!("SWATHLINT_SOURCES"))
}

fn fitting(built: Option<(&str, Module)>, sources: &str) -> Result<Module, NoModule> {
    match built {
        None => Err(NoModule::NotThere),
        Some((made_of, _)) if made_of != sources => Err(NoModule::OfOtherSources),
        Some((_, module)) => Ok(module),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_a_module_of_the_same_sources_fits() {
        let module = Module {
            unpacker: b"unpacker",
            packed: b"packed",
        };
        assert_eq!(fitting(None, "ab"), Err(NoModule::NotThere));
        assert_eq!(
            fitting(Some(("ac", module)), "ab"),
            Err(NoModule::OfOtherSources)
        );
        assert_eq!(fitting(Some(("ab", module)), "ab"), Ok(module));
    }

    /// Where a module is built in, it tells a size that its unpacker takes, or it is told that it does not fit.
    #[test]
    fn what_is_built_in_is_packed() {
        if let Ok(Module { unpacker, packed }) = module() {
            assert!(unpacker.starts_with(b"\0asm"));
            let size = packed.get(5..13).map(|size| size.try_into().unwrap());
            let size = u64::from_le_bytes(size.expect("a whole header"));
            assert!(size > packed.len() as u64 && size <= 32 << 20, "{size}");
        }
    }
}
