//! Edit decision lists with the grade of each event's setup.

use super::pack::{Options, key_of_setup};
use super::parts::PartKey;
use crate::diagnostics::{Diagnostic, codes};
use crate::exchange::is_cdl;
use crate::formats::edl::{self, Event};
use crate::plan::Cdl;
use crate::show::{Job, Work};

/// The lists with their names in the package.
///
/// # Errors
/// A list that can't be read; one of which no event belongs to a setup; two of one name.
pub(super) fn annotated(
    work: &Work,
    jobs: &[&Job],
    options: &Options,
) -> Result<Vec<(String, Vec<u8>)>, Vec<Diagnostic>> {
    let grades: Vec<Option<Option<Cdl>>> = (0..work.show.setups.len())
        .map(|setup| {
            let key = key_of_setup(&work.show, setup);
            let is_asked = options.setups.as_ref().is_none_or(|setups| setups.contains(&setup));
            let job = jobs.iter().find(|job| is_asked && PartKey::of(job) == key)?;
            // An identity behind an event reads as "no look": it is written only where that is so.
            Some((job.plan.grade != Cdl::IDENTITY || is_cdl(&job.plan)).then_some(job.plan.grade))
        })
        .collect();
    let mut out: Vec<(String, Vec<u8>)> = Vec::new();
    for (name, bytes) in &options.lists {
        let mut told = 0_usize;
        let annotated = edl::annotate(name, bytes, |event| {
            let grade = setup_of(work, event).and_then(|setup| grades[setup].as_ref());
            told += usize::from(grade.is_some());
            grade.and_then(Option::as_ref)
        })?;
        if told == 0 {
            let message = format!("{name}: no event of the list belongs to a setup of the package");
            return Err(vec![
                Diagnostic::error(&codes::LIST_OF_NO_SETUP, message)
                    .help("say in [[setup]] which clips or reels are its own: clips = [\"A003\"]"),
            ]);
        }
        let file = format!("post/edl/{}", name.rsplit(['/', '\\']).next().unwrap_or(name));
        if out.iter().any(|(other, _)| other.eq_ignore_ascii_case(&file)) {
            let message = format!("two lists have the name {name}");
            return Err(vec![Diagnostic::error(&codes::SAME_FILE, message).help("rename one of the two")]);
        }
        out.push((file, annotated));
    }
    Ok(out)
}

/// The setup whose clips an event belongs to: the one that names the longest beginning of its clip or reel.
fn setup_of(work: &Work, event: &Event) -> Option<usize> {
    let names = [event.clip_name.as_deref(), Some(event.reel.as_str())];
    let length = |clip: &str| {
        let clip = clip.trim_end_matches('*').to_lowercase();
        // "A1" is not how "A12" begins.
        let begins = |name: &str| {
            let rest = name.to_lowercase().strip_prefix(clip.as_str()).map(str::to_owned);
            let number = clip.ends_with(|last: char| last.is_ascii_digit());
            rest.is_some_and(|rest| !(number && rest.starts_with(|next: char| next.is_ascii_digit())))
        };
        names.iter().flatten().any(|name| begins(name)).then_some(clip.len()).filter(|length| *length > 0)
    };
    let of = |setup: usize| work.show.setups[setup].clips.iter().filter_map(|clip| length(clip)).max();
    let found = (0..work.show.setups.len()).filter_map(|setup| of(setup).map(|length| (length, setup)));
    // Of two that fit as well, the first.
    found.max_by_key(|(length, setup)| (*length, std::cmp::Reverse(*setup))).map(|(_, setup)| setup)
}
