//! Builds the sheets of a show's setups.

use super::cautions::cautions;
use super::eye::{Eye, Shown};
use super::light::{Metering, Surroundings, sheet_light};
use super::twice::twice;
use super::values::{
    Between, RecipeWhite, SetupSheet, SheetBalance, SheetCamera, SheetDiffusion, SheetExposure, SheetFile, SheetLight,
    SheetLook, SheetNeed,
};
use super::wanted::key_role;
use super::ways::{Ways, ways};
use crate::colour::adaptation::Adaptation;
use crate::colour::difference::ciede2000;
use crate::light::exposure::{Receptor, Shutter, foot_candles_from_lux};
use crate::light::{Balance, Cast, DUV_PER_CC, LightSource, Lit};
use crate::plan::{Diffusion, short};
use crate::recipe::diffusion_preset;
use crate::show::card::records;
use crate::show::jobs::{Job, Part, Work, look_fingerprint, read_recipe};
use crate::show::{Light, Setup, Show};

/// Balances from here on are usually counted along daylight by cameras: common practice, no source.
const DAYLIGHT_BALANCE: f64 = 4000.0;

/// The sheets of all setups, or of one. The two ways are told of the key light, or of the light `about` of that one setup.
///
/// # Errors
/// Everything that is wrong with the recipes.
pub fn sheets(
    work: &Work,
    only: Option<usize>,
    about: Option<usize>,
) -> Result<Vec<SetupSheet>, Vec<crate::diagnostics::Diagnostic>> {
    let wanted = (0..work.show.setups.len()).filter(|index| only.is_none_or(|only| only == *index));
    wanted.map(|index| sheet(work, index, about.filter(|_| only.is_some()))).collect()
}

/// The part of the look that a setup uses: its newest version, else its variant, else the look itself.
#[must_use]
pub fn part_of(show: &Show, index: usize) -> Part {
    let newest = show.versions.iter().rposition(|version| version.setup == index);
    match (newest, show.setups[index].variant) {
        (Some(version), _) => Part::Version(version),
        (None, Some(variant)) => Part::Variant(variant),
        (None, None) => Part::Look,
    }
}

/// The LUT that a setup is seen through: its look behind its first camera, on the look's first monitor. `None` where the recipe of its version was
/// changed since.
#[must_use]
pub fn job_of(work: &Work, index: usize) -> Option<&Job> {
    let setup = &work.show.setups[index];
    let part = part_of(&work.show, index);
    let of_setup = |job: &&Job| (job.look, job.part) == (setup.look, part) && setup.cameras.contains(&job.camera);
    let place = |job: &&Job| (setup.cameras.iter().position(|camera| *camera == job.camera), job.monitor);
    work.jobs.iter().filter(of_setup).min_by_key(place)
}

fn sheet(work: &Work, index: usize, about: Option<usize>) -> Result<SetupSheet, Vec<crate::diagnostics::Diagnostic>> {
    let (show, setup) = (&work.show, &work.show.setups[index]);
    let part = part_of(show, index);
    let of_setup = |job: &&Job| (job.look, job.part) == (setup.look, part) && setup.cameras.contains(&job.camera);
    let jobs: Vec<&Job> = work.jobs.iter().filter(of_setup).collect();
    let seen = job_of(work, index);
    let (look, adaptation) = look_of(work, index, part, seen)?;
    let balance = balance_of(setup);
    let eye = seen.map(|job| Eye::new(&job.plan, &job.pipeline));
    let frame_rate = setup.frame_rate.unwrap_or(show.frame_rate);
    let room = Surroundings { balance, adaptation, eye: eye.as_ref(), metering: metering(show, setup) };
    // A light that can't be was refused when the show was read; what-if lights are checked by whoever hangs them.
    let lit: Vec<(&Light, Lit)> =
        setup.lights.iter().filter_map(|light| Some((light, light.lamp.lit().ok()?))).collect();
    let lights: Vec<SheetLight> = lit
        .iter()
        .map(|(light, lit)| sheet_light(&room, &light.role.text, &light.lamp, lit, light.reading, &light.note))
        .collect();
    let key = key_role(lights.iter().map(|light| light.role.as_str()));
    let (ways, no_ways) = both_ways(&room, seen, &lit, &lights, about.or(key));
    let mut sheet = SetupSheet {
        show: show.name.text.clone(),
        id: setup.id.text.clone(),
        note: setup.note.clone(),
        look,
        cameras: cameras(work, setup),
        files: jobs.iter().map(|job| file(work, job)).collect(),
        balance: balance.map(|balance| of_balance(&balance, setup)),
        between: between(&lights, key),
        seen_through: seen
            .map(|job| (show.cameras[job.camera].id.text.clone(), show.monitors[job.monitor].id.text.clone())),
        exposure: exposure(&room.metering, setup.shutter_deg, frame_rate),
        diffusion: diffusion(setup, seen),
        haze: setup.haze,
        ways,
        no_ways,
        remarks: Vec::new(),
        cautions: cautions(setup, &lit),
        lights,
    };
    sheet.remarks = remarks(work, index, &sheet, &lit);
    Ok(sheet)
}

