//! `exposure`: from the light on a subject to the stop, and from the stop to the light.

mod given;
mod told;

use super::console::Console;
use super::exit::{CommandResult, Outcome};
use clap::ValueEnum;
use given::Given;
use lookwright::light::exposure::Receptor;
use told::Told;

/// Find the T-stop for a measured light, or the light for a T-stop
///
/// The light is what falls on the subject: an incident meter's reading, or a lamp's output by its data sheet. With `--stop`,
/// the command says how much light that stop needs and, where a light is given too, how far over or under it is.
#[derive(clap::Args)]
#[command(after_help = "\
Examples:  lookwright exposure --lux 980 --iso 100 --shutter-deg 180 --rate 25
           lookwright exposure --foot-candles 91 --iso 800 --shutter-s 1/48 --lens-stops 0.6
           lookwright exposure --candela 40000 --distance-m 4 --lamp-stops 1.5 --iso 800 --shutter-deg 180 --rate 24
           lookwright exposure --stop T2.8 --iso 800 --shutter-deg 180 --rate 24")]
pub struct Arguments {
    /// Light on the subject in lux
    #[arg(long, value_name = "LUX", allow_hyphen_values = true)]
    lux: Option<String>,

    /// Light on the subject in foot-candles (1 foot-candle is 10.76 lux)
    #[arg(long, value_name = "FC", allow_hyphen_values = true)]
    foot_candles: Option<String>,

    /// Output of a lamp towards the subject in candela; needs --distance-m
    #[arg(long, value_name = "CD", allow_hyphen_values = true)]
    candela: Option<String>,

    /// Distance from the lamp to the subject in metres
    #[arg(long, value_name = "M", allow_hyphen_values = true)]
    distance_m: Option<String>,

    /// Stops that filters on the lamp take, where the light's figure does not contain them yet
    #[arg(long, value_name = "STOPS", allow_hyphen_values = true)]
    lamp_stops: Option<String>,

    /// Exposure index that the camera is set to
    #[arg(long, value_name = "ISO", allow_hyphen_values = true)]
    iso: Option<String>,

    /// Shutter angle in degrees; needs --rate
    #[arg(long, value_name = "DEG", allow_hyphen_values = true)]
    shutter_deg: Option<String>,

    /// Frames a second
    #[arg(long, value_name = "FPS", allow_hyphen_values = true)]
    rate: Option<String>,

    /// Shutter time in seconds, such as 1/50 or 0.02, instead of an angle and a rate
    #[arg(long, value_name = "S", allow_hyphen_values = true)]
    shutter_s: Option<String>,

    /// Stops that filters on the lens take
    #[arg(long, value_name = "STOPS", allow_hyphen_values = true)]
    lens_stops: Option<String>,

    /// The T-stop that you want to use, such as T2.8
    #[arg(long, value_name = "T", allow_hyphen_values = true)]
    stop: Option<String>,

    /// The white part of the meter that the light falls on (default: both are told)
    #[arg(long, value_name = "WHICH")]
    receptor: Option<Choice>,
}

/// A receptor by name.
#[derive(Clone, Copy, Debug, ValueEnum)]
enum Choice {
    /// A disc: for a flat subject, or the level of a single lamp
    Flat,
    /// A half sphere: for a face or another round subject
    Dome,
}

/// Runs the command.
pub fn run(arguments: &Arguments, console: &Console) -> CommandResult {
    let given = Given::new(arguments)?;
    let receptors = match arguments.receptor {
        None => &Receptor::ALL[..],
        Some(Choice::Flat) => &[Receptor::Flat],
        Some(Choice::Dome) => &[Receptor::Dome],
    };
    let told = Told { given, receptors };
    if console.is_json() {
        console.document(&told.document());
    } else {
        console.text(&told.text(console));
    }
    Ok(Outcome::Fine)
}
