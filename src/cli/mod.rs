//! The commands, one file each: each parses its arguments, calls the library and prints. No colour maths here.

mod camera;
mod chart;
mod check;
mod compare;
mod compare_packages;
mod compile;
mod compile_show;
mod completions;
mod console;
mod encodings;
mod exit;
mod explain;
mod exposure;
mod false_colour;
mod foreign;
mod handoff;
mod identify;
mod inspect;
mod layout;
mod light;
mod log;
mod man;
mod new;
mod package_place;
mod preview;
mod progress;
mod receive;
mod reports;
mod sheet;
mod show_file;
mod sketch;
mod still_input;
mod terminal_picture;
mod verdict;
mod verify;

use clap::{Parser, Subcommand};
use console::Console;
use std::process::ExitCode;

/// Designs, proves and hands over monitoring looks.
///
/// A recipe (a TOML file) declares a look; `compile` makes the LUT file that a monitor loads, reads it back and proves it.
#[derive(Parser)]
#[command(name = "lookwright", version, max_term_width = 100, after_help = AFTER_HELP)]
struct Cli {
    #[command(subcommand)]
    command: Command,

    /// One JSON document on stdout instead of text
    #[arg(long, global = true)]
    json: bool,

    /// Number of threads (default: all cores); the result is the same for any number
    #[arg(long, global = true, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1024))]
    threads: Option<u16>,

    /// When to colour the output
    #[arg(long, alias = "color", global = true, value_name = "WHEN", default_value = "auto")]
    colour: console::When,
}

const AFTER_HELP: &str = "\
Exit codes: 0 fine · 1 checked and out of tolerance · 2 bad input or usage · 3 could not read or write ·
            130 stopped by Ctrl-C

Start:  lookwright new my-look
        lookwright compile my-look/look.toml";

#[derive(Subcommand)]
enum Command {
    Chart(chart::Arguments),
    Check(check::Arguments),
    Compare(compare::Arguments),
    Compile(compile::Arguments),
    Completions(completions::Arguments),
    Encodings(encodings::Arguments),
    Explain(explain::Arguments),
    Exposure(exposure::Arguments),
    FalseColour(false_colour::Arguments),
    Handoff(handoff::Arguments),
    Identify(identify::Arguments),
    Light(light::Arguments),
    Log(log::Arguments),
    Man(man::Arguments),
    New(new::Arguments),
    Preview(preview::Arguments),
    Inspect(inspect::Arguments),
    Receive(receive::Arguments),
    Sheet(sheet::Arguments),
    Verify(verify::Arguments),
}

/// Runs the program.
pub fn run() -> ExitCode {
    let cli = Cli::parse();
    if let Some(threads) = cli.threads {
        // Fails only if a pool exists already, and none does before the first command.
        let _ = rayon::ThreadPoolBuilder::new().num_threads(usize::from(threads)).build_global();
    }
    let console = Console::new(cli.json, cli.colour);
    let result = match cli.command {
        Command::Chart(arguments) => chart::run(&arguments, &console),
        Command::Check(arguments) => check::run(&arguments, &console),
        Command::Compare(arguments) => compare::run(&arguments, &console),
        Command::Compile(arguments) => compile::run(&arguments, &console),
        Command::Completions(arguments) => completions::run(&arguments, &console),
        Command::Encodings(arguments) => encodings::run(&arguments, &console),
        Command::Explain(arguments) => explain::run(&arguments, &console),
        Command::Exposure(arguments) => exposure::run(&arguments, &console),
        Command::FalseColour(arguments) => false_colour::run(&arguments, &console),
        Command::Handoff(arguments) => handoff::run(&arguments, &console),
        Command::Identify(arguments) => identify::run(&arguments, &console),
        Command::Light(arguments) => light::run(&arguments, &console),
        Command::Log(arguments) => log::run(&arguments, &console),
        Command::Man(arguments) => man::run(&arguments, &console),
        Command::New(arguments) => new::run(&arguments, &console),
        Command::Preview(arguments) => preview::run(&arguments, &console),
        Command::Inspect(arguments) => inspect::run(&arguments, &console),
        Command::Receive(arguments) => receive::run(&arguments, &console),
        Command::Sheet(arguments) => sheet::run(&arguments, &console),
        Command::Verify(arguments) => verify::run(&arguments, &console),
    };
    exit::code(result, &console)
}
