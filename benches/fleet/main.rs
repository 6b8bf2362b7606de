//! Measures a check of a generated fleet against reading the same files and draining the parser's events.
//!
//! `cargo bench --bench fleet -- --help` tells what can be measured. All numbers of one table come from one run on the
//! same files with the same settings; what is compared is measured in turn, so that a busy computer slows all of it.
#![expect(
    clippy::disallowed_methods,
    clippy::print_stdout,
    reason = "a benchmark reads the clock and the disk and tells what it measured"
)]

mod compared;
mod generator;
mod growth;
mod heavy;
mod latency;

use clap::{Parser, ValueEnum};
use generator::{Generated, Size};
use rayon::prelude::*;
use std::fs;
use std::hint::black_box;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};
use swathlint::cli::files::{self, Records};
use swathlint::render::{self, FIGURE_FORMATS, Look};
use swathlint::source::FileId;
use swathlint::{Settings, yaml};

/// The budget of a check, as a multiple of reading and draining the events.
const MOST_TIMES: f64 = 2.0;

/// The budget of a check from a cold start, in milliseconds of processor time.
const MOST_TO_START: f64 = 20.0;

/// Measures how fast a generated fleet is checked
#[derive(Parser)]
#[command(name = "cargo bench --bench fleet --")]
struct Arguments {
    /// What to measure
    #[arg(long, default_value = "ratio")]
    shape: Shape,
    /// How many calibrations, service records and applications to generate, about
    #[arg(long, default_value_t = 10_000)]
    records: usize,
    /// How many applications follow a calibration
    #[arg(long, default_value_t = 2)]
    applications: usize,
    /// After how many calibrations a machine is worked on; 0 for never
    #[arg(long, default_value_t = 10)]
    service_after: usize,
    /// How many machines they are of
    #[arg(long, default_value_t = 50, value_parser = clap::builder::RangedU64ValueParser::<usize>::new().range(1..))]
    machines: usize,
    /// How many of a hundred calibrations are faulty
    #[arg(long, default_value_t = 5)]
    faulty: u64,
    /// What makes the fleet another one
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// Write the fleet to this folder and leave it there, instead of to one that is removed
    #[arg(long)]
    folder: Option<PathBuf>,
    /// How often to measure; the best and the median are told
    #[arg(long, default_value_t = 5, value_parser = clap::value_parser!(u32).range(1..))]
    rounds: u32,
    /// Only axes whose names have this in them, for `--shape growth`
    #[arg(long, default_value = "")]
    axis: String,
    /// So many times more of everything, for `--shape growth`
    #[arg(long, default_value_t = 2)]
    larger: usize,
    /// Do one thing with the records of a folder once and tell time and memory, for `--shape scaling`
    #[arg(long, hide = true)]
    once: Option<PathBuf>,
    /// What is done
    #[arg(long, hide = true, default_value = "check")]
    job: Job,
    /// Given by the build tool
    #[arg(long, hide = true)]
    bench: bool,
}

/// What is done with a fleet in a process of its own.
#[derive(Clone, Copy, PartialEq, ValueEnum)]
enum Job {
    Check,
    Csv,
    Jsonl,
}

#[derive(Clone, Copy, PartialEq, ValueEnum)]
enum Shape {
    /// A check against reading the files and draining the parser's events, with one thread and two
    Ratio,
    /// Time a record and peak memory, from 1,000 records to ten times those asked for
    Scaling,
    /// Processor time of the program on a fleet of one machine and one record
    Start,
    /// The command with --compared-with, one record changed, against the command without
    Compared,
    /// Records, booms and histories far larger than any, each at half its size and in full
    Heavy,
    /// Every command on fleets that grow along one axis each: time at n, 2n and 4n, and output
    Growth,
    /// From a changed record to what is true of its machine, in a fleet held in memory
    Latency,
}

fn main() {
    let arguments = Arguments::parse();
    if let Some(folder) = &arguments.once {
        return once(folder, arguments.job);
    }
    match arguments.shape {
        Shape::Ratio => ratio(&arguments),
        Shape::Scaling => scaling(&arguments),
        Shape::Start => start(arguments.rounds),
        Shape::Compared => compared(&arguments),
        Shape::Heavy => heavy(),
        Shape::Growth => growth(&arguments),
        Shape::Latency => {
            let size = Size {
                machines: arguments.machines,
                ..arguments.size(arguments.records)
            };
            latency::measure(&size, arguments.rounds);
        }
    }
}

