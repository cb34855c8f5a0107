//! An OpenEXR with what stands beside its picture: comments, software, and the chromaticities of a profile.

use super::notes::SOFTWARE;
use super::put::{Put, says};
use crate::formats::icc::Profile;
use crate::picture::{Frame, SampleDepth, Samples};
use deunicode::deunicode;
use exr::image::write::WritableImage;
use exr::image::{Image, SpecificChannels};
use exr::math::Vec2;
use exr::meta::attribute::{Chromaticities, Text};
use exr::meta::header::{ImageAttributes, LayerAttributes};
use std::io::{Seek, Write};

/// Writes a frame as floats; the compression and the order of the lines are the encoder's own choice, which is fast.
///
/// OpenEXR means linear light, and what this program writes there is a display's signal. The chromaticities are written all the
/// same, where a profile is asked for: without them a reader takes P3 primaries for BT.709's. The comments say which curve the
/// samples have.
pub(super) fn write<W: Write + Seek>(file: W, frame: &Frame, put: &Put) -> exr::error::UnitResult {
    let Samples::Floats(values) = frame.samples() else {
        return write(file, &frame.to_depth(SampleDepth::Float).frame, put);
    };
    let width = frame.width();
    if frame.has_alpha() {
        let (pixels, _) = values.as_chunks::<4>();
        let channels = SpecificChannels::rgba(|place: Vec2<usize>| {
            let [r, g, b, a] = pixels[place.y() * width + place.x()];
            (r, g, b, a)
        });
        let mut image = Image::from_channels((width, frame.height()), channels);
        describe(&mut image.attributes, &mut image.layer_data.attributes, put);
        image.write().to_buffered(file)
    } else {
        let (pixels, _) = values.as_chunks::<3>();
        let channels = SpecificChannels::rgb(|place: Vec2<usize>| {
            let [r, g, b] = pixels[place.y() * width + place.x()];
            (r, g, b)
        });
        let mut image = Image::from_channels((width, frame.height()), channels);
        describe(&mut image.attributes, &mut image.layer_data.attributes, put);
        image.write().to_buffered(file)
    }
}

fn describe(picture: &mut ImageAttributes, layer: &mut LayerAttributes, put: &Put) {
    let signal = put.profile.map(|profile| format!("samples are the signal of: {}", profile.name()));
    let mut lines: Vec<String> = Vec::new();
    for words in put.plain_texts().iter().chain(&put.description).map(|words| deunicode(words)).chain(signal) {
        if !lines.iter().any(|line| says(line, &words)) {
            lines.push(words);
        }
    }
    if !lines.is_empty() {
        layer.comments = Text::new_or_none(lines.join("\n"));
    }
    if put.description.is_some() {
        layer.software_name = Text::new_or_none(SOFTWARE);
    }
    picture.chromaticities = put.profile.map(chromaticities);
}

fn chromaticities(profile: Profile) -> Chromaticities {
    let gamut = profile.gamut();
    let [red, green, blue, white] =
        [gamut.red, gamut.green, gamut.blue, gamut.white].map(|[x, y]| Vec2(x as f32, y as f32));
    Chromaticities { red, green, blue, white }
}
