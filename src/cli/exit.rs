//! How the program ends, as a shell sees it.

/// Nothing found at or above the threshold, nothing due, or a command done that finds nothing.
pub const EXIT_CLEAN: u8 = 0;

/// Something found at or above the threshold of `--fail-from`, or something due.
pub const EXIT_FINDINGS: u8 = 1;

/// Could not check: a wrong option, no records, a file that could not be read, a fault of the program.
pub const EXIT_COULD_NOT_CHECK: u8 = 2;
