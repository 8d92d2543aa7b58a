//! The command line: parse, call, print. Data goes to stdout, trouble to stderr.

mod allowance;
mod bend;
mod cone;
mod data;
mod face;
mod figures;
mod flatten;
mod job_file;
mod long_answer;
mod mesh_file;
mod open;
mod progress;
mod ring;
mod stop;
mod surface;
mod tube;
mod warp;
mod whole_files;

use crate::failure::{Failure, Kind};
use clap::{Parser, Subcommand};
use std::ffi::OsString;
use std::path::PathBuf;
use std::process::ExitCode;

/// Saves original bodywork: from measurements to price and packet.
#[derive(Debug, Parser)]
// --data before a command would else be taken for that of the app, and the command would work on another shop's data
#[command(name = "soundmetal", version, arg_required_else_help = false, args_conflicts_with_subcommands = true)]
struct Cli {
    #[command(flatten)]
    open: open::Open,
    #[command(subcommand)]
    command: Option<Command>,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Opens the local web app with the shop's data; the demo is made when there is none
    Open(open::Open),
    /// Whole job to packet: every paper and file that leaves with the piece
    Packet(job_file::Packet),
    /// Every figure of every stage with its working
    Plan(job_file::PlanOf),
    /// The quote with its ranges
    Price(job_file::PriceOf),
    /// The measure sheet: what the customer is asked to measure and photograph
    Ask(job_file::Ask),
    /// One straight bend
    Bend(bend::BendOf),
    /// Developed width and strain of one edge
    #[command(subcommand)]
    Allowance(allowance::Allowance),
    /// A round tube: its flat with mitre, saddle or flattened ends, and papers to wrap round it
    Tube(Box<tube::TubeOf>),
    /// The flat of a cone, a frustum, or a transition such as square to round
    Cone(Box<cone::ConeOf>),
    /// The flat blank of a double-curved skin, from a mesh of it
    Flatten(Box<flatten::Flatten>),
    /// A panel surface fitted to measured stations or points, with its reach
    Surface(Box<surface::Surface>),
    /// Buckling margin and warp of a weld plan, and the order of its tacks and runs
    Warp(Box<warp::Warp>),
    /// A flanged or stepped ring: one formed blank, and built up with seams
    Ring(Box<ring::RingOf>),
    /// JSON Schema of the job file
    Schema,
    /// Copies the shop's data, also while it is in use
    Backup(data::Backup),
    /// Puts a backup in the place of the shop's data, which is kept
    Restore(data::Restore),
    /// Writes one job of the shop as a job file
    Export(data::Export),
    /// Takes a job file into the shop's data
    Import(data::Import),
}

/// Where the shop's data lies.
#[derive(Debug, Clone, clap::Args)]
struct DataDir {
    /// Folder with the shop's data [default: this system's place for a program's data]
    #[arg(long, value_name = "DIR")]
    data: Option<PathBuf>,
}

impl DataDir {
    fn folder(&self) -> Result<store::DataFolder, Failure> {
        let root = self.data.clone().map_or_else(crate::shop_data::default_folder, Ok)?;
        Ok(store::DataFolder::new(root))
    }
}

/// Runs the program with its arguments; the first is its own name.
pub fn run(args: impl IntoIterator<Item = OsString>) -> ExitCode {
    let cli = match Cli::try_parse_from(args) {
        Ok(cli) => cli,
        Err(error) => {
            // Help and version are no trouble; they go to stdout with code 0.
            let _ = error.print();
            return if error.use_stderr() { ExitCode::from(2) } else { ExitCode::SUCCESS };
        }
    };
    let command = cli.command.unwrap_or(Command::Open(cli.open));
    match dispatch(command) {
        Ok(()) => ExitCode::SUCCESS,
        Err(failure) => {
            if failure.kind != Kind::Stopped {
                eprintln!("soundmetal: {failure}");
            }
            ExitCode::from(failure.exit_code())
        }
    }
}

fn dispatch(command: Command) -> Result<(), Failure> {
    match command {
        Command::Open(open) => open::run(&open),
        Command::Packet(packet) => job_file::packet(&packet),
        Command::Plan(plan) => job_file::plan(&plan),
        Command::Price(price) => job_file::price(&price),
        Command::Ask(ask) => job_file::ask(&ask),
        Command::Bend(bend) => bend::run(&bend),
        Command::Allowance(allowance) => allowance::run(&allowance),
        Command::Tube(tube) => tube::run(&tube),
        Command::Cone(cone) => cone::run(&cone),
        Command::Flatten(flatten) => flatten::run(&flatten),
        Command::Surface(surface) => surface::run(&surface),
        Command::Warp(warp) => warp::run(&warp),
        Command::Ring(ring) => ring::run(&ring),
        Command::Schema => figures::print(&figures::json_text(&job::schema())?),
        Command::Backup(backup) => data::backup(&backup),
        Command::Restore(restore) => data::restore(&restore),
        Command::Export(export) => data::export(&export),
        Command::Import(import) => data::import(&import),
    }
}