/// The camera's balance in a setup, where it is said.
fn balance_of(setup: &Setup) -> Option<Balance> {
    setup.balance_kelvin.map(|kelvin| Balance { kelvin, greener_duv: setup.balance_greener_duv })
}

/// What the readings of a setup are turned into stops with.
pub(super) fn metering(show: &Show, setup: &Setup) -> Metering {
    let frames_per_second = setup.frame_rate.unwrap_or(show.frame_rate);
    Metering {
        iso: setup.iso,
        seconds: setup.shutter_deg.map(|angle_deg| Shutter { angle_deg, frames_per_second }.seconds()),
        t_stop: setup.t_stop,
        lens_stops: setup.lens_stops,
        receptors: setup.receptor.map_or_else(|| Receptor::ALL.to_vec(), |one| vec![one]),
    }
}

/// The look, and the adaptation that its casts are counted by. `seen` is absent for a version whose recipe was changed: what is told of it is
/// what the show's record has.
fn look_of(
    work: &Work,
    index: usize,
    part: Part,
    seen: Option<&Job>,
) -> Result<(SheetLook, Adaptation), Vec<crate::diagnostics::Diagnostic>> {
    let (show, setup) = (&work.show, &work.show.setups[index]);
    let look = &show.looks[setup.look];
    let version = if let Part::Version(version) = part { Some(&show.versions[version]) } else { None };
    let recipe = read_recipe(show, setup.look, version.map_or(&[], |version| version.set.as_slice()))?;
    let variant = setup.variant.map(|variant| &look.variants[variant]);
    let plan = seen.map_or_else(|| recipe.resolve_all().0, |job| job.plan.clone());
    let id = show.part_id(setup.look, part);
    let fingerprint = match version {
        Some(version) => version.look_fingerprint.text.clone(),
        None => look_fingerprint(&recipe, variant),
    };
    let of_look = SheetLook {
        id: look.id.text.clone(),
        name: plan.look.name.clone(),
        part: match part {
            Part::Look => String::new(),
            Part::Variant(_) => format!("variant {id}"),
            Part::Version(_) => format!("version {id}"),
        },
        recipe: look.recipe.text.clone(),
        note: plan.look.note.clone(),
        changed: seen.is_none(),
        white: (seen.is_some() && !plan.white.is_identity()).then(|| RecipeWhite {
            reference_kelvin: plan.white.reference_kelvin,
            warmer_mired: plan.white.warmer_mired,
            greener_cc: plan.white.greener_duv / DUV_PER_CC,
        }),
        fingerprint: short(&fingerprint).to_owned(),
    };
    Ok((of_look, plan.adaptation))
}

fn cameras(work: &Work, setup: &Setup) -> Vec<SheetCamera> {
    let one = |camera: &usize| {
        let of = &work.show.cameras[*camera];
        // What a camera records is the same whatever the look.
        let job = work.jobs.iter().find(|job| job.camera == *camera);
        SheetCamera {
            id: of.id.text.clone(),
            records: job.map(|job| records(&job.plan.camera)).unwrap_or_default(),
            trim: of.trim.as_ref().map(|trim| trim.text.clone()).unwrap_or_default(),
            note: of.note.clone(),
        }
    };
    setup.cameras.iter().map(one).collect()
}

