//! The command line, native only: the same core as the page, with files in and files or words out.

mod body;
mod book;
mod change;
mod check;
mod choice;
mod compare;
mod draw;
mod failure;
mod felt;
mod fit;
mod inputs;
mod list;
mod order;
mod output;
mod people;
mod run;
mod schema;
mod sure;

use std::process::ExitCode;

use clap::{Parser, Subcommand};

use failure::{DONE, EXIT_CODES, Failure};

/// Fits a rider to the cockpit of a stand-up/sit-down snow race sled: riser, bar roll, stirrups, seat, levers.
///
/// What it prints is a starting point, not medical advice. The maker's manual, the sanctioning body's rules and local
/// law come first.
#[derive(Parser, Debug)]
#[command(name = "sledstance", version, after_help = EXIT_CODES, after_long_help = EXIT_CODES)]
struct Line {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand, Debug)]
enum Command {
    /// Search the settings that suit a rider on a sled, and print them as a work order.
    #[command(after_help = EXIT_CODES)]
    Fit(fit::FitArgs),
    /// Evaluate settings as they are instead of searching.
    #[command(after_help = EXIT_CODES)]
    Pose(fit::PoseArgs),
    /// Draw a set-up to scale from the side, its hold envelope, or a card to print, as SVG.
    #[command(after_help = EXIT_CODES)]
    Draw(draw::DrawArgs),
    /// Say what to change next for what a rider felt: every single step that the sled allows, tried and ranked.
    #[command(after_help = EXIT_CODES)]
    Felt(felt::FeltArgs),
    /// Hold a recorded run against what the rider can resist: time outside, the hardest moments, what would have held them.
    #[command(after_help = EXIT_CODES)]
    Run(Box<run::RunArgs>),
    /// Say which columns a recorded run has, what they are taken for, and keep that for the next run.
    #[command(after_help = EXIT_CODES)]
    Columns(run::ColumnsArgs),
    /// Set two to four options beside each other: what differs, how sure that is, and what is traded for what.
    #[command(after_help = EXIT_CODES)]
    Compare(Box<compare::CompareArgs>),
    /// Fit every row of a table of people; can be stopped and taken up again.
    #[command(after_help = EXIT_CODES)]
    People(people::PeopleArgs),
    /// The mechanic's book in files: show, merge, check, card, part, move, add.
    #[command(after_help = EXIT_CODES)]
    Book(book::BookArgs),
    /// Check documents (riders, sleds, stances, books) and point at what is wrong by file, line and column.
    #[command(after_help = EXIT_CODES)]
    Check(check::CheckArgs),
    /// Print the JSON Schema of a kind of document.
    #[command(after_help = EXIT_CODES)]
    Schema(schema::SchemaArgs),
}

/// Runs the command line of this process.
pub fn main() -> ExitCode {
    let line = match Line::try_parse() {
        Ok(line) => line,
        // Help and version are answers and end with 0; a wrong option ends with 2, as any wrong input.
        Err(error) => error.exit(),
    };
    match run(&line.command) {
        Ok(code) => ExitCode::from(code),
        Err(failure) => {
            eprintln!("sledstance: {failure}");
            failure.exit_code()
        }
    }
}

fn run(command: &Command) -> Result<u8, Failure> {
    match command {
        Command::Fit(args) => fit::fit(args),
        Command::Pose(args) => fit::pose(args),
        Command::Draw(args) => draw::run(args),
        Command::Felt(args) => felt::run(args),
        Command::Run(args) => run::run(args),
        Command::Columns(args) => run::look(args).map(|()| DONE),
        Command::Compare(args) => compare::run(args),
        Command::People(args) => people::run(args).map(|()| DONE),
        Command::Book(args) => book::run(args).map(|()| DONE),
        Command::Check(args) => check::run(args).map(|()| DONE),
        Command::Schema(args) => schema::run(args).map(|()| DONE),
    }
}
