//! `light`: what lamps and filters become at a camera's balance, and how to get a cast that is wanted.

mod amounts;
mod pictures;
mod text;

use super::console::{Console, as_json};
use super::exit::{CommandResult, Outcome};
use super::still_input;
use amounts::{Argument, filters};
use lookwright::compile;
use lookwright::diagnostics::{Diagnostic, SourceText, Span, codes, nearest};
use lookwright::light::exposure;
use lookwright::light::{Balance, Filter, Lamp, LightSource, Source, Wish, parse_want};
use lookwright::pipeline::Pipeline;
use lookwright::plan::Plan;
use lookwright::recipe::read_text;
use lookwright::show::{
    self, Job, OwnFilter, Reading, SetupSheet, Show, Wanted, Work, fault_key, fault_label, impossible, is_show,
};
use pictures::Scene;
use serde_json::{Value, json};
use std::path::{Path, PathBuf};

/// Tell what lights become behind their filters, what cast they leave at the camera's balance, and how to get another one
#[derive(clap::Args)]
#[command(after_help = "\
Examples:  lookwright light show.toml
           lookwright light show.toml --setup 7b --light fill --filter \"1/2 CTO\"      what if
           lookwright light show.toml --setup 7b --want \"40 mired warmer\"
           lookwright light --source daylight --kelvin 5600 --filter \"full CTO\" --balance 4300
           lookwright light look.toml --source led --kelvin 2700 --duv 0.004 --balance 3200 --want neutral

A filter is a name of the trade (full, 3/4, 1/2, 1/4, 1/8 of CTO, CTB, plus green, minus green), one of the show, or
amounts: \"96 mired warmer, 5 cc greener, 0.5 stops\". A cast is amounts, or \"neutral\".")]
pub struct Arguments {
    /// The show; or a recipe to see a single light through
    #[arg(value_name = "SHOW|RECIPE")]
    file: Option<PathBuf>,

    /// Only this setup of the show
    #[arg(long, value_name = "ID")]
    setup: Option<String>,

    /// The light that --filter and --want are about, by its role; without it, the key light, else the first
    #[arg(long, value_name = "ROLE")]
    light: Option<String>,

    /// A single light: planckian (a filament), daylight, led
    #[arg(long, value_name = "KIND")]
    source: Option<String>,

    /// Its colour temperature, kelvin
    #[arg(long, value_name = "K", allow_hyphen_values = true)]
    kelvin: Option<String>,

    /// Its distance from the locus of black bodies, for an LED; positive is greener
    #[arg(long, value_name = "DUV", allow_hyphen_values = true)]
    duv: Option<String>,

    /// A filter before the light, once for each; in a show they take the place of what hangs there. `none` takes all away
    #[arg(long = "filter", value_name = "FILTER", allow_hyphen_values = true)]
    filters: Vec<String>,

    /// The camera's balance, kelvin; in a show, instead of the setup's
    #[arg(long, value_name = "K", allow_hyphen_values = true)]
    balance: Option<String>,

    /// Its tint as Duv: the light that looks neutral is that much greener
    #[arg(long, value_name = "DUV", allow_hyphen_values = true)]
    balance_duv: Option<String>,

    /// The cast that the light should leave: which balance, filters or recipe give it
    #[arg(long, value_name = "CAST", allow_hyphen_values = true)]
    want: Option<String>,

    /// Compare the cast made in the camera with a neutral negative and the cast in the recipe
    #[arg(long)]
    two_ways: bool,

    /// Write the two ways as pictures into this folder: the built-in chart, or --still
    #[arg(long, value_name = "DIR")]
    pictures: Option<PathBuf>,

    /// With --pictures: a log frame that was shot at the setup's balance; or, with --input, an ordinary picture as a stand-in
    #[arg(long, value_name = "IMAGE", requires = "pictures")]
    still: Option<PathBuf>,

    #[arg(long, value_name = "WHAT", requires = "still", help = still_input::HELP)]
    input: Option<String>,
}

/// What a run of the command is about, in words for its faults.
const SINGLE: &str = "a light of its own";

/// Runs the command.
pub fn run(arguments: &Arguments, console: &Console) -> CommandResult {
    let text = arguments.file.as_deref().map(read_text).transpose().map_err(|found| vec![found])?;
    match (&arguments.file, text) {
        (Some(file), Some(text)) if is_show(&text) => of_show(file, text, arguments, console),
        (file, text) => single(file.as_deref(), text, arguments, console),
    }
}