impl Arguments {
    /// A fleet of about so many records; all of one machine, until it is said of how many.
    fn size(&self, records: usize) -> Size {
        let works = records
            / self
                .service_after
                .max(1)
                .saturating_mul(1 + self.applications);
        let works = if self.service_after == 0 { 0 } else { works };
        Size {
            calibrations: records
                .saturating_sub(works)
                .div_ceil(1 + self.applications),
            applications: self.applications,
            service_after: self.service_after,
            machines: 1,
            faulty: self.faulty,
            seed: self.seed,
        }
    }
}

/// A fleet on the disk, which is removed in the end unless it was asked for.
struct Fleet {
    root: PathBuf,
    generated: Generated,
    _removed: Option<tempfile::TempDir>,
}

impl Fleet {
    fn new(size: &Size, folder: Option<&Path>) -> Self {
        let removed = folder
            .is_none()
            .then(|| tempfile::tempdir().expect("there is room for a folder"));
        let root = folder
            .or(removed.as_ref().map(tempfile::TempDir::path))
            .expect("one of both is there")
            .to_owned();
        let generated = generator::generate(size, |path, text| write(&root, path, text));
        Self {
            root,
            generated,
            _removed: removed,
        }
    }
}

fn write(root: &Path, path: &str, text: &str) {
    let path = root.join(path);
    fs::create_dir_all(path.parent().expect("a file has a folder")).expect("the folder is ours");
    fs::write(path, text).expect("the folder is ours");
}

fn ratio(arguments: &Arguments) {
    let size = Size {
        machines: arguments.machines,
        ..arguments.size(arguments.records)
    };
    let fleet = Fleet::new(&size, arguments.folder.as_deref());
    println!(
        "{} records of {} machines, {} of the {} calibrations faulty, {:.1} MB, seed {}",
        fleet.generated.records,
        size.machines,
        fleet.generated.faulty.len(),
        size.calibrations,
        megabytes(fleet.generated.bytes),
        size.seed,
    );
    let records = find(&fleet.root);
    for threads in [1, 2] {
        in_threads(threads, || {
            let (mut read, mut drained, mut checked) = (Vec::new(), Vec::new(), Vec::new());
            for _ in 0..arguments.rounds {
                read.push(time(|| read_all(&records)).1);
                drained.push(time(|| drain_all(&records)).1);
                checked.push(time(|| check_all(&fleet.root)).1);
            }
            println!("\n{threads} thread(s)                 best    median");
            for (what, times) in [
                ("read", &mut read),
                ("read + events", &mut drained),
                ("check with output", &mut checked),
            ] {
                times.sort();
                println!(
                    "  {what:20} {:8.1}  {:8.1} ms",
                    milliseconds(times[0]),
                    milliseconds(median(times))
                );
            }
            println!(
                "  {:20} {:8.2}  {:8.2}    of at most {MOST_TIMES}",
                "check / (read + events)",
                milliseconds(checked[0]) / milliseconds(drained[0]),
                milliseconds(median(&checked)) / milliseconds(median(&drained)),
            );
        });
    }
}

fn compared(arguments: &Arguments) {
    let size = Size {
        machines: arguments.machines,
        ..arguments.size(arguments.records)
    };
    let fleet = Fleet::new(&size, None);
    let records = find(&fleet.root);
    let mut paths = records.listing.paths.iter();
    let changed = paths.find(|path| path.starts_with("calibrations/"));
    let changed = changed.expect("there is a calibration").clone();
    println!("{} records, {changed} changed", records.listing.paths.len());
    compared::measure(&fleet.root, &changed, arguments.rounds);
}

fn scaling(arguments: &Arguments) {
    println!(
        "                        us a   peak    4 x history x threads     figures: csv     jsonl"
    );
    println!(
        "   records  machines  record     MB    + 32 MB, without findings     peak MB   peak MB"
    );
    for records in [1_000, arguments.records, 10 * arguments.records] {
        let size = Size {
            machines: records.div_ceil(200),
            ..arguments.size(records)
        };
        let fleet = Fleet::new(&size, None);
        let measured: Vec<(f64, f64)> = (0..arguments.rounds)
            .map(|_| apart(&fleet.root, Job::Check))
            .collect();
        let best = measured.iter().map(|(time, _)| *time).reduce(f64::min);
        let peak = measured.iter().map(|(_, peak)| *peak).reduce(f64::max);
        let allowed = 4.0 * megabytes(fleet.generated.largest_history) * 2.0 + 32.0;
        let [csv, jsonl] = [Job::Csv, Job::Jsonl].map(|job| apart(&fleet.root, job).1);
        println!(
            "{:10}  {:8}  {:6.1}  {:5.1}    {allowed:<25.1} {csv:11.1} {jsonl:9.1}",
            fleet.generated.records,
            size.machines,
            1e6 * best.unwrap_or_default() / as_f64(fleet.generated.records),
            peak.unwrap_or_default(),
        );
    }
}

