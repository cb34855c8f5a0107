//! A 33-point table on frames in memory, against ffmpeg's `lut3d` with tetrahedral interpolation.

use super::measure::{Place, Spent, Work, medians, report, tell};
use super::{Outcome, Stage, ffmpeg, run, stills};
use lookwright::lut::Interpolation;
use lookwright::lut::fast::FastTable;
use lookwright::picture::apply::apply_table;
use std::fs;
use std::hint::black_box;
use std::path::Path;

/// Frames of a long run of ffmpeg beyond those of a short one: the difference is what the frames cost, without start, reading and
/// parsing of the table.
const FRAMES: usize = 8;

/// One frame, `count` times through a filter; the frame stays in memory.
fn through(raw: &Path, format: &str, size: [usize; 2], filter: &str, count: usize) {
    let [width, height] = size.map(|side| side.to_string());
    run(ffmpeg()
        .args(["-f", "rawvideo", "-pixel_format", format, "-video_size", &format!("{width}x{height}"), "-i"])
        .arg(raw)
        .args(["-vf", &format!("loop=loop={}:size=1:start=0,{filter}", count - 1), "-f", "null", "-"]));
}

/// What one frame costs.
fn each(long: Spent, short: Spent, frames: usize) -> Spent {
    let per = |long: f64, short: f64| (long - short) / frames as f64;
    let processor = long.processor.zip(short.processor).map(|(long, short)| per(long, short));
    Spent { wall: per(long.wall, short.wall), processor }
}

/// Times for a frame on one thread, and what a second thread is worth.
pub fn on_frames(stage: &Stage) -> Outcome<()> {
    let size = stage.large();
    for (what, frame) in
        [("photograph", stills::photograph(stage, size)?), ("rendered scene", stills::scene(stage, size)?)]
    {
        let [packed, planar] = ["packed.raw", "planar.raw"].map(|name| stage.folder.path().join(name));
        fs::write(&packed, stills::packed(&frame, true))?;
        fs::write(&planar, stills::planar(&frame))?;
        let frames = if stage.testing { 1 } else { FRAMES };
        let filter = format!("lut3d=file={}:interp=tetrahedral", stage.cube.display());
        let fast = FastTable::new(&stage.table).ok_or("the table is not for the fast path")?;
        let (pixels, _) = stills::codes(&frame).as_chunks::<3>();
        let mut used = pixels.to_vec();
        let mut works: Vec<Work<'_>> = vec![
            (
                "our table, into memory that was used before",
                Box::new(|| {
                    for _ in 0..frames {
                        black_box(fast.apply::<3>(pixels, &mut used));
                    }
                }),
            ),
            ("ffmpeg, packed, one", Box::new(|| through(&packed, "rgb48le", size, &filter, 1))),
            ("ffmpeg, packed", Box::new(|| through(&packed, "rgb48le", size, &filter, 1 + frames))),
            ("ffmpeg, planar, one", Box::new(|| through(&planar, "gbrp16le", size, &filter, 1))),
            ("ffmpeg, planar", Box::new(|| through(&planar, "gbrp16le", size, &filter, 1 + frames))),
        ];
        let spent = medians(Place::Processes, stage.runs, &mut works);
        let ours = each(spent[0], Spent { wall: 0.0, processor: Some(0.0) }, frames);
        let named = [
            ("our table, into memory that was used before", ours),
            ("ffmpeg's lut3d, packed (rgb48le)", each(spent[2], spent[1], frames)),
            ("ffmpeg's lut3d, planar (gbrp16le)", each(spent[4], spent[3], frames)),
        ];
        let title = format!("A table of 33 points on a frame of {} × {}, {what}, one thread", size[0], size[1]);
        // Ours is counted in nanoseconds, so that the ratio has a ground.
        tell(&title, Place::Here, stage.runs, &named)?;
        drop(works);
        let whole = || drop(black_box(apply_table(&frame, &stage.table, Interpolation::Tetrahedral)));
        let works: Vec<Work<'_>> = vec![
            ("a copy of the frame into fresh memory", Box::new(|| drop(black_box(pixels.to_vec())))),
            ("apply_table, one thread", Box::new(|| stage.one.install(whole))),
            ("apply_table, two threads", Box::new(|| stage.two.install(whole))),
        ];
        report(&format!("The same with a fresh frame, {what}"), Place::Here, stage.runs, works)?;
    }
    Ok(())
}
