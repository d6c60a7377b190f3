//! The program: reads what was typed, calls the library, says what came out.

mod args;
mod commands;
mod failure;
mod guard;
mod interrupt;
mod job;
mod progress;
mod render;
mod resolve;
mod screen;
mod size;

use args::{Cli, Command};
use clap::Parser;
use std::process::ExitCode;

fn main() -> ExitCode {
    let cli = Cli::parse();
    interrupt::watch();
    let result = guard::guarded(|| match &cli.command {
        Command::Assess(args) => commands::assess(args),
        Command::Screen(args) => screen::screen(args),
        Command::Inspect(args) => commands::inspect(args),
        Command::Demo(args) => commands::demo(args),
        Command::Size(args) => size::size(args),
        Command::Completions { shell } => commands::completions(*shell),
        Command::Man => commands::man(),
    });
    match result {
        Ok(()) => ExitCode::SUCCESS,
        Err(failure) => {
            interrupt::give_way();
            render::failure(&failure);
            ExitCode::from(failure.class.status())
        }
    }
}