/// What the arguments ask for beside the file.
struct Asked {
    filters: Option<Vec<Filter>>,
    balance_kelvin: Option<f64>,
    balance_duv: Option<f64>,
    want: Option<Wish>,
}

/// Reads the arguments; everything that is wrong with them at once.
fn asked(arguments: &Arguments, own: &[OwnFilter], found: &mut Vec<Diagnostic>) -> Asked {
    let mut keep = |value: Result<Option<f64>, Box<Diagnostic>>| {
        value.unwrap_or_else(|fault| {
            found.push(*fault);
            None
        })
    };
    let balance_kelvin = keep(amounts::BALANCE.read(arguments.balance.as_deref()));
    let balance_duv = keep(amounts::BALANCE_DUV.read(arguments.balance_duv.as_deref()));
    let filters = if arguments.filters.is_empty() { None } else { Some(filters(&arguments.filters, own, found)) };
    let want = arguments.want.as_deref().and_then(|text| match parse_want(text) {
        Ok(wish) => Some(wish),
        Err(fault) => {
            let span = Span { source: SourceText::new("--want", text), range: fault.range };
            found.push(
                Diagnostic::error(&codes::CAST_FORM, format!("\"{text}\" is not a cast"))
                    .at(span, format!("expected {}", fault.expected))
                    .help(fault.help),
            );
            None
        }
    });
    Asked { filters, balance_kelvin, balance_duv, want }
}

fn incomplete(message: impl Into<String>, help: impl Into<String>) -> Diagnostic {
    Diagnostic::error(&codes::LIGHT_ARGUMENTS, message.into()).help(help)
}

// --- a show -------------------------------------------------------------------------------------------------------

fn of_show(file: &Path, text: String, arguments: &Arguments, console: &Console) -> CommandResult {
    let (show, doubts) = Show::parse(file, text, None)?;
    let only = arguments.setup.as_deref().map(|id| super::compile_show::setup(&show, id)).transpose()?;
    let mut work = show::prepare(show, doubts)?;
    let mut found = Vec::new();
    for (given, argument) in
        [(&arguments.source, "--source"), (&arguments.kelvin, "--kelvin"), (&arguments.duv, "--duv")]
    {
        if given.is_some() {
            found.push(incomplete(
                format!("`{argument}` says what {SINGLE} is; the show says it of its lights"),
                "leave it out, or leave the show out",
            ));
        }
    }
    let asked = asked(arguments, &work.show.filters, &mut found);
    let alone = only.or((work.show.setups.len() == 1).then_some(0));
    let about_one =
        asked.filters.is_some() || asked.want.is_some() || arguments.light.is_some() || arguments.pictures.is_some();
    if about_one && alone.is_none() {
        found.push(incomplete(
            "`--light`, `--filter`, `--want` and `--pictures` are about one setup, and the show has several",
            format!("add --setup ID; known: {}", setup_ids(&work.show).join(", ")),
        ));
    }
    if !found.is_empty() {
        return Err(found);
    }
    if asked.balance_duv.is_some() && asked.balance_kelvin.is_none() {
        let meant = (0..work.show.setups.len()).filter(|index| only.is_none_or(|only| only == *index));
        let without: Vec<&str> = meant
            .map(|index| &work.show.setups[index])
            .filter(|setup| setup.balance_kelvin.is_none())
            .map(|setup| setup.id.text.as_str())
            .collect();
        if !without.is_empty() {
            let message =
                format!("`--balance-duv` is the tint of a balance, and there is none in {}", without.join(", "));
            return Err(vec![incomplete(message, "add --balance K, or write balance_kelvin into the setup")]);
        }
    }
    let light = if about_one { chosen_light(&work.show, alone.unwrap_or(0), arguments)? } else { None };
    change(&mut work, only, alone.zip(light), &asked)?;
    let about = arguments.light.as_ref().and(light);
    let sheets = show::sheets(&work, only.or(about.and(alone)), about)?;
    let wanted = match (asked.want, alone.zip(light)) {
        (Some(want), Some((setup, light))) => Some(of_setup(&work, setup, light, &want)?),
        (Some(_), None) => {
            return Err(vec![incomplete(
                "the setup has no lights",
                "write some into the show, or give one with --source",
            )]);
        }
        (None, _) => None,
    };
    let pictures = pictures_of(&work, alone.zip(light), arguments)?;
    if console.is_json() {
        console.document(&json!({
            "show": work.show.name.text,
            "setups": sheets.iter().map(with_levels).collect::<Vec<_>>(),
            "wanted": wanted,
            "pictures": pictures,
            "diagnostics": as_json(&work.warnings),
        }));
        return Ok(Outcome::Fine);
    }
    console.warnings(&work.warnings);
    console.text(&text::show(&sheets, wanted.as_ref(), about, arguments.two_ways, console));
    console.text(&text::pictures(&pictures));
    Ok(Outcome::Fine)
}