/// Seconds and megabytes of one check in a process of its own; no number of megabytes where the system tells none.
fn apart(root: &Path, job: Job) -> (f64, f64) {
    let program = std::env::current_exe().expect("the program runs");
    let output = Command::new(program)
        .arg("--once")
        .arg(root)
        .arg("--job")
        .arg(
            job.to_possible_value()
                .expect("no job is hidden")
                .get_name(),
        )
        .output()
        .expect("the program runs again");
    let text = String::from_utf8(output.stdout).expect("two numbers");
    let mut numbers = text.split(' ').map(|number| number.trim().parse());
    let mut number = || numbers.next().and_then(Result::ok).unwrap_or(f64::NAN);
    (number(), number())
}

fn once(root: &Path, job: Job) {
    let (_, taken) = in_threads(2, || {
        time(|| match job {
            Job::Check => check_all(root),
            Job::Csv => figures_of_all(root, "csv"),
            Job::Jsonl => figures_of_all(root, "jsonl"),
        })
    });
    let peak = status("VmHWM:").map_or(f64::NAN, |kilobytes| kilobytes * 1024.0 / 1e6);
    println!("{} {peak}", taken.as_secs_f64());
}

/// A number the system tells of this process.
fn status(name: &str) -> Option<f64> {
    let status = fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find_map(|line| line.strip_prefix(name))?;
    line.split_whitespace().next()?.parse().ok()
}

fn start(rounds: u32) {
    const RUNS: u32 = 50;
    let size = Size {
        calibrations: 1,
        applications: 0,
        service_after: 0,
        machines: 1,
        faulty: 0,
        seed: 1,
    };
    let fleet = Fleet::new(&size, None);
    let run = |arguments: &[&str]| {
        let status = Command::new(env!("CARGO_BIN_EXE_swathlint"))
            .args(arguments)
            .current_dir(&fleet.root)
            .stdout(Stdio::null())
            .status();
        assert!(status.is_ok_and(|status| status.success()));
    };
    println!("processor time of one start            best    median");
    for (what, arguments) in [
        ("swathlint --version", &["--version"][..]),
        (
            "swathlint check, one record",
            &["check", "--today", "2026-06-01"],
        ),
    ] {
        let mut times: Vec<f64> = (0..rounds)
            .map(|_| {
                let before = processor_time_of_children();
                (0..RUNS).for_each(|_| run(arguments));
                (processor_time_of_children() - before) / f64::from(RUNS)
            })
            .collect();
        times.sort_by(f64::total_cmp);
        println!(
            "  {what:30} {:9.1} {:9.1} ms  of at most {MOST_TO_START}",
            times[0],
            times[times.len() / 2]
        );
    }
}

/// What all processes started so far have used, in milliseconds, where the system tells; to ten of them.
fn processor_time_of_children() -> f64 {
    /// The places, from behind the name in brackets, of the ticks used by children for themselves and by the system.
    const TICKS: std::ops::Range<usize> = 13..15;
    /// Linux shows a hundred ticks a second to every program.
    const MILLISECONDS_A_TICK: f64 = 10.0;
    let stat = fs::read_to_string("/proc/self/stat").unwrap_or_default();
    let behind_name = stat.rsplit(") ").next().unwrap_or_default();
    let fields = behind_name.split(' ').skip(TICKS.start).take(TICKS.len());
    let ticks: Vec<f64> = fields.filter_map(|field| field.parse().ok()).collect();
    if ticks.is_empty() {
        return f64::NAN;
    }
    MILLISECONDS_A_TICK * ticks.iter().sum::<f64>()
}

