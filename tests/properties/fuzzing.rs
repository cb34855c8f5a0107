//! Batches of cases from a row of seeds: a fixed number of cases, or as many as fit a time.

use proptest::strategy::Strategy;
use proptest::test_runner::{Config, RngAlgorithm, TestCaseResult, TestRng, TestRunner};
use std::time::{Duration, Instant};

/// Sets how long each fuzzer goes on.
const SECONDS: &str = "LOOKWRIGHT_FUZZ_SECONDS";

/// Tries `cases` cases, and goes on with further batches while there is time left.
pub fn fuzz<S: Strategy>(name: &str, cases: u32, strategy: &S, test: impl Fn(S::Value) -> TestCaseResult) {
    let time = match std::env::var(SECONDS) {
        Ok(text) => {
            Duration::from_secs(text.parse().unwrap_or_else(|_| panic!("{SECONDS} is no whole number: {text}")))
        }
        Err(_) => Duration::ZERO,
    };
    let start = Instant::now();
    let mut batch = 0_u64;
    loop {
        let mut seed = [0; 32];
        seed[..8].copy_from_slice(&batch.to_le_bytes());
        let config = Config { cases, failure_persistence: None, ..Config::default() };
        let mut runner = TestRunner::new_with_rng(config, TestRng::from_seed(RngAlgorithm::ChaCha, &seed));
        if let Err(error) = runner.run(strategy, &test) {
            panic!("{name}, batch {batch}: {error}");
        }
        batch += 1;
        if start.elapsed() >= time {
            break;
        }
    }
    println!("{name}: {} cases", batch * u64::from(cases));
}
