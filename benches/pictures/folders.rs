//! Folders of stills: what they take of memory at most, which must not grow with their number.

use super::{Outcome, Stage, lookwright, stills, stop};
use lookwright::formats::image::{self, WriteOptions};
use std::fs;
use std::io::{self, Write as _};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

/// Between two looks at a process.
const EVERY: Duration = Duration::from_millis(2);
/// The most that a hundred stills may take, of what thirty take: room for what the allocator does, none for a frame
/// more (this project's own choice).
const MOST_GROWTH: f64 = 1.1;

/// The largest memory that a process had, in megabytes: `VmHWM` of Linux, which only grows, looked at until it ends.
fn peak(command: &mut Command) -> Outcome<f64> {
    let mut child = command.stdout(Stdio::null()).stderr(Stdio::null()).spawn()?;
    let mut most: f64 = 0.0;
    let status = loop {
        most = most.max(high_water(&child).unwrap_or(0.0));
        if let Some(status) = child.try_wait()? {
            break status;
        }
        sleep(EVERY);
    };
    if !status.success() || most == 0.0 {
        return Err(format!("{command:?}: {status}, {most} MB").into());
    }
    Ok(most)
}

fn high_water(child: &Child) -> Option<f64> {
    let status = fs::read_to_string(format!("/proc/{}/status", child.id())).ok()?;
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"))?;
    Some(line.split_whitespace().next()?.parse::<f64>().ok()? * 1.024e-3)
}

/// Hard links to one still: the program reads each as a file of its own.
fn links(still: &Path, folder: &Path, count: usize) -> io::Result<()> {
    fs::create_dir(folder)?;
    (0..count).try_for_each(|index| fs::hard_link(still, folder.join(format!("still-{index:03}.png"))))
}

/// `preview` of folders of 10, 30 and 100 stills: pictures, or a sheet.
pub fn memory(stage: &Stage) -> Outcome<()> {
    let folder = stage.folder.path();
    let still = folder.join("one.png");
    let frame = stills::photograph(stage, stage.large())?;
    image::write(&still, &frame, &WriteOptions::default()).unwrap_or_else(|faults| stop(format!("{faults:?}")));
    let frame_mb = stills::codes(&frame).len() as f64 * 2e-6;
    drop(frame);
    let mut out = io::stdout().lock();
    writeln!(out, "\nFolders of stills, two threads: the most memory, a frame of 16 bits has {frame_mb:.0} MB")?;
    let counts = if stage.testing { [2, 3, 4] } else { [10, 30, 100] };
    for (what, option) in [("pictures", None), ("a sheet", Some("--sheet"))] {
        let mut peaks = Vec::new();
        for count in counts {
            let (stills, made) = (folder.join("stills"), folder.join("made"));
            links(&still, &stills, count)?;
            let mut command = lookwright();
            command.arg("preview").arg(&stage.cube).arg(&stills).arg("--out").arg(&made).args(["--threads", "2"]);
            let start = Instant::now();
            let most = peak(command.args(option))?;
            let each = start.elapsed().as_secs_f64() * 1e3 / count as f64;
            writeln!(out, "  {what}, {count} stills: {most:.0} MB ({each:.0} ms each)")?;
            peaks.push(most);
            fs::remove_dir_all(stills)?;
            fs::remove_dir_all(made)?;
        }
        // A sheet keeps the small pictures of all its stills until it is laid out; what it read of them it doesn't.
        if !stage.testing && option.is_none() && peaks[2] > peaks[1] * MOST_GROWTH {
            return Err(format!("{what}: the memory grows with the number of stills, {peaks:.0?} MB").into());
        }
    }
    Ok(())
}
