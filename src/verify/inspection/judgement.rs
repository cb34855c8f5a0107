//! What an unknown table looks like, with the evidence in numbers.

use super::pairs::{self, Pair};
use super::transfers::Transfer;
use crate::colour::encodings::Curve;
use crate::lut::Domain;
use crate::maths::{CODE10_MAX, Rgb, ln, pow};
use crate::plan::Levels;
use crate::verify::Mapping;
use serde::Serialize;

/// Agreement within half a 10-bit code is agreement.
const HALF_CODE: f64 = 0.5 / CODE10_MAX;

/// A published scale agrees within this: a file that was rounded to 10-bit codes is half a code off, twice.
const ONE_CODE: f64 = 1.0 / CODE10_MAX;

/// Nodes of the grey axis that are looked at.
const GREYS: usize = 257;

/// Nodes an axis of the lattice that is looked at.
const LATTICE: usize = 9;

/// Colours beside the grey axis differ in one channel by this part of the input, or by one node where that is more: about half
/// a stop of a log signal, so that no conversion calls them out of gamut.
const BESIDE: f64 = 0.04;

/// A grey scale that falls by more than this part of its range is no grey scale.
const BROKEN_FALL: f64 = 0.05;

/// A viewing table leaves out at least this part of the camera's signal at its ends, where the picture is black or white,
/// or gets steeper than the identity between; 5 % and 95 % of the output lie this close together or closer.
const VIEWING_SPAN: f64 = 0.85;

/// What a table is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    /// Changes nothing.
    Identity,
    /// Every row is the same.
    Flat,
    /// Between full and legal range, or another line.
    Scale,
    /// A power law: a display encoding is put on, taken off or changed.
    Gamma,
    /// From one published log encoding to another.
    LogToLog,
    /// From a published camera encoding to a display, without a tone curve.
    Technical,
    /// From display or linear light to a camera encoding.
    ToLog,
    /// Leaves greys as they are and changes colours.
    ColourOnly,
    /// A look: from a camera's log signal to a display.
    Viewing,
    /// Undoes a look: expands a display signal towards a log one.
    Inverse,
    /// Black becomes white.
    Negative,
    /// The grey scale rises and falls: damaged, or no table for pictures.
    Broken,
    /// None of these.
    Other,
}

impl Kind {
    /// Whether the signal of a camera goes in and that of a display comes out, so that a picture can be judged.
    #[must_use]
    pub fn has_picture(self) -> bool {
        !matches!(self, Self::Identity | Self::Flat | Self::Scale | Self::Broken | Self::Negative)
    }

    /// Whether what comes out is a display's picture, so that its colours can be judged.
    #[must_use]
    pub fn has_colours(self) -> bool {
        self.has_picture() && !matches!(self, Self::LogToLog | Self::ToLog | Self::Inverse | Self::Gamma)
    }
}

/// A judgement, with what it rests on.
#[derive(Clone, Debug, Serialize)]
pub struct Judgement {
    /// What the table is for.
    pub kind: Kind,
    /// The same in a sentence.
    pub sentence: String,
    /// Whether every output is grey although the input is not.
    pub monochrome: bool,
    /// Whether each output channel depends on its own input channel only.
    pub separable: bool,
    /// What the judgement rests on.
    pub evidence: Vec<String>,
    /// Published conversions that fit, the closest first.
    pub pairs: Vec<Pair>,
}

/// A table, seen at its own nodes.
pub(super) struct Samples {
    /// Input and output along the grey axis.
    pub(super) greys: Vec<(Rgb, Rgb)>,
    /// Input and output on a coarse lattice.
    pub(super) lattice: Vec<(Rgb, Rgb)>,
    /// Input and output of colours beside the grey axis.
    pub(super) beside_grey: Vec<(Rgb, Rgb)>,
    /// For each place of the lattice, the outputs of the grey axis at its three inputs.
    own: Vec<Rgb>,
    domain: Domain,
}

impl Samples {
    pub(super) fn of(mapping: &Mapping<'_>) -> Self {
        let greys: Vec<(Rgb, Rgb)> =
            mapping.grey_inputs(GREYS).into_iter().map(|input| (input, mapping.apply(input))).collect();
        let axis = mapping.grey_inputs(LATTICE);
        let (mut lattice, mut own) = (Vec::new(), Vec::new());
        for b in &axis {
            for g in &axis {
                for r in &axis {
                    let input = [r[0], g[1], b[2]];
                    lattice.push((input, mapping.apply(input)));
                    own.push([mapping.apply(*r)[0], mapping.apply(*g)[1], mapping.apply(*b)[2]]);
                }
            }
        }
        let beside_grey = beside_grey(mapping);
        Self { greys, lattice, beside_grey, own, domain: *mapping.domain() }
    }