/// A sheet with what its readings come to beside each other.
fn with_levels(sheet: &SetupSheet) -> Value {
    let mut document = json!(sheet);
    document["over_key_stops"] = json!(sheet.over_level_stops());
    document["key_to_fill"] = json!(sheet.key_to_fill());
    document
}

/// Writes the pictures that are asked for.
fn pictures_of(
    work: &Work,
    place: Option<(usize, usize)>,
    arguments: &Arguments,
) -> Result<Vec<PathBuf>, Vec<Diagnostic>> {
    let Some(folder) = &arguments.pictures else { return Ok(Vec::new()) };
    let Some((setup, light)) = place else {
        return Err(vec![incomplete("the setup has no lights", "write some into the show, or give one with --source")]);
    };
    let (balance, job) = seen(work, setup)?;
    let of = &work.show.setups[setup];
    let stem = format!("setup-{}", of.id.text.to_ascii_lowercase());
    let scene =
        Scene { stem: &stem, lamp: &of.lights[light].lamp, balance: &balance, look: (&job.plan, &job.pipeline) };
    pictures::write(folder, arguments.still.as_deref(), arguments.input.as_deref(), &scene)
}

fn setup_ids(show: &Show) -> Vec<&str> {
    show.setups.iter().map(|setup| setup.id.text.as_str()).collect()
}

/// The light of a setup that is meant; `None` for a setup without lights.
fn chosen_light(show: &Show, setup: usize, arguments: &Arguments) -> Result<Option<usize>, Vec<Diagnostic>> {
    let setup = &show.setups[setup];
    let roles: Vec<&str> = setup.lights.iter().map(|light| light.role.text.as_str()).collect();
    let unknown = |role: &str| {
        let span = Span { source: SourceText::new("--light", role), range: 0..role.len() };
        let help = match nearest(role, roles.iter().copied()) {
            Some(near) => format!("did you mean \"{near}\"?"),
            None if roles.is_empty() => "the setup has no lights".to_owned(),
            None => format!("known: {}", roles.join(", ")),
        };
        let message = format!("setup \"{}\" has no light \"{role}\"", setup.id.text);
        vec![Diagnostic::error(&codes::LIGHT_UNKNOWN, message).at(span, "expected the role of a light").help(help)]
    };
    match &arguments.light {
        Some(role) => {
            let wanted = role.trim();
            let mut places = (0..roles.len()).filter(|place| roles[*place].eq_ignore_ascii_case(wanted));
            let place = places.next().ok_or_else(|| unknown(role))?;
            if places.next().is_some() {
                let span = Span { source: SourceText::new("--light", role), range: 0..role.len() };
                let message = format!("setup \"{}\" has several lights \"{}\"", setup.id.text, roles[place]);
                let help = "give each a role of its own in the show, such as \"practical left\"";
                return Err(vec![
                    Diagnostic::error(&codes::LIGHT_UNKNOWN, message)
                        .at(span, "expected the role of one light")
                        .help(help),
                ]);
            }
            Ok(Some(place))
        }
        None if roles.is_empty() && !arguments.filters.is_empty() => {
            let message = format!("setup \"{}\" has no light that a filter could hang before", setup.id.text);
            let help = "write its lights into the show, or give one with --source and --kelvin instead of the show";
            Err(vec![Diagnostic::error(&codes::LIGHT_UNKNOWN, message).help(help)])
        }
        None => Ok(show::key_role(roles.iter().copied())),
    }
}