fn file(work: &Work, job: &Job) -> SheetFile {
    SheetFile {
        monitor: work.show.monitors[job.monitor].id.text.clone(),
        camera: work.show.cameras[job.camera].id.text.clone(),
        file: job.path.clone(),
        code: job.code.clone(),
        input_levels: job.plan.device.input_levels.id(),
        output_levels: job.plan.device.output_levels.id(),
    }
}

fn of_balance(balance: &Balance, setup: &Setup) -> SheetBalance {
    let white = balance.white();
    SheetBalance {
        kelvin: balance.kelvin,
        greener_duv: balance.greener_duv,
        greener_cc: balance.greener_duv / DUV_PER_CC,
        xy: [white.x, white.y],
        note: setup.balance_note.clone(),
    }
}

/// Every other light as seen from the key.
fn between(lights: &[SheetLight], key: Option<usize>) -> Vec<Between> {
    let Some(key) = key else { return Vec::new() };
    let seen = |from: &SheetLight, to: &SheetLight| {
        let (a, b) = (from.cast?, to.cast?);
        let card_de2000 = from.card.zip(to.card).map(|(a, b): (Shown, Shown)| ciede2000(a.lab(), b.lab()));
        Some(Between {
            from: from.role.clone(),
            to: to.role.clone(),
            warmer_mired: b.warmer_mired - a.warmer_mired,
            greener_duv: b.greener_duv - a.greener_duv,
            greener_cc: b.greener_cc - a.greener_cc,
            card_de2000,
        })
    };
    let others = lights.iter().enumerate().filter(|(place, _)| *place != key);
    others.filter_map(|(_, other)| seen(&lights[key], other)).collect()
}

fn both_ways(
    room: &Surroundings<'_>,
    seen: Option<&Job>,
    lit: &[(&Light, Lit)],
    lights: &[SheetLight],
    about: Option<usize>,
) -> (Option<Ways>, Option<String>) {
    let (Some(job), Some(balance), Some(about)) = (seen, room.balance, about) else {
        return (None, None);
    };
    let (Some(light), Some((_, lit))) = (lights.get(about), lit.get(about)) else { return (None, None) };
    let Some(cast) = light.cast else {
        return (None, Some(format!("the cast of the light \"{}\" is beyond ±1000 mired", light.role)));
    };
    let cast = Cast { warmer_mired: cast.warmer_mired, greener_duv: cast.greener_duv };
    match ways(&job.plan, &job.pipeline, &light.role, lit.chromaticity, &balance, &cast) {
        Ok(ways) => (Some(ways), None),
        Err(why) => (None, Some(why)),
    }
}

fn exposure(metering: &Metering, shutter_deg: Option<f64>, frame_rate: f64) -> SheetExposure {
    let needs = match metering.camera().zip(metering.t_stop) {
        Some((camera, t_stop)) => metering
            .receptors
            .iter()
            .map(|receptor| {
                let lux = camera.lux(*receptor, t_stop);
                SheetNeed {
                    receptor: receptor.name(),
                    constant: receptor.constant(),
                    lux,
                    foot_candles: foot_candles_from_lux(lux),
                }
            })
            .collect(),
        None => Vec::new(),
    };
    SheetExposure {
        iso: metering.iso,
        shutter_deg,
        shutter_s: metering.seconds,
        frame_rate,
        t_stop: metering.t_stop,
        lens_stops: metering.lens_stops,
        needs,
    }
}

fn diffusion(setup: &Setup, seen: Option<&Job>) -> SheetDiffusion {
    let on_lens = setup.diffusion_on_lens.as_ref().map(|grade| grade.text.clone());
    let in_recipe = seen.filter(|job| !job.plan.diffusion.is_identity()).map(|job| said(&job.plan.diffusion));
    let twice = on_lens.as_ref().zip(seen).and_then(|(grade, job)| twice(&job.plan, grade, &diffusion_preset(grade)?));
    SheetDiffusion { on_lens, in_recipe, twice }
}