    /// Largest distance of the greys from a curve that all channels share.
    fn off_curve(&self, curve: impl Fn(f64) -> f64) -> f64 {
        largest(self.greys.iter().map(|(input, output)| distance(input.map(&curve), *output)))
    }
}

pub(super) fn judge(samples: &Samples) -> Judgement {
    let range = samples.range();
    let monochrome =
        samples.lattice.iter().all(|(_, [r, g, b])| (r - g).abs() <= HALF_CODE && (b - g).abs() <= HALF_CODE);
    let separable = largest(samples.lattice.iter().zip(&samples.own).map(|((_, output), own)| distance(*output, *own)));
    let mut judgement = Judgement {
        kind: Kind::Other,
        sentence: String::new(),
        monochrome: monochrome && range > ONE_CODE,
        separable: separable <= HALF_CODE,
        evidence: Vec::new(),
        pairs: Vec::new(),
    };
    if !judgement.separable {
        let codes = separable * CODE10_MAX;
        judgement.evidence.push(format!("channels mix: one moves another by up to {codes:.0} codes"));
    } else {
        judgement.evidence.push("each channel is changed alone, as a 1D table does".to_owned());
    }
    let found = samples
        .simple(range)
        .or_else(|| samples.scale(judgement.separable))
        .or_else(|| samples.greys_kept(judgement.separable))
        .or_else(|| samples.published(&mut judgement))
        .or_else(|| samples.power(judgement.separable))
        .unwrap_or_else(|| samples.shape_of_greys(range));
    judgement.kind = found.kind;
    judgement.sentence = found.sentence;
    judgement.evidence.extend(found.evidence);
    if judgement.monochrome {
        judgement.sentence = format!("{}, in black and white", judgement.sentence);
        judgement.evidence.push("every output is grey, within half a code".to_owned());
    }
    judgement
}

/// Nodes beside the grey axis: one channel a little more, or a little less, than the other two.
fn beside_grey(mapping: &Mapping<'_>) -> Vec<(Rgb, Rgb)> {
    let axis = mapping.grey_inputs(mapping.points().unwrap_or(GREYS).min(GREYS));
    let away = (((axis.len() - 1) as f64 * BESIDE).round() as usize).max(1);
    let mut beside = Vec::new();
    for place in 0..axis.len().saturating_sub(away) {
        let (low, high) = (axis[place], axis[place + away]);
        for channel in 0..3 {
            for (most, one) in [(low, high), (high, low)] {
                let mut input = most;
                input[channel] = one[channel];
                beside.push((input, mapping.apply(input)));
            }
        }
    }
    beside
}

/// A kind with its sentence and evidence.
struct Found {
    kind: Kind,
    sentence: String,
    evidence: Vec<String>,
}

fn found(kind: Kind, sentence: impl Into<String>, evidence: impl Into<String>) -> Option<Found> {
    Some(Found { kind, sentence: sentence.into(), evidence: vec![evidence.into()] })
}

impl Samples {
    /// Range of all outputs.
    fn range(&self) -> f64 {
        let all = || self.lattice.iter().chain(&self.greys).flat_map(|(_, output)| *output);
        all().fold(f64::NEG_INFINITY, f64::max) - all().fold(f64::INFINITY, f64::min)
    }

    /// What is seen at once: flat, identity, negative, broken.
    fn simple(&self, range: f64) -> Option<Found> {
        if range <= ONE_CODE {
            let [r, g, b] = self.greys[0].1.map(|value| value * CODE10_MAX);
            return found(
                Kind::Flat,
                "flat: every input gives the same colour",
                format!("all outputs at codes {r:.0} {g:.0} {b:.0}"),
            );
        }
        let off = largest(self.lattice.iter().chain(&self.greys).map(|(input, output)| distance(*input, *output)));
        if off <= HALF_CODE {
            let evidence = format!("outputs within {:.2} codes of their inputs", off * CODE10_MAX);
            return found(Kind::Identity, "an identity: it changes nothing", evidence);
        }
        let channels = [0, 1, 2].map(|channel| self.fall_and_rise(channel));
        if channels.iter().all(|(fall, rise)| *rise <= BROKEN_FALL * fall && *fall > ONE_CODE) {
            let evidence = format!("the grey scale falls by {:.0} codes", channels[1].0 * CODE10_MAX);
            return found(Kind::Negative, "a negative: black becomes white", evidence);
        }
        // Of a fall that would be rounding, no part is a large one.
        let part = |(fall, rise): (f64, f64)| fall / (fall + rise).max(20.0 * ONE_CODE);
        let (fall, rise) = channels.into_iter().max_by(|a, b| part(*a).total_cmp(&part(*b))).unwrap_or_default();
        if part((fall, rise)) > BROKEN_FALL {
            let evidence = format!(
                "the grey scale rises by {:.0} codes in all and falls by {:.0}",
                rise * CODE10_MAX,
                fall * CODE10_MAX
            );
            let sentence = "no table for pictures, or a damaged one: the grey scale rises and falls";
            return found(Kind::Broken, sentence, evidence);
        }
        None
    }