/// Lays what-if filters and balance over the show in memory.
fn change(
    work: &mut Work,
    only: Option<usize>,
    light: Option<(usize, usize)>,
    asked: &Asked,
) -> Result<(), Vec<Diagnostic>> {
    if let (Some(filters), Some((setup, light))) = (&asked.filters, light) {
        let light = &mut work.show.setups[setup].lights[light];
        let loss = |filters: &[Filter]| filters.iter().map(|filter| filter.stops).fold(0.0, |sum, stops| sum + stops);
        let before = loss(&light.lamp.filters);
        light.lamp.filters.clone_from(filters);
        check_lamp(&light.lamp)?;
        // A reading was taken behind the filters that hang there.
        if let Some(Reading::Lux(lux)) = &mut light.reading {
            *lux = exposure::after_filters(*lux, loss(filters) - before);
        }
    }
    for (index, setup) in work.show.setups.iter_mut().enumerate() {
        if only.is_none_or(|only| only == index) {
            setup.balance_kelvin = asked.balance_kelvin.or(setup.balance_kelvin);
            // Another balance comes with a tint of its own.
            if asked.balance_kelvin.is_some() {
                setup.balance_greener_duv = 0.0;
                setup.balance_note = String::new();
            }
            setup.balance_greener_duv = asked.balance_duv.unwrap_or(setup.balance_greener_duv);
        }
    }
    Ok(())
}

/// A lamp that somebody put together on the command line.
fn check_lamp(lamp: &Lamp) -> Result<(), Vec<Diagnostic>> {
    let Err(fault) = lamp.lit() else { return Ok(()) };
    let (argument, value) = match fault_key(&fault) {
        "kelvin" => ("--kelvin", lamp.source.kelvin.to_string()),
        "duv" => ("--duv", lamp.source.duv.to_string()),
        _ => ("--filter", lamp.filters.iter().map(|filter| filter.name.as_str()).collect::<Vec<_>>().join(", ")),
    };
    let span = Span { range: 0..value.len(), source: SourceText::new(argument, &value) };
    Err(vec![impossible(lamp, fault).at(span, fault_label(lamp, &fault))])
}

/// Every way to a cast of a setup's light.
fn of_setup(work: &Work, setup: usize, light: usize, wish: &Wish) -> Result<Wanted, Vec<Diagnostic>> {
    let (balance, job) = seen(work, setup)?;
    show::wanted(work, (setup, light), (&balance, job), wish).map_err(no_cast)
}

/// A wish that can't be counted.
fn no_cast(why: String) -> Vec<Diagnostic> {
    vec![incomplete(why, "say the cast from neutral, without \"than now\"")]
}

/// The balance of a setup, and the LUT that it is seen through.
fn seen(work: &Work, setup: usize) -> Result<(Balance, &Job), Vec<Diagnostic>> {
    let of = &work.show.setups[setup];
    let Some(kelvin) = of.balance_kelvin else {
        let help = "write balance_kelvin into the setup, or add --balance K";
        let message = format!("setup \"{}\" has no balance that a cast could be seen at", of.id.text);
        return Err(vec![incomplete(message, help)]);
    };
    let Some(job) = show::job_of(work, setup) else {
        let help = "put the recipe back, or make a new version of the look";
        let message = "the setup's look is no longer what it was, so that nothing can be seen through it";
        return Err(vec![incomplete(message, help)]);
    };
    Ok((Balance { kelvin, greener_duv: of.balance_greener_duv }, job))
}

// --- a light of its own ---------------------------------------------------------------------------------------------