fn heavy() {
    println!("                                             half            full");
    for case in heavy::CASES {
        let [half, full] = [1, 2].map(|size| {
            let folder = tempfile::tempdir().expect("there is room for a folder");
            (case.write)(size, &mut |path, text| write(folder.path(), path, text));
            apart(folder.path(), Job::Check)
        });
        println!(
            "  {:36} {:6.2} s {:5.0} MB {:6.2} s {:5.0} MB",
            case.name, half.0, half.1, full.0, full.1
        );
    }
}

/// The records below a root; a generated fleet has no links.
fn find(root: &Path) -> Records {
    files::find(root)
}

fn growth(arguments: &Arguments) {
    println!("milliseconds of one thread, and output in kB, with all formats of a command\n");
    println!(
        "{:48} {:8} {:>6} {:>8} {:>8} {:>8} {:>6} {:>8} {:>6}",
        "of more and more", "command", "n", "n", "2n", "4n", "times", "output", "times"
    );
    let wanted = growth::AXES
        .iter()
        .filter(|axis| axis.name.contains(&arguments.axis));
    for axis in wanted {
        let n = arguments.larger * axis.n;
        let sizes = [n, 2 * n, 4 * n].map(|n| growth::Grown::new(axis, n));
        for job in growth::Job::ALL.into_iter().filter(|job| job.is_for(axis)) {
            let best = |size: &growth::Grown| {
                let runs = (1..arguments.rounds).map(|_| size.run(job));
                runs.fold(size.run(job), growth::Spent::or_faster)
            };
            let [one, two, four] = sizes.each_ref().map(best);
            println!(
                "{:48} {:8} {n:6} {:8.1} {:8.1} {:8.1} {:6.1} {:8.0} {:6.1}{}",
                axis.name,
                job.name(),
                milliseconds(one.time),
                milliseconds(two.time),
                milliseconds(four.time),
                four.times_the_time(one),
                as_f64(four.output) / 1e3,
                four.times_the_output(one),
                if four.is_of_processor {
                    ""
                } else {
                    " by the time of day"
                },
            );
        }
    }
}

/// Reads every file, and gives how many bytes there are.
fn read_all(records: &Records) -> usize {
    let read = |path: &String| records.read(path).map_or(0, |bytes| bytes.len());
    black_box(records.listing.paths.par_iter().map(read).sum())
}

/// Reads every file and drains the parser's events; gives how many there are.
fn drain_all(records: &Records) -> usize {
    let drain = |path: &String| {
        let bytes = records.read(path).unwrap_or_default();
        yaml::drain_events(&yaml::decode(FileId(0), bytes).text)
    };
    black_box(records.listing.paths.par_iter().map(drain).sum())
}

/// All that the command does: lists the files, checks them, and makes the text of the report.
fn check_all(root: &Path) -> usize {
    let records = find(root);
    let settings = Settings::on(generator::TODAY);
    let look = Look {
        color: false,
        width: 80,
    };
    let read = |path: &str| records.read(path);
    let report = swathlint::check(&records.listing, &read, &settings);
    assert!(records.failures.is_empty() && report.failures.is_empty());
    black_box(render::terminal(&report, &look)).len()
}

fn in_threads<T: Send>(threads: usize, work: impl FnOnce() -> T + Send) -> T {
    let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build();
    pool.expect("there are threads to be had").install(work)
}

fn time<T>(work: impl FnOnce() -> T) -> (T, Duration) {
    let start = Instant::now();
    let done = work();
    (done, start.elapsed())
}

fn median(sorted: &[Duration]) -> Duration {
    sorted[sorted.len() / 2]
}

fn milliseconds(duration: Duration) -> f64 {
    1e3 * duration.as_secs_f64()
}

fn megabytes(bytes: usize) -> f64 {
    as_f64(bytes) / 1e6
}

fn as_f64(count: usize) -> f64 {
    f64::from(u32::try_from(count).expect("far fewer than four thousand million"))
}

/// All that the command does with figures, but for writing them; gives how many bytes there are.
fn figures_of_all(root: &Path, format: &str) -> usize {
    let records = find(root);
    let settings = Settings::on(generator::TODAY);
    let read = |path: &str| records.read(path);
    let format = FIGURE_FORMATS.iter().find(|one| one.name == format);
    let look = Look {
        color: false,
        width: 80,
    };
    let mut writer = (format.expect("a format of figures").writer)(look);
    let mut length = writer.head().len();
    swathlint::each_figure(&records.listing, &read, &settings, &|_| true, |rows| {
        length += black_box(writer.machine(&rows)).len();
    });
    length
}