    /// All falls and all rises of a channel of the grey scale.
    fn fall_and_rise(&self, channel: usize) -> (f64, f64) {
        let steps = self.greys.windows(2).map(|pair| pair[1].1[channel] - pair[0].1[channel]);
        steps.fold((0.0, 0.0), |(fall, rise), step| if step < 0.0 { (fall - step, rise) } else { (fall, rise + step) })
    }

    /// Full and legal range, and any other line.
    fn scale(&self, separable: bool) -> Option<Found> {
        if !separable {
            return None;
        }
        let near = |curve: &dyn Fn(f64) -> f64| {
            self.off_curve(curve).min(self.off_curve(|value| curve(value).clamp(0.0, 1.0)))
        };
        for (sentence, curve) in [
            (
                "a re-scaler from legal to full range (64..940 becomes 0..1023)",
                Levels::from_signal as fn(Levels, f64) -> f64,
            ),
            ("a re-scaler from full to legal range (0..1023 becomes 64..940)", Levels::to_signal),
        ] {
            let off = near(&|value| curve(Levels::Legal, value));
            if off <= ONE_CODE {
                return found(Kind::Scale, sentence, format!("within {:.2} codes of that scale", off * CODE10_MAX));
            }
        }
        let (gain, offset) = self.line()?;
        let off = near(&|value| gain * value + offset);
        let sentence = format!("a straight line: {gain:.4} times the input, {:+.1} codes", offset * CODE10_MAX);
        if off <= HALF_CODE {
            found(Kind::Scale, sentence, format!("within {:.2} codes of it", off * CODE10_MAX))
        } else {
            None
        }
    }

    /// Gain and offset by least squares over the greys that are not clipped; at least four must be left.
    fn line(&self) -> Option<(f64, f64)> {
        let inner: Vec<(f64, f64)> = self
            .greys
            .iter()
            .flat_map(|(input, output)| input.iter().copied().zip(*output))
            .filter(|(_, output)| (HALF_CODE..=1.0 - HALF_CODE).contains(output))
            .collect();
        if inner.len() < 12 {
            return None;
        }
        let count = inner.len() as f64;
        let mean = |of: &dyn Fn(&(f64, f64)) -> f64| inner.iter().map(of).sum::<f64>() / count;
        let (x, y) = (mean(&|pair| pair.0), mean(&|pair| pair.1));
        let gain = mean(&|pair| (pair.0 - x) * (pair.1 - y)) / mean(&|pair| (pair.0 - x) * (pair.0 - x));
        let offset = y - gain * x;
        // What rounding leaves of no offset would be printed as −0.0.
        gain.is_finite().then_some((gain, if offset.abs() < 1e-5 { 0.0 } else { offset }))
    }

    /// A power of the input.
    fn power(&self, separable: bool) -> Option<Found> {
        if !separable {
            return None;
        }
        let inner = |value: f64| (0.05..0.95).contains(&value);
        let mut powers: Vec<f64> = self
            .greys
            .iter()
            .flat_map(|(input, output)| input.iter().copied().zip(*output))
            .filter(|(input, output)| inner(*input) && inner(*output))
            .map(|(input, output)| ln(output) / ln(input))
            .collect();
        powers.sort_by(f64::total_cmp);
        let power = powers.get(powers.len() / 2).copied()?;
        let off = self.off_curve(|value| pow(value.max(0.0), power));
        if off > ONE_CODE {
            return None;
        }
        let told = if power < 1.0 { format!("1/{:.3}", 1.0 / power) } else { format!("{power:.3}") };
        found(
            Kind::Gamma,
            format!("a gamma: the input to the power of {told}"),
            format!("within {:.2} codes of it", off * CODE10_MAX),
        )
    }

    /// Conversions between published curves.
    fn published(&self, judgement: &mut Judgement) -> Option<Found> {
        judgement.pairs = pairs::fitting(self);
        let best = judgement.pairs.first()?;
        let mut evidence = vec![format!("the grey scale lies within {:.2} codes of it", best.codes)];
        if let Some(matrix) = &best.gamuts {
            evidence.push(format!("colours near grey fit {matrix}, within {:.1} codes", best.gamut_codes));
        }
        if judgement.pairs.len() > 1 {
            let others: Vec<String> = judgement.pairs[1..].iter().map(Pair::name).collect();
            evidence.push(format!("fits as well: {}", others.join("; ")));
        }
        let (kind, sentence) = kind_of(best);
        Some(Found { kind, sentence, evidence })
    }