fn single(file: Option<&Path>, text: Option<String>, arguments: &Arguments, console: &Console) -> CommandResult {
    let mut found = Vec::new();
    for (given, argument) in [(&arguments.setup, "--setup"), (&arguments.light, "--light")] {
        if given.is_some() {
            let help = "name the show first: lookwright light show.toml --setup ID";
            found.push(incomplete(format!("`{argument}` needs a show"), help));
        }
    }
    let asked = asked(arguments, &[], &mut found);
    let source = source(arguments, &mut found);
    if asked.want.is_some() && asked.balance_kelvin.is_none() && arguments.balance.is_none() {
        found.push(incomplete("a cast is seen at a balance", "add --balance K"));
    }
    if asked.balance_duv.is_some() && arguments.balance.is_none() {
        found.push(incomplete("`--balance-duv` is the tint of a balance", "add --balance K"));
    }
    if (arguments.two_ways || arguments.pictures.is_some()) && arguments.balance.is_none() {
        found.push(incomplete("the two ways differ by the balance", "add --balance K"));
    }
    let Some(source) = source.filter(|_| found.is_empty()) else { return Err(found) };
    let lamp = Lamp { source, filters: asked.filters.clone().unwrap_or_default() };
    check_lamp(&lamp)?;
    let (plan, pipeline, warnings) = look(file, text)?;
    let balance = asked.balance_kelvin.map(|kelvin| Balance { kelvin, greener_duv: asked.balance_duv.unwrap_or(0.0) });
    let role = "light";
    let light = show::lone_light(role, &lamp, balance.as_ref(), &plan, &pipeline);
    let light = light.map_err(|fault| vec![impossible(&lamp, fault)])?;
    let look = (&plan, &pipeline);
    let wanted = asked.want.zip(balance).map(|(wish, balance)| show::lone_wanted(role, &lamp, &balance, &wish, look));
    let wanted = wanted.transpose().map_err(no_cast)?;
    let both = balance.filter(|_| arguments.two_ways).map(|balance| show::lone_ways(role, &lamp, &balance, look));
    let pictures = match (&arguments.pictures, &balance) {
        (Some(folder), Some(balance)) => {
            let scene = Scene { stem: role, lamp: &lamp, balance, look };
            pictures::write(folder, arguments.still.as_deref(), arguments.input.as_deref(), &scene)?
        }
        _ => Vec::new(),
    };
    if console.is_json() {
        console.document(&json!({
            "look": plan.look.name,
            "light": light,
            "balance": balance.map(|balance| json!({"kelvin": balance.kelvin, "greener_duv": balance.greener_duv})),
            "wanted": wanted,
            "ways": both.as_ref().and_then(|both| both.as_ref().ok()),
            "no_ways": both.as_ref().and_then(|both| both.as_ref().err()),
            "pictures": pictures,
            "diagnostics": as_json(&warnings),
        }));
        return Ok(Outcome::Fine);
    }
    console.warnings(&warnings);
    let through = file.map_or_else(|| "a plain look".to_owned(), |_| format!("\"{}\"", plan.look.name));
    console.text(&text::single(&light, balance.as_ref(), &through, wanted.as_ref(), both.as_ref(), console));
    console.text(&text::pictures(&pictures));
    Ok(Outcome::Fine)
}

fn source(arguments: &Arguments, found: &mut Vec<Diagnostic>) -> Option<Source> {
    let before = found.len();
    let kind = match arguments.source.as_deref() {
        None => {
            let message = if arguments.filters.is_empty() {
                "there is no light to look at"
            } else {
                "there is no light that the filter could hang before"
            };
            let help = "name a show, or add --source and --kelvin: lookwright light --source led --kelvin 2700";
            let code = if arguments.filters.is_empty() { &codes::LIGHT_ARGUMENTS } else { &codes::LIGHT_UNKNOWN };
            found.push(Diagnostic::error(code, message).help(help));
            None
        }
        Some(name) => {
            let kind = LightSource::find(name);
            if kind.is_none() {
                let span = Span { source: SourceText::new("--source", name), range: 0..name.len() };
                let ids = LightSource::ALL.map(LightSource::id);
                let help = match nearest(name, ids.iter().copied()) {
                    Some(near) => format!("did you mean \"{near}\"?"),
                    None => "a filament is planckian; discharge, fluorescent and mixed lights are led, by their measured CCT and Duv".to_owned(),
                };
                found.push(
                    Diagnostic::error(&codes::UNKNOWN_NAME, format!("unknown source of light \"{name}\""))
                        .at(span, format!("expected {}", ids.join(", ")))
                        .help(help),
                );
            }
            kind
        }
    };
    let mut read = |argument: &Argument, text: Option<&str>| {
        argument.read(text).unwrap_or_else(|fault| {
            found.push(*fault);
            None
        })
    };
    let kelvin = read(&amounts::KELVIN, arguments.kelvin.as_deref());
    let duv = read(&amounts::DUV, arguments.duv.as_deref());
    if arguments.source.is_some() && arguments.kelvin.is_none() {
        found.push(incomplete("a source has a colour temperature", "add --kelvin K"));
    }
    (found.len() == before).then(|| Some(Source { kind: kind?, kelvin: kelvin?, duv: duv.unwrap_or(0.0) })).flatten()
}

/// The look that a single light is seen through: the recipe's, or a plain one with the default tone curve.
fn look(file: Option<&Path>, text: Option<String>) -> Result<(Plan, Pipeline, Vec<Diagnostic>), Vec<Diagnostic>> {
    const PLAIN: &str =
        "lookwright = 1\n[look]\nname = \"plain\"\n[camera]\nencoding = \"acescct\"\ngamut = \"acescg\"\n[tone]\n";
    let prepared = match (file, text) {
        (Some(file), Some(text)) => compile::prepare_text(file, text, &[])?,
        _ => compile::prepare_text(Path::new("plain look"), PLAIN.to_owned(), &[])?,
    };
    Ok((prepared.plan, prepared.pipeline, prepared.warnings))
}
