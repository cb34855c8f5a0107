//! PNG: frames into files, and whole previews from PNG to PNG, against ffmpeg with its own settings for PNG.

use super::measure::{Place, Work, report};
use super::{Outcome, Stage, ffmpeg, lookwright, run, stills, stop};
use lookwright::formats::image::{self, PictureFormat, WriteOptions};
use lookwright::picture::{Frame, SampleDepth};
use std::fs;
use std::hint::black_box;
use std::io::{self, Write as _};
use std::path::Path;

/// Both depths, and how ffmpeg calls their frames.
const DEPTHS: [(SampleDepth, &str, &str); 2] =
    [(SampleDepth::Eight, "8", "rgb24"), (SampleDepth::Sixteen, "16", "rgb48be")];

fn frames_of(stage: &Stage) -> Outcome<[(&'static str, Frame); 2]> {
    let size = stage.large();
    Ok([("photograph", stills::photograph(stage, size)?), ("scene", stills::scene(stage, size)?)])
}

fn raw_into_png(raw: &Path, format: &str, [width, height]: [usize; 2], output: &Path) {
    run(ffmpeg()
        .args(["-f", "rawvideo", "-pixel_format", format, "-video_size", &format!("{width}x{height}"), "-i"])
        .arg(raw)
        .arg(output));
}

/// Bytes of a file in megabytes.
fn megabytes(path: &Path) -> Outcome<f64> {
    Ok(fs::metadata(path)?.len() as f64 * 1e-6)
}

/// Frames in memory, or in a raw file, into PNG.
pub fn frames(stage: &Stage) -> Outcome<()> {
    let size = stage.large();
    let [raw, ours, theirs] = ["frame.raw", "ours.png", "theirs.png"].map(|name| stage.folder.path().join(name));
    for (what, frame) in frames_of(stage)? {
        for (depth, bits, format) in DEPTHS {
            let frame = frame.to_depth(depth).frame;
            let bytes = stills::packed(&frame, false);
            // Of 8 bits, a code of 16 is twice the same byte.
            let bytes = if depth == SampleDepth::Eight { bytes.into_iter().step_by(2).collect() } else { bytes };
            fs::write(&raw, bytes)?;
            let options = WriteOptions { depth: Some(depth), ..WriteOptions::default() };
            let encode =
                || image::encode(PictureFormat::Png, &frame, &options).unwrap_or_else(|why| stop(format!("{why:?}")));
            let works: Vec<Work<'_>> = vec![
                ("our PNG, one thread", Box::new(|| drop(black_box(stage.one.install(encode))))),
                ("our PNG, two threads", Box::new(|| drop(black_box(stage.two.install(encode))))),
                (
                    "ffmpeg's PNG, with its start and the reading",
                    Box::new(|| raw_into_png(&raw, format, size, &theirs)),
                ),
            ];
            let title = format!("A frame of {} × {} into PNG of {bits} bits, {what}", size[0], size[1]);
            report(&title, Place::Processes, stage.runs, works)?;
            fs::write(&ours, encode())?;
            let mut out = io::stdout().lock();
            writeln!(out, "   ours {:.1} MB, ffmpeg's {:.1} MB", megabytes(&ours)?, megabytes(&theirs)?)?;
        }
    }
    Ok(())
}

/// `preview` of one still, against ffmpeg's `lut3d`, from PNG to PNG.
pub fn whole_processes(stage: &Stage) -> Outcome<()> {
    let folder = stage.folder.path();
    let [still, theirs] = ["still.png", "theirs.png"].map(|name| folder.join(name));
    let ours = folder.join("still.look.png");
    let filter = format!("lut3d=file={}:interp=tetrahedral", stage.cube.display());
    for (what, frame) in frames_of(stage)? {
        for (depth, bits, format) in DEPTHS {
            let options = WriteOptions { depth: Some(depth), ..WriteOptions::default() };
            image::write(&still, &frame.to_depth(depth).frame, &options).map_err(|faults| format!("{faults:?}"))?;
            let preview = |threads: &str| {
                let mut command = lookwright();
                command.arg("preview").arg(&stage.cube).arg(&still).arg("--out").arg(folder);
                run(command.args(["--depth", bits, "--threads", threads]));
            };
            // ffmpeg may use as many threads as it likes. Without its format it would write 16 bits as 8.
            let mut free = std::process::Command::new("ffmpeg");
            free.args(["-nostdin", "-v", "error", "-y", "-i"])
                .arg(&still)
                .args(["-vf", &filter, "-pix_fmt", format])
                .arg(&theirs);
            let works: Vec<Work<'_>> = vec![
                ("preview, one thread", Box::new(|| preview("1"))),
                ("preview, two threads", Box::new(|| preview("2"))),
                ("ffmpeg, its own number of threads", Box::new(|| run(&mut free))),
            ];
            let title = format!("PNG to PNG of {bits} bits, {} × {}, {what}", frame.width(), frame.height());
            report(&title, Place::Processes, stage.runs, works)?;
            let mut out = io::stdout().lock();
            writeln!(out, "   ours {:.1} MB, ffmpeg's {:.1} MB", megabytes(&ours)?, megabytes(&theirs)?)?;
        }
    }
    Ok(())
}
