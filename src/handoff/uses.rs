//! Which setups a look, variant or version is for, and which have another in its place by now.

use super::manifest::{LookNote, PostNote, Superseded};
use super::pack::key_of_setup;
use super::parts::{PartKey, part_stem};
use crate::show::{Part, Show};
use std::fmt::Write as _;

/// What is noted of looks, variants and versions, seen from some setups of the show.
pub(super) fn look_notes(show: &Show, keys: &[PartKey], setups: &[usize]) -> Vec<LookNote> {
    keys.iter().map(|key| look_note(show, *key, setups)).collect()
}

fn look_note(show: &Show, key: PartKey, setups: &[usize]) -> LookNote {
    let id = |setup: &usize| show.setups[*setup].id.text.clone();
    let uses = |setup: &usize| key_of_setup(show, *setup) == key;
    let superseded = |setup: &usize| Superseded { setup: id(setup), by: part_stem(show, key_of_setup(show, *setup)) };
    LookNote {
        look: show.looks[key.look].id.text.clone(),
        part: show.part_id(key.look, key.part).to_owned(),
        files: part_stem(show, key),
        setups: setups.iter().filter(|setup| uses(setup)).map(id).collect(),
        superseded: setups
            .iter()
            .filter(|setup| !uses(setup) && was_of_setup(show, key, **setup))
            .map(superseded)
            .collect(),
    }
}

/// Whether a setup was seen through this before a version took its place.
fn was_of_setup(show: &Show, key: PartKey, setup: usize) -> bool {
    let of = &show.setups[setup];
    key.look == of.look
        && match key.part {
            Part::Look => of.variant.is_none(),
            Part::Variant(variant) => of.variant == Some(variant),
            Part::Version(version) => show.versions[version].setup == setup,
        }
}

impl LookNote {
    /// What took its place, and where: "setup 7b takes dusk.7b-b.version"; empty where nothing did.
    #[must_use]
    pub fn superseded_words(&self) -> String {
        let each: Vec<String> =
            self.superseded.iter().map(|one| format!("setup {} takes {}", one.setup, one.by)).collect();
        each.join(", ")
    }
}

/// Every file for post with the setups that it is for: one row for a look, variant or version and camera.
pub(super) fn looks_csv(looks: &[LookNote], post: &[PostNote]) -> String {
    let mut text = String::from("files,look,part,camera,monitor,setups,superseded,cube,clf,amf,linear\n");
    for post in post {
        let Some(look) = looks.iter().find(|look| look.look == post.look && look.part == post.part) else { continue };
        let cells = [
            look.files.as_str(),
            &look.look,
            &look.part,
            &post.camera,
            &post.monitor,
            &look.setups.join(" "),
            &look.superseded_words().replace(", ", "; "),
            &post.cube,
            &post.clf,
            &post.amf,
            &post.linear,
        ];
        let _ = writeln!(text, "{}", cells.join(","));
    }
    text
}
