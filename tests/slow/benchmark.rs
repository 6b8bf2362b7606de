//! The generated fleets that benchmarks measure: clean records give no finding, every faulty one gives one, and nothing grows faster than the records do.

use crate::generator::{Size, TODAY, generate};
use crate::growth::{self, Axis, Grown, Job};
use std::collections::{BTreeMap, BTreeSet};
use std::num::NonZero;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;
use swathlint::{Listing, Report, Settings, check};

/// The files of a generated fleet, and the paths of its faulty records.
fn fleet(faulty: u64) -> (BTreeMap<String, String>, BTreeSet<String>) {
    let size = Size {
        calibrations: 200,
        applications: 2,
        service_after: 3,
        machines: 10,
        faulty,
        seed: 7,
    };
    let mut files = BTreeMap::new();
    let generated = generate(&size, |path, text| {
        files.insert(path.to_owned(), text.to_owned());
    });
    assert_eq!(files.len(), generated.records + size.machines + 1);
    assert_eq!(
        files.values().map(String::len).sum::<usize>(),
        generated.bytes
    );
    (files, generated.faulty)
}

fn checked(files: &BTreeMap<String, String>) -> Report {
    let listing = Listing {
        paths: files.keys().cloned().collect(),
        ..Listing::default()
    };
    let settings = Settings::on(TODAY);
    let read = |path: &str| Ok(files[path].clone().into_bytes());
    check(&listing, &read, &settings)
}

/// One line a finding, with the record it stands in.
fn told(report: &Report, files: &BTreeMap<String, String>) -> Vec<String> {
    let findings = report.findings.iter();
    let line = |finding: &swathlint::report::Told| {
        let path = report.path(finding.primary().place.file);
        let (rule, message) = (finding.rule(), finding.message());
        format!("{path}: {message} [{rule}]\n{}", files[path])
    };
    findings.map(line).collect()
}

#[test]
fn clean_records_give_no_finding() {
    let (files, faulty) = fleet(0);
    assert!(faulty.is_empty());
    let report = checked(&files);
    assert_eq!(told(&report, &files), [""; 0]);
    // 200 visits, 400 applications, 6 works on each machine, the machine files and the fleet file.
    assert_eq!((report.counts.records, report.counts.unreadable), (671, 0));
    assert!(report.counts.passes.len() > 10, "{:?}", report.counts);
}

#[test]
fn every_faulty_record_gives_a_finding_and_no_other_does() {
    let (files, faulty) = fleet(40);
    assert!((60..100).contains(&faulty.len()), "{}", faulty.len());
    let report = checked(&files);
    let with_findings: BTreeSet<String> = report
        .findings
        .iter()
        .map(|finding| report.path(finding.primary().place.file).to_owned())
        .collect();
    let silent: Vec<&String> = faulty.difference(&with_findings).collect();
    let wrongly: Vec<&String> = with_findings.difference(&faulty).collect();
    assert!(
        silent.is_empty() && wrongly.is_empty(),
        "silent: {silent:?}; wrongly told: {wrongly:?}\n{}",
        told(&report, &files).join("\n")
    );
}

/// With four times as much of something a command may take so many times as long, and say so many times as much. What grows
/// with the square takes up to sixteen times as long.
const MOST_TIMES: f64 = 7.0;

/// A busy computer makes one measurement long and not all of them: the best of so many is taken before anything is said.
const ROUNDS: u32 = 6;

/// What grows too fast along an axis.
fn grows_too_fast(axis: &'static Axis) -> Vec<String> {
    let [small, large] = [2 * axis.n, 8 * axis.n].map(|n| Grown::new(axis, n));
    // A list of what is due and the figures come from the same work, and say far more.
    let jobs = Job::ALL.into_iter().filter(|job| job.is_for(axis));
    let jobs = jobs.filter(|job| matches!(job, Job::Check | Job::Compared));
    let told = jobs.filter_map(|job| {
        small.run(job); // What is made ready once for all of them counts for none.
        let (mut one, mut four) = (small.run(job), large.run(job));
        // The time of day says more about other work than about this.
        let is_timed = one.is_of_processor && four.is_of_processor;
        for _ in 1..ROUNDS {
            if !is_timed || four.times_the_time(one) <= MOST_TIMES {
                break;
            }
            (one, four) = (
                one.or_faster(small.run(job)),
                four.or_faster(large.run(job)),
            );
        }
        let (time, output) = (four.times_the_time(one), four.times_the_output(one));
        let is_too_fast = (is_timed && MOST_TIMES < time) || MOST_TIMES < output;
        is_too_fast.then(|| {
            let (job, axis) = (job.name(), axis.name);
            format!("{job}, {axis}: {time:.1} times the time, {output:.1} times the output")
        })
    });
    told.collect()
}

#[test]
fn nothing_grows_faster_than_the_records_do() {
    let next = AtomicUsize::new(0);
    let work = || {
        let axes = std::iter::from_fn(|| growth::AXES.get(next.fetch_add(1, Ordering::Relaxed)));
        axes.flat_map(grows_too_fast).collect::<Vec<String>>()
    };
    // With more at once than there are cores each would disturb the others.
    let cores = thread::available_parallelism().map_or(1, NonZero::get);
    let too_fast: Vec<String> = thread::scope(|scope| {
        let workers: Vec<_> = (0..cores).map(|_| scope.spawn(work)).collect();
        let told = workers.into_iter().map(|worker| worker.join().unwrap());
        told.flatten().collect()
    });
    assert!(too_fast.is_empty(), "{}", too_fast.join("\n"));
}

#[test]
fn the_same_seed_gives_the_same_fleet_and_another_one_another() {
    assert_eq!(fleet(5), fleet(5));
    let other = Size {
        calibrations: 1,
        applications: 0,
        service_after: 0,
        machines: 1,
        faulty: 0,
        seed: 8,
    };
    let mut texts = Vec::new();
    for size in [other, Size { seed: 9, ..other }] {
        generate(&size, |_, text| texts.push(text.to_owned()));
    }
    assert_eq!(
        texts[0], texts[3],
        "the fleet file holds no number of chance"
    );
    assert_ne!(texts[2], texts[5]);
}
