//! The command line; all it does is hand over to the library.

fn main() -> std::process::ExitCode {
    swathlint::cli::run()
}
