//! Edit decision lists with the grade of each event's setup.

use super::manifest::ListNote;
use super::pack::{Options, key_of_setup};
use super::parts::PartKey;
use crate::diagnostics::{Diagnostic, codes};
use crate::exchange::is_cdl;
use crate::formats::cdl::{shortest, spaced};
use crate::formats::edl::{self, Event};
use crate::plan::Cdl;
use crate::show::{Job, Selection, Work};
use std::collections::BTreeMap;

/// Events that are told one by one; of more only how many there are.
const TOLD: usize = 12;

/// A list as it stands in the package.
pub(super) struct Annotated {
    pub(super) note: ListNote,
    pub(super) bytes: Vec<u8>,
    /// What is doubtful: corrections that were there already, events of two setups.
    pub(super) doubts: Vec<Diagnostic>,
}

/// What becomes of the lists' events, before anything is made: for each list what the package will say of it, and all that is doubtful.
///
/// # Errors
/// As for the package itself: a list that can't be read; one of which no event belongs to a setup; two of one name.
pub fn look_at_lists(work: &Work, options: &Options) -> Result<(Vec<ListNote>, Vec<Diagnostic>), Vec<Diagnostic>> {
    let selection = options.setups.clone().map_or(Selection::All, Selection::Setups);
    let jobs: Vec<&Job> = work.jobs.iter().filter(|job| selection.has(&work.show, job)).collect();
    let lists = annotated(work, &jobs, options)?;
    let doubts = lists.iter().flat_map(|list| list.doubts.iter().cloned()).collect();
    Ok((lists.into_iter().map(|list| list.note).collect(), doubts))
}

/// The lists as they stand in the package.
///
/// # Errors
/// A list that can't be read; one of which no event belongs to a setup; two of one name.
pub(super) fn annotated(work: &Work, jobs: &[&Job], options: &Options) -> Result<Vec<Annotated>, Vec<Diagnostic>> {
    let grades = Grades::of(work, jobs, options);
    let mut out: Vec<Annotated> = Vec::new();
    for (name, bytes) in &options.lists {
        let file = format!("post/edl/{}", name.rsplit(['/', '\\']).next().unwrap_or(name));
        if out.iter().any(|other| other.note.file.eq_ignore_ascii_case(&file)) {
            let message = format!("two lists have the name {name}");
            return Err(vec![Diagnostic::error(&codes::SAME_FILE, message).help("rename one of the two")]);
        }
        let mut events = Events::new(&grades, name, file);
        let bytes = edl::annotate(name, bytes, |event| events.grade(event))?;
        if events.note.without_setup == events.note.events {
            let message = format!("{name}: no event of the list belongs to a setup of the package");
            return Err(vec![
                Diagnostic::error(&codes::LIST_OF_NO_SETUP, message)
                    .help("say in [[setup]] which clips or reels are its own: clips = [\"A003\"]"),
            ]);
        }
        out.push(events.annotated(bytes));
    }
    Ok(out)
}

/// What may stand behind the events of each setup.
struct Grades<'a> {
    work: &'a Work,
    /// By setup: `None` for those that are not packed, then `None` for looks without a grade that could stand there.
    of: Vec<Option<Option<Cdl>>>,
}

impl<'a> Grades<'a> {
    fn of(work: &'a Work, jobs: &[&Job], options: &Options) -> Self {
        let grade = |setup: usize| {
            let key = key_of_setup(&work.show, setup);
            let is_asked = options.setups.as_ref().is_none_or(|setups| setups.contains(&setup));
            let job = jobs.iter().find(|job| is_asked && PartKey::of(job) == key)?;
            // An identity behind an event reads as "no look": it is written only where that is so.
            Some((job.plan.grade != Cdl::IDENTITY || is_cdl(&job.plan)).then_some(job.plan.grade))
        };
        Self { work, of: (0..work.show.setups.len()).map(grade).collect() }
    }

    /// Whose event it is.
    fn owner(&self, event: &Event) -> Owner {
        let setups = setups_of(self.work, event);
        let Some(first) = setups.first() else { return Owner::Nobody };
        let key = |setup: &usize| key_of_setup(&self.work.show, *setup);
        let another = setups.iter().find(|setup| key(setup) != key(first) && self.of[**setup] != self.of[*first]);
        if let Some(another) = another {
            return Owner::Two([*first, *another]);
        }
        // Of setups of one look it is enough that one is packed.
        setups.into_iter().find(|setup| self.of[*setup].is_some()).map_or(Owner::Nobody, Owner::Setup)
    }

    fn id(&self, setup: usize) -> &str {
        &self.work.show.setups[setup].id.text
    }
}

/// Whose an event is.
enum Owner {
    /// Of no setup of the package.
    Nobody,
    Setup(usize),
    /// Of two setups as much, whose looks put different numbers there.
    Two([usize; 2]),
}

/// The events of a list, on their way.
struct Events<'a> {
    grades: &'a Grades<'a>,
    name: &'a str,
    note: ListNote,
    /// Events whose corrections were there already, and those told of them beyond [`TOLD`].
    corrected: Vec<Diagnostic>,
    more: usize,
    /// Events of two setups, by those: the first of them, and how many there are.
    of_two: BTreeMap<[usize; 2], (Event, usize)>,
}