    /// Greys stay and colours change.
    fn greys_kept(&self, separable: bool) -> Option<Found> {
        let off = self.off_curve(|value| value);
        if off > HALF_CODE || separable {
            return None;
        }
        let evidence = format!("greys within {:.2} codes of their inputs", off * CODE10_MAX);
        found(Kind::ColourOnly, "a change of colours only: greys stay as they are", evidence)
    }

    /// What is left is told by the shape of the grey scale.
    fn shape_of_greys(&self, range: f64) -> Found {
        let mean = |[r, g, b]: Rgb| (r + g + b) / 3.0;
        let points: Vec<(f64, f64)> = self
            .greys
            .iter()
            .map(|(input, output)| {
                (
                    (mean(*input) - mean(self.domain.min)) / (mean(self.domain.max) - mean(self.domain.min)),
                    mean(*output),
                )
            })
            .collect();
        let (first, last) = (points[0].1, points[points.len() - 1].1);
        let reach = |part: f64| reached(&points, first + part * (last - first));
        let (low, middle, high) = (reach(0.05), reach(0.5), reach(0.95));
        let span = high - low;
        let steepness = |from: f64, to: f64| (value_at(&points, to) - value_at(&points, from)) / (to - from);
        let (foot, heart) = (steepness(0.0, 0.06), steepness(middle - 0.1, middle + 0.1));
        let evidence = vec![format!(
            "greys go from code {:.0} to {:.0}; nine tenths of that lie between inputs {:.0} and {:.0}; slope {heart:.2} in the middle, {foot:.2} at the dark end",
            first * CODE10_MAX,
            last * CODE10_MAX,
            low * CODE10_MAX,
            high * CODE10_MAX
        )];
        let (kind, sentence) = if last - first < 0.3 * range.min(1.0) {
            (Kind::Other, "none of the kinds that are known: its grey scale has hardly any range")
        } else if foot > 1.5 * heart || (first > 0.02 && last < 0.98 && heart < 0.9) {
            (Kind::Inverse, "an inverse: it expands a display's signal towards a log one")
        } else if span <= VIEWING_SPAN && heart > foot {
            (Kind::Viewing, "a viewing LUT: from a camera's log signal to a display")
        } else {
            (Kind::Other, "none of the kinds that are known")
        };
        Found { kind, sentence: sentence.to_owned(), evidence }
    }
}

fn kind_of(best: &Pair) -> (Kind, String) {
    let (from, to) = (best.transfers.0, best.transfers.1);
    let name = best.name();
    match (from.is_camera(), to.is_camera()) {
        (true, true) => (Kind::LogToLog, format!("log to log: {name}")),
        (false, true) => (Kind::ToLog, format!("an inverse: it goes to a log signal, {name}")),
        (true, false) => (Kind::Technical, format!("a technical conversion without a tone curve: {name}")),
        (false, false) => (Kind::Gamma, format!("a change of display encoding: {name}")),
    }
}

/// Where a grey scale first reaches a value, 0..1 of its input.
fn reached(points: &[(f64, f64)], value: f64) -> f64 {
    for pair in points.windows(2) {
        let ((x0, y0), (x1, y1)) = (pair[0], pair[1]);
        if y1 >= value {
            return if y1 > y0 { x0 + (x1 - x0) * ((value - y0) / (y1 - y0)).clamp(0.0, 1.0) } else { x0 };
        }
    }
    points[points.len() - 1].0
}

fn value_at(points: &[(f64, f64)], place: f64) -> f64 {
    let index = points.partition_point(|(x, _)| *x < place).clamp(1, points.len() - 1);
    let ((x0, y0), (x1, y1)) = (points[index - 1], points[index]);
    y0 + (y1 - y0) * ((place - x0) / (x1 - x0)).clamp(0.0, 1.0)
}

pub(super) fn distance(a: Rgb, b: Rgb) -> f64 {
    (0..3).map(|i| (a[i] - b[i]).abs()).fold(0.0, |most, value| if value <= most { most } else { value })
}

fn largest(values: impl Iterator<Item = f64>) -> f64 {
    // Written so that NaN stays, and agrees with nothing.
    values.fold(0.0, |most, value| if value <= most { most } else { value })
}

/// The camera's curve of a conversion, where it comes from a log signal.
pub(super) fn camera_of(pair: &Pair) -> Option<Curve> {
    match pair.transfers.0 {
        Transfer::Camera(curve) if pair.transfers.0.is_camera() => Some(curve),
        _ => None,
    }
}