/// What a diffusion block does, in words.
fn said(filter: &Diffusion) -> String {
    let mut parts = Vec::new();
    if filter.veil > 0.0 {
        parts.push(format!("a veil of {} %", trimmed(filter.veil * 100.0)));
    }
    if filter.loss_stops > 0.0 {
        let unit = if filter.loss_stops > 1.0 { "stops" } else { "stop" };
        parts.push(format!("highlights up to {} {unit} down", trimmed(filter.loss_stops)));
    }
    if filter.bleach > 0.0 {
        parts.push(format!("up to {} % of their colour gone", trimmed(filter.bleach * 100.0)));
    }
    let known =
        ["1/8", "1/4", "1/2", "1", "2"].into_iter().find(|grade| diffusion_preset(grade).as_ref() == Some(filter));
    match known {
        Some(grade) => format!("grade {grade}: {}", parts.join(", ")),
        None => parts.join(", "),
    }
}

/// Up to two decimals.
fn trimmed(value: f64) -> String {
    let text = format!("{value:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// What to know when reading the numbers.
fn remarks(work: &Work, index: usize, sheet: &SetupSheet, lit: &[(&Light, Lit)]) -> Vec<String> {
    let setup = &work.show.setups[index];
    let mut found = Vec::new();
    if let Some(version) =
        work.drifted.iter().find(|drifted| part_of(&work.show, index) == Part::Version(drifted.version))
    {
        let id = &work.show.versions[version.version].id.text;
        found.push(format!(
            "The recipe of version {id} was changed since it was made, so that its colours can't be shown here; its files are the ones that were made."
        ));
    }
    if sheet.balance.is_none() && !lit.is_empty() {
        found.push("No balance is said, so that no cast can be told.".to_owned());
    }
    let of_kind = |kind: LightSource| lit.iter().any(|(light, _)| light.lamp.source.kind == kind);
    if let Some(kelvin) =
        setup.balance_kelvin.filter(|kelvin| *kelvin >= DAYLIGHT_BALANCE && setup.balance_greener_duv == 0.0)
        && let Some(duv) = crate::colour::whites::duv(crate::colour::whites::daylight(kelvin))
            .filter(|_| of_kind(LightSource::Daylight))
    {
        found.push(format!(
            "Casts are counted from black bodies. Daylight of {kelvin:.0} K is {:.0} CC ({duv:.4} Duv) greener than a black body of \
             that temperature. A camera whose kelvins follow daylight shows it as neutral: for such a camera the balance has a tint of {duv:.4} Duv.",
            duv / DUV_PER_CC
        ));
    }
    let filtered = |kind: fn(&LightSource) -> bool| {
        lit.iter().any(|(light, _)| kind(&light.lamp.source.kind) && !light.lamp.filters.is_empty())
    };
    if sheet.lights.iter().flat_map(|light| &light.filters).any(|filter| filter.other_maker.is_some()) {
        found.push(
            "Filters of one name differ by maker, halves of orange by 28 mired: the numbers printed here count, not the names. A measured filter \
             goes into the show with its own numbers."
                .to_owned(),
        );
    }
    if filtered(|kind| *kind == LightSource::Led) {
        found.push(
            "An LED is known here by its colour temperature and Duv only. What a filter does to it depends on its spectrum: measure the light \
             behind the filter."
                .to_owned(),
        );
    }
    if sheet.lights.iter().any(|light| light.loss_estimated) {
        found.push("A loss that is marked as estimated is what filters of that strength usually take; its filter does not say it.".to_owned());
    }
    if sheet.diffusion.on_lens.is_some() {
        found.push(
            "A filter on the lens spreads light into a halo, which no LUT holds, and takes up to a third of a stop (common practice); that is counted only \
             where it is part of the lens filters' stops."
                .to_owned(),
        );
    }
    if sheet.haze {
        found.push("Haze lifts the shadows in front of the lens by how far away things are. No LUT and no number of this sheet knows it: judge it by eye and by the exposure map.".to_owned());
    }
    found
}
