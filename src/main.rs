//! The command `fallmark`.

fn main() -> std::process::ExitCode {
    fallmark::cli::run(std::env::args_os())
}