impl<'a> Events<'a> {
    fn new(grades: &'a Grades<'a>, name: &'a str, file: String) -> Self {
        let note = ListNote { file, ..ListNote::default() };
        Self { grades, name, note, corrected: Vec::new(), more: 0, of_two: BTreeMap::new() }
    }

    /// The grade that an event gets, and a note of what became of it.
    fn grade(&mut self, event: &Event) -> Option<&'a Cdl> {
        self.note.events += 1;
        let setup = match self.grades.owner(event) {
            Owner::Setup(setup) => setup,
            Owner::Nobody => {
                self.note.without_setup += 1;
                return None;
            }
            Owner::Two(setups) => {
                self.note.of_two_setups += 1;
                self.of_two.entry(setups).or_insert_with(|| (event.clone(), 0)).1 += 1;
                return None;
            }
        };
        let grade = self.grades.of[setup].as_ref().and_then(Option::as_ref);
        match grade {
            Some(grade) => self.annotate(event, setup, grade),
            None => {
                self.note.without_grade += 1;
                self.keep(event, setup);
            }
        }
        grade
    }

    fn annotate(&mut self, event: &Event, setup: usize, grade: &Cdl) {
        self.note.annotated += 1;
        let id = self.grades.id(setup);
        if let Some(old) = event.cdl.filter(|old| old != grade) {
            self.note.replaced += 1;
            let message = format!("event {} had another correction, which is replaced in the package", event.number);
            let label = format!("was {}", numbers(&old));
            let help =
                format!("now {}, the [grade] of setup {id}; the list that was named stays as it is", numbers(grade));
            self.doubt(event, &message, &label, help);
        }
        if let Some(other) = &event.correction_id {
            let message = format!("event {} names a correction of another file as well", event.number);
            let label = format!("ASC_CC_XML {other:?}, and now {}", numbers(grade));
            self.doubt(
                event,
                &message,
                &label,
                format!("only one can hold: that of setup {id} stands behind the event"),
            );
        }
    }

    /// An event whose look has no grade that could stand there keeps what it has.
    fn keep(&mut self, event: &Event, setup: usize) {
        if let Some(old) = event.cdl.filter(|old| *old != Cdl::IDENTITY) {
            let id = self.grades.id(setup);
            let message = format!("event {} keeps a correction that is not of its setup's look", event.number);
            let help =
                format!("setup {id} has a look without a [grade]; take the correction out if it is not meant any more");
            self.doubt(event, &message, &format!("is {}", numbers(&old)), help);
        }
    }

    fn doubt(&mut self, event: &Event, message: &str, label: &str, help: String) {
        if self.corrected.len() == TOLD {
            self.more += 1;
            return;
        }
        let place = [&event.values.slope, &event.values.saturation].into_iter().flatten().next();
        let place = place.unwrap_or(&event.place).clone();
        self.corrected.push(Diagnostic::warning(&codes::LIST_CORRECTED, message).at(place, label).help(help));
    }

    fn annotated(self, bytes: Vec<u8>) -> Annotated {
        let mut doubts = self.corrected;
        if self.more > 0 {
            let message = format!("{}: {} more corrections that were there already", self.name, self.more);
            let help = format!("{} has how many were replaced", super::manifest::MANIFEST);
            doubts.push(Diagnostic::warning(&codes::LIST_CORRECTED, message).help(help));
        }
        for ([one, other], (event, count)) in &self.of_two {
            let [one, other] = [*one, *other].map(|setup| self.grades.id(setup));
            let more = if *count > 1 { format!(", and {} more", count - 1) } else { String::new() };
            let message = format!("event {}{more}: of setup {one} as much as of setup {other}", event.number);
            let label = format!("clip {}, reel {}", event.clip_name.as_deref().unwrap_or("unnamed"), event.reel);
            let help = "their looks differ, so it stays as it came; give one of the two a longer name in `clips`";
            let doubt = Diagnostic::warning(&codes::LIST_OF_TWO_SETUPS, message);
            doubts.push(doubt.at(event.place.clone(), label).help(help));
        }
        Annotated { note: self.note, bytes, doubts }
    }
}

/// The numbers of a correction on a line.
fn numbers(cdl: &Cdl) -> String {
    let [slope, offset, power] = [cdl.slope, cdl.offset, cdl.power].map(spaced);
    format!("({slope})({offset})({power}) saturation {}", shortest(cdl.saturation))
}

/// The setups whose clips an event belongs to: those that name the longest beginning of its clip or reel.
fn setups_of(work: &Work, event: &Event) -> Vec<usize> {
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
    let found: Vec<(usize, usize)> =
        (0..work.show.setups.len()).filter_map(|setup| of(setup).map(|length| (length, setup))).collect();
    let longest = found.iter().map(|(length, _)| *length).max();
    found.into_iter().filter(|(length, _)| Some(*length) == longest).map(|(_, setup)| setup).collect()
}
